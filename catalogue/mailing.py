"""E-mails: put together at once, stored with the edit that causes them, sent by the worker.

A template `mail/<name>.txt` begins with a line `Subject: …`, then an empty line, then the text. A
`mail/<name>.html` beside it goes along as the second form of the same words. Both may use `studio`.
"""

import logging
from collections.abc import Mapping
from datetime import timedelta
from email.utils import formataddr, parseaddr
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMultiAlternatives
from django.template import Context, TemplateDoesNotExist
from django.template.loader import get_template
from django.utils import timezone
from django_tasks import task

from catalogue.mail_addresses import AddressUnfit, ascii_address, validate_mail_address
from catalogue.models import Studio

logger = logging.getLogger(__name__)
MOST_ATTEMPTS = 12
LONGEST_WAIT_MINUTES = 60


class MailRefused(ValueError):
    """The recipient or the subject would make another e-mail of this one."""


def send_mail(*, to: str, template: str, context: Mapping[str, Any]) -> None:
    """Put an e-mail together and store it for sending.

    It is stored in the transaction around the call: an edit that is undone sends nothing, one that is kept
    loses no e-mail.
    """
    subject, text, html = compose_mail(template, context)
    post_mail(to=to, subject=subject, text=text, html=html)


def compose_mail(template: str, context: Mapping[str, Any]) -> tuple[str, str, str]:
    """Put an e-mail together: its subject, its text, and its HTML where there is a template for that."""
    values = {**context, "studio": Studio.objects.first()}
    first, _, text = _render(f"mail/{template}.txt", values, autoescape=False).strip().partition("\n")
    if not first.startswith("Subject: "):
        raise MailRefused(f"mail/{template}.txt must begin with a line “Subject: …”.")
    try:
        html = _render(f"mail/{template}.html", values, autoescape=True)
    except TemplateDoesNotExist:
        html = ""
    return first.removeprefix("Subject: ").strip(), text.strip() + "\n", html


def post_mail(*, to: str, subject: str, text: str, html: str = "") -> None:
    """Store an e-mail to one recipient for sending."""
    try:
        validate_mail_address(to)
    except ValidationError:
        raise MailRefused("An e-mail goes to exactly one address, written without name or line break.")
    if len(subject.splitlines()) != 1:
        raise MailRefused("A subject is one line.")
    deliver_mail.enqueue(to=to, subject=subject.strip(), text=text, html=html)


@task()
def deliver_mail(*, to: str, subject: str, text: str, html: str, attempt: int = 1) -> None:
    """Send a stored e-mail; while the mail server is down, try again later and later."""
    headers = {"Auto-Submitted": "auto-generated"}
    mail = EmailMultiAlternatives(subject, text, sender(), [to], headers=headers)
    if html:
        mail.attach_alternative(html, "text/html")
    try:
        mail.send()
    except OSError as error:  # what smtplib raises is one, too
        if attempt >= MOST_ATTEMPTS or not deliver_mail.get_backend().supports_defer:
            raise
        wait = timedelta(minutes=min(2**attempt, LONGEST_WAIT_MINUTES))
        logger.warning("E-mail not sent (%s), attempt %d, next in %s.", type(error).__name__, attempt, wait)
        deliver_mail.using(run_after=timezone.now() + wait).enqueue(
            to=to, subject=subject, text=text, html=html, attempt=attempt + 1
        )


def _render(name: str, values: Mapping[str, Any], *, autoescape: bool) -> str:
    """A template filled in; plain text keeps its & and < as they are."""
    template = get_template(name).template  # type: ignore[attr-defined]
    return str(template.render(Context(values, autoescape=autoescape)))


def sender() -> str:
    """The studio's name and address, or the installation's; its domain in ASCII, as mail servers want it."""
    studio = Studio.objects.first()
    name, address = (studio.name, studio.sender) if studio else parseaddr(settings.DEFAULT_FROM_EMAIL)
    try:
        return formataddr((name, ascii_address(address)))
    except AddressUnfit:  # it is refused by its name as soon as it is used
        return address
