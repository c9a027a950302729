"""Web addresses that helps may link to: read as typed, and never of the studio's own network."""

import ipaddress
import re
import socket
import unicodedata
from collections.abc import Callable
from urllib.parse import SplitResult, urlsplit

PORTS = {"http": 80, "https": 443}
_UNSEEN = re.compile(r"[\s\x00-\x1f\x7f\\<>\"^`{|}]")

# Browsers read a per cent sign as a way to write others, and this full stop as a dot.
_OTHER_SIGNS = frozenset("%\u3002")
_NUMBER_AT_END = re.compile(r"\d+|0x[0-9a-f]*")
_OWN_NAMES = frozenset({"localhost", "local", "internal", "intranet", "lan", "home", "corp"})

Resolver = Callable[[str, int], list[str]]
Permission = Callable[[str], bool]


class AddressRefused(Exception):
    """A web address that is not taken; the text says why and what to do, in one sentence."""


def read_address(text: str) -> SplitResult:
    """Read a web address.

    Raises:
        AddressRefused: It is not one of the web, or has parts that a link to a video never has.
    """
    shown = text if len(text) <= 60 else f"{text[:57]}…"
    if _UNSEEN.search(text):
        raise AddressRefused(
            f"“{shown}” has characters that a web link can’t have: copy the link again from the browser."
        )
    try:
        parts = urlsplit(text)
        port, host = parts.port, parts.hostname or ""
    except ValueError:
        raise AddressRefused(
            f"“{shown}” can’t be read as a web link: copy it again from the browser."
        ) from None
    if parts.scheme not in PORTS:
        raise AddressRefused(f"“{shown}” is not a web link: it has to begin with https:// or http://.")
    if "@" in parts.netloc:
        raise AddressRefused(f"“{shown}” has a name or password in it: give the link without them.")
    labels = plain_host(host).removesuffix(".").split(".")
    if ":" not in host and (len(labels) < 2 or "" in labels or _OTHER_SIGNS & set(host)):
        raise AddressRefused(
            f"“{shown}” is not a full web link: write it like https://video.example/long-tail."
        )
    if port == 0 or is_inside(host):
        raise AddressRefused(
            f"“{shown}” is inside a private network, which makers can’t open: give a public link."
        )
    return parts


def is_inside(host: str) -> bool:
    """Whether a host can be nothing but this machine or a network of one's own, by its name or number alone.

    Browsers read every host that ends in a number as an IP address, whichever way it is written.

    Source: WHATWG URL Standard, "ends in a number"; RFC 6761 and RFC 6762 (localhost, local), RFC 8375
    (home.arpa); "internal" as ICANN keeps it for networks of one's own, from memory.
    """
    if is_number(host):
        return not is_on_the_web(host)
    labels = plain_host(host).removesuffix(".").split(".")
    last = labels[-1]
    return last in _OWN_NAMES or bool(_NUMBER_AT_END.fullmatch(last)) or labels[-2:] == ["home", "arpa"]


def plain_host(host: str) -> str:
    """A host as browsers read it: full-width signs and other full stops made plain, unseen signs left out.

    Source: UTS #46, "Processing" (mapping, U+3002 as a full stop), from memory; NFKC of Unicode.
    """
    plain = unicodedata.normalize("NFKC", host).replace("\u3002", ".").casefold()
    return "".join(one for one in plain if unicodedata.category(one) != "Cf")


def is_number(host: str) -> bool:
    """Whether a host is written as an IP address."""
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def is_on_the_web(number: str) -> bool:
    """Whether an IP address belongs to the public web: not this machine, its network, or a reserved range.

    Source: RFC 6890 and the IANA special-purpose registries, as the standard library has them.
    """
    address = ipaddress.ip_address(number)
    inner = getattr(address, "ipv4_mapped", None) or getattr(address, "sixtofour", None) or address
    return all(one.is_global and not one.is_multicast and not one.is_reserved for one in (address, inner))


def numbers_of(host: str, port: int) -> list[str]:
    """The IP addresses of a host.

    Raises:
        OSError: It has none.
    """
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(one[4][0]) for one in found))


def number_to_ask(
    parts: SplitResult, resolver: Resolver = numbers_of, permitted: Permission = is_on_the_web
) -> tuple[str, int]:
    """The IP address and port to connect to, looked at before anything is sent.

    A host with a single address that is not permitted is refused whole: it may answer otherwise next time.

    Raises:
        AddressRefused: It leads into a private network.
        OSError: The host has no address.
    """
    host, port = parts.hostname or "", parts.port or PORTS[parts.scheme]
    numbers = resolver(host, port)
    if not numbers or not all(permitted(number) for number in numbers):
        raise AddressRefused(
            f"{host} leads into a private network, which makers can’t open: give a public link."
        )
    return numbers[0], port
