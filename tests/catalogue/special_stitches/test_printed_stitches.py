"""Special stitches as printed: method, pictures and chart of the version's day."""

import re

import pytest

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf, write_edition
from catalogue.models import FrozenPhoto
from catalogue.special_stitches.stitches import delete_picture, save_stitch
from catalogue.versions.changes import record_differences
from catalogue.versions.records import canonical, read_record
from tests.catalogue.builders import make_pattern, make_record, make_version
from tests.catalogue.special_stitches.builders import TYPED, make_stitch, take_over

pytestmark = pytest.mark.django_db


@pytest.fixture
def state():
    return make_stitch(pictured=1)


@pytest.fixture
def pattern(state):
    pattern = make_pattern()
    take_over(pattern, state)
    return pattern


def printed(record, **choices):
    written = write_edition(record=record, choices={**home_choices(record), **choices})
    return re.sub(r"\s+", "", written.words)


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
def test_an_edition_says_how_each_is_worked_with_its_chart(pattern):
    words = printed(make_record(pattern, kind="release", number="1.0"))
    for said in ("Special stitches", "Puff stitch (ps)", "3 times in the same st.", "Three loops.",
                 "Worked over a multiple of 2", "Example, row 1"):  # fmt: skip
        assert re.sub(r"\s+", "", said) in words


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
def test_in_other_terms_its_method_and_rows_are_too(pattern):
    words = printed(make_record(pattern, kind="release", number="1.0"), terms="UK")
    assert "Closewith1dc." in words
    assert "Closewith1sc." not in words


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.parametrize("choices", [{}, {"print": "large"}])
def test_the_same_record_gives_the_same_bytes_after_the_studio_changed_the_stitch(pattern, state, choices):
    record = make_record(pattern, kind="release", number="1.0")
    asked = {**home_choices(record), **choices}
    first = render_pdf(record=record, choices=asked)
    save_stitch(stitch=state.stitch, by=None, **{**TYPED, "method": "Otherwise."})
    state.stitch.refresh_from_db()
    assert render_pdf(record=record, choices=asked).sha256 == first.sha256


def test_a_version_holds_the_pictures_of_the_state_that_the_pattern_took_over(pattern, state, quick_pdf):
    picture = state.pictures.get()
    delete_picture(picture, by=None)
    version = make_version(pattern)
    assert FrozenPhoto.objects.filter(version=version, digest=picture.digest).exists()
    record = read_record(version.record)
    assert [one["name"] for one in record["special_pictures"]] == ["puff_stitch"]


def test_what_changed_between_versions_names_the_method_and_no_numbers_of_the_studio(pattern, state):
    old = read_record(make_record_text(pattern))
    take_over(pattern, save_stitch(stitch=state.stitch, by=None, **{**TYPED, "method": "Otherwise."}))
    changes = record_differences(old, read_record(make_record_text(pattern)))
    assert [(one.place, one.new) for one in changes.entries] == [
        ("Special stitches, Puff stitch, method", "Otherwise.")
    ]


def test_a_pattern_without_special_stitches_has_a_record_as_before():
    record = make_record(make_pattern())
    assert "special_pictures" not in record
    assert "special_stitches" not in record["pattern"]


def make_record_text(pattern):
    return canonical(make_record(pattern, kind="release", number="1.0"))
