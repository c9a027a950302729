"""Pick-ups in words: how to spread the stitches along their edge."""

from collections.abc import Sequence
from dataclasses import replace

from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.group_words import groups_in_order, groups_told
from grading.core.printing.numbers import DASH
from grading.core.printing.wording import (
    Column,
    Voice,
    as_sentence,
    by_size,
    counted,
    listed,
    number,
    ordinal,
    shown,
    size_by_size,
    size_names,
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
    'Pick up and knit 62 sts: 3 sts for every 4 rows (skip every 4th row), then 2 in the last 2 rows.'
    """
    if all(plans[place] is None for place in voice.places):
        return DASH
    verb = {"knitting": "pick up and knit", "tunisian": "pick up"}.get(voice.craft, "work")
    stitches = [None if plan is None else plan.stitches for plan in plans]
    if any(plan is not None and plan.even for plan in (plans[place] for place in voice.places)):
        alone = Voice(("",), voice.craft, voice.terms, wording=voice.wording)
        texts = {
            place: _pick_up_words([plan], along, alone)
            for place, plan in enumerate(plans)
            if plan is not None
        }
        how = size_by_size(texts, voice)
    else:
        how = _pick_up_words(plans, along, voice)
    return as_sentence(f"{verb} {counted(stitches, 'st', voice, 'Stitches picked up')}: {how}")


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
    resting = [i for i in voice.places if left[i]]
    if voice.wording > FIRST_WORDING:
        if one.ratio.per - one.ratio.stitches == 1:
            words += f" ({_skip(voice)} every {ordinal(one.ratio.per)} {place})"
        are_alike = len(resting) == len(voice.places) and len(shown(left, voice)) == 1
        if resting and not are_alike and voice.wording > WIDE_WORDING:
            texts = {
                one: _rest_words(stitches, left, place, replace(voice, kept=(one,), print_list=None))
                for one in resting
            }
            told = [f"{names}: {rest}" for names, rest in by_size(texts, voice) if rest != DASH]
            return "; ".join([words, *told])
        if resting and len(resting) < len(voice.places):
            sizes = f"size{'s' if resting[1:] else ''} {listed(size_names(resting, voice))}"
            theirs = replace(voice, kept=tuple(resting), print_list=None)
            return f"{words}; {sizes}: {_rest_words(stitches, left, place, theirs)}"
    return f"{words}, {_rest_words(stitches, left, place, voice)}" if resting else words


def _rest_words(stitches: Column, left: Column, place: str, voice: Voice) -> str:
    """Say what the places that are left at the end take."""
    taken = number(stitches, voice, "Stitches at the end")
    if voice.wording > WIDE_WORDING and shown(left, voice) == {1}:
        return f"then {taken} in the last {place}"
    return f"then {taken} in the last {counted(left, place, voice, f'Last {place}s')}"


def _skip(voice: Voice) -> str:
    """What is done with a place that takes no stitch."""
    return "miss" if voice.terms == "UK" else "skip"


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
        told = f"{each}, but {_skip(voice)}"
    if len(set(plan.gaps)) == 1:
        return f"{told} every {ordinal(plan.gaps[0])} {place}"
    groups = groups_in_order(plan.gaps, place, voice.wording)
    return f"{told} the last {place} of each group; {groups_told(groups)}: {groups}"


def _sts(count: int) -> str:
    """Write a number of stitches."""
    return f"{count} {'st' if count == 1 else 'sts'}"
