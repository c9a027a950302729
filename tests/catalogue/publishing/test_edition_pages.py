"""Pages of editions as a maker sees them: what stands together, what is said once, which hand it is for."""

import functools
import io
import re

import pypdf
import pytest

from catalogue.editions.booklet import _halves, booklet
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import graded_as_frozen, render_pdf
from catalogue.editions.sources import source_of
from grading.core.printing.size_rows import PageRow, PageTable, lined_up, split_rows
from tests.catalogue.builders import SAMPLES, make_pattern, make_record

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]


@functools.cache
def pages_of(name, **choices):
    """The words of each page of an edition, which is printed once for all tests that read it."""
    record = make_record(make_pattern(name), kind="release", number="1.0")
    pdf = render_pdf(record=record, choices={**home_choices(record), **choices})
    reader = pypdf.PdfReader(io.BytesIO(pdf.content))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


@pytest.mark.parametrize("name", SAMPLES)
def test_the_order_of_sizes_stands_at_the_head_of_every_page_that_has_lists_of_numbers(name):
    pages = pages_of(name)
    begins = next(at for at, page in enumerate(pages) if "Laid flat" in page)
    cautions = next(at for at, page in enumerate(pages) if re.search(r"Cautions (?:Yarn|Cords|Small)", page))
    assert all("Sizes: " in page for page in pages[begins:cautions])
    assert not any("Sizes: " in page for page in pages[cautions + 1 :])
    assert "Sizes: " not in pages[0]


@pytest.mark.parametrize("name", SAMPLES)
def test_no_page_of_large_print_holds_a_heading_and_nothing_else(name):
    for page in pages_of(name, print="large")[:-1]:
        body = page.split(" · version")[0]
        assert len(body) > 150 or re.search(r"Size \S+", body), body


def test_needles_that_every_size_needs_are_named_once():
    needs = next(page for page in pages_of("cinderfell_raglan") if "Tools" in page)
    tools = needs.split("Tools")[1].split("Tension")[0]
    assert tools.count("double-pointed needles") == 2  # one for each fabric
    assert re.search(r"for 5X to 7X also a circular needle of 120\scm", tools)


def test_a_word_that_explains_itself_is_no_abbreviation():
    assert "Cast off cast off" not in " ".join(pages_of("cinderfell_raglan"))


def test_work_in_the_round_is_told_in_rounds():
    text = " ".join(pages_of("cinderfell_raglan", sizes="M")).replace(
        " ,", ","
    )  # each row number has its box
    assert (
        "work the increase round on every 2nd round from 2 to 34, then every 4th round from 38 to 62." in text
    )
    assert "on rows" not in text


def test_a_left_hand_edition_names_the_side_that_its_lines_then_use():
    text = " ".join(pages_of("thistledrift_waistcoat", hand="left", sizes="M"))
    assert "Armhole at the start of the rows: Row 1: slip stitch across" in text
    assert "Armhole at the end of the rows: Row 1: leave" in text
    assert "join at the hem of the left front" in text
    # The two knit columns are at the front edge: where the rows of the left front now begin.
    right, left = text.split("Right front (as worn)")[-1].split("Left front (as worn)")
    assert "two Tks side by side at the end of the rows, at the front edge" in right
    assert "two Tks side by side at the start of the rows, at the front edge" in left


@pytest.mark.parametrize(("terms", "word"), [("US", "color"), ("UK", "colour")])
def test_the_stripe_plan_spells_as_the_terms_of_the_edition(terms, word):
    text = " ".join(pages_of("thistledrift_waistcoat", terms=terms, sizes="M"))
    assert f"is made in the {word} that comes next" in text


def test_only_a_tall_table_may_break_and_a_few_columns_stand_near_their_heads():
    rows = [PageRow(str(place), ("1",) * 5) for place in range(11)]
    (wide,) = split_rows("ABCDE", rows, across=12)
    assert (wide.is_tall, wide.is_narrow) == (False, False)
    (tall,) = split_rows("ABCDE", rows, across=12, down=10)
    assert tall.is_tall
    assert all(table.is_narrow for table in split_rows("ABCDE", rows, across=3))


@pytest.mark.parametrize(
    ("columns", "whole"),
    [
        (["84", "16.5"], [True, False]),
        (["84", "16"], [False, False]),
        (["–", "16.5", "−3"], [False, False, True]),
        (["16½", "16.5"], [False, False]),
    ],
)
def test_whole_numbers_leave_room_for_a_decimal_that_others_of_their_column_have(columns, whole):
    rows = tuple(PageRow(str(at), (text, "1")) for at, text in enumerate(columns))
    told = lined_up(PageTable(("S", "M"), (PageRow("To fit"), *rows)))
    assert [row.cells[0] for row in told.rows[1:]] == list(zip(columns, whole, strict=True))
    assert not any(row.cells[1][1] for row in told.rows[1:])
    assert told.rows[0].cells == []


@pytest.mark.parametrize(("wording", "tables"), [(3, [7]), (2, [4, 3])])
def test_in_large_print_seven_sizes_stand_in_one_table(wording, tables):
    record = {**make_record(make_pattern("thistledrift_waistcoat")), "wording": wording}
    source = source_of(record, graded_as_frozen(record), {**home_choices(record), "print": "large"})
    assert [len(table.sizes) for table in booklet(source)["measurement_tables"]] == tables


def test_a_strip_is_told_in_words_and_the_other_pieces_have_nests():
    record = make_record(make_pattern("cinderfell_raglan"))
    source = source_of(record, graded_as_frozen(record), home_choices(record))
    printed = booklet(source)
    assert [line.split(":")[0] for line in printed["strips"]] == ["Neckband, opened flat"]
    assert [bool(one.nests) for one in printed["schematics"]] == [True, True]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("brackenmere_pullover", "US terms, centimeters, all sizes, in color"),
        ("cinderfell_raglan", "UK terms, centimetres"),
    ],
)
def test_an_edition_names_itself_in_the_spelling_of_its_terms(name, words):
    assert words in " ".join(pages_of(name))


def test_an_edition_for_one_size_speaks_of_one_size():
    first, *others = pages_of("brackenmere_pullover", sizes="S")
    assert re.search(r"Sizes? S Construction", first)
    assert not any("there is a dash" in page for page in others)


def test_a_line_that_spans_half_of_a_girth_tells_the_width_of_its_piece():
    record = make_record(make_pattern("brackenmere_pullover"))
    source = source_of(record, graded_as_frozen(record), {**home_choices(record), "sizes": "S"})
    back = booklet(source)["schematics"][0]
    told = {line.label: label.text for line, label in zip(back.key, back.piece.labels, strict=True)}
    assert told["Chest"] == "48.5"
    assert told["Length from shoulder"] == "52"


@pytest.mark.parametrize(("terms", "word", "other"), [("US", "Gauge", "Tension"), ("UK", "Tension", "Gauge")])
def test_the_heading_of_the_gauge_is_in_the_terms_of_the_edition_and_in_its_contents(terms, word, other):
    pages = pages_of("thistledrift_waistcoat", terms=terms)
    at = next(number for number, page in enumerate(pages, 1) if "Make a swatch." in page)
    assert re.search(rf"\b{at}\s*{word}\b", pages[0])
    assert not any(other in page for page in pages)


def test_no_line_ends_between_a_number_and_its_stitch():
    record = make_record(make_pattern("puffinbay_child"), kind="release", number="1.0")
    pdf = render_pdf(record=record, choices={**home_choices(record), "print": "large"})
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages]
    assert any(re.search(r"htr in\s", page) for page in pages)
    assert not any(re.search(r"\b1\s*\n\s*htr\b|\bch\s*\n\s*\d", page) for page in pages)


@pytest.mark.parametrize(
    ("pairs", "lengths"),
    [
        ([], []),
        ([("a", "b")], [1]),
        ([("a", "b")] * 5, [3, 2]),
        ([("a", "b")] * 40, [20, 20]),
        ([("a", "b")] * 41, [41]),
        ([("a", "b"), ("c", "d" * 67)], [2]),
    ],
)
def test_abbreviations_stand_side_by_side_unless_they_would_not_fit_a_page(pairs, lengths):
    assert [len(half) for half in _halves(pairs)] == lengths
    assert [pair for half in _halves(pairs) for pair in half] == pairs


def test_the_heading_of_one_sizes_measurements_stands_above_them():
    pages = pages_of("thistledrift_waistcoat", sizes="M")
    at = next(number for number, page in enumerate(pages) if "Finished measurements" in page)
    assert "Sizes and measurements" in pages[at]
