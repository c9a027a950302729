"""The invented Larkmoss Studio: people, patterns in every stage, a call with results, errata."""

import json
import secrets
from dataclasses import asdict, dataclass
from pathlib import Path

from django.conf import settings
from django.db import transaction

from catalogue.models import Person, Studio
from catalogue.site.demo_dates import date_back
from catalogue.site.demo_errata import make_corrected_pullover
from catalogue.site.demo_selling import (
    make_hat_of_a_magazine,
    make_sold_pullover,
    say_what_finished_items_may_do,
)
from catalogue.site.demo_stages import (
    make_call_for_waistcoat,
    make_call_with_results,
    make_draft,
    make_draft_being_read,
    make_release,
)
from catalogue.studio.roles import DESIGNER, EDITOR, give_role


@dataclass(frozen=True)
class LogIn:
    """Somebody of the demo; testers have no password."""

    role: str
    name: str
    email: str
    password: str


PEOPLE = (
    ("designer", "Runa Larkmoss", "designer@larkmoss.example"),
    ("editor", "Ottilie Fenn", "editor@larkmoss.example"),
    ("tester", "Bram Sallow", "bram@larkmoss.example"),
    ("tester", "Ysolde Marl", "ysolde@larkmoss.example"),
)


def log_ins() -> list[LogIn]:
    """Who is in the demo; passwords are made once for each demo folder."""
    path = Path(settings.DATA_DIR) / "log-ins.json"
    if not path.exists():
        made = [
            LogIn(role, name, email, "" if role == "tester" else f"moss-{secrets.token_hex(4)}")
            for role, name, email in PEOPLE
        ]
        new = path.with_suffix(".new")
        new.touch(mode=0o600)
        new.write_text(json.dumps([asdict(log_in) for log_in in made], indent=2))
        new.replace(path)
    return [LogIn(**log_in) for log_in in json.loads(path.read_text())]


@transaction.atomic
def build() -> bool:
    """Make the demo studio unless it is there; all or nothing, so that an interrupted first run heals."""
    if Studio.objects.exists():
        return False
    Studio.objects.create(
        name="Larkmoss Studio",
        sender="hello@larkmoss.example",
        address="3 Fulling Lane, Larkmoss",
        time_zone="Europe/London",
    )
    people = [_make_person(log_in) for log_in in log_ins()]
    designer, editor = people[:2]
    make_sold_pullover(make_corrected_pullover(by=designer, found_by=editor))
    make_call_with_results(by=designer)
    make_call_for_waistcoat(by=designer)
    make_hat_of_a_magazine(by=designer)
    make_release("ternstrand_shawl", by=designer)
    say_what_finished_items_may_do(make_draft_being_read("alderfleet_cardigan", by=designer, read_by=editor))
    for name in ("puffinbay_child", "otterhowe_mittens"):
        make_draft(name, by=designer)
    date_back()
    return True


def _make_person(log_in: LogIn) -> Person:
    """A person with role and password."""
    person = Person.objects.create_user(log_in.email, log_in.password or None, name=log_in.name)
    if log_in.role in (DESIGNER, EDITOR):
        give_role(person=person, role=log_in.role)
    return person
