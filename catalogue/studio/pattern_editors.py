"""Editors who see single patterns alone: let in, sent away, named."""

from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse

from catalogue.models import Invitation, Pattern, PatternAccess, Person, SignatureRequest
from catalogue.studio.forgetting import end_rows
from catalogue.studio.mailing import send_mail
from catalogue.studio.people import (
    PersonRefused,
    close_desk,
    invite_to_pattern,
    staff,
    waiting_invitations,
)
from catalogue.studio.public_address import link_address
from catalogue.studio.roles import EDITOR, is_pattern_editor, is_studio


def accesses_of(pattern: Pattern) -> QuerySet[PatternAccess]:
    """The editors who were let into a pattern, the first first; those who see all by now are left out."""
    given = PatternAccess.objects.filter(pattern=pattern, person__is_active=True)
    whole = staff().order_by().values("pk")
    return given.exclude(person__in=whole).select_related("person", "given_by").order_by("pk")


def all_accesses() -> QuerySet[PatternAccess]:
    """All editors of single patterns, by name."""
    given = PatternAccess.objects.filter(person__is_active=True).select_related("person", "pattern")
    return given.exclude(person__in=staff().order_by().values("pk")).order_by(
        "person__name", "pattern__title"
    )


def invited_to(pattern: Pattern) -> QuerySet[Invitation]:
    """Invitations to a pattern that still open a page."""
    return waiting_invitations().filter(pattern=pattern)


def invited_editors(pattern: Pattern) -> QuerySet[Invitation]:
    """Who will be able to sign a pattern once they have joined: invited to it, or to all as an editor."""
    to_it = Q(pattern=pattern) | Q(pattern=None)
    return waiting_invitations().filter(to_it, role="editor").order_by("created_at")


def editors_for(pattern: Pattern) -> list[Person]:
    """Everybody who may sign a pattern: editors of all patterns, then those of this one."""
    whole = [one for one in staff() if any(group.name == EDITOR for group in one.groups.all())]
    return [*whole, *(one.person for one in accesses_of(pattern))]


@transaction.atomic
def give_access(*, pattern: Pattern, email: str, by: Person | None) -> str:
    """Let an editor into one pattern; who has no account yet is invited.

    Returns:
        What was done, as a sentence.

    Raises:
        PersonRefused: They see the pattern already, or the e-mail to them could not be made.
    """
    email = email.strip().lower()
    if staff().filter(email=email).exists():
        raise PersonRefused(f"{email} sees all patterns already.")
    person = Person.objects.filter(email=email, is_active=True).first()
    if person is None or not is_pattern_editor(person):
        invite_to_pattern(email=email, pattern=pattern, by=by)
        return f"The invitation to {email} is on its way."
    access, is_new = PatternAccess.objects.get_or_create(
        pattern=pattern, person=person, defaults={"given_by": by}
    )
    if not is_new:
        raise PersonRefused(f"{email} has access already.")
    url = link_address() + reverse("desk_pattern", args=[pattern.slug])
    context = {"pattern": pattern, "url": url}
    if not send_mail(to=email, template="pattern_access", context=context, about=access):
        raise PersonRefused(
            f"The e-mail to {email} could not be made, so nobody was given access: try again."
        )
    return f"{person} has access now, and gets an e-mail about it."


@transaction.atomic
def take_access(*, access: PatternAccess) -> None:
    """Take a pattern away from an editor; with the last one goes the password, as of those who leave."""
    person = access.person
    end_rows(SignatureRequest.objects.filter(pattern=access.pattern, editor=person))
    end_rows([access])
    if not is_studio(person) and not PatternAccess.objects.filter(person=person).exists():
        close_desk(person=person)
