"""Grids of colours: the words are written from them, and the count audit works the words."""

import re
from dataclasses import replace
from itertools import groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.core.audit.cells import Beneath
from grading.core.audit.rows import Account
from grading.core.pattern.pattern import StitchPatternEntry
from grading.core.stitch_patterns.charts import chart_of
from grading.core.stitch_patterns.grids import GridProblem, read_grid
from grading.core.stitch_patterns.written import written_rows
from tests.grading.core.stitch_patterns.patterns import file_of

CRAFTS = ("knitting", "crochet", "tunisian")


def entry_of(lines, start, length, **more):
    """A grid with its repeat marked."""
    marked = tuple(
        f"{line[:start]}|{line[start : start + length]}|{line[start + length :]}" for line in lines
    )
    return StitchPatternEntry("grid", "Grid", length, len(lines[0]) - length, grid=marked, **more)


@st.composite
def grids(draw):
    """A grid with an edge on either side, its craft, and whether it is worked in rounds."""
    before, length, after = draw(st.integers(0, 3)), draw(st.integers(1, 9)), draw(st.integers(0, 3))
    width = before + length + after
    lines = draw(st.lists(st.text("AB", min_size=width, max_size=width), min_size=1, max_size=6))
    craft = draw(st.sampled_from(CRAFTS))
    rounds = craft != "tunisian" and draw(st.booleans())
    return entry_of(lines, before, length, rounds=rounds), craft


@settings(max_examples=150, deadline=None)
@given(grids(), st.integers(1, 6))
def test_every_written_row_takes_and_leaves_all_stitches_in_the_count_audit(made, repeats):
    entry, craft = made
    stitches = entry.plus + repeats * entry.multiple
    account = Account(craft)
    account.beneath = Beneath.of_count(stitches)
    for number, row in enumerate(written_rows(entry, file_of(craft)), 1):
        told = account.audit(f"Row {number}: {row.text}")
        assert (told.verdict, told.takes, told.leaves, told.left_over) == ("agrees", stitches, stitches, 0), (
            row
        )


def test_a_tunisian_row_without_an_edge_stitch_begins_its_first_repeat_after_the_loop_on_the_hook():
    entry = entry_of(["BAAA", "AAAB"], 0, 4)
    assert [row.text for row in written_rows(entry, file_of("tunisian"))] == [
        "3 tss in A, *1 tss in B, 3 tss in A; repeat from * to the end. Return.",
        "2 tss in A, 1 tss in B, *3 tss in A, 1 tss in B; repeat from * to the end. Return.",
    ]


@settings(max_examples=100, deadline=None)
@given(grids())
def test_the_words_name_the_colours_of_the_chart_in_the_order_of_work(made):
    entry, craft = made
    written = written_rows(entry, file_of(craft))
    for row, said in zip(chart_of(entry, file_of(craft)).rows, written, strict=True):
        order = [one.colour for one in row.worked]
        if len(set(order)) == 1:
            assert f"ith {order[0]}," in said.text
            continue
        parts = [
            order[: row.start],
            order[row.start : row.start + row.length],
            order[row.start + row.length :],
        ]
        if row.from_right:
            ends = len(order) - row.start - row.length, len(order) - row.start
            parts = [order[: ends[0]], order[ends[0] : ends[1]], order[ends[1] :]]
        # A row tells the shortest run of colours that repeats in it.
        parts[1] = list(re.sub(r"^(.+?)\1+$", r"\1", "".join(parts[1])))
        if craft == "tunisian":
            # The loop on the hook is the first stitch: of the edge, or else of the first repeat.
            parts[0] = (parts[0] or parts[1])[1:]
        runs = [colour for part in parts for colour, _ in groupby(part)]
        named = [
            word.strip(",.;")
            for before, word in zip(said.text.split(), said.text.split()[1:], strict=False)
            if before == "in"
        ]
        assert [one for one in named if one in "AB"] == runs


def test_rows_of_a_grid_read_as_the_trade_writes_them():
    entry = entry_of(["AABABBA", "AAAABAA", "AAAAAAA"], 2, 4)
    assert [(row.head, row.text) for row in written_rows(entry, file_of("knitting"))] == [
        ("Row 1 (RS)", "With A, k to the end."),
        ("Row 2 (WS)", "P2 in A, *p2 in A, p1 in B, p1 in A; repeat from * to the last st, p1 in A."),
        ("Row 3 (RS)", "K1 in A, *k2 in B, k1 in A, k1 in B; repeat from * to the last 2 sts, k2 in A."),
    ]
    assert written_rows(entry, file_of("crochet", "UK"))[1].text == (
        "Ch 1, 2 dc in A, *2 dc in A, 1 dc in B, 1 dc in A; repeat from * to the last st, 1 dc in A, turn."
    )


def test_what_repeats_oftener_in_a_row_is_told_once():
    entry = StitchPatternEntry("dots", "Dots", 6, rounds=True, grid=("ABABAB", "AABAAB", "ABBABA"))
    file = file_of("knitting")
    assert [row.text for row in written_rows(entry, file)][1:] == [
        "*K1 in B, k2 in A; repeat from * to the end.",
        "*K1 in B, k1 in A; repeat from * to the end.",
    ]
    assert written_rows(entry, replace(file, wording=2))[2].text == (
        "*K1 in B, k1 in A, k1 in B, k1 in A, k1 in B, k1 in A; repeat from * to end."
    )


@pytest.mark.parametrize(
    ("grid", "says"),
    [
        (("A|AB|", "AA|B|"), "Row 1 and row 2 of the grid differ"),
        (("A|AB|", "A|AB"), "differ in length or in their | marks"),
        (("A|AB",), "Mark the repeat of the grid with two |"),
        (("AAB",), "The grid repeats 3 of 3 stitches; the multiple is 2 plus 1"),
        (("A|ABB|",), "The grid repeats 3 of 4 stitches; the multiple is 2 plus 1"),
    ],
)
def test_a_grid_that_does_not_fit_is_refused_with_its_place(grid, says):
    entry = StitchPatternEntry("grid", "Grid", 2, 1, grid=grid)
    with pytest.raises(GridProblem) as refused:
        read_grid(entry)
    assert says in refused.value.says
    assert chart_of(entry, file_of("knitting")).says == (refused.value.says,)
    assert written_rows(entry, file_of("knitting")) == []
