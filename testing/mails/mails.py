"""E-mails of a call: each once for its occasion, in the studio's own words, never with measurements."""

import datetime as dt
from dataclasses import dataclass

from django.db import transaction

from catalogue.models import Studio
from catalogue.studio.mailing import send_mail
from testing.access.links import absolute
from testing.mails.texts import KINDS, MailKind, filled
from testing.models import Application, MailText, SentMail


@dataclass(frozen=True)
class MailWording:
    """Subject and text of a kind of e-mail, with the fields still in them."""

    subject: str
    text: str


@transaction.atomic
def post_once(*, application: Application, kind: str, occasion: str, values: dict[str, str]) -> bool:
    """Store an e-mail for sending unless that was done before; say whether it was done now.

    The record and the letter are stored together: neither is there without the other.
    """
    _, is_new = SentMail.objects.get_or_create(application=application, kind=kind, occasion=occasion)
    if is_new:
        post(application=application, kind=kind, values=values)
    return is_new


def mails_in_words(application: Application) -> list[tuple[dt.datetime, str]]:
    """The e-mails that went to an applicant: when, and what each was about."""
    known = {kind.key: kind.label for kind in KINDS.values()}
    return [(sent.queued_at, known.get(sent.kind, sent.kind)) for sent in application.sent_mails.all()]


def post(*, application: Application, kind: str, values: dict[str, str]) -> None:
    """Store an e-mail about an application for sending."""
    send_mail(
        to=application.email,
        template="written",
        context=written(wording_of(KINDS[kind]), {**about(application), **values}),
        about=application,
    )


def about(application: Application) -> dict[str, str]:
    """What every e-mail of a call may say."""
    placement = getattr(application, "placement", None)
    return {
        "name": application.name,
        "title": application.call.pattern.title,
        "size": placement.size if placement else "",
        "url": absolute("making", placement.pk)
        if placement
        else absolute("call_page", application.call.slug),
    }


def wording_of(kind: MailKind) -> MailWording:
    """The designer's words for a kind of e-mail, or the usual ones."""
    own = MailText.objects.filter(kind=kind.key).first()
    return MailWording(own.subject, own.text) if own else MailWording(kind.subject, kind.text)


def written(words: MailWording, values: dict[str, str]) -> dict[str, str]:
    """Subject and text as they go out; a subject is one line."""
    studio = Studio.objects.first()
    known = {"studio": studio.name if studio else "", **values}
    return {"subject": " ".join(filled(words.subject, known).split()), "text": filled(words.text, known)}


@transaction.atomic
def keep_wording(*, kind: MailKind, words: MailWording | None) -> None:
    """Send a kind of e-mail in the designer's own words from now on, or in the usual ones again."""
    if words is None or words == MailWording(kind.subject, kind.text):
        MailText.objects.filter(kind=kind.key).delete()
        return
    MailText.objects.update_or_create(kind=kind.key, defaults={"subject": words.subject, "text": words.text})
