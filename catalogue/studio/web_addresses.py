"""Addresses that a browser opens: how they are written, and which of them only this machine can open."""

import re
from ipaddress import ip_address
from urllib.parse import SplitResult, urlsplit

EXAMPLE = "https://larkmoss.example"
LONGEST = 200
_NAME = re.compile(r"[\w-]{1,63}(?:\.[\w-]{1,63})*\.?")


def read_web_address(text: str) -> str:
    """The address of a whole site, without a stroke at its end.

    Raises:
        ValueError: It is none; the text is one sentence.
    """
    address = text.strip().rstrip("/")
    if len(address) > LONGEST:
        raise ValueError(f"An address has at most {LONGEST} characters: write it like {EXAMPLE}.")
    parts = _read(address)
    if parts is None:
        raise ValueError(f"“{address}” is not a web address: write it like {EXAMPLE}.")
    if "@" in parts.netloc or parts.path or "?" in address or "#" in address:
        raise ValueError(
            f"“{address}” is longer than the address of a site: write only the part like {EXAMPLE}."
        )
    return address


def is_loopback(address: str) -> bool:
    """Whether nobody but this machine can open the address."""
    host = (urlsplit(address).hostname or "").rstrip(".")
    if not host or host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        number = ip_address(host)
    except ValueError:
        return host.startswith("127.") or host.isdigit()  # old ways to write an address: 127.1, 2130706433
    mapped = getattr(number, "ipv4_mapped", None) or number
    return mapped.is_loopback or mapped.is_unspecified


def _read(address: str) -> SplitResult | None:
    """The parts of an address; None where a browser finds no server in it."""
    try:
        parts = urlsplit(address)
        host, port = parts.hostname or "", parts.port
        is_host = bool(_NAME.fullmatch(host)) or ip_address(host) is not None
    except ValueError:
        return None
    is_written = parts.scheme in ("http", "https") and is_host and port != 0
    # What a browser leaves out or takes for something else is no part of an address.
    return None if re.search(r"[\s\\\x00-\x1f\x7f]", address) or not is_written else parts
