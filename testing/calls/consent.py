"""What applicants and testers agree to, written out and recorded."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from testing.asked.figures import call_figures
from testing.calls.schedule import months_after
from testing.models import Application, TestCall

ASK_AGAIN_TEXT = "The studio may write to my address about later calls while it keeps it."


@dataclass(frozen=True)
class Consent:
    """What somebody agreed to, as it was shown to them, and when."""

    name: str
    to: str
    text: str
    given_at: dt.datetime


def consents_of(people: Iterable[Application]) -> list[Consent]:
    """The record of consents of some who applied; it is erased with the person's data."""
    consents = [consent for application in people for consent in consents_given(application)]
    return sorted(consents, key=lambda consent: consent.given_at)


def consents_given(application: Application) -> list[Consent]:
    """What one applicant agreed to."""
    name = application.name
    given = [Consent(name, "Application", application.consent_text, application.consented_at)]
    if application.may_ask_again:
        given.append(Consent(name, "Being asked again", ASK_AGAIN_TEXT, application.consented_at))
    placement = getattr(application, "placement", None)
    if placement and placement.accepted_at:
        given.append(Consent(name, "Place", placement.agreement, placement.accepted_at))
    result = getattr(placement, "result", None)
    agreed = [entry for entry in result.entries.all() if entry.part == "photo_use"] if result else []
    given += [Consent(name, "Use of photos", one.meant["consent"], one.changed_at) for one in agreed]
    return given


def consent_text(call: TestCall, studio_name: str) -> str:
    """The consent of an applicant: purpose, who sees it and until when it is kept."""
    kept = f"{call.keep_months} months after the end of the test on {written_day(call.finish_by)}, "
    if call.erase_on != months_after(call.finish_by, call.keep_months):
        kept = ""  # the dates were moved, and what others were told stands
    figures = call_figures(call)
    is_for_child = figures.is_for_child
    body = "measurements of the child who will wear it" if is_for_child else "body measurements"
    may = "I am the child's parent or guardian, or write with their permission. " if is_for_child else ""
    return (
        f"{may}{studio_name} may use what I write here to choose testers for “{call.pattern.title}” and to "
        f"look after this test call, and for nothing else. That is my name, e-mail address, {body}, sizes, "
        f"yarn, tool, experience and what would help me. Only the studio's designers and editors see it. "
        f"It is erased on {written_day(call.erase_on)}, {kept}"
        f"or earlier when I ask. Of a finished test, the figures of the garment stay without my name: "
        f"size, options, {figures.gauge_word}, counts, measurements, yarn and hours."
    )


def agreement_text(call: TestCall, size: str) -> str:
    """What a tester accepts together with the place."""
    parts = [
        f"Size {size} of “{call.pattern.title}”.",
        f"Start on {written_day(call.starts_on)}, about half done by {written_day(call.midway_on)}.",
        f"Everything sent in by {written_day(call.finish_by)}.",
        f"To send in: {call.must_send}" if call.must_send else "",
        f"Yarn: {call.yarn_in_words}" if call.yarn_in_words else "",
        f"Hours to reckon with: {call.hours_in_words}" if call.hours_in_words else "",
        f"In return: {call.in_return}" if call.in_return else "",
        f"Rules: {call.rules}" if call.rules else "",
    ]
    return "\n\n".join(part for part in parts if part)


def written_day(day: dt.date) -> str:
    """A date as it is written: 3 June 2027."""
    return f"{day.day} {day:%B %Y}"
