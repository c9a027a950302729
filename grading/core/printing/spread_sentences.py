"""Sentences of changes that are spread evenly over one row or round."""

from collections.abc import Sequence

from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.group_words import groups_in_order, groups_told
from grading.core.printing.numbers import DASH
from grading.core.printing.wording import (
    Column,
    Voice,
    by_size,
    counted,
    shown,
    size_by_size,
    size_lines,
)
from grading.core.shaping.spreads import SpreadPlan

_GROUPS = "1 at the end of each group;"


def spread_sentence(plans: Sequence[SpreadPlan], voice: Voice, noun: str = "st") -> str:
    """Say where changes go that are spread over one row.

    Args:
        plans: One per size.
        voice: Whom it is for.
        noun: What is counted: a noun that takes an s.

    Returns:
        One sentence; where sizes differ in their groups, the groups size by size.

    Source: common practice.

    >>> spread_sentence([SpreadPlan(((7, 1), (6, 1), (7, 1)), None, 3, 20)], Voice(("M",), "crochet"))
    'Increase 3 sts evenly over 20 sts, 1 at the end of each group; groups in order: 7, 6 and 7 sts.'
    """
    known = _known(plans)
    head = _head(known, voice, noun)
    if not head:
        return "Work straight." if shown(_changes(known), voice) else DASH
    if all(plan is None or len(plan.runs or ()) == 1 for plan in (known[place] for place in voice.places)):
        sizes = [plan.gaps[0] if plan and plan.runs else None for plan in known]
        if voice.wording > WIDE_WORDING and {gap for gap in sizes if gap is not None} == {1}:
            return f"{head}, 1 in each {noun}."
        label = "Stitches in a group" if noun == "st" else ""
        return f"{head}, 1 at the end of each group of {counted(sizes, noun, voice, label)}."
    groups = size_by_size(_groups(known, noun, voice.wording), voice)
    return f"{head}, {_GROUPS} {groups_told(groups)}: {groups}."


def spread_lines(plans: Sequence[SpreadPlan], voice: Voice, noun: str = "st") -> tuple[str, ...]:
    """Say where changes go in a line for each way, where sizes differ in four ways or more.

    Args:
        plans: One per size.
        voice: Whom it is for.
        noun: What is counted: a noun that takes an s.

    Returns:
        What all sizes do, then the groups after the labels of their sizes; none where one sentence says all.

    Source: common practice.

    >>> plans = [SpreadPlan(((n, 1), (n + 1, 1)), None, 2, 2 * n + 1) for n in (3, 4, 5, 6)]
    >>> for line in spread_lines(plans, Voice(("S", "M", "L", "XL"), "crochet"), "V-st"):
    ...     print(line)
    Increase 2 V-sts evenly over 7 (9, 11, 13) V-sts, 1 at the end of each group; groups in order:
    S: 3 and 4 V-sts.
    M: 4 and 5 V-sts.
    L: 5 and 6 V-sts.
    XL: 6 and 7 V-sts.
    """
    known = _known(plans)
    head = _head(known, voice, noun)
    told = by_size(_groups(known, noun, voice.wording), voice) if head else []
    order = groups_told("; ".join(words for _, words in told))
    return size_lines(f"{head}, {_GROUPS} {order}:", told)


def _known(plans: Sequence[SpreadPlan]) -> list[SpreadPlan | None]:
    return [plan if plan.runs is not None else None for plan in plans]


def _changes(known: Sequence[SpreadPlan | None]) -> list[int | None]:
    return [None if plan is None else abs(plan.change) for plan in known]


def _head(known: Sequence[SpreadPlan | None], voice: Voice, noun: str) -> str:
    """What changes, and over what; nothing where nothing does."""
    changes = _changes(known)
    stitches = [None if plan is None else plan.stitches for plan in known]
    if not shown(changes, voice) - {0}:
        return ""
    return f"{_change_words(known, changes, voice, noun)} evenly over {counted(stitches, noun, voice)}"


def _groups(known: Sequence[SpreadPlan | None], noun: str, wording: int) -> dict[int, str]:
    """The groups of each size in working order."""
    return {
        place: groups_in_order(plan.gaps, noun, wording) if plan.runs else "none"
        for place, plan in enumerate(known)
        if plan is not None
    }


def _change_words(known: Sequence[SpreadPlan | None], changes: Column, voice: Voice, noun: str) -> str:
    """Begin the sentence of a spread."""
    printed = [plan for plan in (known[place] for place in voice.places) if plan and plan.change]
    what = "Stitches" if noun == "st" else f"{noun}s"
    if voice.wording > FIRST_WORDING and all(plan.change > 0 for plan in printed):
        return f"Increase {counted(changes, noun, voice, f'{what} increased')}"
    if all(plan.change < 0 for plan in printed):
        return f"Decrease {counted(changes, noun, voice, f'{what} decreased')}"
    return f"Make {counted(changes, 'change', voice)}"
