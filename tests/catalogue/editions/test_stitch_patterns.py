"""Stitch patterns in PDFs: words, chart and key from one source, in every kind of edition."""

import copy
import io
import re
from typing import cast

import pypdf
import pytest

from catalogue.drawings.chart_keys import draw_key
from catalogue.drawings.chart_signs import DRAWN, flipped, strokes_of
from catalogue.drawings.stitch_charts import CELL_MM, CELL_MM_LARGE, LEAST_MM, Look, draw_charts
from catalogue.drawings.stitch_sheets import stitch_sheet
from catalogue.editions.booklet import booklet
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen, render_pdf
from catalogue.editions.sources import source_of
from catalogue.versions.changes import record_differences
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import StitchPatternEntry
from grading.core.printing.edition import PrintForm
from grading.core.stitch_patterns.symbols import signs_known
from tests.builders import sample
from tests.catalogue.builders import make_pattern, make_record
from tests.catalogue.editions.stitch_samples import OF_SAMPLE, make_sampler
from tests.catalogue.editions.test_editions import elements
from tests.catalogue.pdf_objects import looked_up

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]


def sheets(record, **changes):
    """The stitch patterns of a record as an edition prints them, by name."""
    source = source_of(record, graded_as_frozen(record), {**home_choices(record), **changes})
    return {one["of"].name: one["of"] for one in booklet(source)["stitch_sheets"]}


def test_every_published_sign_has_a_form_and_nothing_else_is_drawn():
    assert signs_known() == DRAWN


def test_signs_mirrored_twice_are_as_they_were():
    for sign in DRAWN:
        for width in (1, 4):
            for stroke in strokes_of(sign, width):
                twice = flipped(flipped(stroke, width), width)
                assert [pytest.approx(point) for point in stroke.points] == list(twice.points)


def test_the_pdf_says_the_rows_once_in_words_and_once_behind_the_chart():
    record = make_record(make_sampler(), kind="release", number="1.0")
    pdf = render_pdf(record=record, choices=home_choices(record))
    text = " ".join(
        " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages).split()
    )
    assert "Stitch patterns" in text
    assert "Row 1 (RS): K2, *yo, ssk, k1, k2tog, yo, k1; repeat from * to last st, k1." in text
    assert "Work 12 rounds in Scattered seeds (see Stitch patterns)." in text
    assert "Row 6 is not in the chart: follow the words." in text
    tree = looked_up(pypdf.PdfReader(io.BytesIO(pdf.content)).trailer, "/Root", "/StructTreeRoot")
    said = [" ".join(one["/Alt"].split()) for one in elements(tree) if one["/S"] == "/Figure"]
    chart = next(one for one in said if one.startswith("Chart of Trellis."))
    assert "Row 2 (WS): Purl." in chart
    assert render_pdf(record=record, choices=home_choices(record)).sha256 == pdf.sha256


def test_sizes_that_don_t_come_out_say_what_is_left_over():
    record = make_record(make_sampler())
    fits = sheets(record)["trellis"].fits
    assert len(fits) == 1
    assert "repeats" in fits[0]
    assert "sts left over" in fits[0]
    assert sheets(record, sizes="S")["seeds"].fits == ("Body: 204 sts, 51 repeats.",)


@pytest.mark.parametrize(
    ("multiple", "plus", "says"),
    [
        (203, 0, "Body: 204 sts, 1 repeat, 1 st left over."),
        (6, 205, "Body: 204 sts, 0 repeats, 204 sts left over."),
    ],
)
def test_what_is_left_over_is_never_less_than_nothing(multiple, plus, says):
    graded = grade(read_pattern(sample("cinderfell_raglan")))
    look = Look(facts_of(graded.pattern, graded), PrintForm())
    place = look.facts.row("body_stitches").index(204)
    entry = StitchPatternEntry(
        "x", "X", multiple, plus, rows=("Knit.",), over=("body_stitches",), left_over="Work them plain."
    )
    assert stitch_sheet(entry, look, [place]).fits == (says,)


def test_colours_of_one_yarn_are_told_by_their_shades():
    yarns = [
        {"colour": letter, "label": "Fellwether", "shade": shade}
        for letter, shade in (("A", "Slate"), ("B", "Foam"))
    ]
    graded = grade(read_pattern({**sample("cinderfell_raglan"), "yarns": yarns, "yarn_sections": []}))
    entry = StitchPatternEntry("waves", "Waves", 2, grid=("|AB|",))
    look = Look(facts_of(graded.pattern, graded), PrintForm())
    assert [one.says for one in draw_key(entry, look)] == ["A: Fellwether, Slate", "B: Fellwether, Foam"]


def charts_of(rows, width, hand="right", craft="knitting", **more):
    """The parts of a chart over so many stitches."""
    graded = grade(read_pattern(sample("cinderfell_raglan")))
    look = Look(facts_of(graded.pattern, graded), PrintForm(hand=hand))
    return draw_charts(StitchPatternEntry("x", "X", width, 0, rows=rows, craft=craft, **more), look, "Words")


def cells_of(part):
    """The left and right edge of each cell of a part, in mm."""
    found = re.findall(r"M(-?[\d.]+) -?[\d.]+h([\d.]+)", part.grid)
    return [(float(left), float(left) + float(wide)) for left, wide in found]


def numbers_right(part):
    """Where the numbers of rows stand that begin at the right."""
    return [text.x for text in part.texts if text.text.startswith("←")]


def test_a_wide_chart_is_cut_beside_a_cable_and_never_through_it():
    parts = charts_of(("*K15, c4f, k15; repeat from * to end.", "Purl."), 34)
    assert [one.caption for one in parts] == ["Stitches 1 to 19 of 34", "Stitches 20 to 34 of 34"]
    assert [len(cells_of(one)) for one in parts] == [16 + 19, 15 + 15]
    for one in parts:
        ends = {right for _, right in cells_of(one) if right > 14 * CELL_MM}
        assert max(ends) < min(numbers_right(one))


def test_stitches_of_a_part_are_counted_from_where_the_first_row_begins():
    rows = ("*K20, yo, k2tog, k18; repeat from * to end.", "Purl.")
    right, left = (charts_of(rows, 40, hand=hand) for hand in ("right", "left"))
    assert [one.caption for one in right] == ["Stitches 1 to 20 of 40", "Stitches 21 to 40 of 40"]
    assert [one.caption for one in left] == [one.caption for one in right]
    # The yarn over and the two together stand in the second half that is worked; a wrong-side row is dots.
    for parts in (right, left):
        assert [bool(one.lines) for one in parts] == [False, True]


def test_cables_that_leave_no_common_edge_are_drawn_whole_in_one_part_and_fit_the_page():
    rows = ("*C4f; repeat from * to end.", "Purl.", "K2, *c4f; repeat from * to last 2 sts, k2.", "Purl.")
    parts = charts_of(rows, 64)
    assert len(parts) > 1
    for one in parts:
        assert max(right for _, right in cells_of(one)) < min(numbers_right(one))
        assert one.frame.width_mm <= 160


def test_a_wide_chart_is_split_with_a_word_and_cells_are_large_enough_to_read():
    assert CELL_MM_LARGE > CELL_MM >= LEAST_MM
    record = make_record(make_sampler())
    wide, large = (sheets(record, print=kind)["wide"].charts for kind in ("screen", "large"))
    assert [one.caption for one in wide] == ["Stitches 1 to 30 of 60", "Stitches 31 to 60 of 60"]
    assert len(large) > 2
    assert all(one.frame.width_mm <= 160 for one in [*wide, *large])


def test_crochet_is_printed_in_the_terms_of_the_edition():
    record = make_record(make_sampler("brackenmere_pullover"))
    us, uk = sheets(record), sheets(record, terms="UK")
    assert us["shells"].written[0].words.startswith("Ch 1, sc in first st, *sk 2 sts, 5 dc in next st")
    assert uk["shells"].written[0].words.startswith("Ch 1, dc in first st, *miss 2 sts, 5 tr in next st")
    assert {one.says for one in us["shells"].key} >= {"sc", "dc"}
    assert {one.says for one in uk["shells"].key} >= {"dc", "tr"}
    assert us["shells"].charts[0].lines == uk["shells"].charts[0].lines
    assert (
        us["texture"].in_letters
        == "There is no published symbol for hdc2tog: its abbreviation stands in the cell."
    )
    assert "htr2tog" in uk["texture"].in_letters


def test_left_handed_work_has_the_chart_from_the_other_side():
    record = make_record(make_sampler("thistledrift_waistcoat"))
    right, left = (sheets(record, hand=hand)["honeycomb"] for hand in ("right", "left"))
    assert right.written == left.written
    assert "from right to left" in right.reading
    assert left.reading.endswith("The chart is mirrored for left-handed work.")
    wide = [text for text in right.charts[0].texts if text.text == "loop"]
    assert {text.x for text in wide} != {text.x for text in left.charts[0].texts if text.text == "loop"}
    ends = {text.anchor for text in left.charts[0].texts if re.search("[←→]", text.text)}
    assert ends == {"end"}


def test_colours_are_told_without_colour_by_their_letters():
    record = make_record(make_sampler())
    diamonds = sheets(record, print="saving")["diamonds"]
    letters = [text.text for text in diamonds.charts[0].texts if text.text in ("A", "B")]
    assert len(letters) == 6 * 11
    assert letters.count("B") == "".join(cast("list[str]", OF_SAMPLE["cinderfell_raglan"][2]["grid"])).count(
        "B"
    )


@pytest.mark.parametrize("name", OF_SAMPLE)
def test_the_abbreviations_of_the_rows_are_explained(name):
    record = make_record(make_sampler(name))
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    told = [*context["abbreviation_halves"], context["abbreviations_below"]]
    known = {short for part in told for short, _ in part}
    wanted = {
        "cinderfell_raglan": {"ssk", "yo"},
        "brackenmere_pullover": {"FPdc", "dtr"},
        "thistledrift_waistcoat": {"tps"},
    }
    assert wanted[name] <= known


def test_a_changed_row_is_told_between_two_versions_by_its_number():
    old = make_record(make_sampler())
    new = copy.deepcopy(old)
    trellis = next(one for one in new["pattern"]["stitch_patterns"] if one["name"] == "trellis")
    trellis["rows"][1] = "P to end."
    changed = record_differences(old, new).entries
    assert [(one.place, one.old, one.new) for one in changed] == [
        ("Stitch patterns, Trellis, row 2", "Purl.", "P to end.")
    ]


def test_a_pattern_without_stitch_patterns_prints_no_such_section():
    record = make_record(make_pattern())
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    assert context["stitch_sheets"] == []
