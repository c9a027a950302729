"""A call as a file for the studio: everybody with what they wrote, their place and how far they are."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from grading.tables.quoting import csv_text
from testing.access.selectors import applications_of
from testing.asked.figures import call_figures
from testing.calls.schedule import finish_day
from testing.models import Application, Result, TestCall
from testing.results.progress import tester_progress
from testing.results.sent_things import TOLD, things_sent, told_in_words

COLUMNS = {
    "name": "Name",
    "email": "E-mail",
    "state": "State",
    "wishes": "Sizes, in order of preference",
    "experience": "Experience",
    "yarn": "Yarn",
    "tool": "Hook or needle",
    "would_help": "What would help",
    "applied_at": "Applied",
    "size": "Place",
    "reason": "Why",
    "finish_by": "Last day",
    "sent": "Sent",
    "note": "Notes",
    "used": "Hook or needle used",
    "hours": "Hours",
    "done_at": "Done",
    "given_at": "Given what was promised",
}


def call_rows(call: TestCall) -> Iterator[dict[str, Any]]:
    """One row for each applicant; body measurements in cm."""
    figures = call_figures(call)
    for application in applications_of(call):
        row = _row(application)
        placement = getattr(application, "placement", None)
        if placement:
            result = getattr(placement, "result", None)
            row |= {
                "size": placement.size,
                "reason": placement.reason,
                "finish_by": finish_day(placement).isoformat(),
                "sent": tester_progress(placement, figures).words,
                **(_told(result) if result else {}),
                "done_at": _day(result.done_at if result else None),
                "given_at": _day(placement.given_at),
            }
        yield row


def call_csv(call: TestCall) -> str:
    """The call as CSV, quoted so that no cell is taken for a formula."""
    titles = [*COLUMNS.values(), *(f"{name} (cm)" for name in call.measurements)]
    return csv_text([titles, *([_cell(cell) for cell in _cells(row, call)] for row in call_rows(call))])


def call_json(call: TestCall) -> dict[str, Any]:
    """The call as JSON: dates, places, people."""
    dates = ("apply_by", "starts_on", "midway_on", "finish_by")
    return {
        "pattern": call.pattern.title,
        "state": call.state,
        "version": call.version.number if call.version else None,
        **{name: getattr(call, name).isoformat() for name in dates},
        "yarn": call.yarn_in_words,
        "hours_from": call.hours_from,
        "hours_to": call.hours_to,
        "seed": call.seed,
        "places": list(call.quotas.values("size", "at_least", "at_most")),
        "applicants": list(call_rows(call)),
    }


def _row(application: Application) -> dict[str, Any]:
    """What an applicant wrote."""
    return {
        "name": application.name,
        "email": application.email,
        "state": application.get_state_display(),
        "wishes": application.sizes,
        "experience": application.experience,
        "yarn": application.yarn,
        "tool": application.tool,
        "would_help": application.access_needs,
        "applied_at": _day(application.created_at),
        **dict.fromkeys(
            ("size", "reason", "finish_by", "sent", "note", "used", "hours", "done_at", "given_at")
        ),
        "everything_sent": [],
        "body_cm": {name: mm / 10 for name, mm in application.body_mm.items()},
    }


def _told(result: Result) -> dict[str, Any]:
    """What a maker told: notes, tool and hours in cells of their own, and everything as it was sent."""
    said: dict[str, list[str]] = defaultdict(list)
    for thing in told_in_words(result):
        said[thing.title].append(thing.words)
    return {
        "note": "\n".join(said[TOLD["note"]]),
        "used": ", ".join(said[TOLD["tool"]]),
        "hours": ", ".join(said[TOLD["hours"]]),
        "everything_sent": [
            {"at": _day(thing.at), "what": thing.title, "says": thing.words} for thing in things_sent(result)
        ],
    }


def _cells(row: dict[str, Any], call: TestCall) -> list[Any]:
    """A row in the order of the columns."""
    return [*(row[name] for name in COLUMNS), *(row["body_cm"].get(name) for name in call.measurements)]


def _cell(content: Any) -> str | float | None:
    """Lists become text."""
    return ", ".join(content) if isinstance(content, list) else content


def _day(moment: Any) -> str | None:
    """A moment for the file."""
    return moment.isoformat(timespec="seconds") if moment else None
