"""Practice pieces of all samples: each thing that is offered, and all at once, with counts that come out."""

import json
import re
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalogue.site.demo_begun import BEGUN, begun_sample
from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import WorkedOut, grade
from grading.core.grade.pieces import draw_graded
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PieceEntry
from grading.core.practice.practice import PracticePiece, practice_piece
from grading.core.practice.sheet import described_in
from grading.core.practice.techniques import Teaching, offered_techniques
from grading.core.practice.words import described
from grading.core.printing.edition import PrintForm
from grading.core.shaping.curves import plan_curve
from grading.core.shaping.shaping import ShapingInput, plan_shaping
from tests.builders import sample
from tests.grading.core.sheets import pattern_file, value
from tests.present import present

ROOT = Path(__file__).resolve().parents[4]
SAMPLES = [
    *(path for path in sorted((ROOT / "tests/data/garments").glob("*.json")) if "mistaken" not in path.name),
    *sorted((ROOT / "catalogue/site/demo").glob("*.json")),
    ROOT / "catalogue/site/guide/example.json",
]
HOME = PrintForm("cm", "US")


def teaching(typed: dict[str, Any]) -> Teaching:
    pattern = read_pattern(typed)
    return Teaching(pattern, grade(pattern))


def worked_out(piece: PracticePiece) -> WorkedOut:
    return grade(read_pattern(piece.typed))


def verdicts(graded: WorkedOut) -> list[str]:
    lines = audit_pattern(facts_of(graded.pattern, graded))
    assert lines, "nothing was read"
    return [f"{line.verdict}: {line.text}" for line in lines if line.verdict != "agrees"]


def printed(graded: WorkedOut, section: int) -> list[str]:
    facts = facts_of(graded.pattern, graded)
    steps = graded.pattern.sections[section].steps
    return [" ".join(part.text for part in render_step(step, facts, HOME)) for step in steps]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_everything_a_sample_offers_can_be_practised_and_the_counts_come_out(path):
    of = teaching(json.loads(path.read_text()))
    offered = [one.key for one in offered_techniques(of)]
    assert offered[0] == "foundation"
    assert len(set(offered)) == len(offered)
    for keys in [offered, *([key] for key in offered)]:
        piece = practice_piece(of, keys)
        assert set(keys) <= {one.key for one in piece.techniques}
        graded = worked_out(piece)
        assert verdicts(graded) == [], keys
        assert [one for one in graded.findings if one.weight == "stop"] == [], keys
        assert len(graded.pieces) == sum(1 + one.is_mirrored for one in piece.parts), keys
        assert all(worked in str(piece.typed["sections"]) for worked in _names(keys)), keys
        flat = [one["label"] for one in piece.typed["pieces"] if "opened flat" in one["label"]]
        assert len(flat) == sum(one.in_rounds for one in piece.parts), keys
        if not piece.is_small:
            assert any("need more than 20" in says for says in piece.lost), keys


# What stands before "each st to the last n sts", and how many stitches it works. Counted by hand.
WORKED_BEFORE = {
    "ch 2 (counts as a stitch), miss the first st, htr2tog, ": 3, "k1, k2tog, ": 3, "hdc2tog, ": 2,
}  # fmt: skip
TO_THE_LAST = re.compile(
    r"(?P<lead>(?:ch 2 \(counts as a stitch\), miss the first st, )?(?:htr|hdc)2tog, |k1, k2tog, )"
    r"(?:k|1 \w+ in each st) to the last (?P<kept>\d+) sts"
)


EVERY = [json.loads(path.read_text()) for path in SAMPLES] + [begun_sample(name) for name in BEGUN]


@pytest.mark.parametrize("typed", EVERY, ids=lambda typed: typed["title"])
def test_no_row_of_a_piece_has_fewer_stitches_than_it_works(typed):
    of = teaching(typed)
    offered = [one.key for one in offered_techniques(of)]
    for keys in [offered, *([key] for key in offered if key.startswith("decreases"))]:
        for part in practice_piece(of, keys).parts:
            for worked in part.course.stages:
                row = TO_THE_LAST.search(described(described_in(of, worked.stage), worked.stage.each))
                if row and worked.way.change < 0:
                    needs = WORKED_BEFORE[row["lead"]] + int(row["kept"])
                    assert worked.after + worked.stage.each >= needs, (keys, row[0])


def test_the_row_of_the_cardigan_for_children_needs_six_stitches():
    """A chain, two together, two together and one: 6; from 6 it leaves 4."""
    piece = practice_piece(teaching(sample("puffinbay_child")), ["decreases:sleeve_taper"])
    assert piece.parts[0].course.ends_on == 4


def _names(keys):
    return [key.partition(":")[2] for key in keys if ":" in key]


def test_a_piece_says_its_yarn_in_metres_for_each_colour_by_the_weighed_swatch():
    of = teaching(json.loads((ROOT / "catalogue/site/demo/thistledrift_waistcoat.json").read_text()))
    graded = worked_out(practice_piece(of, ["stripes:drift"]))
    # 4 stitches and one repeat of 6 A, 2 B, 2 A, 4 C, 2 B; a swatch of 24 × 20 weighs 9.2 g, 100 g are 220 m.
    # On the return pass of a stripe's last row the next colour is used already: it works 54 % of that row.
    metres = {colour: need.length_m[0] for colour, need in graded.yarn[0].colours.items()}
    rows = {"A": 8 - 2 * 0.54, "B": 4 + 0.54 - 0.54, "C": 4 + 0.54 - 0.54}
    each = 4 * 9.2 / (24 * 20) * 2.2
    assert sum(metres.values()) == pytest.approx(16 * each, rel=0.11)  # with the pattern's allowance
    assert metres["B"] / metres["C"] == pytest.approx(rows["B"] / rows["C"], rel=0.2)
    assert metres["A"] > metres["B"]


def test_steps_are_the_patterns_own_with_numbers_of_the_piece():
    of = teaching(json.loads((ROOT / "catalogue/site/demo/thistledrift_waistcoat.json").read_text()))
    piece = practice_piece(of, ["mirror:armhole_curve"])
    graded = worked_out(piece)
    assert [one.title for one in graded.pattern.sections] == ["Practice piece", "Mirrored practice piece"]
    assert printed(graded, 0)[:3] == [
        (
            "Fabric: Tunisian simple stitch. Tool: 5.5 mm Tunisian hook. "
            "With A and the larger Tunisian hook, ch 6."
        ),
        "Row 1: pick up a loop in the back bump of each ch from the second on, return. (6 sts)",
        "Work straight in Tunisian simple stitch until there are 3 rows.",
    ]
    armhole = printed(graded, 0)[3]
    # What the pattern says of its next step is nothing that the piece has.
    assert armhole.startswith("Count from the next row: it is row 1. Armhole at the end")
    assert "the next step" not in armhole
    first_row = armhole.split("\n")[1]
    assert first_row == "Row 1: leave 2 sts unworked at the end of the row."
    assert printed(graded, 1)[1].split("\n")[1] == "Row 1: slip stitch across 2 sts at the start of the row."


def practised(typed: dict[str, Any], *keys: str) -> list[list[str]]:
    """All sections of a practice piece as printed."""
    graded = worked_out(practice_piece(teaching(typed), keys))
    return [printed(graded, section) for section in range(len(graded.pattern.sections))]


def test_a_pattern_that_begins_with_a_rib_sideways_is_practised_in_the_fabric_of_its_neck():
    typed = json.loads((ROOT / "catalogue/site/demo/brackenmere_pullover.json").read_text())
    steps = practised(typed, "mirror:front_neck")[0]
    assert steps[:4] == [
        "Fabric: half double crochet. Tool: 5 mm hook. Ch 6.",
        "Row 1: 1 hdc in the second ch from the hook and in each ch to the end, turn. (5 sts)",
        "Row 2: ch 1 (does not count), 1 hdc in each st to the end, turn. (5 sts)",
        "Repeat row 2 until there are 4 rows.",
    ]
    assert "rib" not in " ".join(steps)


def test_a_cuff_in_the_back_loop_is_no_foundation_and_added_steps_stand_in_the_order_of_the_rows():
    typed = begun_sample("alderfleet_cardigan")
    (steps,) = practised(typed, "increases:sleeve_growth", "mirror:front_neck")
    assert steps[1:4] == [
        "Row 1: 1 hdc in the second ch from the hook and in each ch to the end, turn. (4 sts)",
        "Row 2: ch 1 (does not count), 1 hdc in each st to the end, turn. (4 sts)",
        "Repeat row 2 until there are 4 rows.",
    ]
    added = next(step for step in steps if "at the curved edge" in step)
    rows = [line.partition(" straight")[0].partition(":")[0].lower() for line in added.split("\n")]
    assert rows[1:-1] == ["work row 1", "row 2", "row 3"]


def test_a_round_is_joined_told_once_and_counted_anew():
    typed = json.loads((ROOT / "catalogue/site/demo/cinderfell_raglan.json").read_text())
    steps = practised(typed, "increases:raglan", "increases:body_extra")[0]
    assert "Join in the round without twisting and place a marker" in steps[0]
    assert steps[2].endswith("k1, m1l, k to 1 st before the marker, m1r, k1, slip the marker. (2 sts more)")
    counted = [step for step in steps if step.startswith("Count from the next round: it is round 1. ")]
    assert len(counted) == 2
    assert "Increase 1 st after the first st and 1 st before the last on rounds" in counted[1]


def test_gaps_are_told_by_the_rows_between_shaping_rows():
    typed = json.loads((ROOT / "catalogue/site/demo/cinderfell_raglan.json").read_text())
    of = teaching(typed)
    for key in ("raglan", "body_extra"):
        piece = practice_piece(of, [f"increases:{key}"])
        own = of.graded.shapings[key][of.size_of([bool(one.runs) for one in of.graded.shapings[key]]) or 0]
        small = worked_out(piece).shapings[key][0]
        is_kept = set(np.diff(small.event_rows)) <= set(np.diff(own.event_rows))
        told = [says for says in piece.lost if "shaping every" in says]
        assert is_kept == (not told)
        assert all("round" in says and "row" not in says for says in told)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_each_edge_is_picked_up_once(path):
    of = teaching(json.loads(path.read_text()))
    typed = practice_piece(of, [one.key for one in offered_techniques(of)]).typed
    for titles in (
        [one["title"] for one in typed["sections"]],
        [one["name"] for one in typed.get("yarn_sections", ())],
    ):
        assert len(set(titles)) == len(titles)


def test_a_shaping_at_one_end_of_the_rows_is_drawn_there_and_at_the_other_in_the_mirror():
    typed = json.loads((ROOT / "catalogue/site/demo/thistledrift_waistcoat.json").read_text())
    one, other = practised(typed, "mirror:armhole_curve", "decreases:v_neck")
    assert any("The V at the start of the rows: work the second and third" in step for step in one)
    assert any("The V at the end of the rows: work the second and third" in step for step in other)
    piece = practice_piece(teaching(typed), ["decreases:v_neck"])
    course = piece.parts[0].course
    across = {float(x.split()[0]) for x, _ in piece.typed["pieces"][0]["outline"]}
    assert across == {0, course.cast_on, course.ends_on}, "the edge at the end of the rows stays straight"


def test_a_markers_row_has_its_markers():
    (_, second) = practised(
        begun_sample("plovermire_hat"), "decreases:top_slow", "decreases:top_fast", "stitch_pattern:saltings"
    )
    place = next(i for i, step in enumerate(second) if step.startswith("The decrease round"))
    assert second[place - 1] == "Place a marker after every 3 sts."


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_mirrored_piece_is_the_mirror_of_the_other(path):
    of = teaching(json.loads(path.read_text()))
    for key in [one.key for one in offered_techniques(of) if one.kind == "mirror"]:
        piece = practice_piece(of, [key])
        graded = worked_out(piece)
        if not piece.parts[0].is_mirrored:  # taken off, then added in the same piece
            course = piece.parts[0].course
            assert [one.way.change for one in course.stages] == [
                course.stages[0].way.change,
                -course.stages[0].way.change,
            ]
            continue
        one, other = (drawn_edge(graded, entry) for entry in graded.pattern.pieces)
        across = one[:, 0].min() + one[:, 0].max()
        mirrored = sorted((round(across - x, 6), round(y, 6)) for x, y in one)
        assert mirrored == sorted((round(x, 6), round(y, 6)) for x, y in other)
        name = key.partition(":")[2]
        ends = {end for end in ("start", "end") for step in _steps(piece) if f"{{{name} at {end}}}" in step}
        assert ends == {"start", "end"}


def drawn_edge(graded: WorkedOut, entry: PieceEntry) -> np.ndarray:
    """The edge of a piece as drawn, with its curves."""
    (drawing,) = draw_graded(entry, graded.pieces[entry.name], graded.pattern.curves)
    edge = present(drawing).edge
    assert len(edge) > 2 * len(entry.outline), "a curve is drawn in many short lines"
    return edge


def _steps(piece):
    return [step for section in piece.typed["sections"] for step in section["steps"]]


# --- a pattern of few numbers
def small(multiple=4, plus=2, each=2, every=2, rows=(24, 28, 32), more=(8, 10, 12), depth=(6, 6, 8)):
    """Sides that taper on a multiple of stitches, then a neck in steps."""
    starts = [multiple * (6 * times + 8) + plus for times in range(3)]
    ends = [one - each * times for one, times in zip(starts, more, strict=True)]
    rounded = {"to": "nearest", "multiple": multiple, "plus": plus}
    return pattern_file(
        value("body", kind="stitches", list=starts, round=rounded),
        value("top", kind="stitches", list=ends),
        value("side", kind="rows", list=list(rows)),
        value("neck_wide", kind="stitches", list=[7, 8, 9]),
        value("neck_deep", kind="rows", list=list(depth)),
        shapings=[
            {"name": "taper", "from": "body", "to": "top", "over": "side", "each": each, "on_every": every}
        ],
        curves=[
            {
                "name": "neck", "width": "neck_wide", "depth": "neck_deep",
                "shape": "quarter ellipse", "every": 1, "fabric": "main",
            }
        ],
        sections=[
            {"title": "Body", "steps": ["Cast on {body} sts.", "{taper} ({top} sts)", "{neck at start}"]}
        ],
        craft="crochet",
    )  # fmt: skip


def test_no_smaller_piece_keeps_as_much():
    of = teaching(small())
    piece = practice_piece(of, ["decreases:taper", "curve:neck"])
    assert piece.lost == ()
    found = piece.parts[0].course
    area = found.widest * found.rows
    smaller = [
        (wide, high)
        for wide, high in product(range(1, 21), range(1, 21))
        if wide * high < area and _some_piece_keeps_all(of, wide, high)
    ]
    assert smaller == []
    assert _some_piece_keeps_all(of, found.widest, found.rows)


def _some_piece_keeps_all(of: Teaching, wide: int, high: int) -> bool:
    """Try every foundation, plain rows, taper and neck of so many stitches and rows."""
    taper = of.graded.shapings["taper"][1]
    assert taper.runs is not None
    neck = of.graded.curves["neck"][1].drops or ()
    for plain, over, deep in product(range(1, high), repeat=3):
        # rows before the taper and the neck, of the taper (always even) and of the neck (always even)
        if plain + over + deep != high or over % 2 or deep % 2 or plain < 2:
            continue
        for cast_on, times, taken in product(range(4, wide + 1), range(2, 6), range(2, 20)):
            end = cast_on - 2 * times
            plan = plan_shaping(ShapingInput(cast_on, end, over, 2, 2))
            keeps_taper = (
                (cast_on - 2) % 4 == 0
                and end % 2 == 0
                and plan.runs is not None
                and set(np.diff(plan.event_rows)) == set(np.diff(taper.event_rows))
            )
            if not keeps_taper or end - taken < 2:
                continue
            drops = plan_curve(taken, deep, "quarter ellipse").drops or ()
            kinds = [any(one > 1 for one in drops), 1 in drops, 0 in drops]
            if kinds == [any(one > 1 for one in neck), 1 in neck, 0 in neck]:
                return True
    return False


@settings(max_examples=15, deadline=None)
@given(
    multiple=st.integers(1, 8),
    plus=st.integers(0, 5),
    each=st.sampled_from([1, 2]),
    every=st.sampled_from([1, 2, 4]),
    is_odd=st.booleans(),
)
def test_multiples_edges_parity_and_spacing_are_kept(multiple, plus, each, every, is_odd):
    rows = [40 + is_odd, 48 + is_odd, 56 + is_odd]
    of = teaching(small(multiple, plus, each, every, rows, (6, 8, 10), (4, 6, 8)))
    piece = practice_piece(of, ["decreases:taper", "curve:neck"])
    graded = worked_out(piece)
    assert verdicts(graded) == []
    course = piece.parts[0].course
    assert course.cast_on >= plus
    assert (course.cast_on - plus) % multiple == 0
    assert graded.values["body"].worked.tolist() == [course.cast_on]
    for part in piece.parts:
        for one in part.course.stages:
            if one.stage.name == "neck":
                assert one.way.depth % 2 == 0
                continue
            assert one.way.rows % 2 == is_odd
            plan = graded.shapings["taper"][0]
            assert plan.each == each
            assert all((row - plan.lead) % every == 0 for row in plan.event_rows)
            whole = of.graded.shapings["taper"][1]
            is_kept = set(np.diff(plan.event_rows)) <= set(np.diff(whole.event_rows))
            assert is_kept != any("taper: shaping every" in says for says in piece.lost)


def test_what_cannot_be_kept_is_said_and_large_multiples_may_need_more_than_twenty():
    lace = {"label": "Lace", "stitches": 20, "rows": 28, "over": "10 cm", "multiple": 24, "plus": 3}
    typed = pattern_file(
        value("body", "bust * main.stitches", kind="stitches", round={"to": "nearest", "fabric": "main"}),
        fabrics={"main": lace},
        sections=[{"title": "Body", "steps": ["Cast on {body} sts.", "Work 4 rows."]}],
    )
    piece = practice_piece(teaching(typed), [])
    assert piece.parts[0].course.cast_on == 27
    assert not piece.is_small
    assert piece.lost == (
        "Practice piece: 27 stitches and 5 rows: its multiples and its steps need more than 20.",
    )


def test_a_pattern_without_a_fabric_says_so_and_unknown_ticks_are_passed_over():
    typed = {**pattern_file(), "fabrics": {}}
    piece = practice_piece(teaching(typed), ["curve:gone"])
    assert (piece.parts, piece.typed) == ((), {})
    assert piece.lost == ("The pattern has no fabric yet: add one with its gauge.",)
    assert practice_piece(teaching(pattern_file()), ["curve:gone"]).parts[0].course.cast_on == 4


NUMBERS = ("over", "each", "from", "to", "width", "depth", "count", "on_every", "every", "first", "plain_end")


@settings(max_examples=20, deadline=None)
@given(st.data())
def test_a_pattern_with_mistakes_has_a_piece_or_says_why_not(data):
    """Entries are gone, numbers are impossible: what is left is practised, and nothing raises."""
    typed = json.loads(data.draw(st.sampled_from(SAMPLES)).read_text())
    for _ in range(data.draw(st.integers(1, 3))):
        parts = ("values", "shapings", "curves", "pick_ups", "stripes", "sections", "spreads")
        part = data.draw(st.sampled_from([one for one in parts if typed.get(one)]))
        entry = data.draw(st.sampled_from(typed[part]))
        field = next((key for key in NUMBERS if key in entry), None)
        if field is None or data.draw(st.booleans()):
            typed[part].remove(entry)
        else:
            entry[field] = data.draw(st.sampled_from([1, 3, 7, 50, 1000]))
    of = teaching(typed)
    piece = practice_piece(of, [one.key for one in offered_techniques(of)])
    assert piece.parts or piece.lost
    if piece.typed:
        assert worked_out(piece).values
