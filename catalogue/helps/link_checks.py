"""Checks of links: asked for once, at an address that was looked at first, with limits on time and size."""

import http.client
import socket
import ssl
import threading
import time
from contextlib import suppress
from dataclasses import dataclass
from typing import Literal
from urllib.parse import SplitResult, quote, urljoin

from django.utils import timezone

from catalogue.helps.addresses import (
    AddressRefused,
    Permission,
    Resolver,
    is_on_the_web,
    number_to_ask,
    numbers_of,
    read_address,
)
from catalogue.models import Help, ShopLink

SECONDS = 6.0
# For the whole check, with all the places that a link sends one on to.
WHOLE_SECONDS = 20.0
MOST_MOVES = 5
AGENT = "Evenrow link check"
_MOVED = {301, 308}
_ELSEWHERE = {301, 302, 303, 307, 308}
# Signs of a path or a query that stand for themselves; all others are written as bytes (RFC 3986).
_KEPT = "/%?&=+,;:@!$'()*~"
# A page that only a signed-in or a patient visitor sees is there all the same.
_THERE = {401, 403, 405, 429}


@dataclass(frozen=True)
class LinkAnswer:
    """What a link answered: its state, one sentence, and where it has moved for good ("" = nowhere)."""

    state: Literal["works", "moved", "dead"]
    says: str
    moved_to: str = ""


def check_link(
    address: str, *, resolver: Resolver = numbers_of, permitted: Permission = is_on_the_web
) -> LinkAnswer:
    """Ask a link whether it is there; nothing of what it sends is kept.

    Args:
        address: The link.
        resolver: Names to IP addresses.
        permitted: Which IP addresses may be asked.

    Returns:
        The answer; every failure is one, none is raised.
    """
    at, moved_to, is_for_good = address, "", True
    ends = time.monotonic() + WHOLE_SECONDS
    try:
        for _ in range(MOST_MOVES + 1):
            parts = read_address(at)
            status, reason, onward = _ask(parts, number_to_ask(parts, resolver, permitted), ends)
            if status not in _ELSEWHERE or not onward:
                return _answer(status, reason, moved_to)
            at = urljoin(at, onward)
            is_for_good = is_for_good and status in _MOVED
            moved_to = at if is_for_good else moved_to
    except AddressRefused as refusal:
        return LinkAnswer("dead", f"It was not asked: {refusal}"[:300])
    except ssl.SSLCertVerificationError:
        return LinkAnswer("dead", "Its certificate is not valid: browsers warn visitors off.")
    except ssl.SSLError:
        return LinkAnswer("dead", "It has no safe connection: try the link with http://.")
    except TimeoutError:
        if time.monotonic() >= ends:
            return LinkAnswer("dead", f"Its answers took more than {WHOLE_SECONDS:.0f} seconds altogether.")
        return LinkAnswer("dead", f"It did not answer within {SECONDS:.0f} seconds.")
    except socket.gaierror:
        return LinkAnswer("dead", "There is no website of this name, or this machine is offline.")
    except (OSError, http.client.HTTPException, UnicodeError, ValueError):
        return LinkAnswer("dead", "The connection failed.")
    return LinkAnswer("dead", f"It was sent on more than {MOST_MOVES} times.")


def check_help(found: Help) -> LinkAnswer:
    """Check the link of a help and keep what came of it, unless the link was changed meanwhile."""
    answer = check_link(found.link)
    Help.objects.filter(pk=found.pk, link=found.link).update(
        link_state=answer.state, link_answer=answer.says, link_checked_at=timezone.now()
    )
    return answer


def check_shop(found: ShopLink) -> LinkAnswer:
    """Check the link of a shop and keep what came of it, unless the link was changed meanwhile."""
    answer = check_link(found.address)
    ShopLink.objects.filter(pk=found.pk, address=found.address).update(
        state=answer.state, answer=answer.says, checked_at=timezone.now()
    )
    return answer


def _answer(status: int, reason: str, moved_to: str) -> LinkAnswer:
    """What a status says of a link."""
    if status < http.client.MULTIPLE_CHOICES or status in _THERE:
        if moved_to:
            return LinkAnswer("moved", f"It has moved for good, to {moved_to}"[:300], moved_to)
        return LinkAnswer("works", f"It answered {status}.")
    return LinkAnswer("dead", f"It answered {status} {reason}".strip()[:200] + ".")


def _ask(parts: SplitResult, where: tuple[str, int], ends: float) -> tuple[int, str, str]:
    """Ask for the head of a page: status, reason, and where it sends one.

    The connection goes to the very IP address that was looked at: no name can lead elsewhere meanwhile.
    """
    status, reason, onward = _request(parts, where, "HEAD", _seconds_left(ends))
    if status in (405, 501):  # some places answer to GET alone
        status, reason, onward = _request(parts, where, "GET", _seconds_left(ends))
    return status, reason, onward


def _seconds_left(ends: float) -> float:
    """How long the next answer may take."""
    left = min(SECONDS, ends - time.monotonic())
    if left <= 0:
        raise TimeoutError
    return left


def _request(parts: SplitResult, where: tuple[str, int], method: str, seconds: float) -> tuple[int, str, str]:
    """Send one request and read its head alone; an answer that trickles in is ended as if none came."""
    host = parts.hostname or ""
    kind = http.client.HTTPSConnection if parts.scheme == "https" else http.client.HTTPConnection
    connection = kind(host, where[1], timeout=seconds)
    sock = socket.create_connection(where, timeout=seconds)
    is_late = threading.Event()
    timer = threading.Timer(seconds, lambda: _end(sock, is_late))  # whichever socket it is by then
    timer.start()
    try:
        if parts.scheme == "https":
            # The handshake comes once the timer knows the socket that it would end.
            sock = ssl.create_default_context().wrap_socket(
                sock, server_hostname=host, do_handshake_on_connect=False
            )
            sock.do_handshake()
        connection.sock = sock
        path = quote(parts.path or "/", safe=_KEPT) + (
            f"?{quote(parts.query, safe=_KEPT)}" if parts.query else ""
        )
        connection.request(method, path, headers={"User-Agent": AGENT, "Accept": "*/*"})
        answer = connection.getresponse()
    except (OSError, http.client.HTTPException):
        if is_late.is_set():
            raise TimeoutError from None
        raise
    else:
        onward = (answer.getheader("Location") or "").encode("latin-1", "replace").decode("utf-8", "replace")
        return answer.status, answer.reason, onward
    finally:
        timer.cancel()
        sock.close()
        connection.close()


def _end(sock: socket.socket, is_late: threading.Event) -> None:
    """End a connection that takes too long."""
    is_late.set()
    with suppress(OSError):
        socket.socket.shutdown(sock, socket.SHUT_RDWR)  # beneath TLS, which would wait for the other side
