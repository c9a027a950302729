"""What stands in “How to read this pattern” is what its steps need, and no more."""

import pytest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from catalogue.editions.reading import reading_notes
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import NEWEST_WORDING

PART = "<p>Sizes 4y to 12y only</p><p>Sew on – (4, 5) buttons.</p>"


def notes(*steps, wording=NEWEST_WORDING, has_one_size=False):
    section = PrintedSection("Back", "", tuple(SafeString(step) for step in steps), ("0.0",) * len(steps))
    return reading_notes([section], wording, has_one_size=has_one_size)


@pytest.mark.parametrize(
    ("step", "says"),
    [
        (
            "<p>Decrease on every 4th row 3 times.</p>",
            "“Every 4th row” means 3 rows without the change, then 1 row with",
        ),
        (
            "<p>On every 2nd round 9 times.</p>",
            "“Every 2nd round” means 1 round without the change, then 1 round with",
        ),
        ("<p>Every row, then every 2nd row, every 3rd row.</p>", "“Every 3rd row” means 2 rows without"),
    ],
)
def test_what_every_so_many_rows_means_is_told_of_a_row_of_the_steps(step, says):
    assert notes(step)["every_words"].startswith(says)


def test_nothing_is_told_of_rows_that_no_step_has_nor_to_earlier_wordings():
    assert notes("<p>Work every row, and every size.</p>")["every_words"] == ""
    assert notes("<p>3 sts for every 4 rows (skip every 4th row).</p>")["every_words"] == ""
    assert notes("<p>1 in each row, but miss every 5th row.</p>")["every_words"] == ""
    assert notes("<p>On every 4th row.</p>", PART, wording=2) == {
        "every_words": "",
        "has_parts_for_sizes": False,
    }


def test_a_part_for_some_sizes_says_that_its_lists_keep_every_place():
    assert notes(PART)["has_parts_for_sizes"]
    assert not notes(PART, has_one_size=True)["has_parts_for_sizes"]
    assert not notes("<p>Sizes of needles differ. Work only 3 rows.</p>")["has_parts_for_sizes"]


def test_both_are_printed_where_they_are_due():
    context = {"wording": NEWEST_WORDING, "sizes_line": "S (M)", "record": {"pattern": {"craft": "knitting"}}}
    told = notes("<p>On every 4th row.</p>", PART)
    page = " ".join(render_to_string("catalogue/pdf/_reading.html", {**context, **told}).split())
    assert (
        "in the same order. A part headed “Sizes … only” keeps the place of every size in its lists" in page
    )
    assert "<p>“Every 4th row” means 3 rows" in page
    bare = render_to_string("catalogue/pdf/_reading.html", {**context, **notes("<p>Knit.</p>")})
    assert "“Every" not in bare
    assert "A part headed" not in bare


def test_the_swatch_is_counted_in_stitches_and_rows():
    context = {"gauge_word": "gauge", "tool_word": "hook"}
    newest = render_to_string("catalogue/pdf/_needs.html", {**context, "wording": NEWEST_WORDING})
    assert "count both stitches and rows" in " ".join(newest.split())
    earlier = render_to_string("catalogue/pdf/_needs.html", {**context, "wording": 2})
    assert "measure it lying flat" in earlier
    assert "rows" not in earlier
