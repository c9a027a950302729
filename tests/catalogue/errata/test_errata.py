"""Errata: reported, judged, corrected, and found again in the records that hold them."""

from dataclasses import replace

import pytest
from django.utils import timezone

from catalogue.errata.errata import (
    ErratumRefused,
    Mistake,
    correct_erratum,
    errata_of_version,
    judge_erratum,
    report_erratum,
    standing_by_version,
)
from catalogue.models import Erratum
from catalogue.publishing.obstacles import PublishingStop, in_the_way
from catalogue.studio.limits import JUST_NOW
from catalogue.versions.spots import compare_spot
from tests.catalogue.builders import edit, make_pattern, make_photo, make_version, value_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def wrong_armhole(document):
    """Plant a mistake: the sleeve is eight rows too long in every size."""
    value = value_of(document, "sleeve_rows")
    value["formula"] = f"{value['formula']} + 8 rows"


def mended_armhole(document):
    value = value_of(document, "sleeve_rows")
    value["formula"] = value["formula"].removesuffix(" + 8 rows")


def test_a_wrong_number_is_found_in_the_versions_that_hold_it_and_in_no_other():
    pattern = make_pattern()
    right = make_version(pattern, kind="test", number="0.1")
    edit(pattern, wrong_armhole)
    first = make_version(pattern, number="1.0")
    edit(pattern, lambda document: document.update(summary="Another summary."))
    second = make_version(pattern, number="1.1")
    edit(pattern, mended_armhole)
    third = make_version(pattern, number="1.2")
    erratum = report_erratum(
        Mistake(
            pattern=pattern,
            place="values.sleeve_rows",
            sizes=["M"],
            should_say="8 rows fewer",
            found_in=second,
        )
    )
    assert standing_by_version(erratum) == [
        (right, "not in it"),
        (first, "in it"),
        (second, "in it"),
        (third, "not in it"),
    ]
    assert errata_of_version(first) == []  # nobody is told before it is confirmed
    judge_erratum(erratum=erratum, is_mistake=True)
    assert [one.erratum for one in errata_of_version(first)] == [erratum]
    assert errata_of_version(third) == []
    correct_erratum(erratum=erratum, version=third)
    assert [one.erratum for one in errata_of_version(first)] == [erratum]
    assert errata_of_version(third) == []
    assert errata_of_version(right) == []


def test_a_version_that_still_holds_the_mistake_does_not_correct_it():
    pattern = make_pattern()
    first = make_version(pattern, number="1.0")
    second = make_version(pattern, number="1.1")
    erratum = report_erratum(Mistake(pattern=pattern, place="values.sleeve_rows", found_in=first))
    with pytest.raises(ErratumRefused, match="still says the same"):
        correct_erratum(erratum=erratum, version=second)
    with pytest.raises(ErratumRefused, match="a later version corrects it"):
        correct_erratum(erratum=erratum, version=first)
    other = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    with pytest.raises(ErratumRefused, match="of another pattern"):
        correct_erratum(erratum=erratum, version=other)
    erratum.refresh_from_db()
    assert (erratum.state, erratum.corrected_in) == ("reported", None)


def test_a_wrong_phrase_is_found_where_the_step_was_edited_around_it():
    pattern = make_pattern()

    def write(text):
        def change(document):
            document["sections"][0]["steps"][0] = text

        edit(pattern, change)

    write("Chain loosely, turn at the end of the row.")
    first = make_version(pattern, number="1.0")
    write("Chain very loosely, turn at the end of the row.")
    second = make_version(pattern, number="1.1")
    write("Chain very loosely, do not turn.")
    third = make_version(pattern, number="1.2")
    erratum = report_erratum(
        Mistake(
            pattern=pattern,
            place="sections[0].steps[0]",
            says="turn at the end of the row",
            should_say="do not turn",
            found_in=first,
        )
    )
    assert [standing for _, standing in standing_by_version(erratum)] == ["in it", "in it", "not in it"]
    assert [version for version, _ in standing_by_version(erratum)] == [first, second, third]


@pytest.mark.parametrize(
    ("right", "still_wrong"),
    [
        ("with the smaller hook, loosely", "with the smaller hook, tightly"),  # adds words behind
        ("loosely with the smaller hook", "tightly with the smaller hook"),  # before
        ("with the much smaller hook", "now with the smaller hook"),  # in the middle
        ("loosely with the smaller hook, twice", "twice with the smaller hook, loosely"),  # on both sides
    ],
)
def test_a_correction_that_keeps_the_old_words_is_seen_where_it_stands(right, still_wrong):
    says = "with the smaller hook"
    mistake = Erratum(place="sections[0].steps[0]", says=says, should_say=f"{right}.")

    def saying(words):
        return {"words": [{"title": "Hem", "steps": [f"Work 4 rows {words}, and fasten off."]}]}

    held = [
        compare_spot(mistake, saying(says), saying(words))
        for words in (says, still_wrong, right, f"{right}, then once more {says}")
    ]
    assert held == ["in it", "in it", "not in it", "in it"]


def test_what_a_record_cannot_tell_is_said_to_be_so():
    pattern = make_pattern()
    first = make_version(pattern, number="1.0")
    make_photo(pattern)
    make_version(pattern, number="1.1")
    erratum = report_erratum(Mistake(pattern=pattern, place="photo", found_in=first))
    assert [standing for _, standing in standing_by_version(erratum)] == ["in it", "can't tell"]
    unknown = report_erratum(Mistake(pattern=pattern, place="values.chest", found_in=None))
    assert {standing for _, standing in standing_by_version(unknown)} == {"can't tell"}


def test_what_a_record_cannot_tell_is_told_by_the_version_that_was_ticked_as_its_correction():
    pattern = make_pattern()
    first, second, third = (make_version(pattern, number=number) for number in ("1.0", "1.1", "1.2"))
    erratum = report_erratum(Mistake(pattern=pattern, place="values.sleeve_rows", found_in=None))
    judge_erratum(erratum=erratum, is_mistake=True)
    second.corrects = [erratum.pk]
    assert [one.standing for one in errata_of_version(first)] == ["can't tell"]
    assert errata_of_version(second) == []
    correct_erratum(erratum=erratum, version=second)
    told = [standing for _, standing in standing_by_version(erratum)]
    assert told == ["can't tell", "not in it", "not in it"]
    assert errata_of_version(third) == []


@pytest.mark.parametrize(
    ("place", "sizes"),
    [
        ("values.nothing", []),
        ("sections[99].steps[0]", []),
        ("values.sleeve_rows", ["9X"]),
        ("elsewhere", []),
    ],
)
def test_a_place_that_the_version_does_not_have_is_refused(place, sizes):
    version = make_version()
    with pytest.raises(ErratumRefused, match=r"Version 1\.0 has no"):
        report_erratum(Mistake(pattern=version.pattern, place=place, sizes=sizes, found_in=version))


def test_a_confirmed_grave_erratum_stops_the_next_version_until_it_is_corrected():
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    version = make_version(pattern, number="1.0")
    erratum = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", gravity="wrong", found_in=version)
    )
    assert "judge it" in " ".join(one.says for one in in_the_way(pattern, "release") if one.weight == "warn")
    judge_erratum(erratum=erratum, is_mistake=True)
    with pytest.raises(PublishingStop, match="not corrected yet"):
        make_version(pattern, number="1.1")
    edit(pattern, mended_armhole)
    mended = make_version(pattern, number="1.1", corrects=[erratum])
    erratum.refresh_from_db()
    assert (erratum.state, erratum.corrected_in) == ("corrected", mended)


def test_a_version_that_claims_to_correct_what_it_still_holds_is_not_published():
    pattern = make_pattern()
    version = make_version(pattern, number="1.0")
    erratum = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", gravity="cosmetic", found_in=version)
    )
    with pytest.raises(ErratumRefused, match="still says the same"):
        make_version(pattern, number="1.1", corrects=[erratum])
    assert [one.number for one in pattern.versions.all()] == ["1.0"]


def test_what_is_judged_no_mistake_applies_to_nothing():
    version = make_version()
    erratum = report_erratum(Mistake(pattern=version.pattern, place="values.sleeve_rows", found_in=version))
    judge_erratum(erratum=erratum, is_mistake=False)
    assert errata_of_version(version) == []


def test_a_report_whose_button_is_pressed_twice_is_one_and_tells_of_one_maker_more():
    pattern = make_pattern()
    version = make_version(pattern)
    missing = Mistake(pattern=pattern, place="materials", should_say="A button.", found_in=version)
    assert report_erratum(missing) == report_erratum(missing)
    assert Erratum.objects.get().sightings.count() == 0
    other = replace(missing, should_say="Two buttons.")
    assert report_erratum(other) != report_erratum(missing)  # what says something else is another one
    quoted = replace(missing, says="40 g", found_by="Ida")
    met = replace(quoted, found_by="Olive")
    erratum = report_erratum(quoted)
    assert {report_erratum(met), report_erratum(met)} == {erratum}
    assert [one.found_by for one in erratum.sightings.all()] == ["Olive"]
    Erratum.objects.update(created_at=timezone.now() - JUST_NOW)
    assert report_erratum(missing).pk not in {erratum.pk, None}
    assert pattern.errata.filter(should_say="A button.", says="").count() == 2
