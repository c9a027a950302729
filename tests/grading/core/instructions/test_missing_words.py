"""What makers would have to ask for: a repeat, a part, a method, finishing."""

import pytest

from grading.core.instructions.missing_words import missing_words
from grading.core.pattern.file import read_pattern

DONE = "Weave in the ends. Block to the measurements."


def findings(*steps, title="Body", **changes):
    typed = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Bank scarf",
        "craft": "crochet",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": ["one"],
        "sections": [{"title": title, "steps": list(steps)}],
        **changes,
    }
    return [(one.weight, one.where, one.says) for one in missing_words(read_pattern(typed))]


def fabric(label, multiple=4):
    return {"lace": {"label": label, "stitches": 20, "rows": 24, "over": "10 cm", "multiple": multiple}}


def part(name):
    return {"name": name, "fabric": "lace", "worked": "10 stitches * 10 rows", "colour": "A"}


def test_a_pattern_without_steps_is_not_asked_for_anything():
    assert findings(sections=[]) == []


def test_a_repeat_that_no_step_tells_is_a_stop():
    says = (
        "Fern lace repeats over 4 stitches, and no step says how it is worked. "
        "Write one of its rows, such as “*k1, p1; repeat from * to the end”."
    )
    assert findings(f"Work 20 rows of lace. {DONE}", fabrics=fabric("Fern lace")) == [
        ("stop", "fabrics.lace", says)
    ]


@pytest.mark.parametrize(
    ("step", "label", "multiple"),
    [
        ("Fern lace: *ch 2, sk 2, 1 dc; rep from * to the end.", "Fern lace", 4),
        ("Lace row: [2 dc, ch 1] to the end.", "Fern lace", 4),
        ("Work 20 rows.", "Stockinette in the round", 4),
        ("Work 20 rows of lace.", "Fern lace", 1),
    ],
)
def test_a_repeat_that_is_told_or_needs_no_telling_is_none(step, label, multiple):
    assert findings(f"{step} {DONE}", fabrics=fabric(label, multiple)) == []


@pytest.mark.parametrize(
    ("multiple", "step", "is_told"),
    [
        (4, "Work 20 rows of {fern}.", True),
        (4, "Work 20 rows.", False),
        (6, "Work 20 rows of {fern}.", False),
    ],
)
def test_a_step_that_names_the_stitch_pattern_of_a_fabric_tells_it(multiple, step, is_told):
    rows = [
        {"name": "fern", "label": "Fern", "multiple": 4, "rows": ["*ch 2, sk 2, 1 dc; rep from * to end"]}
    ]
    found = findings(f"{step} {DONE}", fabrics=fabric("Fern lace", multiple), stitch_patterns=rows)
    assert [where for _, where, _ in found] == ([] if is_told else ["fabrics.lace"])


@pytest.mark.parametrize(
    ("name", "is_found"),
    [("Hood lining", True), ("Pockets", True), ("Body", False), ("Body, striped", False), ("Bands", False),
     ("Body and collar", True), ("Armhole edgings", False)],
)  # fmt: skip
def test_a_yarn_part_that_no_step_makes_is_found(name, is_found):
    found = findings(
        f"Work the band and the armhole edging. {DONE}",
        fabrics=fabric("Plain", 1),
        yarn_sections=[part(name)],
    )
    assert [where for _, where, _ in found] == (["yarn_sections[0]"] if is_found else [])


@pytest.mark.parametrize(
    ("step", "own", "is_found"),
    [
        ("3 dc, 1 bobble, 3 dc.", {}, True),
        ("3 dc, 1 CL, 3 dc.", {"CL": "cluster"}, True),
        ("3 dc, 1 CL, 3 dc.", {"CL": "cluster: 3 dc in the same st, drawn together"}, False),
        ("Bobble: 5 dc in the same st, closed together. Row 1: 3 dc, 1 bobble.", {}, False),
        ("Slip 2 sts on the cable needle.", {}, False),
        ("3 dc, 1 V-stitch, 3 dc.", {}, True),
        ("A V-stitch is 1 dc, ch 1, 1 dc in the same st. 3 dc, 1 V-stitch, 3 dc.", {}, False),
        ("K3, C4F, k3.", {}, True),
        ("C4F (slip 2 sts and hold them in front, k2, k2 from the needle). K3, C4F, k3.", {}, False),
        ("3 dc, 1 popcorn, 3 dc.", {"pc": "popcorn"}, True),
        ("3 dc, 1 popcorn {help popcorn}, 3 dc.", {}, False),
        ("To make a picot, ch 3 and join. 3 dc, 1 picot, 3 dc.", {}, False),
        ("With a bobble in every fourth st work to the end.", {}, True),
        ("Work 8 rows of waffle stitch.", {}, True),
        ("Waffle stitch: *1 dc, 1 FPdc; repeat from * to the end. Work 8 rows of waffle stitch.", {}, False),
    ],
)
def test_a_special_stitch_needs_a_method(step, own, is_found):
    found = findings(f"{step} {DONE}", abbreviations=own)
    assert [(weight, where) for weight, where, _ in found] == [("warn", "sections[0].steps[0]")] * is_found


@pytest.mark.parametrize(
    ("step", "found"), [("Weave in the ends.", "block"), ("Wash and dry flat.", "ends"), (DONE, "")]
)
def test_ends_and_blocking_are_asked_for(step, found):
    said = findings(step)
    assert len(said) == bool(found)
    assert all(found in says and where == "sections" for _, where, says in said)


PIECE = {"outline": [["0", "0"], ["10 cm", "0"], ["10 cm", "10 cm"]]}
PIECES = [
    {"name": "back", "label": "Back", **PIECE, "sides": [{"name": "side", "from": 2, "to": 3}]},
    {"name": "front", "label": "Front", **PIECE, "sides": [{"name": "side", "from": 2, "to": 3}]},
]


@pytest.mark.parametrize(
    ("step", "is_found"),
    [
        ("Sew the side seams.", True),
        ("Set the sleeves in.", True),
        ("Join the shoulders.", True),
        ("Join the yarn at the shoulder.", False),
        ("Join to a round.", False),
        ("1 hdc in each st, join (5 rounds).", False),
        ("Work 20 rows.", False),
    ],
)
def test_pieces_that_are_joined_without_a_join_are_found(step, is_found):
    found = findings(f"{step} {DONE}", pieces=PIECES)
    assert [(weight, where) for weight, where, _ in found] == [("warn", "joins")] * is_found
    assert all("“Back: side” and “Front: side” are named already" in says for _, _, says in found)
    assert findings(f"{step} {DONE}", pieces=PIECES[:1]) == []
    joined = {"edges": [{"edge": "front.side"}], "onto": [{"edge": "back.side"}]}
    joins = [{"name": "side_seam", "label": "Side seam", **joined}]
    assert findings(f"{step} {DONE}", pieces=PIECES, joins=joins) == []


@pytest.mark.parametrize(
    ("step", "is_found"),
    [
        ("Work {neck_band} sts.", False),
        ("Work {all_stitches} sts in all.", False),
        ("Work one in each of the {edge} sts.", False),
        ("Work 20 rows.", True),
    ],
)
def test_a_picked_up_edge_that_no_step_tells_is_found(step, is_found):
    """Told is what a step prints, or a number worked out of it, or the stitches of which each is taken."""
    lines = [
        {"name": "edge", "label": "Edge", "kind": "stitches", "list": [20]},
        {"name": "all_stitches", "label": "All", "kind": "stitches", "formula": "2 * neck_band"},
    ]
    edge = {"name": "neck_band", "along": "stitches", "count": "edge", "ratio": "1 per 1", "fabric": "lace"}
    says = (
        "The picked-up edge “neck band” is worked out and no step tells it: write {neck_band} where it is "
        "worked, or delete it."
    )
    found = findings(f"{step} {DONE}", fabrics=fabric("Plain", 1), values=lines, pick_ups=[edge])
    assert found == [("warn", "pick_ups.neck_band", says)] * is_found


NUPP = {"name": "nupp", "label": "Nupp", "short": "np", "method": "(k1, yo, k1) in one st."}


@pytest.mark.parametrize(
    ("step", "is_found"),
    [("Knit.", True), ("K2, np, k2.", False), ("Work a row of nupps.", False), ("Work {nupp}.", False)],
)
def test_a_special_stitch_that_nothing_uses_is_found(step, is_found):
    found = findings(f"{step} {DONE}", special_stitches=[NUPP], craft="knitting")
    says = "The special stitch “Nupp” is explained, and nothing uses it: use it, or take it out."
    assert found == [("warn", "special_stitches.nupp", says)] * is_found


@pytest.mark.parametrize(
    ("step", "is_found"),
    [("1 sc.", True), ("12 fscs.", False), ("Work foundation single crochets.", False)],
)
def test_an_abbreviation_that_nothing_uses_is_found(step, is_found):
    found = findings(f"{step} {DONE}", abbreviations={"fsc": "foundation single crochet"})
    says = "The abbreviation “fsc” is explained, and nothing uses it: use it, or take it out."
    assert found == [("warn", "abbreviations", says)] * is_found


@pytest.mark.parametrize(
    ("step", "name"),
    [
        ("Work 20 rows in griddle stitch.", "griddle stitch"),
        ("Work one row of crab stitch.", "crab stitch"),
        ("Work 6 rows in marsh ripple st.", "marsh ripple stitch"),
        ("Work 6 rows in willow stitch: *k1, p1; repeat from *.", None),
        ("Work 6 rows in garter stitch, then in reverse stockinette stitch.", None),
        ("1 sc in the next stitch, 1 sc in each marked st.", None),
        ("Sew in mattress stitch; knit in the back of this st.", None),
    ],
)
def test_a_stitch_that_a_piece_is_worked_in_needs_a_method(step, name):
    says = f"“{name}” is named and its method is not: say once how it is worked."
    assert findings(f"{step} {DONE}") == ([("warn", "sections[0].steps[0]", says)] if name else [])


ROWS = {"name": "rib_rows", "label": "Rib, rows", "kind": "rows", "list": [6]}
MAIN = {"name": "main_rows", "label": "Main, rows", "kind": "rows", "list": [40]}
REST = {"name": "plain_rows", "label": "Plain, rows", "kind": "rows", "formula": "main_rows - rib_rows"}
DEPTH = {"name": "depth", "label": "Depth", "kind": "length", "formula": "(main_rows + rib_rows) / lace.rows"}


@pytest.mark.parametrize(
    ("values", "worked", "is_found"),
    [
        ([ROWS, MAIN], "10 stitches * main_rows", True),
        ([ROWS, MAIN], "10 stitches * (main_rows + rib_rows)", False),
        ([ROWS, MAIN, REST], "10 stitches * main_rows", False),
        (
            [
                ROWS,
                MAIN,
                {**DEPTH, "measured": {"how": "Straight down", "tolerance": "1 cm", "around": False}},
            ],
            "10 stitches * main_rows",
            False,
        ),
    ],
)
def test_rows_that_a_step_tells_and_nothing_reckons_with_are_found(values, worked, is_found):
    """Rows cost yarn and add to a length; those taken off counted rows are counted."""
    says = (
        "Steps tell “Rib, rows”, and no length and no yarn reckons with these rows. "
        "Add rib_rows to the rows of its part."
    )
    found = findings(
        f"Work {{rib_rows}} rows. Work {{main_rows}} rows. {DONE}",
        values=values,
        fabrics=fabric("Lace", 1),
        yarns=[{"colour": "A", "label": "Moss wool"}],
        yarn_sections=[{"name": "Body", "fabric": "lace", "worked": worked, "colour": "A"}],
    )
    assert (("warn", "values.rib_rows", says) in found) == is_found


def test_rows_in_steps_of_their_own_tell_a_fabric_that_the_section_names():
    rows = (
        "Row 1 (WS): *p2, k2; rep from * to last 2 sts, p2.",
        "Row 2 (RS): *k2, p2; rep from * to last 2 sts, k2.",
    )
    named = "Rep rows 1 and 2 until there are 8 rows of rib."
    typed = {"fabrics": {"rib": {**fabric("2 × 2 rib")["lace"]}}}
    assert findings("Cast on 34 sts.", *rows, named, DONE, **typed) == []
    untold = {"fabrics": {"rib": {**fabric("Honeycomb")["lace"]}}}
    assert [where for _, where, _ in findings("Cast on 34 sts.", *rows, named, DONE, **untold)] == [
        "fabrics.rib"
    ]
