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
    size_lines,
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
    texts = _even_texts(plans, along, voice)
    how = size_by_size(texts, voice) if texts else _pick_up_words(plans, along, voice)
    return as_sentence(f"{_head(plans, voice)} {how}")


def pick_up_lines(plans: Sequence[PickUpPlan | None], along: str, voice: Voice) -> tuple[str, ...]:
    """Say how picked-up stitches are spread in a line for each way, where sizes differ in four ways or more.

    Args:
        plans: One per size, None where unknown.
        along: "row ends" or "stitches".
        voice: Whom it is for.

    Returns:
        How many are picked up, then how after the labels of the sizes; none where one sentence says all.

    Source: common practice.

    >>> from grading.core.shaping.pick_ups import Ratio, plan_pick_up
    >>> plans = [plan_pick_up(12, count, Ratio(5, 6)) for count in (17, 19, 20, 22)]
    >>> for line in pick_up_lines(plans, "stitches", Voice(("S", "M", "L", "XL"), "crochet")):
    ...     print(line)
    Work 12 sts: 1 in each st, but skip the last st of each group; groups in order:
    S: 3, 4, 3, 4 and 3 sts.
    M: 3, 2, 3, 3, 3, 2 and 3 sts.
    L: 3 and 2 sts, 4 times.
    XL: 2, 2, 3, 2 and 2 sts, twice.
    """
    texts = _even_texts(plans, along, voice)
    told = by_size(texts, voice) if texts else []
    head = _head(plans, voice)
    shared = {words.partition(": ")[0] for _, words in told if ": " in words}
    if len(shared) == 1 and all(": " in words for _, words in told):
        head = f"{head} {shared.pop()}:"
        told = [(sizes, words.partition(": ")[2]) for sizes, words in told]
    return size_lines(head, told)


def _head(plans: Sequence[PickUpPlan | None], voice: Voice) -> str:
    """What is done, and how many stitches it makes."""
    verb = {"knitting": "pick up and knit", "tunisian": "pick up"}.get(voice.craft, "work")
    stitches = [None if plan is None else plan.stitches for plan in plans]
    return f"{verb} {counted(stitches, 'st', voice, 'Stitches picked up')}:"


def _even_texts(plans: Sequence[PickUpPlan | None], along: str, voice: Voice) -> dict[int, str]:
    """How the stitches of each size lie, where rounding has moved some from their ratio; else nothing."""
    if not any(plan is not None and plan.even for plan in (plans[place] for place in voice.places)):
        return {}
    alone = Voice(("",), voice.craft, voice.terms, wording=voice.wording)
    return {
        place: _pick_up_words([plan], along, alone) for place, plan in enumerate(plans) if plan is not None
    }


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
