"""A step that is missing altogether: where it belongs is named, until a later version has it there."""

import re
from html import unescape
from typing import Any

import pytest
from django.urls import reverse

from catalogue.errata.errata import (
    ErratumRefused,
    Mistake,
    correct_erratum,
    errata_of_version,
    judge_erratum,
    report_erratum,
    standing_by_version,
)
from catalogue.errata.tables import errata_file
from catalogue.holders.notices import letters_of
from catalogue.models import Erratum, Notice
from catalogue.public.corrections_sheets import sheet_html
from catalogue.publishing.obstacles import PublishingStop
from catalogue.versions.gaps import gaps_of
from catalogue.versions.records import read_record
from catalogue.versions.spots import compare_spot, is_same_spot, reading_order, spot_words
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.testing.builders import make_person

NECK = "Weave in the end of the neck."
SECTION = 1


def page_text(html):
    """What a page or letter says, without its tags."""
    return re.sub(r" (?=[.,;:])", "", " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split()))


def record_of(*sections):
    """A record of nothing but the words of its sections."""
    return {"words": [{"title": title, "when": "", "steps": list(steps)} for title, steps in sections]}


def standing(record, *, place="sections[0].steps[1].after", words="Work the band.", found=None):
    return compare_spot(Erratum(place=place, should_say=words), found or FOUND, record)


FOUND = record_of(
    ("Body", ["Ch 3.", "Fasten off.", "Fasten off.", "Block it."]), ("Sleeve", ["Ch 2.", "Fasten off."])
)


@pytest.mark.parametrize(
    ("body", "sleeve", "expected"),
    [
        (["Ch 3.", "Fasten off.", "Fasten off.", "Block it."], ["Ch 2.", "Fasten off."], "in it"),
        (["Ch 3.", "Fasten off.", "Work the band.", "Fasten off.", "Block it."], ["Ch 2."], "not in it"),
        (["Ch 3.", "Fasten off.", "Now: Work  the band.", "Fasten off."], ["Ch 2."], "not in it"),
        (["Ch 3.", "Fasten off.", "Fasten off.", "Block it.", "Work the band."], ["Ch 2."], "can't tell"),
        (["Ch 3.", "Fasten off.", "Fasten off.", "Block it."], ["Ch 2.", "Work the band."], "in it"),
        (["Ch 3.", "Fasten off.", "Work a border.", "Fasten off.", "Block it."], ["Ch 2."], "can't tell"),
        (["Ch 3.", "Fasten off. Work the band.", "Fasten off.", "Block it."], ["Ch 2."], "can't tell"),
        (["Ch 4.", "Fasten off.", "Fasten off.", "Block it."], ["Ch 2.", "Fasten off."], "in it"),
    ],
)
def test_a_missing_step_is_looked_for_between_its_neighbours(body, sleeve, expected):
    assert standing(record_of(("Body", body), ("Sleeve", sleeve))) == expected


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        (["Ch 3.", "Fasten off.", "Fasten off.", "Block it."], True),
        (["Read this.", "Ch 3.", "Fasten off.", "Fasten off.", "Block it."], False),
        (["Ch 3.", "Fasten off.", "Block it."], False),
        (["Ch 3.", "Fasten off.", "Fasten off.", "Block it.", "Wash it."], True),
    ],
)
def test_a_gap_is_the_same_place_only_between_the_same_steps(steps, expected):
    one = Erratum(place="sections[0].steps[1].after", should_say="Work the band.")
    assert is_same_spot(one, FOUND, record_of(("Body", steps), ("Sleeve", ["Ch 2."]))) is expected


def test_the_start_of_a_section_is_the_same_place_only_before_the_same_step():
    one = Erratum(place="sections[0].start", should_say="Join yarn.")
    later = record_of(("Body", ["Ch 3.", "Block it."]))
    assert is_same_spot(one, FOUND, later)
    assert not is_same_spot(one, FOUND, record_of(("Body", ["Read this.", "Ch 3."])))


def test_a_section_that_was_renamed_or_moved_is_followed_by_its_steps():
    moved = record_of(
        ("Sleeve", ["Ch 2.", "Fasten off."]),
        ("Back and front", ["Ch 3.", "Fasten off.", "Work the band.", "Fasten off.", "Block it."]),
    )
    assert standing(moved, place="sections[0].steps[0].after", words="Work the band.") == "can't tell"
    assert standing(moved, words="Work the band.") == "not in it"
    assert standing(moved, place="sections[0].steps[2].after", words="Wash it.") == "in it"
    start = record_of(("Body", ["Join yarn.", "Ch 3.", "Fasten off."]), ("Sleeve", ["Ch 2."]))
    assert standing(start, place="sections[0].start", words="Join yarn.") == "not in it"
    assert standing(FOUND, place="sections[0].start", words="Join yarn.") == "in it"


def test_a_place_that_the_version_lacks_cannot_be_told():
    assert standing(FOUND, place="sections[0].steps[9].after") == "can't tell"
    assert standing(FOUND, place="sections[7].start") == "can't tell"


def test_every_gap_has_its_words_and_its_place_in_reading_order():
    words = dict(gaps_of(FOUND))
    assert words["sections[0].start"] == "Body, before step 1"
    assert words["sections[1].steps[1].after"] == "Sleeve, after step 2"
    assert len(words) == 5 + 3
    places = ["sections[0].start", "sections[0].steps[0]", "sections[0].steps[0].after", "sections[1].start"]
    order = [reading_order(Erratum(pk=at, place=place)) for at, place in enumerate(places)]
    assert order == sorted(order)


# From here on with versions that were published.


@pytest.fixture
def editor(db):
    return make_person("editor@larkmoss.example", role="editor")


@pytest.fixture
def pattern(db, quick_pdf):
    return make_pattern()


def put_in(document):
    document["sections"][SECTION]["steps"].insert(1, NECK)


PLACE = f"sections[{SECTION}].steps[0].after"


def confirmed(pattern, version, **known):
    mistake = Mistake(pattern=pattern, place=PLACE, should_say=NECK, found_in=version, **known)
    erratum = report_erratum(mistake)
    judge_erratum(erratum=erratum, is_mistake=True)
    return erratum


def test_a_missing_step_is_in_the_versions_without_it_and_corrected_by_the_one_that_has_it(pattern):
    first = make_version(pattern, number="1.0")
    edit(pattern, lambda document: document.update(summary="Another summary."))
    second = make_version(pattern, number="1.1")
    erratum = confirmed(pattern, first)
    with pytest.raises(ErratumRefused, match=r"Version 1\.1 still lacks the step in .*, after step 1"):
        correct_erratum(erratum=erratum, version=second)
    with pytest.raises(PublishingStop, match="after step 1 is not corrected yet"):
        make_version(pattern, number="1.2")
    edit(pattern, put_in)
    third = make_version(pattern, number="1.2", corrects=[erratum])
    assert standing_by_version(erratum) == [(first, "in it"), (second, "in it"), (third, "not in it")]
    assert [one.erratum for one in errata_of_version(second)] == [erratum]
    assert errata_of_version(third) == []
    erratum.refresh_from_db()
    assert erratum.corrected_in == third


def test_sheet_page_letter_and_file_say_where_the_step_belongs(client, pattern):
    first = make_version(pattern, number="1.0")
    erratum = confirmed(pattern, first)
    title = read_record(first.record)["words"][SECTION]["title"]
    where = f"{title}, after step 1"
    assert spot_words(PLACE, read_record(first.record)) == where
    edit(pattern, put_in)
    second = make_version(pattern, number="1.1", corrects=[erratum])
    sheet = page_text(sheet_html(first, second, units="cm", size="M"))
    letters = letters_of(Notice.objects.get(version=second), everybody=True)
    page = page_text(client.get(reverse("corrections", args=[pattern.slug, "1.0"])).content.decode())
    letter = page_text(next(one for one in letters if one.number == "1.0").html)
    for told in (sheet, letter, page):
        assert where in told
        assert f"A step is missing there{'' if told is page else ':'} {NECK}" in told
    for told in (sheet, letter):
        assert f"Old: not there New: {NECK}" in told
        assert f"Changed steps{', below' if told is sheet else ''}: {title}, step 2" in told
    assert where in errata_file(pattern, [first, second])


def test_the_form_names_where_a_step_may_be_missing_and_wants_its_words(client, editor, pattern):
    version = make_version(pattern, number="1.0")
    client.force_login(editor)
    new = reverse("erratum_new", args=[pattern.slug])
    shown = client.get(f"{new}?place={PLACE}").content.decode()
    assert '<optgroup label="A step is missing">' in shown
    assert "these are the steps before and after it" in shown
    sent: dict[str, Any] = {"found_in": version.pk, "place": PLACE, "kind": "mistake", "gravity": "wrong"}
    page = client.post(new, {**sent, "says": "Break yarn", "should_say": " "})
    assert page.status_code == 400
    said = page_text(page.content.decode())
    assert "A missing step has no words there." in said
    assert "Write the step that is missing, as it should read." in said
    assert "Break yarn" in page.content.decode()
    assert client.post(new, {**sent, "should_say": NECK}).status_code == 302
    erratum = Erratum.objects.get()
    own = page_text(client.get(reverse("erratum", args=[pattern.slug, erratum.pk])).content.decode())
    assert "after step 1" in own
    assert f"A step is missing there {NECK}" in own


def test_its_words_cannot_be_taken_away_later(client, editor, pattern):
    erratum = confirmed(pattern, make_version(pattern, number="1.0"))
    client.force_login(editor)
    change = reverse("erratum_change", args=[pattern.slug, erratum.pk])
    sent = {"kind": "mistake", "gravity": "wrong", "source": "studio", "should_say": ""}
    assert "Write the step that is missing" in client.post(change, sent).content.decode()
    erratum.refresh_from_db()
    assert erratum.should_say == NECK


def test_a_place_that_a_version_lacks_is_named_in_words(pattern):
    version = make_version(pattern, number="1.0")
    with pytest.raises(ErratumRefused, match="has no Section 78, after step 1: choose a place"):
        report_erratum(Mistake(pattern=pattern, place="sections[77].steps[0].after", found_in=version))
