"""Handing letters over to the mail server, and what its refusals are about.

A refused recipient (RCPT TO) is the only refusal that tells something about the address written to. All
others are about us: the connection, the name and password, the sender, the letter. They come as one sentence
that says what to mend.
"""

import re
import smtplib
import socket
import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from typing import Any

from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.smtp import EmailBackend

_LINE_END = re.compile(rb"\r\n|\r|\n")
_LEADING_DOT = re.compile(rb"(?m)^\.")
GO_ON, CLOSING = 354, 421
# Replies to RCPT TO that are about us (RFC 5321, 4.2.2; RFC 4954, 4): a command that is not known or comes
# out of turn, or a missing name and password.
_ABOUT_US = frozenset({500, 501, 502, 503, 504, 530, 534, 535, 538, 555})
# The same as enhanced codes (RFC 3463): the protocol and the rules of the server; then our own address.
_RULES, _SENDER = re.compile(r"5\.[57]\.\d"), re.compile(r"5\.1\.[78]\b")
# RFC 5321, 4.5.4.1: quickly at first, then at longer intervals, and given up after 4 to 5 days at least.
_LONGEST_WAIT = timedelta(hours=1)
MOST_TRIES = 126
_SIGN_IN_ERRORS = (smtplib.SMTPAuthenticationError, smtplib.SMTPNotSupportedError)


class PostProblem(Exception):
    """A letter that was not taken; the text says why in a sentence, with what the server said."""


class RecipientRefused(PostProblem):
    """The server will never take letters to this address; the text is what it said."""


class LetterDelayed(PostProblem):
    """This letter is to be tried again later; the text is what the server said."""


class PostAway(PostProblem):
    """The server can't be reached or takes nothing now: everything waits."""


class PostRefused(PostProblem):
    """The server refuses for good what is no matter of the recipient: something must be mended first."""


class LetterRefused(PostRefused):
    """The server refuses the letter itself."""


def wait_before_next(tries: int) -> timedelta:
    """How long a letter waits that was tried in vain so often: longer and longer, then every hour."""
    return min(timedelta(minutes=2 ** min(tries, 10)), _LONGEST_WAIT)


@contextmanager
def open_post() -> Iterator[Any]:
    """The open connection to where letters go.

    Raises:
        PostAway: It can't be reached now.
        PostRefused: It will have nothing to do with us as we are set up.
    """
    post = get_connection()
    try:
        post.open()
    except (OSError, UnicodeError) as error:
        with suppress(OSError):
            post.close()
        raise _session_problem(post, error) from None
    try:
        yield post
    finally:
        with suppress(OSError):
            post.close()


def hand_over(post: Any, letter: EmailMessage, on_handed: Callable[[], None] = lambda: None) -> None:
    """Hand a letter over; `on_handed` is called when all of it has gone but the dot that ends it.

    A server takes nothing before the dot, and everything with it: whoever is told then, and killed later,
    knows that the letter went. The dot follows at once; only a kill between these two calls loses a letter.

    Raises:
        PostProblem: The server does not take it; said before or after `on_handed`.
    """
    if not isinstance(post, EmailBackend) or post.connection is None:
        try:
            post.send_messages([letter])
        except OSError as error:
            raise _session_problem(post, error) from None
        on_handed()
        return
    try:
        _talk(post, letter, on_handed)
    except OSError as error:
        raise _session_problem(post, error) from None
    except PostProblem:
        with suppress(OSError):
            post.connection.rset()
        raise


def _talk(post: Any, letter: EmailMessage, on_handed: Callable[[], None]) -> None:
    """One letter, as RFC 5321 has it."""
    smtp, by, content = post.connection, _address(letter.from_email), _as_sent(letter)
    if not by.isascii():
        raise PostRefused(_sender_words(post, by, "it has letters that no mail server takes"))
    smtp.ehlo_or_helo_if_needed()
    _expect_sender(post, by, smtp.mail(by))
    _expect_recipient(post, by, smtp.rcpt(letter.to[0]))
    _expect_letter(post, smtp.docmd("DATA"), _go_on_or_away)
    # Otherwise the dot waits for word that what stands before it has arrived.
    smtp.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    smtp.send(content)
    on_handed()
    _end_letter(post, smtp)


def _end_letter(post: Any, smtp: smtplib.SMTP) -> None:
    """Send the dot that ends a letter; without an answer to it the letter is still ours (RFC 5321, 6.1)."""
    try:
        smtp.send(b".\r\n")
        answer = smtp.getreply()
    except OSError:
        raise LetterDelayed(
            "The connection was lost before the server confirmed that it has the e-mail."
        ) from None
    _expect_letter(post, answer, _taken_or_delayed)


def _expect_sender(post: Any, by: str, answer: tuple[int, bytes]) -> None:
    """Go on with a sender that is taken."""
    code, said = _read(answer)
    if code >= 500:
        raise PostRefused(_sender_words(post, by, said))
    if code // 100 != 2:
        raise PostAway(_away_words(post, said))


def _expect_recipient(post: Any, by: str, answer: tuple[int, bytes]) -> None:
    """Go on with a recipient that is taken; tell a refused one from a server that refuses us."""
    code, said = _read(answer)
    if code // 100 == 2:
        return
    if code == CLOSING or code < 400:
        raise PostAway(_away_words(post, said))
    if code < 500:
        raise LetterDelayed(said)
    if _SENDER.search(said):
        raise PostRefused(_sender_words(post, by, said))
    if code in _ABOUT_US or _RULES.search(said):
        raise PostRefused(
            f"{_start(post)} does not send e-mails for us (“{said}”): give the user name and password "
            "that it wants in EVENROW_SMTP_URL and start the studio again, or ask whoever runs the server."
        )
    raise RecipientRefused(said)


def _expect_letter(post: Any, answer: tuple[int, bytes], judge: Callable[[Any, int, str], None]) -> None:
    """Go on with a letter that is wanted, or taken; `judge` looks at every answer but a refusal for good."""
    code, said = _read(answer)
    if code >= 500:
        raise LetterRefused(
            f"{_start(post)} does not accept this e-mail (“{said}”): ask whoever runs the server "
            "what is wrong with it."
        )
    judge(post, code, said)


def _go_on_or_away(post: Any, code: int, said: str) -> None:
    if code != GO_ON:
        raise PostAway(_away_words(post, said))


def _taken_or_delayed(_: Any, code: int, said: str) -> None:
    if code // 100 != 2:
        raise LetterDelayed(said)


def _session_problem(post: Any, error: Exception) -> PostProblem:
    """What a connection that was not made, or broke, means."""
    code, said = getattr(error, "smtp_code", 0), _said(error)
    if 0 < code < 500:
        return PostAway(_away_words(post, said))
    if _is_about_tls(error, said):
        return PostRefused(
            f"No secure connection to {_server(post)} could be made (“{said}”): check the name of the server "
            "in EVENROW_SMTP_URL, and whether it begins with smtp+tls:// or smtps://; then start the studio "
            "again."
        )
    if isinstance(error, _SIGN_IN_ERRORS) or type(error) is smtplib.SMTPException:
        return PostRefused(
            f"{_start(post)} does not accept our user name and password (“{said}”): correct them "
            "in EVENROW_SMTP_URL and start the studio again."
        )
    if code:
        return PostRefused(
            f"{_start(post)} does not accept connections from this machine (“{said}”): "
            "check EVENROW_SMTP_URL, or ask whoever runs the server."
        )
    return PostAway(_away_words(post, said))


def _is_about_tls(error: Exception, said: str) -> bool:
    """Whether no secure connection came about; smtplib tells of a refused STARTTLS by the bare class."""
    if isinstance(error, ssl.SSLError):
        return not isinstance(error, ssl.SSLEOFError)
    return type(error) is smtplib.SMTPResponseException or said.startswith("STARTTLS")


def _away_words(post: Any, said: str) -> str:
    return f"{_start(post)} can't be reached now (“{said}”). Evenrow tries again by itself."


def _sender_words(post: Any, by: str, said: str) -> str:
    return (
        f"{_start(post)} does not accept e-mails from {by} (“{said}”): choose another address on the page "
        "Studio, or have this one allowed there."
    )


def _server(post: Any) -> str:
    """The mail server with its name."""
    return f"the mail server {post.host}" if isinstance(post, EmailBackend) else "the folder of e-mails"


def _start(post: Any) -> str:
    """The same at the start of a sentence."""
    return f"T{_server(post)[1:]}"


def _address(sender: str) -> str:
    """The bare address of a sender with a name."""
    return sender.rpartition("<")[2].rstrip(">")


def _read(answer: tuple[int, bytes]) -> tuple[int, str]:
    """Code and words of an answer; one that is none is a broken connection."""
    code, words = answer
    if code < 0:
        raise smtplib.SMTPServerDisconnected(words.decode(errors="replace"))
    return code, _shortened(f"{code} {words.decode(errors='replace')}")


def _said(error: Exception) -> str:
    """What the server, or the machine, said."""
    words = getattr(error, "smtp_error", None)
    if words is None:
        return _shortened(getattr(error, "strerror", None) or str(error) or "no answer")
    said = words.decode(errors="replace") if isinstance(words, bytes) else str(words)
    return _shortened(f"{getattr(error, 'smtp_code', '')} {said}")


def _shortened(words: str) -> str:
    """Words without line breaks, and not too many of them."""
    return " ".join(words.split())[:200]


def _as_sent(letter: EmailMessage) -> bytes:
    """The letter's bytes as the mail protocol wants them, without the dot that ends it."""
    content = _LINE_END.sub(b"\r\n", letter.message().as_bytes())
    content = _LEADING_DOT.sub(b"..", content)
    return content + (b"" if content.endswith(b"\r\n") else b"\r\n")
