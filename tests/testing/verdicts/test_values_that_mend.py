"""Which new counts are offered: only those with which the sheet, worked out, comes out as planned."""

import pytest
from django.urls import reverse

from catalogue.drafts.patterns import graded
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from testing.asked.figures import call_figures
from testing.verdicts.mends import also_mended, mending_of, values_that_mend
from tests.catalogue.builders import make_pattern
from tests.testing.builders import make_call

pytestmark = pytest.mark.django_db

TOO_LONG_MM = 32.0
SUSPECTS = ["hem_rib_rounds", "body_rounds"]


@pytest.fixture
def call(studio):
    return make_call(pattern=make_pattern("cinderfell_raglan"))


@pytest.fixture
def found(call):
    """What results would say of a body that came out too long in every size."""
    sizes = graded(call.pattern).sizes
    return {"measurements": {"side_length": {"error": [TOO_LONG_MM] * len(sizes)}}}


def test_a_count_that_others_make_up_for_is_not_among_those_that_mend(call, found):
    told = values_that_mend(call=call, found=found, measurement="side_length", values=SUSPECTS)
    assert told == (["body_rounds"], ["hem_rib_rounds"])


def test_fewer_rounds_of_rib_leave_more_rounds_of_body(call, found):
    # The sheet gives the body what the rib leaves over, so the length hardly moves (derived).
    mending = mending_of(call=call, found=found, measurement="side_length", value="hem_rib_rounds")
    before = graded(call.pattern)
    then = grade(read_pattern(mending.document))
    assert (then.values["hem_rib_rounds"].worked < before.values["hem_rib_rounds"].worked).all()
    assert (then.values["body_rounds"].worked > before.values["body_rounds"].worked).all()
    assert [size for size, _, _ in mending.missed] == list(before.sizes)
    for _, planned, got in mending.missed:
        assert got - planned > 20  # its tolerance, mm


def test_fewer_rounds_of_body_come_out_as_planned_in_every_size(call, found):
    mending = mending_of(call=call, found=found, measurement="side_length", value="body_rounds")
    assert mending.missed == []
    planned = graded(call.pattern).values["side_length"].worked
    assert [size for size, _, _ in mending.lengths] == list(graded(call.pattern).sizes)
    for plan, (_, _, got) in zip(planned, mending.lengths, strict=True):
        assert abs(got - plan) <= 20


def test_one_size_beyond_its_tolerance_is_enough_to_offer_nothing(call, found):
    error = found["measurements"]["side_length"]["error"]
    error[-1] = 1000.0  # more than all rounds of the body: there is no such count
    told = values_that_mend(call=call, found=found, measurement="side_length", values=["body_rounds"])
    assert told == ([], ["body_rounds"])


def test_what_the_mend_of_another_takes_away_follows_from_it(call, found):
    found["measurements"]["body_length"] = found["measurements"]["side_length"]
    found["measurements"]["sleeve_length"] = found["measurements"]["side_length"]
    told = also_mended(
        made=call_figures(call),
        found=found,
        measurement="side_length",
        value="body_rounds",
        others=["body_length", "sleeve_length"],
    )
    assert told == ["body_length"]


def test_counts_that_were_not_offered_are_not_written_however_they_are_sent(
    as_designer, call, found, monkeypatch
):
    monkeypatch.setattr("testing.verdicts.views.standing_found", lambda call: found)
    before = graded(call.pattern).values["hem_rib_rounds"].worked
    address = reverse("verdict_apply", args=[call.pattern.slug, call.pk, "side_length", "hem_rib_rounds"])
    answer = as_designer.post(address, {"revision": call.pattern.sheet.revision}, follow=True)
    assert "Nothing was written: these counts do not bring every size to its plan." in answer.content.decode()
    call.pattern.sheet.refresh_from_db()
    assert (graded(call.pattern).values["hem_rib_rounds"].worked == before).all()


def test_a_value_that_the_sheet_no_longer_has_is_not_offered(call, found):
    call.pattern.sheet.values.filter(name="body_rounds").delete()
    told = values_that_mend(call=call, found=found, measurement="side_length", values=SUSPECTS)
    assert told == ([], ["hem_rib_rounds"])


def test_the_page_says_that_such_counts_do_not_mend_and_writes_none(as_designer, call, found, monkeypatch):
    monkeypatch.setattr("testing.verdicts.views.standing_found", lambda call: found)
    pages = {
        value: " ".join(
            as_designer.get(reverse("verdict_mend", args=[call.pattern.slug, call.pk, "side_length", value]))
            .content.decode()
            .split()
        )
        for value in SUSPECTS
    }
    assert "Underarm to hem, tested beyond its counts" in pages["body_rounds"]
    assert "side_length_tested" not in pages["body_rounds"]
    assert "They would not make Underarm to hem come out as planned" in pages["hem_rib_rounds"]
    assert "Write these counts" not in pages["hem_rib_rounds"]
    assert "?counts=" not in pages["hem_rib_rounds"]
    assert "They would make Underarm to hem come out as planned" in pages["body_rounds"]
    assert "Write these counts" in pages["body_rounds"]
