"""Builds what the tests of test calls need, by keyword."""

import datetime as dt
import json
from pathlib import Path
from typing import Any

from django.utils import timezone

from catalogue.drafts.patterns import load_pattern
from catalogue.models import Person, Studio, Version
from catalogue.studio.roles import give_role
from catalogue.versions.freezing import Heading, draft_record
from catalogue.versions.records import canonical, digest_of
from testing.applications.applications import Answers, apply_for_place
from testing.calls.calls import CallWording, Quota, create_call, open_call
from testing.calls.schedule import default_schedule
from testing.models import Application, Placement, TestCall
from testing.places.places import accept_offer, give_place

VEST = Path(__file__).resolve().parents[1] / "data" / "testing" / "fernhollow_vest.json"


def vest_document(**changes):
    return {**json.loads(VEST.read_text()), **changes}


def make_studio(**fields):
    return Studio.objects.create(**{"name": "Larkmoss Studio", "sender": "studio@larkmoss.example", **fields})


def make_person(email="somebody@larkmoss.example", role="", **fields):
    person = Person.objects.create_user(email, name=fields.pop("name", "Somebody"), **fields)
    if role:
        give_role(person=person, role=role)
    return person


def make_pattern(**changes):
    return load_pattern(document=vest_document(**changes), by=None)


def make_version(pattern, *, number="0.1", kind="test"):
    """A frozen version without its PDF, which has tests of its own."""
    now = timezone.now()
    record = canonical(draft_record(pattern, Heading(number, kind, "", now)))
    major, minor = (int(part) for part in number.split("."))
    return Version.objects.create(
        pattern=pattern,
        major=major,
        minor=minor,
        kind=kind,
        state="published",
        record=record,
        sha256=digest_of(record),
        frozen_at=now,
        published_at=now,
    )


def make_call(*, pattern=None, version=True, opened=True, at_most=2, **terms):
    pattern = pattern or make_pattern()
    if version:
        make_version(pattern)
    said = {
        "invitation": "A plain vest.",
        "must_send": "Gauge and measurements.",
        "in_return": "The finished pattern.",
        "rules": "Please show no pictures yet.",
        "measurements": ["bust"],
        "keep_months": 12,
    }
    call = create_call(
        pattern=pattern,
        terms=CallWording(**{**said, **terms}),
        schedule=default_schedule(timezone.localdate()),
        quotas=[Quota(size, 1, at_most) for size in ("S", "M", "L")],
    )
    if opened:
        open_call(call=call)
        call.refresh_from_db()
    return call


def make_application(call, *, name="Wren Alder", email="wren@larkmoss.example", **changes):
    given = {
        "units": "cm",
        "body_mm": {"bust": 960.0},
        "typed_body": {"bust": "96"},
        "sizes": ["M", "L"],
        "yarn": "Skeinbury",
        "tool": "4 mm",
        "experience": 1,
        "access_needs": "",
    }
    apply_for_place(call=call, answers=Answers(name=name, email=email, **{**given, **changes}))
    return Application.objects.get(call=call, email=email.lower())


def make_place(call: TestCall | None = None, *, size: str = "M", **applicant: Any) -> Placement:
    call = call or make_call()
    placement = give_place(application=make_application(call, **applicant), size=size)
    accept_offer(placement=placement)
    placement.refresh_from_db()
    return placement


def application_form(**changes):
    return {
        "name": "Wren Alder",
        "email": "wren@larkmoss.example",
        "units": "cm",
        "body_bust": "96",
        "wish_1": "M",
        "wish_2": "L",
        "yarn": "Skeinbury",
        "tool": "4 mm",
        "experience": "2",
        "access_needs": "Large print",
        "consent": "on",
        **changes,
    }


def days_from_now(days):
    return timezone.localdate() + dt.timedelta(days=days)
