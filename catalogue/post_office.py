"""Handing a letter over to the mail server, with word of the moment from which it goes out for good."""

import re
import smtplib
import socket
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from django.core.mail import EmailMessage
from django.core.mail.backends.smtp import EmailBackend

_LINE_END = re.compile(rb"\r\n|\r|\n")
_LEADING_DOT = re.compile(rb"(?m)^\.")
ACCEPTED, GO_ON = 250, 354
FOR_GOOD = 500


class LetterRefused(Exception):
    """The mail server did not take a letter; its text says what the server said."""

    def __init__(self, code: int, said: bytes | str) -> None:
        words = said.decode(errors="replace") if isinstance(said, bytes) else said
        super().__init__(f"{code} {words}")
        self.for_good = code >= FOR_GOOD


def hand_over(post: Any, letter: EmailMessage, on_handed: Callable[[], None]) -> None:
    """Hand a letter over; `on_handed` is called when all of it has gone but the dot that ends it.

    A server takes nothing before the dot, and everything with it: whoever is told then, and killed later,
    knows that the letter went. The dot follows at once; only a kill between these two calls loses a letter.

    Raises:
        LetterRefused: The server does not take it; said before or after `on_handed`.
        OSError: The server can't be reached.
    """
    if not isinstance(post, EmailBackend) or post.connection is None:
        post.send_messages([letter])
        on_handed()
        return
    smtp: Any = post.connection
    smtp.ehlo_or_helo_if_needed()
    try:
        _expect(smtp.mail(_address(letter.from_email)), ACCEPTED)
        _expect(smtp.rcpt(letter.to[0]), ACCEPTED)
        _expect(smtp.docmd("DATA"), GO_ON)
        # Otherwise the dot waits for word that what stands before it has arrived.
        smtp.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        smtp.send(_as_sent(letter))
        on_handed()
        _end_letter(smtp)
    except LetterRefused:
        with suppress(OSError):
            smtp.rset()
        raise
    except UnicodeEncodeError:
        raise LetterRefused(FOR_GOOD + 53, "The address can't be written to.") from None


def _end_letter(smtp: smtplib.SMTP) -> None:
    """Send the dot that ends a letter; one that can't be sent leaves the letter with us."""
    try:
        smtp.send(b".\r\n")
    except OSError:
        raise LetterRefused(FOR_GOOD - 49, "The connection broke off.") from None
    _expect_taken(smtp.getreply())


def _expect(answer: tuple[int, bytes], code: int) -> None:
    """Go on with the answer that is hoped for; end with a lost connection or a refusal."""
    if answer[0] == 421 or answer[0] < 0:
        raise smtplib.SMTPServerDisconnected(answer[1].decode(errors="replace"))
    if answer[0] != code:
        raise LetterRefused(*answer)


def _expect_taken(answer: tuple[int, bytes]) -> None:
    """Go on with a letter that was taken; a server that closes instead has not taken it."""
    if answer[0] != ACCEPTED:
        raise LetterRefused(*answer)


def _address(sender: str) -> str:
    """The bare address of a sender with a name."""
    return sender.rpartition("<")[2].rstrip(">")


def _as_sent(letter: EmailMessage) -> bytes:
    """The letter's bytes as the mail protocol wants them, without the dot that ends it."""
    content = _LINE_END.sub(b"\r\n", letter.message().as_bytes())
    content = _LEADING_DOT.sub(b"..", content)
    return content + (b"" if content.endswith(b"\r\n") else b"\r\n")
