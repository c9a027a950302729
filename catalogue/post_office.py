"""Handing a letter over to the mail server, with word of the moment from which it can't be taken back."""

import re
import smtplib
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
    """Hand a letter over; `on_handed` is called when its last byte has gone, before the server answers.

    Raises:
        LetterRefused: The server does not take it; said before or after `on_handed`.
        OSError: The server can't be reached.
    """
    if not isinstance(post, EmailBackend) or post.connection is None:
        post.send_messages([letter])
        on_handed()
        return
    smtp = post.connection
    smtp.ehlo_or_helo_if_needed()
    try:
        _expect(smtp.mail(_address(letter.from_email)), ACCEPTED)
        _expect(smtp.rcpt(letter.to[0]), ACCEPTED)
        _expect(smtp.docmd("DATA"), GO_ON)
        smtp.send(_as_sent(letter))
        on_handed()
        _expect_taken(smtp.getreply())
    except LetterRefused:
        with suppress(OSError):
            smtp.rset()
        raise
    except UnicodeEncodeError:
        raise LetterRefused(FOR_GOOD + 53, "The address can't be written to.") from None


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
    """The letter's bytes as the mail protocol wants them, with the dot that ends it."""
    content = _LINE_END.sub(b"\r\n", letter.message().as_bytes())
    content = _LEADING_DOT.sub(b"..", content)
    return content + (b"" if content.endswith(b"\r\n") else b"\r\n") + b".\r\n"
