"""Where a mistake stands: steps that moved, were split or say rightly elsewhere what was wrong in one."""

from typing import Any

import pytest
from django.template.loader import render_to_string

from catalogue.errata.errata import (
    ErratumRefused,
    Mistake,
    add_sighting,
    correct_erratum,
    errata_of_version,
    judge_erratum,
    report_erratum,
)
from catalogue.errata.merging import merge_errata
from catalogue.models import Erratum
from catalogue.versions.records import read_record
from catalogue.versions.spots import compare_spot
from tests.catalogue.builders import edit, make_pattern, make_version, value_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def words(*steps):
    """A record of nothing but the words of its steps."""
    return {"words": [{"title": "Body", "when": "", "steps": list(steps)}]}


def standing(found, record, *, at=0, says=""):
    return compare_spot(Erratum(place=f"sections[0].steps[{at}]", sizes=[], says=says), found, record)


FOUND = words("Ch 3, turn.", "Row 1: Ch 3, 5 dc in next st.", "Fasten off.", "Join the sleeve. Fasten off.")


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        (("Ch 3, turn.", "Row 1: Ch 3, 5 dc in next st.", "Fasten off."), "in it"),  # moved up
        (("Ch 3, turn.", "Row 1: Ch 2, 5 dc in next st."), "not in it"),  # put right, another step says Ch 3
        (("Ch 3, turn.", "Row 1: Ch 3.", "Then 5 dc in next st."), "in it"),  # split
        (("Ch 3, turn.", "Row 1: Ch  3, 6 dc in next st."), "in it"),  # edited around it
        (("Ch 3, turn. Do it loosely.", "Row 1: Ch 2, 5 dc in next st."), "not in it"),  # another was edited
        (("Ch 3, turn.", "Fasten off."), "not in it"),  # gone
    ],
)
def test_a_wrong_phrase_is_looked_for_where_its_step_went(steps, expected):
    assert standing(FOUND, words(*steps), at=1, says="Ch 3") == expected


def test_a_step_that_stands_twice_is_put_right_in_one_place():
    found = words("Fasten off.", "Work the band.", "Fasten off.")
    mended = words("Fasten off.", "Work the band.", "Leave the yarn attached.")
    assert standing(found, mended, at=2, says="Fasten off.") == "not in it"
    assert standing(found, words("Work the band.", "Fasten off.", "Fasten off."), at=2) == "in it"


def test_a_changed_step_without_a_quoted_phrase_cannot_be_told():
    found = words("Work the band.", "Fasten off.")
    assert standing(found, words("Work the broad band.", "Fasten off.")) == "can't tell"
    assert standing(found, words("Work the broad band.", "Fasten off."), says="the hem") == "can't tell"
    assert standing(found, words("Fasten off.")) == "not in it"


def number(sizes, worked):
    """A record of nothing but one value."""
    return {"results": {"sizes": sizes, "values": {"back": {"worked": worked}}}}


def value_standing(found, record, *sizes):
    erratum = Erratum(place="values.back", sizes=list(sizes), says="")
    return compare_spot(erratum, found, record)


def test_a_number_that_is_missing_is_a_mistake_while_it_is_missing():
    found = number(["S", "M"], [60.0, None])
    assert value_standing(found, number(["S", "M"], [62.0, None]), "M") == "in it"
    assert value_standing(found, number(["S", "M"], [60.0, 66.0]), "M") == "not in it"
    assert value_standing(found, number(["S", "M"], [62.0, None])) == "not in it"
    assert value_standing(found, number(["S"], [60.0]), "M") == "not in it"
    gone = {"results": {"sizes": ["S", "M"], "values": {}}}
    assert value_standing(found, gone, "S") == "can't tell"


def test_an_older_sighting_at_a_step_that_moved_does_not_move_the_erratum_to_another_step():
    pattern = make_pattern()

    def put_in(document):
        document["sections"][0]["steps"].insert(0, "Read the whole pattern first.")

    old = make_version(pattern, number="1.0")
    edit(pattern, put_in)
    new = make_version(pattern, number="1.1")
    erratum = report_erratum(Mistake(pattern=pattern, place="sections[0].steps[1]", found_in=new))
    judge_erratum(erratum=erratum, is_mistake=True)
    add_sighting(erratum=erratum, version=old, found_by="A letter")
    said = erratum.events.last()
    assert said
    assert said.says == "Met again in 1.0.", "the history outlives who is erased"
    erratum.refresh_from_db()
    assert erratum.found_in == new
    assert [one.standing for one in errata_of_version(old)] == ["in it"]


@pytest.mark.parametrize(
    ("found", "met_again", "then"),
    [
        (["M"], ["2X", "M"], ["M", "2X"]),
        (["M"], [], []),  # met in all sizes
        (["M"], None, ["M"]),  # nobody said in which
        ([], ["2X"], []),
    ],
)
def test_a_sighting_in_other_sizes_widens_the_erratum_to_them(found, met_again, then):
    version = make_version()
    erratum = report_erratum(
        Mistake(
            pattern=version.pattern,
            place="values.sleeve_rows",
            sizes=found,
            says="Too long",
            found_in=version,
        )
    )
    add_sighting(erratum=erratum, version=version, found_by="Ida", sizes=met_again)
    erratum.refresh_from_db()
    assert erratum.sizes == then


def test_a_mistake_reported_in_the_same_words_widens_the_erratum_too():
    version = make_version()
    erratum, again = (
        report_erratum(
            Mistake(
                pattern=version.pattern,
                place="values.sleeve_rows",
                sizes=sizes,
                says="Too long",
                found_in=version,
            )
        )
        for sizes in (["M"], ["L"])
    )
    erratum.refresh_from_db()
    assert again == erratum
    assert erratum.sizes == ["M", "L"]


def two_errata(pattern, version, *, states=("confirmed", "reported")):
    """Two errata at one place, judged."""
    found = [
        report_erratum(
            Mistake(pattern=pattern, place="values.sleeve_rows", says=f"words {state}", found_in=version)
        )
        for state in states
    ]
    for erratum, state in zip(found, states, strict=True):
        if state != "reported":
            judge_erratum(erratum=erratum, is_mistake=state == "confirmed")
    return found


def test_a_confirmed_mistake_is_not_lost_by_telling_it_with_one_that_nobody_judged():
    version = make_version()
    confirmed, reported = two_errata(version.pattern, version)
    merge_errata(erratum=confirmed, into=reported, by=None)
    reported.refresh_from_db()
    assert reported.state == "confirmed"
    assert [one.erratum for one in errata_of_version(version)] == [reported]
    with pytest.raises(ErratumRefused, match="is a duplicate itself"):
        merge_errata(erratum=confirmed, into=reported, by=None)
    with pytest.raises(ErratumRefused, match="merged into another erratum: confirm it first"):
        correct_erratum(erratum=confirmed, version=version)


def test_a_confirmed_mistake_is_not_told_with_what_was_judged_to_be_none():
    version = make_version()
    confirmed, dismissed = two_errata(version.pattern, version, states=("confirmed", "dismissed"))
    with pytest.raises(ErratumRefused, match="judged to be no mistake"):
        merge_errata(erratum=confirmed, into=dismissed, by=None)


def test_a_mistake_that_came_back_keeps_its_own_entry():
    pattern = make_pattern()
    first = make_version(pattern, number="1.0")
    old, _ = two_errata(pattern, first)

    def lengthen(rows):
        def change(document):
            value_of(document, "sleeve_rows")["formula"] += f" + {rows} rows"

        edit(pattern, change)

    lengthen(8)
    second = make_version(pattern, number="1.1", corrects=[old])
    lengthen(-8)
    third = make_version(pattern, number="1.2")
    again = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", says="as in 1.0", found_in=third)
    )
    old.refresh_from_db()
    with pytest.raises(ErratumRefused, match=r"corrected in version 1\.1, and this one was found in 1\.2"):
        merge_errata(erratum=again, into=old, by=None)
    with pytest.raises(ErratumRefused, match=r"corrected in version 1\.1 already"):
        correct_erratum(erratum=old, version=third)
    assert old.corrected_in == second


def test_what_a_version_corrects_is_printed_with_its_place_in_words():
    pattern = make_pattern()
    first = make_version(pattern, number="1.0")
    title = read_record(first.record)["words"][0]["title"]
    erratum = report_erratum(
        Mistake(pattern=pattern, place="sections[0].steps[0]", says="Chain", found_in=first)
    )

    def rewrite(document):
        document["sections"][0]["steps"][0] = "Begin."

    edit(pattern, rewrite)
    second = make_version(pattern, number="1.1", corrects=[erratum])
    (corrected,) = read_record(second.record)["corrects"]
    assert corrected["where"] == f"{title}, step 1"
    context: dict[str, Any] = {
        "record": read_record(second.record),
        "title": pattern.title,
        "date": "1 March 2026",
        "cautions": [],
        "changes": None,
        "corrections_url": "https://larkmoss.example",
        "edition_words": "",
    }
    html = render_to_string("catalogue/pdf/_end.html", context)
    assert f"<li>{title}, step 1</li>" in html
    assert "sections[" not in html
