"""Curves in the first wording: one line per step. Never to be changed: records are printed in it."""

from collections.abc import Sequence
from typing import Literal

from grading.core.printing.numbers import DASH
from grading.core.printing.wording import Column, Voice, as_sentence, counted, listed, rows_listed, shown
from grading.core.shaping.curves import CurvePlan, Side, opposite, place_curve_rows


def first_curve_lines(
    plans: Sequence[CurvePlan], every: int, voice: Voice, at: Side | Literal["reversed"]
) -> list[str]:
    """Write a curve, one line per step, as the first wording had it.

    Args:
        plans: One per size.
        every: Rows per step, 1 or more.
        voice: Whom it is for; where it is mirrored, starts and ends are exchanged.
        at: End of the row at which the first step is made, or "reversed".

    Returns:
        One line per step; a dash where no size printed has a plan.

    Source: as `grading.core.printing.curve_sentences.curve_lines`.
    """
    drops = [plan.drops for plan in plans]
    if all(drops[place] is None for place in voice.places):
        return [DASH]
    longest = max(len(drops[place] or ()) for place in voice.places)
    columns = [[_step(of_size, i, backwards=at == "reversed") for of_size in drops] for i in range(longest)]
    if at == "reversed":
        return [
            _line(i * every, every, _added(column, voice), _who(column, voice), late=False)
            for i, column in enumerate(columns)
        ]
    side = opposite(at) if voice.mirrored else at
    steps = place_curve_rows((0,) * longest, every, at=side, craft=voice.craft)
    late = voice.craft == "knitting" and side == "end" and every % 2 == 0
    return [
        _line(
            step.row - 1,
            every,
            _taken_off(column, "start" if late else step.side, voice),
            _who(column, voice),
            late=late,
        )
        for step, column in zip(steps, columns, strict=True)
    ]


def _step(drops: tuple[int, ...] | None, i: int, *, backwards: bool) -> int | None:
    """Return a size's drop at a step, None where it has none."""
    if drops is None or i >= len(drops):
        return None
    return drops[-1 - i] if backwards else drops[i]


def _taken_off(column: Column, side: Side, voice: Voice) -> str:
    """Say how stitches are taken off at one end of the row, or that none are."""
    if not shown(column, voice) - {0}:
        return ""
    stitches = counted(column, "st", voice)
    if side == "end":
        return f"leave {stitches} unworked at the end of the row"
    verb = voice.casting_off if voice.craft == "knitting" else "slip stitch across"
    return f"{verb} {stitches} at the start of the row"


def _added(column: Column, voice: Voice) -> str:
    """Say how stitches are added at the curved edge, or that none are."""
    if not shown(column, voice) - {0}:
        return ""
    stitches = counted(column, "st", voice)
    if voice.craft == "knitting":
        return f"cast on {stitches} at the curved edge"
    return f"chain {stitches} more at the curved edge and work into them"


def _who(column: Column, voice: Voice) -> str:
    """Name the sizes that have a step where others are done before it; nothing where all have it."""
    sizes = [voice.labels[place] for place in voice.places if column[place] is not None]
    if len(sizes) == len(voice.places):
        return ""
    return f" (size{'s' if sizes[1:] else ''} {listed(sizes)} only)"


def _line(before: int, every: int, words: str, who: str, *, late: bool) -> str:
    """Write one step: the row it is made in and its plain rows; a late step is made in its second row."""
    rows = list(range(before + 1, before + every + 1))
    if not words:
        return as_sentence(f"{rows_listed(rows, 'row')}: work straight{who}")
    made = rows.pop(1 if late else 0)
    told = f"row {made}: {words}"
    if late:
        told = f"row {rows.pop(0)}: work straight; {told}"
    return as_sentence(f"{told}; work {rows_listed(rows, 'row')} straight" if rows else told)
