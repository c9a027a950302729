"""Helps as printed: a number beside the step, words, pictures and short links at the end, in three forms."""

import io
import re

import pypdf
import pytest

from catalogue.editions.choices import home_choices, suggested_choices
from catalogue.editions.editions import render_pdf, write_edition
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.verification import faults
from catalogue.helps.helps import save_help
from catalogue.models import FrozenPhoto
from catalogue.models.edition_choices import choices_words
from tests.catalogue.builders import edit, make_pattern, make_record, make_version
from tests.catalogue.editions.test_editions import elements
from tests.catalogue.helps.builders import TYPED, make_help, name_in_step
from tests.catalogue.pdf_objects import looked_up

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern():
    pattern = make_pattern()
    chain = make_help(pictured=2)
    half = make_help(title="Half double crochet", terms=["hdc"], level="", link="", text="Yarn over first.")
    name_in_step(pattern, chain.name)
    name_in_step(pattern, half.name, step=1, behind="turn")
    name_in_step(pattern, chain.name, section=1)
    return pattern


def written(pattern, **choices):
    record = make_record(pattern, kind="release", number="1.0")
    return write_edition(record=record, choices={**home_choices(record), **choices})


def alternatives(content):
    tree = looked_up(pypdf.PdfReader(io.BytesIO(content)).trailer, "/Root", "/StructTreeRoot")
    return {str(one.get("/Alt", "")) for one in elements(tree)}


def squeezed(text):
    return re.sub(r"\s+", "", text)


def test_an_edition_prints_numbers_beside_steps_and_the_helps_at_its_end(pattern):
    made = written(pattern)
    words = squeezed("".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.content)).pages))
    assert words.count("help1") == 2
    assert words.count("help2") == 1
    for said in (
        "1. Foundation chain", "Hold the tail.", "The hook stands still.", "Video, from 1:20 to 2:05",
        "2. Half double crochet", "Yarn over first.", "Pictures and words:",
    ):  # fmt: skip
        assert squeezed(said) in words
    told = alternatives(made.content)
    assert {"Picture 1", "Picture 2", "QR code of help 1, Foundation chain"} <= told


def test_the_link_of_a_help_stands_beside_its_code_above_its_words(pattern):
    words = squeezed(written(pattern).words)
    said = [words.index(squeezed(one)) for one in ("1. Foundation chain", "Video, from", "Hold the tail.")]
    assert said == sorted(said)


def test_as_codes_alone_it_has_titles_and_links(pattern):
    words = squeezed(written(pattern, helps="codes").words)
    assert "1.Foundationchain" in words
    assert "Holdthetail" not in words
    assert words.count("larkmoss.example/h/") == 2


def test_without_helps_it_is_the_edition_of_a_pattern_that_names_none(pattern):
    words = squeezed(written(pattern, helps="without").words)
    assert "help1" not in words
    assert "Foundationchain" not in words
    assert squeezed("ends of the rib, turn.") in words


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.parametrize("choices", [{}, {"helps": "codes"}, {"print": "saving"}, {"print": "large"}])
def test_the_same_record_and_choices_give_the_same_bytes(pattern, choices):
    record = make_record(pattern, kind="release", number="1.0")
    asked = {**home_choices(record), **choices}
    first = render_pdf(record=record, choices=asked)
    found = make_help(title="Another", link="")
    save_help(found=found, by=None, **{**TYPED, "title": "Yet another"})
    assert render_pdf(record=record, choices=asked).sha256 == first.sha256


def test_the_choice_is_offered_where_there_are_helps_and_refused_elsewhere(pattern):
    record = make_record(pattern)
    offered = [choices_words(one) for one, _ in suggested_choices(record["pattern"], ())]
    assert [one.split("all sizes, ")[1].split(",")[0] for one in offered if "helps" in one] == [
        "helps as QR codes", "without helps",
    ]  # fmt: skip
    plain = make_record(make_pattern("puffinbay_child"))
    assert not [one for one, _ in suggested_choices(plain["pattern"], ()) if "helps" in one]
    with pytest.raises(EditionFailed, match="no helps"):
        render_pdf(record=plain, choices={**home_choices(plain), "helps": "codes"})
    with pytest.raises(EditionFailed, match="no helps"):
        render_pdf(record=record, choices={**home_choices(record), "helps": "both"})


def test_marks_are_no_part_of_the_words_that_versions_are_compared_by_or_of_the_work(pattern):
    marked = make_record(pattern)

    def unmark(document):
        for section in document["sections"]:
            section["steps"] = [re.sub(r" \{help \w+\}", "", step) for step in section["steps"]]

    edit(pattern, unmark)
    plain = make_record(pattern)
    assert "helps" in marked
    assert "helps" not in plain
    assert marked["words"] == plain["words"]
    assert marked["count_audit"] == plain["count_audit"]


def test_a_version_holds_the_pictures_of_its_helps_and_verifies(pattern):
    version = make_version(pattern)
    held = set(FrozenPhoto.objects.filter(version=version).values_list("digest", flat=True))
    assert held
    assert list(faults()) == []
    FrozenPhoto.objects.all().delete()
    assert any("other photos than its record" in one for one in faults())
