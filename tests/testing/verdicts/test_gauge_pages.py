"""A doubtful gauge on the page of results: named, not counted, read as it looks, taken back."""

import re

import pytest
from django.urls import reverse

from testing.assessment.assessing import standing_found, store_assessment
from testing.models import Entry
from tests.present import present
from tests.testing.builders import make_call, make_pattern, make_place
from tests.testing.verdicts.test_verdict_pages import measure, vest_with_hem

pytestmark = pytest.mark.django_db


@pytest.fixture
def call(studio):
    return make_call(pattern=make_pattern(values=vest_with_hem()["values"]), at_most=3)


@pytest.fixture
def slipped(call):
    """Three makers of each size; one of M has counted both gauges over an inch and typed 10 cm."""
    for size in ("S", "M", "L"):
        for number in range(3):
            email = f"{size}{number}@larkmoss.example".lower()
            place = make_place(call, size=size, name=f"Maker {size}{number}", email=email, sizes=[size])
            measure(place, number)
            if (size, number) == ("M", 1):
                one = place
    for entry in Entry.objects.filter(result=one.result, part="gauge"):
        entry.typed = {"stitches": "4.8", "rows": "7.4", "over": "10 cm"}
        entry.meant = {"stitches": 0.048, "rows": 0.074}
        entry.save()
    store_assessment(call=call)
    return one.result


def sent(client, call, slipped, name, **typed):
    url = reverse(name, args=[call.pattern.slug, call.pk, slipped.pk, "main"])
    return client.post(url, {"part": "gauge", **typed}, follow=True).content.decode()


def page_of(client, call):
    return " ".join(
        client.get(reverse("call_results", args=[call.pattern.slug, call.pk])).content.decode().split()
    )


def seen_of(page):
    found = re.search(r'value="gauge">\s*<input type="hidden" name="seen" value="([^"]+)"', page)
    return present(found)[1]


def test_a_gauge_over_an_inch_is_named_and_its_measurements_are_not_counted(as_designer, call, slipped):
    page = page_of(as_designer, call)
    assert "this gauge, not these measurements: 4.8 stitches and 7.4 rows over 10 cm" in page
    assert "<p>Maker M1, " in page
    assert "looks like a count over one inch" in page
    for label in ("Chest", "Cross back", "Length"):
        assert re.search(
            rf"<strong>No error seen in {label}</strong></p> <p>3 makers each of S and L, 2 makers of M; "
            "1 doubtful entry not counted.</p>",
            page,
        )
    assert standing_found(call)["doubtful"] == []  # no right measurement is blamed


def test_a_gauge_is_told_over_what_its_tester_and_its_reader_count(as_designer, designer, call, slipped):
    assert "Read as 18.9 stitches and 29.1 rows over 10 cm, it explains them." in page_of(as_designer, call)
    designer.units = "in"
    designer.save()
    # over 4 in, 101.6 mm, it is 1.016 times as much (derived)
    both = "over 10 cm (19.2 stitches and 29.6 rows over 4 in), it explains them."
    assert both in page_of(as_designer, call)
    Entry.objects.filter(result=slipped, part="gauge").update(
        typed={"stitches": "4.8", "rows": "7.4", "over": "4 in"}
    )
    assert "4.8 stitches and 7.4 rows over 4 in looks like" in page_of(as_designer, call)
    assert "Read as 19.2 stitches and 29.6 rows over 4 in, it explains" in page_of(as_designer, call)


def test_the_reading_is_taken_and_taken_back(as_designer, call, slipped):
    seen = seen_of(page_of(as_designer, call))
    sent(as_designer, call, slipped, "entry_means", seen=seen)
    found = standing_found(call)
    assert [one["fabric"] for one in found["gauges"]] == []
    assert found["measurements"]["chest"]["rests_on"] == 9
    assert "read as a count over one inch" in page_of(as_designer, call)
    assert Entry.objects.get(result=slipped, part="gauge", name="main").meant["stitches"] == 0.048
    sent(as_designer, call, slipped, "entry_open")
    assert standing_found(call)["measurements"]["chest"]["rests_on"] == 8


def test_a_gauge_that_is_right_as_it_stands_is_doubted_no_more(as_designer, call, slipped):
    sent(as_designer, call, slipped, "entry_right", seen=seen_of(page_of(as_designer, call)))
    assert "main" not in [one["fabric"] for one in standing_found(call)["gauges"]]


def test_a_gauge_that_was_changed_meanwhile_is_not_decided(as_designer, call, slipped):
    page = sent(as_designer, call, slipped, "entry_means", seen="1")
    assert "nothing was decided" in page
    assert standing_found(call)["gauges"]
