"""Sentences can be followed without arithmetic, for all sizes and for one, in US and UK words."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.printing.curve_sentences import curve_lines
from grading.core.printing.group_words import groups_in_order
from grading.core.printing.pick_up_sentences import pick_up_sentence
from grading.core.printing.sentences import (
    merged_lines,
    shaping_sentence,
    stripe_words,
)
from grading.core.printing.shaping_sentences import ShapingWords
from grading.core.printing.spread_sentences import spread_sentence
from grading.core.printing.wording import Voice
from grading.core.shaping.curves import plan_curve
from grading.core.shaping.pick_ups import parse_ratio, plan_pick_up
from grading.core.shaping.shaping import ShapingInput, plan_shaping
from grading.core.shaping.spreads import plan_spread
from grading.core.yarn.stripes import StripeRepeat
from tests.present import present


def plan(start, end, rows, each=2, **more):
    return plan_shaping(ShapingInput(start=start, end=end, rows=rows, each=each, **more))


def voice(labels="S M L", craft="knitting", **more):
    return Voice(tuple(labels.split()), craft, **more)


def first(labels="S M L", craft="knitting", **more):
    return voice(labels, craft, wording=1, **more)


TAPER = ShapingWords((plan(80, 60, 60), plan(86, 64, 62, plain_end=2), plan(60, 60, 40)))


def test_one_size_reads_plainly():
    said = shaping_sentence(TAPER, first(kept=(1,)))
    assert said == (
        "Decrease 2 sts on every 5th row 6 times, then every 6th row 5 times, then work 2 rows straight."
    )


def test_all_sizes_have_one_phrase_per_rank_with_dashes():
    assert shaping_sentence(TAPER, first()) == (
        "Decrease 2 sts on every 6th (5th, –) row 10 (6, –) times, "
        "then every – (6th, –) row – (5, –) times, then work 0 (2, 40) rows straight."
    )


def test_no_change_is_worked_straight():
    assert shaping_sentence(TAPER, first(kept=(2,))) == "Work 40 rows straight."


def test_no_ending_where_no_row_is_left():
    assert shaping_sentence(TAPER, first(kept=(0,))) == "Decrease 2 sts on every 6th row 10 times."


def test_rounds_and_the_authors_words():
    shaping = ShapingWords(TAPER.plans, "decrease 1 st at each end", rounds=True)
    assert shaping_sentence(shaping, first(kept=(0,))) == (
        "Decrease 1 st at each end on every 6th round 10 times."
    )


def test_singular_and_every_row():
    shaping = ShapingWords((plan(10, 11, 2, each=1), plan(10, 13, 3, each=1)))
    assert shaping_sentence(shaping, first("S M", kept=(0,))) == "Increase 1 st on every 2nd row once."
    assert shaping_sentence(shaping, first("S M", kept=(1,))) == "Increase 1 st on every row 3 times."


def test_increases_and_decreases_are_told_apart():
    shaping = ShapingWords((plan(60, 64, 20), plan(64, 60, 20)))
    assert shaping_sentence(shaping, first("S M")) == (
        "Decrease 2 sts on every – (10th) row – (2) times. Increase 2 sts on every 10th (–) row 2 (–) times."
    )


def test_a_late_first_row_is_told():
    shaping = ShapingWords((plan(60, 64, 20, first=5),))
    assert shaping_sentence(shaping, first("S")) == (
        "Work 4 rows straight; then, counting from there, increase 2 sts on every 8th row 2 times."
    )


def test_an_early_first_row_is_named():
    shaping = ShapingWords((plan(60, 66, 10, first=1, on_every=2),))
    assert shaping.plans[0].event_rows == [1, 5, 9]
    assert shaping_sentence(shaping, first("S")) == (
        "Increase 2 sts on row 1, then every 4th row 2 times, then work 1 row straight."
    )


def test_a_size_that_cannot_be_shaped_gets_a_dash():
    shaping = ShapingWords((plan(80, 0, 4), plan(80, 60, 60)))
    assert shaping_sentence(shaping, first("S M", kept=(0,))) == "–"
    assert "every – (6th) row" in shaping_sentence(shaping, first("S M"))


def test_more_than_eight_sizes_use_constant_groups():
    shaping = ShapingWords(tuple(plan(80, 60, 60 + 10 * i) for i in range(9)))
    said = shaping_sentence(shaping, first("A B C D E F G H I"))
    assert re.search(r"every 6th \(7th, 8th, 9th\) \[10th, 11th, 12th\] \(13th, 14th\) row", said)


@given(st.integers(1, 40), st.integers(0, 100), st.integers(1, 3), st.integers(0, 5))
def test_one_size_can_be_followed_to_the_row(times, more, on_every, plain_end):
    found = plan(0, 2 * times, times * on_every + more + plain_end, on_every=on_every, plain_end=plain_end)
    said = shaping_sentence(ShapingWords((found,)), first("S"))
    row, rows = 0, []
    for every, count in re.findall(r"every (?:(\d+)\w\w )?row (once|\d+)", said):
        for _ in range(1 if count == "once" else int(count)):
            row += int(every or 1)
            rows.append(row)
    assert rows == found.event_rows
    straight = re.search(r"work (\d+) rows? straight", said)
    assert row + (int(straight[1]) if straight else 0) == found.rows


def test_sizes_that_are_shaped_otherwise_are_told_one_by_one():
    assert shaping_sentence(TAPER, voice()) == (
        "S: decrease 1 st at each end of every 6th row 10 times. "
        "M: decrease 1 st at each end of every 5th row 6 times, then of every 6th row 5 times, "
        "then work 2 rows straight. "
        "L: work 40 rows straight."
    )
    same = ShapingWords((TAPER.plans[0], TAPER.plans[1], TAPER.plans[0]))
    assert shaping_sentence(same, voice()).startswith("S, L: decrease 1 st at each end of every 6th row 10 ")


def test_sizes_that_are_shaped_alike_shared_a_sentence_in_the_second_wording():
    assert shaping_sentence(TAPER, voice(wording=2)) == (
        "Sizes S and M: decrease 1 st at each end of every 6th (5th) row 10 (6) times, "
        "then of every – (6th) row – (5) times, "
        "then work straight until 60 (62) rows are worked from where the "
        "shaping began. "
        "Size L: work 40 rows straight."
    )


def test_one_size_has_its_rows_by_number():
    said = shaping_sentence(TAPER, voice(kept=(0,)))
    assert said == "Decrease 1 st at each end of rows 6, 12, 18, 24, 30, 36, 42, 48, 54 and 60."
    closed = ShapingWords(TAPER.plans, "Sc2tog at both ends.", starts=(80, 86, 60), is_closed=False)
    assert shaping_sentence(closed, voice(kept=(1,))) == (
        "Sc2tog at both ends on rows 5, 10, 15, 20, 25, 30, 36, 42, 48, 54 and 60 (64 sts), "
        "then work 2 rows straight."
    )


def test_stitches_follow_each_group_but_the_last_where_the_author_tells_them():
    shaping = ShapingWords((plan(80, 60, 68), plan(86, 64, 62)), starts=(80, 86))
    first_group = "Decrease 1 st at each end of every 6th (5th) row 2 (4) times (76 (78) sts), "
    assert shaping_sentence(shaping, voice("S M")) == (
        f"{first_group}then of every 7th (6th) row 8 (7) times."
    )
    untold = ShapingWords(shaping.plans, starts=(80, 86), is_closed=False)
    assert shaping_sentence(untold, voice("S M")).endswith("7th (6th) row 8 (7) times (60 (64) sts).")


def test_every_row_is_never_every_1st_row():
    shaping = ShapingWords((plan(20, 10, 5), plan(30, 10, 30), plan(20, 6, 9)))
    said = shaping_sentence(shaping, voice())
    assert "1st row" not in said
    assert said == (
        "S: decrease 1 st at each end of every row 5 times. "
        "M: decrease 1 st at each end of every 3rd row 10 times. "
        "L: decrease 1 st at each end of every row 5 times, then of every 2nd row twice."
    )


# A list of how often, and each number of a list: what is left shows which sizes have none.
ONE = r"(?:–|once|twice|\d+(?:st|nd|rd|th| times)?)"
LIST = rf"{ONE}(?: [(\[]{ONE}(?:, {ONE})*[)\]])*"
NUMBERS = re.compile(r"\d+(?:st|nd|rd|th| times)?|once|twice")


@given(
    st.lists(
        st.tuples(st.integers(0, 12), st.integers(0, 40), st.integers(1, 3), st.booleans()),
        min_size=2,
        max_size=6,
    )
)
def test_no_size_is_told_to_do_a_thing_0_times(sizes):
    plans = tuple(
        plan(100, 100 + (2 if grows else -2) * times, times * every + more + 1, on_every=every)
        for times, more, every, grows in sizes
    )
    labels = voice(" ".join("ABCDEF"[: len(plans)]))
    said = shaping_sentence(ShapingWords(plans, starts=(100,) * len(plans)), labels)
    # Only a size of even gaps has no second part: those that have one are named, and nothing is a dash.
    assert "–" not in said
    assert not re.search(r"(?<!\d)(?:0\b|1st)", said)


def test_a_second_part_names_the_sizes_that_have_it_and_once_had_dashes_for_the_others():
    even, uneven = plan(80, 60, 60), plan(86, 64, 62, plain_end=2)
    assert [len({b - a for a, b in pairwise([0, *one.event_rows])}) for one in (even, uneven)] == [1, 2]
    for plans, size, every, times in (
        ((even, uneven), "M", "– (6th)", "– (5)"),
        ((uneven, even), "S", "6th (–)", "5 (–)"),
    ):
        said = shaping_sentence(ShapingWords(plans), voice("S M", wording=2))
        assert f"then of every {every} row {times} times" in said
        said = shaping_sentence(ShapingWords(plans), voice("S M"))
        assert re.search(rf"{size}: [^.]*, then of every 6th row 5 times, then work 2 rows straight", said)
        assert "–" not in said
    for one in (even, uneven):
        assert "–" not in shaping_sentence(ShapingWords((one, one)), voice("S M"))


def test_the_same_interval_stands_once_for_a_size():
    shaping = ShapingWords((plan(100, 132, 32), plan(100, 132, 40)), starts=(100, 100))
    assert shaping_sentence(shaping, voice("S M")) == (
        "S: increase 1 st at each end of every 2nd row 16 times. "
        "M: increase 1 st at each end of every 2nd row 8 times (116 sts), then of every 3rd row 8 times."
    )
    alone = ShapingWords(shaping.plans[:1] * 2)
    assert shaping_sentence(alone, voice("S M")) == "Increase 1 st at each end of every 2nd row 16 times."


def test_a_shaping_beside_another_leaves_no_row_straight():
    beside = ShapingWords((plan(10, 14, 12),), "increase at both ends", rounds=True, at_once=True)
    assert shaping_sentence(beside, voice("S", kept=(0,))) == "Increase at both ends on rounds 6 and 12."
    early = replace(beside, plans=(plan(10, 14, 12, on_every=2, first=1),))
    assert shaping_sentence(early, voice("S", kept=(0,))) == "Increase at both ends on rounds 5 and 11."
    alone = replace(early, at_once=False)
    assert shaping_sentence(alone, voice("S", kept=(0,))).endswith("then work 1 round straight.")


RAGLAN = {
    "raglan": ShapingWords((plan(12, 18, 6, on_every=2), plan(12, 16, 6, on_every=2)), rounds=True),
    "body_extra": ShapingWords((plan(70, 74, 6), plan(70, 70, 6)), rounds=True),
}


def test_one_size_has_one_line_per_stretch():
    assert merged_lines(RAGLAN, voice("S M", kept=(0,))) == [
        "Round 2: increase 2 sts (raglan).",
        "Round 3: increase 2 sts (body extra).",
        "Round 4: increase 2 sts (raglan).",
        "Round 6: increase 2 sts (raglan) and increase 2 sts (body extra).",
    ]


def test_several_sizes_have_a_line_each():
    assert merged_lines(RAGLAN, voice("S M")) == [
        (
            "Raglan: increase 2 sts. Body extra: increase 2 sts. Count all rounds from the first; "
            "where both fall on one round, work both in it."
        ),
        "S: raglan on rounds 2, 4 and 6; body extra on rounds 3 and 6.",
        "M: raglan on rounds 2 and 6.",
    ]
    assert merged_lines(RAGLAN, first("S M")) == [
        "Raglan = increase 2 sts; body extra = increase 2 sts.",
        "S: round 2: raglan; round 3: body extra; round 4: raglan; round 6: raglan and body extra.",
        "M: rounds 2 and 6: raglan.",
    ]


def test_a_size_without_a_plan_has_no_line_and_none_has_a_dash():
    broken = {"raglan": ShapingWords((plan(12, 90, 6), plan(12, 16, 6)))}
    assert merged_lines(broken, first("S M"))[1] == "S: –."
    assert merged_lines(broken, voice("S M"))[1:] == ["M: raglan on rows 3 and 6."]
    assert merged_lines({"raglan": ShapingWords((plan(12, 90, 6),) * 2)}, voice("S M")) == ["–"]


def test_sizes_that_follow_one_another_are_named_by_the_first_and_the_last():
    plans = (plan(12, 16, 6), plan(12, 16, 6), plan(12, 16, 6), plan(12, 16, 7, plain_end=1), plan(12, 16, 6))
    assert merged_lines({"neck": ShapingWords(plans)}, voice("A B C D E"))[1:] == [
        "A to C, E: neck on rows 3 and 6.",
        "D: neck on rows 3 and 6; work straight to the end of row 7.",
    ]


def test_groups_that_differ_are_told_in_order():
    assert spread_sentence([plan_spread(12, 80)], voice("S")) == (
        "Increase 12 sts evenly over 80 sts, 1 at the end of each group; "
        "groups in order: 7, 6 and 7 sts, 4 times."
    )


def test_equal_groups_print_as_numbers():
    assert spread_sentence([plan_spread(-4, 80), plan_spread(-4, 84)], voice("S M")) == (
        "Decrease 4 sts evenly over 80 (84) sts, 1 at the end of each group of 20 (21) sts."
    )


def test_a_change_in_each_stitch_says_so():
    assert spread_sentence([plan_spread(78, 78), plan_spread(84, 84)], voice("S M")) == (
        "Increase 78 (84) sts evenly over 78 (84) sts, 1 in each st."
    )
    older = replace(voice("S"), wording=2)
    assert spread_sentence([plan_spread(78, 78)], older).endswith("1 at the end of each group of 1 st.")


def test_sizes_that_differ_are_told_one_by_one():
    said = spread_sentence([plan_spread(12, 80), plan_spread(10, 80), plan_spread(12, 80)], voice())
    assert said.startswith("Increase 12 (10, 12) sts evenly over 80 sts")
    assert said.endswith("groups in order: S, L: 7, 6 and 7 sts, 4 times; M: 8 sts, 10 times.")


def test_no_change_and_no_plan():
    assert spread_sentence([plan_spread(0, 80)], voice("S")) == "Work straight."
    assert spread_sentence([plan_spread(None, 80)], voice("S")) == "–"


def edge_lines(at, every=1, **more):
    plans = [plan_curve(12, 4, "quarter ellipse"), plan_curve(6, 3, "straight")]
    return curve_lines(plans, every, voice("S M", **{"wording": 1, **more}), at)


def test_crochet_alternates_so_that_the_edge_stays():
    assert edge_lines("start", craft="crochet") == [
        "Row 1: slip stitch across 8 (2) sts at the start of the row.",
        "Row 2: leave 2 sts unworked at the end of the row.",
        "Row 3: slip stitch across 2 sts at the start of the row.",
        "Row 4: work straight (size S only).",
    ]


def test_both_fronts_mirror_each_other():
    starts, ends = (edge_lines(at, craft="crochet") for at in ("start", "end"))
    for one, other in zip(starts, ends, strict=True):
        assert ("at the start" in one) == ("at the end" in other)


def test_tunisian_work_is_never_turned():
    assert all("at the end" in line for line in edge_lines("end", craft="tunisian")[:3])


def test_the_other_hand_exchanges_starts_and_ends():
    mirrored = edge_lines("end", craft="tunisian", mirrored=True)
    assert mirrored == edge_lines("start", craft="tunisian")


@pytest.mark.parametrize(("terms", "verb"), [("US", "bind off"), ("UK", "cast off")])
def test_knitting_casts_off_at_the_start(terms, verb):
    lines = edge_lines("start", every=2, terms=terms)
    assert lines[0] == f"Row 1: {verb} 8 (2) sts at the start of the row; work row 2 straight."
    assert lines[1].startswith("Row 3:")
    assert lines[3] == "Rows 7 and 8: work straight (size S only)."


def test_knitting_casts_off_the_far_edge_one_row_later():
    assert edge_lines("end", every=2)[0] == (
        "Row 1: work straight; row 2: bind off 8 (2) sts at the start of the row."
    )


def test_reversed_gives_the_drops_back_as_additions():
    drops = [plan_curve(12, 3, "quarter ellipse")]
    lines = curve_lines(drops, 1, voice("S", "crochet", wording=1), "reversed")
    assert plan_curve(12, 3, "quarter ellipse").drops == (9, 2, 1)
    assert [present(re.search(r"\d+ sts?", line))[0] for line in lines] == ["1 st", "2 sts", "9 sts"]
    knitted = curve_lines([plan_curve(3, 1, "straight")], 2, voice("S", wording=1), "reversed")
    assert knitted == ["Row 1: cast on 3 sts at the curved edge; work row 2 straight."]


def test_a_size_with_fewer_steps_gets_a_dash():
    plans = [plan_curve(6, 3, "straight"), plan_curve(2, 2, "straight"), plan_curve(2, 0, "straight")]
    lines = curve_lines(plans, 1, voice(craft="crochet", wording=1), "start")
    assert lines[0] == "Row 1: slip stitch across 2 (1, –) sts at the start of the row."
    assert lines[2] == "Row 3: slip stitch across 2 (–, –) sts at the start of the row."
    assert curve_lines(plans, 1, voice(kept=(2,)), "start") == ["–"]


def test_one_size_prints_its_own_steps_only():
    assert len(edge_lines("start", kept=(1,))) == 3
    assert "(" not in " ".join(edge_lines("start", kept=(1,)))


NECKS = [plan_curve(width, depth, "quarter ellipse") for width, depth in ((12, 6), (14, 7), (17, 8))]


def necks(craft, at, every=1, **more):
    return curve_lines(NECKS, every, voice(craft=craft, **more), at)


def test_rows_of_every_size_are_lists_and_what_is_left_is_told_by_size():
    assert necks("crochet", "start") == [
        "Row 1: slip stitch across 7 (7, 8) sts at the start of the row.",
        "Row 2: leave 2 (3, 3) sts unworked at the end of the row.",
        "Row 3: slip stitch across 1 (2, 2) sts at the start of the row.",
        "Row 4: leave 1 (1, 2) sts unworked at the end of the row.",
        "Row 5: slip stitch across 1 st at the start of the row.",
        "After that, in the same way:",
        "L: 1 st in row 6.",
        "Work all other rows straight, until 6 (7, 8) rows are worked in all.",
    ]


def test_knitting_casts_off_both_edges_in_one_list():
    lines = necks("knitting", "ends", every=2, terms="UK")
    assert lines[:2] == [
        "Rows 1 and 2: cast off 7 (7, 8) sts at the start of each row.",
        "Rows 3 and 4: cast off 2 (3, 3) sts at the start of each row.",
    ]
    assert necks("knitting", "ends", every=2, kept=(0,))[2] == (
        "Rows 5 to 10: bind off 1 st at the start of each row."
    )
    assert necks("knitting", "end", every=2)[0] == "Row 2: bind off 7 (7, 8) sts at the start of the row."


@pytest.mark.parametrize("craft", ["crochet", "tunisian"])
def test_crochet_takes_off_both_edges_in_one_row(craft):
    assert necks(craft, "ends")[1] == (
        "Row 2: slip stitch across 2 (3, 3) sts at the start of the row "
        "and leave as many unworked at its end."
    )
    assert necks(craft, "ends") == necks(craft, "ends", mirrored=craft == "tunisian")


def test_what_is_added_along_a_curve_is_told_by_size():
    assert necks("knitting", "reversed", every=2)[:2] == [
        "Cast on these sts at the curved edge:",
        "S: 1 st in each of rows 3, 5 and 7, 2 sts in row 9, 7 sts in row 11.",
    ]


def test_crochet_adds_along_a_curve_as_the_step_says_for_either_end_of_a_row():
    """A new stitch is chained before a row and worked at the end of one: the line names neither."""
    assert necks("crochet", "reversed", kept=(0,)) == [
        "Work row 1 straight.",
        "Rows 2 to 4: add 1 st at the curved edge in each row.",
        "Row 5: add 2 sts at the curved edge.",
        "Row 6: add 7 sts at the curved edge.",
    ]
    assert necks("crochet", "reversed")[0] == "Add these sts at the curved edge:"
    assert necks("crochet", "reversed", wording=2)[0] == "Chain these sts, and work into them:"


@given(
    st.lists(st.tuples(st.integers(0, 30), st.integers(1, 14)), min_size=1, max_size=4),
    st.sampled_from(["start", "end", "ends", "reversed"]),
    st.sampled_from([("knitting", 2), ("knitting", 1), ("crochet", 1), ("crochet", 2), ("tunisian", 1)]),
)
def test_a_row_that_changes_nothing_is_no_nought_and_no_dash(sizes, at, work):
    plans = [plan_curve(width, depth, "quarter ellipse") for width, depth in sizes]
    labels = " ".join("SMLX"[: len(sizes)])
    said = " ".join(curve_lines(plans, work[1], voice(labels, craft=work[0]), at))
    assert "–" not in said
    assert not re.search(r"(?<![0-9])0\b", said)


def picked_up(ratio, *pairs, along="row ends", labels="S M L", **more):
    ratio = parse_ratio(ratio)
    plans = [plan_pick_up(picked, count, ratio) for picked, count in pairs]
    return pick_up_sentence(plans, along, voice(labels, **more))


def test_whole_numbers_in_each_row_end():
    said = picked_up("2 per 1", (80, 40), labels="S", craft="crochet")
    assert said == "Work 80 sts: 2 in each row end."


def test_a_ratio_and_its_rest():
    assert picked_up("3 per 4", (90, 120), (62, 82), labels="S M") == (
        "Pick up and knit 90 (62) sts: 3 sts for every 4 rows (skip every 4th row); "
        "M: then 2 in the last 2 rows."
    )
    assert picked_up("3 per 4", (62, 82), (65, 86), labels="S M", terms="UK") == (
        "Pick up and knit 62 (65) sts: 3 sts for every 4 rows (miss every 4th row), "
        "then 2 in the last 2 rows."
    )
    assert picked_up("3 per 4", (90, 120), (62, 82), labels="S M", wording=1) == (
        "Pick up and knit 90 (62) sts: 3 sts for every 4 rows, then – (2) in the last – (2) rows."
    )
    assert picked_up("8 per 9", (32, 36), labels="S", along="stitches", craft="tunisian") == (
        "Pick up 32 sts: 8 sts for every 9 sts (skip every 9th st)."
    )


@pytest.mark.parametrize(("terms", "verb"), [("US", "skip"), ("UK", "miss")])
def test_a_number_moved_by_rounding_is_spread_evenly(terms, verb):
    said = picked_up("3 per 4", (64, 80), labels="S", craft="crochet", terms=terms)
    assert said == f"Work 64 sts: 1 in each row, but {verb} every 5th row."


def test_one_more_here_and_there():
    said = picked_up("1 per 1", (42, 40), labels="S", craft="crochet")
    assert said == "Work 42 sts: 1 in each row and 1 more in every 20th row."


def test_sizes_that_differ_in_kind_are_told_one_by_one():
    said = picked_up("3 per 4", (90, 120), (64, 80), labels="S M", craft="crochet")
    assert said.endswith(
        "S: 3 sts for every 4 rows (skip every 4th row); M: 1 in each row, but skip every 5th row."
    )


def test_an_unknown_size_gets_a_dash():
    assert picked_up("3 per 4", (None, 120), labels="S") == "–"
    assert picked_up("3 per 4", (None, 120), (90, 120), labels="S M").startswith(
        "Pick up and knit – (90) sts: 3 sts for every 4 rows"
    )


def test_a_sequence_fits_into_a_sentence():
    sequence = StripeRepeat((("A", 6), ("B", 1), ("C", 2)))
    assert stripe_words(sequence, voice()) == "6 rows A, 1 row B, 2 rows C"
    assert stripe_words(sequence, voice(), rounds=True) == "6 rounds A, 1 round B, 2 rounds C"


def test_a_later_start_is_told():
    sequence = StripeRepeat((("A", 2), ("B", 2)))
    assert stripe_words(sequence, voice(), starts=(0, 1, 6)) == (
        "2 rows A, 2 rows B (begin with row 1 (2, 3) of these 4 rows)"
    )
    assert stripe_words(sequence, voice(), starts=(0, 4, 8)) == "2 rows A, 2 rows B"


def test_a_first_run_of_several_rows_loses_the_row_named_apart():
    shaping = ShapingWords((plan(60, 68, 11, first=1, on_every=2),))
    assert shaping.plans[0].event_rows == [1, 3, 7, 11]
    assert shaping_sentence(shaping, first("S")) == (
        "Increase 2 sts on row 1, then every 2nd row once, then every 4th row 2 times."
    )


def test_a_merged_list_ends_with_the_rows_worked_straight():
    shapings = {"neck": ShapingWords((plan(20, 16, 10, plain_end=4),))}
    assert merged_lines(shapings, voice("S")) == [
        "Rows 3 and 6: decrease 1 st at each end (neck).",
        "Then work 4 rows straight.",
    ]


def test_sizes_that_change_by_different_numbers_print_them():
    shaping = ShapingWords((plan(80, 60, 60, each=2), plan(80, 40, 60, each=4)))
    assert shaping_sentence(shaping, first("S M")) == "Decrease 2 (4) sts on every 6th row 10 times."


def test_even_spreads_over_more_than_one_each_are_told():
    plans = [plan_pick_up(117, 40, present(parse_ratio("3 per 4")))]
    assert pick_up_sentence(plans, "row ends", voice("S", craft="crochet")) == (
        "Work 117 sts: 3 in each row, but 1 fewer in the last row of each group; "
        "groups in order: 13, 14 and 13 rows."
    )
    plans = [plan_pick_up(80, 40, present(parse_ratio("3 per 4")))]
    assert pick_up_sentence(plans, "row ends", voice("S", craft="crochet")) == "Work 80 sts: 2 in each row."
    plans = [plan_pick_up(8, 40, present(parse_ratio("3 per 4")))]
    assert pick_up_sentence(plans, "row ends", voice("S", craft="crochet")) == (
        "Work 8 sts: 1 in every 5th row."
    )


def groups_by(words, noun):
    """The groups that a series names, by its words alone."""
    words = words.replace("twice", "2 times")
    told, times = present(re.fullmatch(r"(.*?)(?:, (?:all )?(\d+) times)?", words)).groups()
    if "[" in told and not told.endswith(("times", "once")):
        told, times = f"{told}, {times} times", 1
    groups = []
    for series, often in re.findall(r"\[(.*?)\] (once|\d+ times)", told) or [(told, "once")]:
        assert re.search(rf" {noun}s?$", series)
        runs = re.findall(r"(?:(\d+) × )?(\d+)", series)
        alone = [int(size) for many, size in runs for _ in range(int(many or 1))]
        groups += alone * (1 if often == "once" else int(often.split()[0]))
    return groups * int(times or 1)


@given(width=st.integers(2, 400), share=st.floats(0.01, 1))
def test_groups_in_order_are_short_and_give_their_own_count(width, share):
    change = max(1, int(width * share))
    gaps = plan_spread(change, width).gaps
    said = groups_in_order(gaps, "st")
    assert sorted(groups_by(said, "st")) == sorted(gaps)
    assert len(said) <= 90  # 89 is the longest up to 400 stitches: 28 changes over 39
    spelt = groups_in_order(gaps, "st", 2)
    assert spelt.replace(" 2 times", " twice") == said or len(set(gaps)) > 1


def worked_by(said, places):
    """Work a sentence on a pick-up along an edge of so many rows, by its words alone."""
    how = said.removesuffix(".").partition(": ")[2]
    if found := re.fullmatch(r"(\d+) in each row end", how):
        return int(found[1]) * places
    if found := re.match(r"(\d+) sts? for every (\d+) rows", how):
        rest = re.search(r", then (\d+) in the last (?:(\d+) )?rows?$", how)
        left = int(rest[2] or 1) if rest else 0
        groups, none = divmod(places - left, int(found[2]))
        assert none == 0
        skipped = re.search(r"skip every (\d+)(?:st|nd|rd|th) row\)", how)
        assert not skipped or (int(skipped[1]), int(found[1])) == (int(found[2]), int(found[2]) - 1)
        return groups * int(found[1]) + (int(rest[1]) if rest else 0)
    each = re.match(r"(\d+) in each row", how)
    base = int(each[1]) if each else 0
    more = 1 if "1 more in" in how or not each else -1
    if found := re.search(r"every (\d+)(?:st|nd|rd|th) row", how):
        return base * places + more * (places // int(found[1]))
    if found := re.search(r"groups in order(?: \(.*?\))?: (.*)$", how):
        groups = groups_by(found[1], "row")
        assert sum(groups) == places, how
        return base * places + more * len(groups)
    return base * places


@given(places=st.integers(5, 300), p=st.integers(1, 9), q=st.integers(1, 9), off=st.integers(-30, 30))
def test_the_words_of_a_pick_up_give_its_own_count(places, p, q, off):
    picked = max(1, round(places * p / q) + off)
    said = picked_up(f"{p} per {q}", (picked, places), labels="S", craft="crochet")
    assert worked_by(said, places) == picked, said
