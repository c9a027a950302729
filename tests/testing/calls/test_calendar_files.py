import datetime as dt
import re

from django.urls import reverse

from testing.calls.calendar_files import Day, calendar_text, folded

MADE_AT = dt.datetime(2027, 3, 1, 8, 30, tzinfo=dt.UTC)


def unfolded(text):
    return text.replace("\r\n ", "").split("\r\n")


def test_a_day_is_written_as_the_standard_says():
    """RFC 5545: 3.1 lines end in CRLF; 3.6.1 a whole day ends before the next; 3.3.11 commas are marked."""
    day = Day("place-1-start@evenrow", dt.date(2027, 2, 28), "Start: Vest, plain; two", "https://s.example/1")
    text = calendar_text([day], made_at=MADE_AT)
    assert text == (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Evenrow//Test calls//EN\r\nCALSCALE:GREGORIAN\r\n"
        "BEGIN:VEVENT\r\nUID:place-1-start@evenrow\r\nDTSTAMP:20270301T083000Z\r\n"
        "DTSTART;VALUE=DATE:20270228\r\nDTEND;VALUE=DATE:20270301\r\n"
        "SUMMARY:Start: Vest\\, plain\\; two\r\nURL:https://s.example/1\r\nTRANSP:TRANSPARENT\r\n"
        "END:VEVENT\r\nEND:VCALENDAR\r\n"
    )


def test_long_lines_are_folded_between_characters_at_75_octets():
    """RFC 5545, 3.1."""
    day = Day("u", dt.date(2027, 1, 1), "Jäckchen “Fernhöhle” " * 12, "https://s.example/")
    text = calendar_text([day], made_at=MADE_AT)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert "SUMMARY:" + "Jäckchen “Fernhöhle” " * 12 in unfolded(text)
    assert folded("ä" * 40).replace("\r\n ", "") == "ä" * 40


def test_a_name_cannot_add_lines():
    day = Day("u", dt.date(2027, 1, 1), "Vest\r\nATTENDEE:mailto:x@larkmoss.example", "https://s.example/")
    assert "ATTENDEE" not in [line.split(":")[0] for line in unfolded(calendar_text([day], made_at=MADE_AT))]


def test_a_tester_takes_the_dates_along(as_tester, place):
    answer = as_tester.get(reverse("making_calendar", args=[place.pk]))
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    text = answer.content.decode()
    assert re.findall(r"SUMMARY:(\w+)", text) == ["Start", "Midway", "Finish"]
    assert f"DTSTART;VALUE=DATE:{place.call.starts_on:%Y%m%d}" in text
    # RFC 5545, 3.8.4.7: the identifier is globally unique, so the studio's own host stands in it.
    assert f"UID:place-{place.pk}-start@127.0.0.1\r\n" in text
    assert "96" not in "".join(re.findall(r"SUMMARY:.*", text))
