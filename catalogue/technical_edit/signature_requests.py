"""Signatures that are asked for: of whom, since when; gone once they are given or no longer wanted."""

from datetime import date

from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Pattern, Person, SignatureRequest
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address


def asked_signatures(pattern: Pattern) -> QuerySet[SignatureRequest]:
    """The signatures of a pattern that are waited for, the oldest first."""
    return pattern.signature_requests.select_related("editor", "asked_by")


class NotAsked(ValueError):
    """One sentence on why a signature is not asked for."""


@transaction.atomic
def ask_signature(
    *, pattern: Pattern, editor: Person, note: str, by: Person | None, due_on: date | None = None
) -> None:
    """Ask an editor to check and sign a pattern, by one e-mail.

    Raises:
        NotAsked: They are asked already, or the e-mail to them could not be made.
    """
    asked, is_new = SignatureRequest.objects.get_or_create(
        pattern=pattern, editor=editor, defaults={"asked_by": by, "note": note, "due_on": due_on}
    )
    if not is_new:
        raise NotAsked(f"{editor} was asked on {day_of(asked)} already. Withdraw that first to ask again.")
    url = link_address() + reverse("technical_edit", args=[pattern.slug])
    context = {
        "pattern": pattern,
        "asked_by": by or "The designer",
        "note": note,
        "due": due_words(asked),
        "url": url,
    }
    if not send_mail(to=editor.email, template="signature_asked", context=context, about=asked):
        raise NotAsked(f"The e-mail to {editor} could not be made, so nobody was asked: try again.")


def due_words(asked: SignatureRequest) -> str:
    """The day by which a signature is wanted: “by 3 June 2026”; empty where none was said."""
    return f"by {asked.due_on.day} {asked.due_on:%B %Y}" if asked.due_on else ""


def day_of(asked: SignatureRequest) -> str:
    """The day since when a signature is waited for."""
    at = timezone.localtime(asked.asked_at)
    return f"{at.day} {at:%B %Y}"
