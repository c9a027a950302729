"""Charts: cell for cell what the written rows say."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.core.audit.cells import Beneath
from grading.core.audit.rows import Account
from grading.core.pattern.pattern import StitchPatternEntry
from grading.core.stitch_patterns.charts import chart_of
from grading.core.stitch_patterns.symbols import key_of, sign_of, signs_known, words_of_signs
from grading.core.stitch_patterns.written import written_rows
from tests.grading.core.stitch_patterns.patterns import WRITTEN, file_of

LACE = WRITTEN["lace"][1]


def cells(entry, craft, number):
    """A row of the chart as it lies, as names."""
    return ["/".join(one.names) for one in chart_of(entry, file_of(craft)).rows[number - 1].cells]


def audited(entry, craft, repeats):
    """What the count audit says that each written row takes and leaves, over so many repeats."""
    account = Account(craft)
    account.beneath = Beneath.of_count(entry.plus + repeats * entry.multiple)
    found = []
    for number, row in enumerate(written_rows(entry, file_of(craft)), 1):
        told = account.audit(f"Row {number}: {row.text}")
        assert told.verdict == "agrees", told.says
        assert told.left_over == 0
        found.append((told.takes, told.leaves))
    return found


@pytest.mark.parametrize("name", WRITTEN)
def test_the_chart_has_in_each_row_the_stitches_that_the_count_audit_finds_in_the_words(name):
    craft, entry = WRITTEN[name]
    chart = chart_of(entry, file_of(craft))
    assert chart.says == ()
    assert chart.unread == ()
    for repeats in (1, 2, 7):
        for row, (takes, leaves) in zip(chart.rows, audited(entry, craft, repeats), strict=True):
            shown = sum(one.width for one in row.worked)
            edges = shown - row.length
            assert edges % entry.multiple == entry.plus % entry.multiple
            assert row.length == entry.multiple
            assert takes == leaves == entry.plus + repeats * entry.multiple


def test_right_side_rows_lie_from_right_to_left_and_wrong_side_rows_from_left_to_right():
    entry = StitchPatternEntry(
        "slant", "Slant", 4, rows=("*K1, p1, k2; rep from * to end.", "*P1, k3; rep from * to end.")
    )
    assert cells(entry, "knitting", 1) == ["k", "k", "p", "k"]
    assert cells(entry, "knitting", 2) == ["p", "k", "k", "k"]
    from_wrong_side = replace(entry, first_side="WS")
    assert cells(from_wrong_side, "knitting", 1) == ["k", "p", "k", "k"]
    in_rounds = replace(entry, rounds=True)
    assert cells(in_rounds, "knitting", 2) == ["k", "k", "k", "p"]


def test_the_repeat_has_the_edge_stitches_outside_its_frame():
    chart = chart_of(LACE, file_of("knitting"))
    assert [(row.start, row.length, row.width) for row in chart.rows] == [(1, 6, 9)] * 4
    assert cells(LACE, "knitting", 3) == ["k", "k", "k", "yo", "sk2p", "yo", "k", "k", "k"]


def test_a_repeat_that_goes_over_its_edges_is_shown_twice():
    """Shells between those of the row below: one repeat alone has no whole shell in its second row."""
    craft, entry = WRITTEN["shells"]
    chart = chart_of(entry, file_of(craft))
    assert cells(entry, craft, 2) == ["ch/ch/ch", "dc/dc", "sc", "dc/dc/dc/dc/dc", "sc", "dc/dc/dc"]
    assert [(row.start, row.length, row.width) for row in chart.rows] == [(0, 6, 13), (3, 6, 13)]
    assert [row.turning for row in chart.rows] == [0, 0]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("K1 tbl, k2tog tbl, p2 through the back loop, k to end.", ["ktbl", "k2togtbl", "ptbl", "ptbl"]),
        ("Sl 1 wyif, sl 1 with yarn in back, slip 1 purlwise, k to end", ["sl1wyif", "sl1wyib", "sl", "k"]),
        ("Sl 1, k1, psso, k to end.", ["skp", "k"]),
    ],
)
def test_how_a_stitch_is_worked_is_never_lost(text, names):
    entry = StitchPatternEntry("how", "How", 1, 9, rows=(text,))
    assert cells(entry, "knitting", 1)[::-1][: len(names)] == names


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("K2, MB, k to end.", "“MB”: these words are not known here"),
        ("K1 in the row below, k to end.", "“below” is not drawn here"),
        ("Bind off 2 sts, k to end.", "drawn"),
        ("K to marker.", "where the markers are is not known"),
        ("As row 9.", "row 9 is not given before it, or stays in words"),
        (
            "K2 in A, k2 in B, k to end with A.",
            "several colours in one row are charted from a grid of letters",
        ),
        ("Dance a little.", "these words are not known here"),
        ("K1. Row 2: P1.", "this is no single row"),
    ],
)
def test_a_row_that_can_t_be_charted_says_why_and_the_others_are_drawn(row, why):
    entry = StitchPatternEntry("odd", "Odd", 4, rows=("Knit.", row, "Knit."))
    chart = chart_of(entry, file_of("knitting"))
    assert [one.number for one in chart.unread] == [2]
    assert why in chart.rows[1].why
    assert [bool(one.cells) for one in chart.rows] == [True, False, True]


def test_rows_that_don_t_come_out_are_told():
    entry = StitchPatternEntry("odd", "Odd", 6, 3, rows=("K2, *yo, k2tog; rep from * to end.",))
    chart = chart_of(entry, file_of("knitting"))
    assert chart.says == ("Row 1: of the 9 stitches of its repeat and edges 1 are left over.",)
    growing = StitchPatternEntry("grow", "Grow", 2, rows=("*K1, kfb; rep from * to end.",))
    assert chart_of(growing, file_of("knitting")).says == (
        "After row 1 there are 3 stitches, and row 1 begins with 2: the rows can’t be repeated as they are.",
    )


def test_rows_of_other_widths_are_filled_with_cells_that_are_no_stitch():
    entry = StitchPatternEntry(
        "wide",
        "Wide",
        2,
        1,
        rows=("K1, *k1, kfb; rep from * to end.", "*P1, p2tog; rep from * to last st, p1."),
    )
    chart = chart_of(entry, file_of("knitting"))
    assert chart.says == ()
    assert len({row.width for row in chart.rows}) == 1
    assert "" in cells(entry, "knitting", 2)
    assert key_of(chart, "knitting", "US")[-1].sign == "no_stitch"


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(WRITTEN)))
def test_the_mirror_of_the_mirror_is_the_chart(name):
    craft, entry = WRITTEN[name]
    chart = chart_of(entry, file_of(craft))
    assert chart.mirrored().mirrored() == chart
    assert [row.cells[::-1] for row in chart.mirrored().rows] == [row.cells for row in chart.rows]


# Source: common practice: what is purled on the wrong side looks knitted from the right one, and a purled
# decrease leans as the knitted one of its side; the published list says so beside its signs.
@pytest.mark.parametrize(
    ("worked", "looks"),
    [
        ("p", "knit"),
        ("k", "purl"),
        ("p2tog", "k2tog"),
        ("ssp", "ssk"),
        ("yo", "yarn_over"),
        ("sl1wyif", "slip"),
    ],
)
def test_wrong_side_rows_are_drawn_as_they_look_from_the_right_side(worked, looks):
    assert sign_of(worked, "knitting", "WS", "US") == looks


# Source: the yarn council's table of terms: a UK double crochet is a US single one, and so on.
@pytest.mark.parametrize(
    ("uk", "us"),
    [("dc", "sc"), ("tr", "dc"), ("htr", "hdc"), ("dtr", "tr"), ("tr2tog", "dc2tog"), ("fptr", "fpdc")],
)
def test_a_sign_means_the_same_stitch_in_both_terms(uk, us):
    assert sign_of(uk, "crochet", "", "UK") == sign_of(us, "crochet", "", "US") != ""


def test_the_key_holds_what_is_used_and_nothing_else():
    craft, entry = WRITTEN["cable"]
    key = key_of(chart_of(entry, file_of(craft)), craft, "US")
    assert {(line.sign, line.width): line.stitches for line in key} == {
        ("knit", 1): (("k", "on right-side rows"), ("p", "on wrong-side rows")),
        ("purl", 1): (("p", "on right-side rows"), ("k", "on wrong-side rows")),
        ("cross_left", 4): (("c4f", ""),),
    }
    assert {line.sign for line in key} <= signs_known()


def test_a_stitch_that_the_lists_have_not_got_stands_as_its_abbreviation():
    craft, entry = WRITTEN["honeycomb"]
    key = key_of(chart_of(entry, file_of(craft)), craft, "US")
    assert [(line.sign, line.short) for line in key] == [("", "loop"), ("", "tss"), ("", "tps")]


@pytest.mark.parametrize("craft", ["knitting", "crochet"])
def test_the_words_that_a_symbol_writes_are_drawn_as_that_symbol(craft):
    # What a stitch takes of the row below; common practice.
    takes = {"k2tog": 2, "p2tog": 2, "ssk": 2, "ssp": 2, "k3tog": 3, "sssk": 3, "s2kp": 3}
    takes |= {"sc2tog": 2, "sc3tog": 3, "dc2tog": 2, "dc3tog": 3}
    takes |= dict.fromkeys(("yo", "m1", "m1p", "m1l", "m1r", "ch 1"), 0)
    known = words_of_signs(craft, "US")
    assert len(known) > 10
    for line, words in known:
        plain = "k1" if craft == "knitting" else "sc in next st"
        row = f"*{plain}, {words}; repeat from * to end."
        entry = StitchPatternEntry("one", "One", takes.get(words, 1) + 1, 0, rows=(row,))
        (drawn,) = chart_of(entry, file_of(craft)).rows
        signs = [sign_of(name, craft, "", "US") for made in drawn.cells for name in made.names]
        assert line.sign in signs, words
    assert words_of_signs("tunisian", "US") == []
