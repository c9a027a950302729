"""Errata in the rows of a stitch pattern: named, quoted, followed to other versions, found corrected."""

import pytest
from django.urls import reverse

from catalogue.errata.errata import Mistake, report_erratum
from catalogue.errata.quoting import says_there, why_not_quoted
from catalogue.models import Erratum
from catalogue.versions.spots import compare_spot, missing_part, spot_now, spot_words, spots_of
from tests.catalogue.builders import edit, make_pattern, make_record, make_version
from tests.catalogue.editions.stitch_samples import make_sampler

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
ROW = "stitch_patterns.trellis.rows[2]"
WRONG = "K2, *k1, yo, sl 1, k2tog, psso, yo, k2; repeat from * to last st, k1."
RIGHT = "K2, *k1, yo, k3tog, yo, k2; repeat from * to last st, k1."


def with_rows(record, change):
    """A record whose trellis has other rows."""
    entries = [
        {**one, "rows": change(list(one["rows"]))} if one["name"] == "trellis" else one
        for one in record["pattern"]["stitch_patterns"]
    ]
    return {**record, "pattern": {**record["pattern"], "stitch_patterns": entries}}


def an_erratum(**more):
    return Erratum(place=ROW, says="k2tog, psso", **more)


def test_rows_are_places_and_are_called_as_they_are_printed():
    record = make_record(make_sampler())
    rows = dict(spots_of(record))["Stitch patterns"]
    assert (ROW, "Trellis, row 3") in rows
    assert ("stitch_patterns.diamonds.rows[5]", "Diamonds, row 6") in rows
    assert spot_words("stitch_patterns.cable.rows[1]", record) == "Cable, round 2"
    assert missing_part("stitch_patterns.trellis.rows[6]", [], record) == "Trellis, row 7"
    assert missing_part("stitch_patterns.gone.rows[0]", [], record) == "gone, row 1"
    assert "Stitch patterns" not in dict(spots_of(make_record(make_pattern("puffinbay_child"))))


def test_the_words_of_a_row_must_stand_there_in_either_terms():
    record = make_record(make_sampler("brackenmere_pullover"))
    place = "stitch_patterns.shells.rows[0]"
    assert says_there(place, record).startswith("Ch 1, sc in first st, *sk 2 sts, 5 dc in next st")
    assert why_not_quoted(place, [], "5 DC in next st", record) is None
    assert why_not_quoted(place, [], "5 tr in next st", record) is None  # as the UK edition prints it
    assert why_not_quoted(place, [], "6 dc in next st", record) == (
        "Version 0.1 does not say this in Shells, row 1. Copy the wrong words exactly, and leave out what "
        "is right."
    )


def test_a_row_of_a_grid_is_quoted_as_it_is_written_from_the_grid():
    record = make_record(make_sampler())
    place = "stitch_patterns.diamonds.rows[0]"
    said = says_there(place, record)
    assert " in B" in said
    assert why_not_quoted(place, [], said, record) is None
    assert why_not_quoted(place, [], "k99 in B", record) is not None


@pytest.mark.parametrize(
    ("change", "standing", "now"),
    [
        (lambda rows: rows, "in it", ROW),
        (lambda rows: [rows[0], rows[1], RIGHT, *rows[3:]], "not in it", ""),
        (lambda rows: ["Knit.", *rows], "in it", "stitch_patterns.trellis.rows[3]"),
        (lambda rows: rows[:2], "not in it", ""),
        (lambda rows: [rows[0], rows[1], WRONG.replace("K2", "K3"), *rows[3:]], "in it", ROW),
    ],
)
def test_a_wrong_row_is_followed_to_other_versions(change, standing, now):
    record = make_record(make_sampler())
    there = with_rows(record, change)
    assert compare_spot(an_erratum(), record, there) == standing
    assert spot_now(an_erratum(), record, there) == now


def test_a_stitch_pattern_that_is_gone_can_not_be_told():
    record = make_record(make_sampler())
    gone = {**record, "pattern": {**record["pattern"], "stitch_patterns": []}}
    assert compare_spot(an_erratum(), record, gone) == "can't tell"
    assert spot_now(an_erratum(), record, gone) == ""


def mend(document):
    """Put the third row of the trellis right."""
    trellis = next(one for one in document["stitch_patterns"] if one["name"] == "trellis")
    trellis["rows"][2] = RIGHT


def test_a_chart_is_told_by_its_whole_stitch_pattern():
    record = make_record(make_sampler())
    place = "stitch_patterns.diamonds.chart"
    assert (place, "Diamonds, chart or introduction") in dict(spots_of(record))["Stitch patterns"]
    assert missing_part("stitch_patterns.gone.chart", [], record) == "gone, chart or introduction"
    chart = Erratum(place=place, says="the frame")
    assert compare_spot(chart, record, record) == "in it"
    assert spot_now(chart, record, record) == place
    entries = [
        {**one, "plus": 4} if one["name"] == "diamonds" else one
        for one in record["pattern"]["stitch_patterns"]
    ]
    other = {**record, "pattern": {**record["pattern"], "stitch_patterns": entries}}
    assert compare_spot(chart, record, other) == "can't tell"


def with_diamonds(record, **changes):
    """A record whose diamonds are changed."""
    entries = [
        {**one, **changes} if one["name"] == "diamonds" else one
        for one in record["pattern"]["stitch_patterns"]
    ]
    return {**record, "pattern": {**record["pattern"], "stitch_patterns": entries}}


def test_what_is_quoted_of_a_chart_or_its_introduction_tells_whether_a_version_has_it():
    place = "stitch_patterns.diamonds.chart"
    record = with_diamonds(make_record(make_sampler()), introduction="Hold B above A.")
    said = says_there(place, record)
    assert said.splitlines()[:2] == [
        "Hold B above A.",
        "Worked over a multiple of 8 sts plus 3.",
    ]
    assert "Row 1 (RS): " in said
    assert why_not_quoted(place, [], "B above A", record) is None
    refused = str(why_not_quoted(place, [], "A above B", record))
    assert refused.startswith("Version 0.1 does not say this in Diamonds, chart or introduction. ")
    mended = with_diamonds(record, introduction="Hold B under A.")
    wrong = Erratum(place=place, says="B above A", should_say="B under A")
    assert compare_spot(wrong, record, mended) == "not in it"
    assert compare_spot(wrong, record, with_diamonds(record, plus=4)) == "in it"
    assert compare_spot(Erratum(place=place, says=said), record, mended) == "not in it"
    grid = next(one for one in record["pattern"]["stitch_patterns"] if one["name"] == "diamonds")["grid"]
    row = says_there("stitch_patterns.diamonds.rows[0]", record)
    redrawn = with_diamonds(record, grid=[*grid[:-1], "A" * len(grid[-1])])
    assert compare_spot(Erratum(place=place, says=row), record, redrawn) == "not in it"


def test_an_erratum_of_a_row_is_on_the_page_of_corrections(client):
    pattern = make_sampler()
    version = make_version(pattern)
    erratum = report_erratum(
        Mistake(pattern=pattern, place=ROW, found_in=version, says="k2tog, psso", should_say="k3tog", by=None)
    )
    Erratum.objects.filter(pk=erratum.pk).update(state="confirmed")
    page = client.get(reverse("corrections", args=[pattern.slug, version.number])).content.decode()
    assert "Trellis, row 3" in page
    edit(pattern, mend)
    fixed = make_version(pattern, number="1.1", corrects=[erratum])
    erratum.refresh_from_db()
    assert (erratum.state, erratum.corrected_in) == ("corrected", fixed)
