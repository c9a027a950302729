"""The dates of a call as a calendar file; pure.

Source: RFC 5545, sections 3.1 (folding), 3.3.11 (escaping), 3.6.1 (whole days: DTEND is the day after).
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_LINE = 75  # octets, without the line break


@dataclass(frozen=True)
class Day:
    """A whole day: its own lasting name, what it is and where more is said."""

    uid: str
    day: dt.date
    summary: str
    url: str


def calendar_text(days: Iterable[Day], *, made_at: dt.datetime) -> str:
    """A calendar with one whole-day entry for each date."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Evenrow//Test calls//EN", "CALSCALE:GREGORIAN"]
    for day in days:
        lines += _event(day, made_at)
    return "".join(f"{folded(line)}\r\n" for line in [*lines, "END:VCALENDAR"])


def folded(line: str) -> str:
    r"""Break a long line between characters, never within one.

    >>> folded("a" * 80).split("\r\n ") == ["a" * 75, "a" * 5]
    True
    """
    parts, length = [""], 0
    for character in line:
        octets = len(character.encode())
        if length + octets > LONGEST_LINE:
            parts.append("")
            length = 1  # the space that begins a continued line
        parts[-1] += character
        length += octets
    return "\r\n ".join(parts)


def escaped(text: str) -> str:
    r"""A text value: backslash, semicolon, comma and line breaks are marked.

    >>> escaped("Rib; then yoke, twice")
    'Rib\\; then yoke\\, twice'
    """
    marked = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return "\\n".join(marked.splitlines())


def _event(day: Day, made_at: dt.datetime) -> list[str]:
    """The lines of one entry."""
    return [
        "BEGIN:VEVENT",
        f"UID:{day.uid}",
        f"DTSTAMP:{made_at.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{day.day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{day.day + dt.timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{escaped(day.summary)}",
        f"URL:{day.url}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]
