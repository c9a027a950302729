"""Shapings that run at once in words: for several sizes the rows of each by their numbers."""

from collections.abc import Mapping

from grading.core.printing.numbers import DASH
from grading.core.printing.shaping_sentences import ShapingWords, action_words
from grading.core.printing.wording import Voice, as_sentence, by_size, rows_named


def merged_sizes(shapings: Mapping[str, ShapingWords], voice: Voice) -> list[str]:
    """Write shapings that run at once, for several sizes.

    Args:
        shapings: By name, in the order in which they are named in a row that has several.
        voice: Whom it is for.

    Returns:
        A line that names the shapings and says what is done in each, then one line for each size or
        sizes that agree, with the rows of each shaping. A dash alone where no size printed has plans.

    Source: common practice.

    >>> from grading.core.shaping.shaping import ShapingPlan
    >>> plans = {name: ShapingWords((ShapingPlan(((every, 2),), change=-4, each=2, rows=6),) * 2)
    ...          for name, every in (("armhole", 2), ("neck", 3))}
    >>> merged_sizes(plans, Voice(("S", "M"), "knitting"))[1]
    'S, M: armhole on rows 2 and 4; neck on rows 3 and 6.'
    """
    known = [
        place for place in voice.places if all(one.plans[place].runs is not None for one in shapings.values())
    ]
    if not known:
        return [DASH]
    noun = next((shaping.noun for shaping in shapings.values()), "row")
    names = {name: name.replace("_", " ") for name in shapings}
    key = [f"{names[name]}: {action_words(one, known, voice)[0]}" for name, one in shapings.items()]
    together = f" Count all {noun}s from the first; where both fall on one {noun}, work both in it."
    texts = {place: _rows_of(shapings, place, noun, names) for place in known}
    lines = [f"{sizes}: {words}." for sizes, words in by_size(texts, voice) if words != DASH]
    return [" ".join(as_sentence(one) for one in key) + together, *lines]


def _rows_of(shapings: Mapping[str, ShapingWords], place: int, noun: str, names: Mapping[str, str]) -> str:
    """List the rows of each shaping in one size, and how far the size is worked."""
    plans = {name: shaping.plans[place] for name, shaping in shapings.items()}
    rows = max(plan.rows for plan in plans.values())
    told = [
        f"{names[name]} on {rows_named(plan.event_rows, noun)}"
        for name, plan in plans.items()
        if plan.event_rows
    ]
    last = max((plan.event_rows[-1] for plan in plans.values() if plan.event_rows), default=0)
    if last < rows:
        told.append(f"work straight to the end of {noun} {rows}")
    return "; ".join(told) or "no shaping"
