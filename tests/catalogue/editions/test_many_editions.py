"""Editions of the samples in other units, terms, sizes, print and paper: numbers, structure, page breaks."""

import io
import itertools
import re

import pypdf
import pytest
from django.utils.html import strip_tags

from catalogue.editions.booklet import booklet
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import graded_as_frozen, render_pdf
from catalogue.editions.rendering import render_editions
from catalogue.editions.sources import source_of
from catalogue.versions.records import canonical
from grading.core.printing.measures import printed_lists
from grading.core.printing.numbers import number_list
from tests.builders import sample
from tests.catalogue.builders import SAMPLES, make_pattern, make_record
from tests.catalogue.editions.test_editions import REFERENCE, elements, page_texts, squeezed, text_of
from tests.catalogue.pdf_objects import looked_up
from tests.present import present

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]
# Letters of a line on either side of a page's end that stand in no other line.
MOST_ALIKE = 20

WANTED = {
    "other terms, both units, Letter": {"units": "both", "paper": "Letter"},
    "print-saving": {"print": "saving", "units": "in"},
    "large print": {"print": "large"},
    "one size in large print": {"print": "large", "sizes": "last"},
}


@pytest.fixture(scope="module")
def made():
    """Each sample's editions, made once for the module by the renderer: name → (record, {which: pdf})."""
    return {}


def editions_of(made, name):
    if name not in made:
        record = make_record(make_pattern(name), kind="release", number="1.0")
        home = home_choices(record)
        terms = {"US": "UK", "UK": "US"}[home["terms"]]
        asked = {}
        for which, changes in WANTED.items():
            choices = {**home, **changes}
            if "other terms" in which:
                choices["terms"] = terms
            if choices["sizes"] == "last":
                choices["sizes"] = record["results"]["sizes"][-1]
            asked[which] = choices
        wanted = list(asked.values())
        pressed = {one.place: one for one in render_editions(record=canonical(record), wanted=wanted)}
        assert [pressed[at].says for at in range(len(wanted))] == [""] * len(wanted)
        found = {which: (asked[which], pressed[at].pdf) for at, which in enumerate(asked)}
        made[name] = (record, found)
    return made[name]


@pytest.fixture(params=SAMPLES)
def every(request, made):
    return editions_of(made, request.param)


def test_every_number_of_every_size_is_that_of_the_calculation(every):
    record, editions = every
    graded = graded_as_frozen(record)
    sizes = record["results"]["sizes"]
    steps = "\n".join(step for section in record["pattern"]["sections"] for step in section["steps"])
    asked = {one for one in REFERENCE.findall(steps) if one in graded.values}
    assert len(asked) >= 5
    for which, (choices, pdf) in editions.items():
        text = text_of(pdf.content)
        kept = None if choices["sizes"] == "all" else [sizes.index(choices["sizes"])]
        for value in asked:
            numbers = graded.values[value]
            if kept and numbers.worked[kept[0]] != numbers.worked[kept[0]]:
                continue  # what a size does not have is not in its edition
            for one in printed_lists(numbers.kind, list(numbers.worked), choices["units"]):
                alone = {text for text in one.texts if text}
                is_of_some = None in one.texts and len(alone) == 1  # a block for the sizes that have it
                printed = number_list(one.texts, kept) if kept else number_list(one.texts)
                printed = alone.pop() if is_of_some and not kept else printed
                assert squeezed(printed) in text, (which, value, printed)


def test_every_finished_measurement_stands_beside_every_size(every):
    record, editions = every
    graded = graded_as_frozen(record)
    for which, (choices, pdf) in editions.items():
        text = text_of(pdf.content)
        for value in record["pattern"]["values"]:
            if "measured" in value and choices["sizes"] == "all":
                for one in printed_lists(
                    "length", list(graded.values[value["name"]].worked), choices["units"]
                ):
                    for part in table_parts(one.texts, 7 if choices["print"] == "large" else 12):
                        assert squeezed("".join(part)) in text, (which, value["name"])


def table_parts(texts, across):
    parts = -(-len(texts) // across)
    width = -(-len(texts) // parts)
    for start in range(0, len(texts), width):
        yield [text or "–" for text in texts[start : start + width]]


def test_every_edition_is_tagged_with_headings_in_order_alt_texts_and_links(every):
    _, editions = every
    for which, (_, pdf) in editions.items():
        reader = pypdf.PdfReader(io.BytesIO(pdf.content))
        found = list(elements(looked_up(reader.trailer, "/Root", "/StructTreeRoot")))
        heads = [int(one["/S"][2]) for one in found if re.fullmatch("/H[1-6]", one["/S"])]
        assert heads[0] == 1, which
        assert all(later <= earlier + 1 for earlier, later in itertools.pairwise(heads)), which
        assert all(one.get("/Alt") for one in found if one["/S"] == "/Figure"), which
        assert any("QR code" in one.get("/Alt", "") for one in found if one["/S"] == "/Figure"), which
        table_heads = [one for one in found if one["/S"] == "/TH"]
        assert table_heads
        assert all(one["/A"]["/Scope"] in ("/Column", "/Row") for one in table_heads), which
        links = [note for page in reader.pages for note in notes_of(page) if note["/Subtype"] == "/Link"]
        assert all(link["/Contents"] for link in links), which
        assert any("/1.0/corrections/" in str(link.get("/A", {}).get("/URI", "")) for link in links), which
        assert len(reader.outline) >= 1


def notes_of(page):
    return [note.get_object() for note in page.get("/Annots", [])]


def test_from_eight_pages_up_or_twelve_in_large_print_there_are_contents_with_page_numbers_that_are_right(
    every,
):
    _, editions = every
    for which, (_, pdf) in editions.items():
        pages = [squeezed(page) for page in page_texts(pdf.content)]
        first = next((at for at, page in enumerate(pages) if "Contents" in page), None)
        enough = 12 if "large print" in which else 8
        assert first is not None or pdf.pages < enough, which
        # Set closer, it may have a page less than the first setting, which asked for them.
        assert first is None or pdf.pages >= enough - 1, which
        if first is not None:
            listed = "".join(pages[first : first + 2])
            told = present(re.search(r"Cautions(\d+)Aboutthisversion", listed))
            assert "Aboutthisversion" in pages[int(told.group(1)) - 1], which


def test_no_heading_stands_alone_at_the_end_of_a_page(every):
    _, editions = every
    for which, (_, pdf) in editions.items():
        reader = pypdf.PdfReader(io.BytesIO(pdf.content))
        headings = {squeezed(title) for title in titles_of(reader.outline)}
        assert len(headings) >= 6
        headings |= {"Tofit", "Finishedmeasurements"}
        for number, page in enumerate(page_texts(pdf.content), 1):
            body = [line for line in page.splitlines() if line.strip()]
            end = next(at for at, line in enumerate(body) if " · version 1.0" in line)
            last = body[end - 1] if end else body[-1]
            assert squeezed(last) not in headings, (which, number, last)


def titles_of(outline):
    for one in outline:
        if isinstance(one, list):
            yield from titles_of(one)
        else:
            yield one.title


def test_a_print_saving_edition_has_no_colour_and_loses_no_word(made):
    record, editions = editions_of(made, "thistledrift_waistcoat")
    _, pdf = editions["print-saving"]
    inks = set()
    for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages:
        content = present(page.get_contents()).get_data().decode("latin-1")
        inks |= set(re.findall(r"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", content))
    assert inks
    assert all(red == green == blue for red, green, blue in inks), inks
    in_inches = {**home_choices(record), "units": "in"}
    coloured = render_pdf(record=record, choices=in_inches)
    check_steps(record, in_inches, coloured)
    for section in sample("thistledrift_waistcoat")["sections"]:
        assert squeezed(section["title"]) in text_of(pdf.content)
    assert len(text_of(pdf.content)) >= 0.97 * len(text_of(coloured.content))


def test_a_left_hand_edition_exchanges_the_marked_sides(made):
    record, _ = editions_of(made, "thistledrift_waistcoat")
    home = home_choices(record)
    left_hand = {**home, "hand": "left"}
    right, left = (render_pdf(record=record, choices=choices) for choices in (home, left_hand))
    check_steps(record, left_hand, left)
    assert text_of(right.content) != text_of(left.content)
    assert "left-handed" in text_of(left.content)


@pytest.mark.parametrize("which", ["other terms, both units, Letter", "one size in large print"])
def test_other_editions_say_every_step_of_a_tunisian_pattern(made, which):
    record, editions = editions_of(made, "thistledrift_waistcoat")
    check_steps(record, *editions[which])


def check_steps(record, choices, pdf):
    """Every title and step of an edition stands in its PDF, which has as many pages as it says."""
    assert pdf.pages == len(pypdf.PdfReader(io.BytesIO(pdf.content)).pages)
    text = text_of(pdf.content)
    for section in booklet(source_of(record, graded_as_frozen(record), choices))["instructions"]:
        assert squeezed(section.title) in text
        for step in section.steps:
            plain = strip_tags(step.replace("<br>", "\n").replace("</span>", "\n"))
            assert all(stands_in(squeezed(line), text) for line in plain.splitlines() if "&" not in line)


def stands_in(line, text):
    """Whether a line is printed; one that goes on over the page may have the words of a drawing between."""
    if line in text:
        return True
    begun = max(at for at in range(len(line)) if line[:at] in text)
    return begun >= MOST_ALIKE and len(line) - begun >= MOST_ALIKE and line[begun:] in text


def test_twenty_four_sizes_have_their_row_heads_again_beside_every_group():
    document = widened(sample("brackenmere_pullover"), 24)
    record = make_record(make_pattern(**document))
    pdf = render_pdf(record=record, choices=home_choices(record))
    text = text_of(pdf.content)
    assert text.count(squeezed("Chest, cm")) == 2
    assert all(squeezed(size) in text for size in record["results"]["sizes"])


def widened(document, count):
    """The sample in more sizes: every list over sizes, or over steps between them, repeats its end."""
    old = len(document["sizes"])

    def stretch(value):
        if isinstance(value, dict):
            return {key: stretch(part) for key, part in value.items()}
        if not isinstance(value, list):
            return value
        is_plain = not any(isinstance(part, dict | list) for part in value)
        more = count - old if is_plain and len(value) in (old, old - 1) else 0
        return [*map(stretch, value), *[value[-1]] * more] if value else value

    sizes = [*document["sizes"], *(f"G{number}" for number in range(old + 1, count + 1))]
    return {**stretch(document), "sizes": sizes}
