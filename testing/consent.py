"""What applicants and testers agree to, written out; pure but for the names in it."""

import datetime as dt

from testing.models import TestCall
from testing.schedule import months_after


def erase_on(call: TestCall) -> dt.date:
    """The day on which the personal data of a call is erased."""
    return months_after(call.finish_by, call.keep_months)


def consent_text(call: TestCall, studio_name: str) -> str:
    """The consent of an applicant: purpose, who sees it and until when it is kept."""
    return (
        f"{studio_name} may use what I write here (name, e-mail address, body measurements, sizes, yarn, "
        f"tool, experience and what would help me) to choose testers for “{call.pattern.title}” and to look "
        f"after this test call, and for nothing else. Only the studio's designers and editors see it. It is "
        f"erased on {written_day(erase_on(call))}, {call.keep_months} months after the end of the test, "
        f"or earlier when I ask. Of a finished test, size, gauge, yarn and the measurements of the garment "
        f"stay, without my name."
    )


def agreement_text(call: TestCall, size: str) -> str:
    """What a tester accepts together with the place."""
    parts = [
        f"Size {size} of “{call.pattern.title}”.",
        f"Start on {written_day(call.starts_on)}, about half done by {written_day(call.midway_on)}.",
        f"Everything sent in by {written_day(call.finish_by)}.",
        f"To send in: {call.must_send}" if call.must_send else "",
        f"In return: {call.in_return}" if call.in_return else "",
        f"Rules: {call.rules}" if call.rules else "",
    ]
    return "\n\n".join(part for part in parts if part)


def written_day(day: dt.date) -> str:
    """A date as it is written: 3 June 2027."""
    return f"{day.day} {day:%B %Y}"
