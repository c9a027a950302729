"""Who comes into the studio and who leaves it."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import Group
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Invitation, Pattern, PatternAccess, Person, SignatureRequest, Studio
from catalogue.studio.forgetting import end_rows
from catalogue.studio.limits import JUST_NOW
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address
from catalogue.studio.roles import DESIGNER, EDITOR, PATTERN_EDITOR, PUBLISHER, give_role

INVITATION_HOLDS = timedelta(days=14)


class PersonRefused(ValueError):
    """One sentence on why a person cannot come in or leave."""


class InvitationUsed(PersonRefused):
    """Somebody came in by this invitation already."""


@dataclass(frozen=True)
class StudioAnswers:
    """What the setup page asks about the studio."""

    name: str
    sender: str
    address: str
    time_zone: str
    units: str


def staff() -> QuerySet[Person]:
    """Designers and editors who are in the studio."""
    people = Person.objects.filter(groups__name__in=[DESIGNER, EDITOR], is_active=True)
    return people.prefetch_related("groups").distinct().order_by("name", "email")


def open_invitations() -> QuerySet[Invitation]:
    """Invitations that still open a page."""
    since = timezone.now() - INVITATION_HOLDS
    return Invitation.objects.filter(used_at=None, created_at__gt=since).order_by("created_at")


def waiting_invitations() -> QuerySet[Invitation]:
    """Invitations of editors and designers that can be withdrawn."""
    return open_invitations().exclude(email="").select_related("pattern", "by")


def find_invitation(*, key: str, is_first: bool) -> Invitation | None:
    """The open invitation that a key belongs to: of the first designer, or of one who was invited."""
    invitations = open_invitations().filter(key_hash=_hash(key))
    return invitations.filter(email="").first() if is_first else invitations.exclude(email="").first()


def was_used(*, key: str) -> bool:
    """Whether somebody came in by a key."""
    return Invitation.objects.filter(key_hash=_hash(key)).exclude(used_at=None).exists()


@transaction.atomic
def make_setup_key() -> str | None:
    """A fresh key for the first designer, or None where there is one already; older keys stop working."""
    if Person.objects.filter(groups__name=DESIGNER).exists():
        return None
    Invitation.objects.filter(email="", used_at=None).delete()
    return _keep(Invitation(role=DESIGNER, may_publish=True))


@transaction.atomic
def set_up_studio(
    *, invitation: Invitation, studio: StudioAnswers, name: str, email: str, password: str
) -> Person:
    """Make the studio and its first designer."""
    _use(invitation)
    Studio.objects.all().delete()
    Studio.objects.create(**vars(studio))
    return _come_in(email=email, name=name, password=password, roles=[DESIGNER])


@transaction.atomic
def invite(*, email: str, role: str, may_publish: bool, by: Person | None = None) -> Invitation:
    """Send somebody the address by which they come in; an earlier invitation stops working."""
    email = email.strip().lower()
    if staff().filter(email=email).exists():
        raise PersonRefused(f"{email} is in the studio already.")
    _refuse_twice(email=email, role=role, may_publish=may_publish, pattern=None)
    end_rows(Invitation.objects.filter(email=email, used_at=None))
    return _invite(Invitation(email=email, role=role, may_publish=may_publish, by=by))


@transaction.atomic
def invite_to_pattern(*, email: str, pattern: Pattern, by: Person | None = None) -> Invitation:
    """Send an editor of one pattern the address by which they come in; earlier ones to it stop working."""
    _refuse_twice(email=email, pattern=pattern)
    end_rows(waiting_invitations().filter(email=email, pattern=pattern))
    return _invite(Invitation(email=email, role=EDITOR, pattern=pattern, by=by))


def _refuse_twice(**same: Any) -> None:
    """Refuse to send the same invitation twice within minutes."""
    if open_invitations().filter(**same, created_at__gt=timezone.now() - JUST_NOW).exists():
        raise PersonRefused(
            f"{same['email']} was invited a moment ago, and nothing was sent again. Withdraw the invitation "
            "below to send another."
        )


def _invite(invitation: Invitation) -> Invitation:
    """Store an invitation and send its letter."""
    url = link_address() + reverse("invitation", args=[_keep(invitation)])
    until: datetime = invitation.created_at + INVITATION_HOLDS
    context = {"role": invitation.role, "url": url, "until": until, "pattern": invitation.pattern}
    if not send_mail(to=invitation.email, template="invitation", context=context, about=invitation):
        says = f"The e-mail to {invitation.email} could not be made, so nobody is invited: try again."
        raise PersonRefused(says)
    return invitation


@transaction.atomic
def accept_invitation(*, invitation: Invitation, name: str, password: str) -> Person:
    """Let the invited person in, once."""
    _use(invitation)
    roles = [invitation.role, *([PUBLISHER] if invitation.may_publish else [])]
    if invitation.pattern:
        roles = [PATTERN_EDITOR]
    person = _come_in(email=invitation.email, name=name, password=password, roles=roles)
    if invitation.pattern:
        others = waiting_invitations().filter(email=invitation.email, pattern__isnull=False)
        by = {one.pattern_id: one.by_id for one in (*others, invitation)}
        others.update(used_at=timezone.now())
        PatternAccess.objects.bulk_create(
            [PatternAccess(pattern_id=key, person=person, given_by_id=by[key]) for key in by if key],
            ignore_conflicts=True,
        )
    return person


def withdraw_invitation(*, invitation: Invitation) -> None:
    """Make an invitation useless, and stop its letter where that still waits."""
    end_rows([invitation])


@transaction.atomic
def withdraw_person(*, person: Person, by: Person) -> None:
    """Take somebody out of the studio; what they did stays theirs."""
    if person.pk == by.pk:
        raise PersonRefused("You can’t remove yourself from the studio: ask another designer to do it.")
    close_desk(person=person)


@transaction.atomic
def close_desk(*, person: Person) -> None:
    """Take rights and password from somebody who leaves, and all that still waits for them."""
    end_rows(SignatureRequest.objects.filter(editor=person))
    end_rows(PatternAccess.objects.filter(person=person))
    person.groups.remove(*Group.objects.filter(name__in=[DESIGNER, EDITOR, PUBLISHER, PATTERN_EDITOR]))
    person.set_unusable_password()
    person.save(update_fields=["password"])


def switch_publishing(*, person: Person, allowed: bool) -> None:
    """Let an editor publish, or no longer."""
    if allowed:
        give_role(person=person, role=PUBLISHER)
    else:
        person.groups.remove(*Group.objects.filter(name=PUBLISHER))


@transaction.atomic
def _come_in(*, email: str, name: str, password: str, roles: list[str]) -> Person:
    """Give a person their roles and password; who tested before keeps the same account."""
    person = Person.objects.filter(Q(email__iexact=email)).first()
    if person is None:
        person = Person.objects.create_user(email, password, name=name)
    else:
        person.name, person.is_active = name, True
        person.set_password(password)
        person.save(update_fields=["name", "is_active", "password"])
    for role in roles:
        give_role(person=person, role=role)
    return person


def _use(invitation: Invitation) -> None:
    """Mark an invitation as used, unless somebody was faster."""
    if not Invitation.objects.filter(pk=invitation.pk, used_at=None).update(used_at=timezone.now()):
        raise InvitationUsed("This invitation was used already: sign in instead.")


def _keep(invitation: Invitation) -> str:
    """Store an invitation by the hash of a fresh key; say the key."""
    key = secrets.token_urlsafe(24)
    invitation.key_hash = _hash(key)
    invitation.save()
    return key


def _hash(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
