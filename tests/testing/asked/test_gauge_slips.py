"""A gauge that looks like a slip is asked about at entry, with answers of one tap."""

import re

import pytest
from django.urls import reverse

from testing.asked.gauge_slips import likely_gauge_slip
from testing.models import Entry

PATTERN = (0.20, 0.28)  # 20 stitches and 28 rows over 10 cm


def slip(stitches, rows, span_mm=100.0, pattern=PATTERN):
    found = likely_gauge_slip((stitches / span_mm, rows / span_mm), pattern, span_mm=span_mm)
    return found and found.looks_like


@pytest.mark.parametrize(
    ("stitches", "rows", "looks_like"),
    [
        (5, 7, "inch"),
        (5, 28, "inch"),
        (2, 2.8, "point"),
        (200, 280, "no_point"),
        (200, 28, "no_point"),
        (10, 14, "half"),
        (40, 56, "double"),
        (20, 14, "half"),
        (28, 20, "swapped"),
        (28, 28, "rows"),
        (7, 160, "far"),
        (20, 160, "far"),
    ],
)
def test_each_slip_is_told_from_what_it_would_mean(stitches, rows, looks_like):
    assert slip(stitches, rows) == looks_like


@pytest.mark.parametrize("share", [0.8, 0.9, 1.0, 1.1, 1.25])
@pytest.mark.parametrize("other", [0.85, 1.0, 1.2])
def test_an_own_gauge_is_never_doubted(share, other):
    assert slip(20 * share, 28 * other) is None


def test_a_square_fabric_is_never_called_swapped_or_rows_for_stitches():
    assert slip(16, 17, pattern=(0.17, 0.16)) is None
    assert slip(17, 17, pattern=(0.17, 0.16)) is None


def test_over_four_inches_counts_per_inch_are_four_times_less():
    found = likely_gauge_slip((5 / 101.6, 7 / 101.6), PATTERN, span_mm=101.6)
    assert found
    assert found.would_be == pytest.approx((20 / 101.6, 28 / 101.6))


def ask(place, name="making_gauge"):
    return reverse(name, args=[place.pk, "main"])


def test_a_count_over_an_inch_is_saved_asked_about_and_mended_with_one_tap(as_tester, place):
    answer = as_tester.post(ask(place), {"stitches": "5", "rows": "7"})
    assert answer.url == ask(place)
    page = as_tester.get(ask(place)).content.decode()
    assert "Did you count over 1 in?" in page
    assert Entry.objects.get().typed["stitches"] == "5"
    assert 'name="stitches" value="19.7"' in page
    assert [one.strip() for one in re.findall(r'btn btn-primary"(.*?)(?:/>|<)', page)] == [
        ">Yes: save 19.7 stitches and 27.6 rows"
    ]  # one button is the first
    assert as_tester.post(ask(place), {"stitches": "19.7", "rows": "27.6"}).url != ask(place)
    assert "Did you count over 1 in?" not in as_tester.get(ask(place)).content.decode()


def test_who_says_it_is_right_is_asked_no_more_and_goes_on(as_tester, place):
    as_tester.post(ask(place), {"stitches": "5", "rows": "7"})
    answer = as_tester.post(ask(place, "making_gauge_confirm"))
    assert answer.url == reverse("making_gauge", args=[place.pk, "rib"])
    assert Entry.objects.get().is_confirmed
    assert "Did you count over 1 in?" not in as_tester.get(ask(place)).content.decode()


def test_an_absurd_gauge_is_asked_about_before_anything_is_advised(as_tester, place):
    assert as_tester.post(ask(place), {"stitches": "7", "rows": "160"}).url == ask(place)
    page = " ".join(as_tester.get(ask(place)).content.decode().split())
    assert "Are both numbers right? Over 10 cm the pattern has 20 stitches and 28 rows." in page
    assert "swatch again" not in page
    making = reverse("making", args=[place.pk])
    assert "swatch again" not in as_tester.get(making).content.decode()
    as_tester.post(ask(place, "making_gauge_confirm"))
    assert "swatch again" in as_tester.get(making).content.decode()
