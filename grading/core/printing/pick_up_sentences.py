"""Pick-ups in words: how to spread the stitches along their edge."""

from collections.abc import Sequence

from grading.core.printing.numbers import DASH
from grading.core.printing.wording import (
    Voice,
    as_sentence,
    counted,
    groups_in_order,
    number,
    ordinal,
    shown,
    size_by_size,
)
from grading.core.shaping.pick_ups import PickUpPlan


def pick_up_sentence(plans: Sequence[PickUpPlan | None], along: str, voice: Voice) -> str:
    """Say how picked-up stitches are spread along their edge.

    Args:
        plans: One per size, None where unknown.
        along: "row ends" or "stitches".
        voice: Whom it is for.

    Returns:
        One sentence.

    Source: common practice.

    >>> from grading.core.shaping.pick_ups import Ratio
    >>> plan = PickUpPlan(62, 82, Ratio(3, 4), 20, 2, 2)
    >>> pick_up_sentence([plan], "row ends", Voice(("M",), "knitting"))
    'Pick up and knit 62 sts: 3 sts for every 4 rows, then 2 in the last 2 rows.'
    """
    if all(plans[place] is None for place in voice.places):
        return DASH
    verb = {"knitting": "pick up and knit", "tunisian": "pick up"}.get(voice.craft, "work")
    stitches = [None if plan is None else plan.stitches for plan in plans]
    if any(plan is not None and plan.even for plan in (plans[place] for place in voice.places)):
        texts = {place: _pick_up_words([plan], along, Voice(("",), voice.craft, voice.terms))
                 for place, plan in enumerate(plans) if plan is not None}  # fmt: skip
        how = size_by_size(texts, voice)
    else:
        how = _pick_up_words(plans, along, voice)
    return as_sentence(f"{verb} {counted(stitches, 'st', voice)}: {how}")


def _pick_up_words(plans: Sequence[PickUpPlan | None], along: str, voice: Voice) -> str:
    """Say how the stitches lie: by their ratio, or evenly where rounding has moved them."""
    place = "row" if along == "row ends" else "st"
    one = next(plan for plan in (plans[i] for i in voice.places) if plan is not None)
    if one.even:
        return _even_words(one, place, voice)
    if one.ratio.per == 1:
        return f"{one.ratio.stitches} in each {'row end' if place == 'row' else place}"
    words = f"{_sts(one.ratio.stitches)} for every {one.ratio.per} {place}s"
    left = [plan.rest_places if plan and plan.rest_places else None for plan in plans]
    stitches = [plan.rest_stitches if plan and plan.rest_places else None for plan in plans]
    if shown(left, voice):
        words += f", then {number(stitches, voice)} in the last {counted(left, place, voice)}"
    return words


def _even_words(plan: PickUpPlan, place: str, voice: Voice) -> str:
    """Say how many go in each place, and in which places one more or one fewer."""
    each = f"{plan.base} in each {place}"
    if not plan.gaps:
        return each
    if plan.extra > 0:
        told = f"{each} and 1 more in" if plan.base else "1 in"
    elif plan.base > 1:
        told = f"{each}, but 1 fewer in"
    else:
        told = f"{each}, but {'miss' if voice.terms == 'UK' else 'skip'}"
    if len(set(plan.gaps)) == 1:
        return f"{told} every {ordinal(plan.gaps[0])} {place}"
    return f"{told} the last {place} of each group; groups in order: {groups_in_order(plan.gaps, place)}"


def _sts(count: int) -> str:
    """Write a number of stitches."""
    return f"{count} {'st' if count == 1 else 'sts'}"
