"""Keyword builders: each makes one thing with what a test does not care about already chosen."""

import itertools
import json
from pathlib import Path
from typing import Any

from catalogue.models import Invitation, Person, Studio
from catalogue.studio.roles import DESIGNER, EDITOR, PATTERN_EDITOR, PUBLISHER, give_role

DATA = Path(__file__).parent / "data"
PASSWORD = "wool gathering heron"
_number = itertools.count(1)


def make_studio(
    *, name: str = "Larkmoss Studio", time_zone: str = "UTC", units: str = "cm", **fields: Any
) -> Studio:
    """The studio."""
    return Studio.objects.create(
        name=name, sender="hello@larkmoss.example", time_zone=time_zone, units=units, **fields
    )


def make_person(
    *,
    role: str = "tester",
    email: str | None = None,
    name: str | None = None,
    password: str | None = None,
    may_publish: bool = False,
    **fields: Any,
) -> Person:
    """Somebody with an account: designer, editor or tester."""
    number = next(_number)
    is_staff = role in (DESIGNER, EDITOR, PATTERN_EDITOR)
    person = Person.objects.create_user(
        email or f"{role.replace(' ', '-')}{number}@larkmoss.example",
        password or (PASSWORD if is_staff else None),
        name=name or f"{role.title()} {number}",
        **fields,
    )
    if is_staff:
        give_role(person=person, role=role)
    if may_publish:
        give_role(person=person, role=PUBLISHER)
    return person


def make_invitation(
    *, email: str = "ida@larkmoss.example", role: str = "editor", may_publish: bool = False
) -> Invitation:
    """An invitation whose e-mail went out."""
    from catalogue.studio.people import invite

    return invite(email=email, role=role, may_publish=may_publish)


def sample(name: str) -> dict[str, Any]:
    """One of the sample pattern files, as read from JSON."""
    from catalogue.site.demo_stages import sample_document

    document: dict[str, Any] = json.loads(json.dumps(sample_document(name)))
    return document
