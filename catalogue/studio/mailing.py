"""E-mails: put together at once, stored with the edit that causes them, sent by the worker.

A template `mail/<name>.txt` begins with a line `Subject: …`, then an empty line, then the text. A
`mail/<name>.html` beside it goes along as the second form of the same words. Both may use `studio`.
"""

import logging
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DatabaseError
from django.db.models import Model
from django.template import Context, TemplateDoesNotExist
from django.template.loader import get_template

from catalogue.models import Letter, Studio
from catalogue.studio.letters import about_of, send_letters
from catalogue.studio.mail_addresses import validate_mail_address
from grading.entries.single_lines import in_one_line

logger = logging.getLogger(__name__)


class MailRefused(ValueError):
    """The recipient or the subject would make another e-mail of this one."""


def send_mail(
    *, to: str, template: str, context: Mapping[str, Any], about: Model | None = None, reply_to: str = ""
) -> bool:
    """Put an e-mail together and store it for sending; False when it can't be made.

    While it waits it goes with the row that it is about.

    It is stored in the transaction around the call: an edit that is undone sends nothing, one that is kept
    loses no e-mail. One that can't be made is written down, and what somebody did stays done.
    """
    try:
        subject, text, html = compose_mail(template, context)
        post_mail(to=to, subject=subject, text=text, html=html, about=about, reply_to=reply_to)
    except DatabaseError:
        raise
    except Exception as problem:  # noqa: BLE001 a mistake in words must not undo or hide what is stored
        # Without the traceback, which would show whom it was to.
        logger.error("An e-mail (%s) could not be made: %s.", template, type(problem).__name__)  # noqa: TRY400
        return False
    return True


def compose_mail(template: str, context: Mapping[str, Any]) -> tuple[str, str, str]:
    """Put an e-mail together: its subject, its text, and its HTML where there is a template for that."""
    values = {**context, "studio": Studio.objects.first()}
    first, _, text = _render(f"mail/{template}.txt", values, autoescape=False).strip().partition("\n\n")
    if not first.startswith("Subject: "):
        raise MailRefused(f"mail/{template}.txt must begin with a line “Subject: …”.")
    try:
        html = _render(f"mail/{template}.html", values, autoescape=True)
    except TemplateDoesNotExist:
        html = ""
    return in_one_line(first.removeprefix("Subject: ")), text.strip() + "\n", html


def post_mail(  # noqa: PLR0913 the parts of an e-mail
    *,
    to: str,
    subject: str,
    text: str,
    html: str = "",
    about: Model | None = None,
    kind: str = "letter",
    reply_to: str = "",
) -> None:
    """Store an e-mail to one recipient for sending; its kind is one of `Letter.KINDS`."""
    try:
        for address in (to, reply_to) if reply_to else (to,):
            validate_mail_address(address)
    except ValidationError:
        raise MailRefused("An e-mail goes to exactly one address, written without name or line break.")
    if len(subject.splitlines()) != 1:
        raise MailRefused("A subject is one line.")
    Letter.objects.create(
        to=to,
        reply_to=reply_to,
        subject=subject.strip(),
        text=text,
        html=html,
        about=about_of(about),
        kind=kind,
    )
    send_letters.enqueue()


def _render(name: str, values: Mapping[str, Any], *, autoescape: bool) -> str:
    """A template filled in; plain text keeps its & and < as they are."""
    template = get_template(name).template  # type: ignore[attr-defined]
    return str(template.render(Context(values, autoescape=autoescape)))
