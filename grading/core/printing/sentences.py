"""Sentences that a maker can follow: shapings, spreads and stripes.

Each has a module of its own beside: `shaping_sentences`, `merged_sentences`, `curve_sentences`,
`spread_sentences`; the first wording of shapings stands here and is never to be changed: records are printed
in it.
"""

from collections.abc import Mapping, Sequence
from itertools import groupby

from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.merged_sentences import merged_sizes
from grading.core.printing.numbers import DASH
from grading.core.printing.shaping_sentences import ShapingWords, action_words, shaping_words
from grading.core.printing.wording import (
    Column,
    Voice,
    as_sentence,
    by_size,
    counted,
    how_often,
    listed,
    number,
    ordinal,
    rows_listed,
    shown,
)
from grading.core.shaping.shaping import ShapingPlan, merge_event_rows
from grading.core.yarn.stripes import StripeRepeat


def shaping_sentence(shaping: ShapingWords, voice: Voice) -> str:
    """Say how a piece is shaped.

    Args:
        shaping: The plans, one per size.
        voice: Whom it is for.

    Returns:
        What `shaping_words` says. In the first wording one phrase for each run of equal gaps, with a
        dash where a size has none, and the rows then worked straight.

    Source: common practice.

    >>> plan = ShapingPlan(((6, 5), (8, 3)), change=-16, each=2, rows=58)
    >>> shaping_sentence(ShapingWords((plan,)), Voice(("M",), "knitting", wording=1))
    'Decrease 2 sts on every 6th row 5 times, then every 8th row 3 times, then work 4 rows straight.'
    """
    if voice.wording > FIRST_WORDING:
        return shaping_words(shaping, voice)
    known = {place for place in voice.places if shaping.plans[place].runs is not None}
    if not known:
        return DASH
    growing = {place for place in known if shaping.plans[place].change > 0}
    parts = [known] if shaping.words or not growing else [known - growing, growing]
    if all(shaping.plans[place].change >= 0 for place in known):
        parts = [known]
    return " ".join(_one_sentence(shaping, voice, part) for part in parts)


def merged_lines(shapings: Mapping[str, ShapingWords], voice: Voice) -> list[str]:
    """Write shapings that run at once as one list of rows.

    Args:
        shapings: By name, in the order in which they are named in a row that has several.
        voice: Whom it is for.

    Returns:
        For one size one line for each row or stretch of rows that are worked alike. For several
        sizes what `merged_sizes` says; in the first wording the rows of each size in working order.

    Source: common practice.

    >>> plans = {name: ShapingWords((ShapingPlan(((every, 2),), change=4, each=2, rows=6),))
    ...          for name, every in (("front", 2), ("back", 3))}
    >>> merged_lines(plans, Voice(("M",), "knitting"))[1]
    'Row 3: increase 1 st at each end (back).'
    """
    noun = next((shaping.noun for shaping in shapings.values()), "row")
    if voice.for_one:
        actions = {name: _action_of(name, shaping, voice) for name, shaping in shapings.items()}
        return [as_sentence(line) for line in _merged(shapings, voice.places[0], noun, actions)]
    if voice.wording > FIRST_WORDING:
        return merged_sizes(shapings, voice)
    names = {name: name.replace("_", " ") for name in shapings}
    key = [f"{names[name]} = {_action(shaping, voice)}" for name, shaping in shapings.items()]
    texts = {place: "; ".join(_merged(shapings, place, noun, names)) for place in voice.places}
    return [as_sentence("; ".join(key)), *(f"{sizes}: {words}." for sizes, words in by_size(texts, voice))]


def stripe_words(sequence: StripeRepeat, voice: Voice, *, starts: Column = (), rounds: bool = False) -> str:
    """Print a stripe sequence.

    Args:
        sequence: What is repeated.
        voice: Whom it is for.
        starts: Rows already used, one per size; empty for none.
        rounds: Whether rows are rounds.

    Returns:
        Words that fit into a sentence.

    Source: common practice.

    >>> stripe_words(StripeRepeat((("A", 6), ("B", 1))), Voice(("M",), "crochet"))
    '6 rows A, 1 row B'
    """
    noun = "round" if rounds else "row"
    words = ", ".join(f"{rows} {noun}{'' if rows == 1 else 's'} {colour}" for colour, rows in sequence.runs)
    length = sum(rows for _, rows in sequence.runs)
    first = [None if start is None else start % length + 1 for start in starts]
    if not first or shown(first, voice) <= {1}:
        return words
    begun = number(first, voice, f"First {noun} of the stripes")
    return f"{words} (begin with {noun} {begun} of these {length} {noun}s)"


def _one_sentence(shaping: ShapingWords, voice: Voice, part: set[int]) -> str:
    """Write one sentence for the sizes at these places; the others get dashes."""
    plans = [plan if place in part else None for place, plan in enumerate(shaping.plans)]
    straight = [None if plan is None else plan.straight_rows for plan in plans]
    ending = f"work {counted(straight, shaping.noun, voice)} straight"
    phrases = _rank_phrases(plans, shaping.noun, voice)
    if not phrases:
        return as_sentence(ending)
    told = f"{_action(shaping, voice, part)} on {', then '.join(phrases)}"
    lead = [max(plan.lead, 0) if plan and plan.runs else None for plan in plans]
    if shown(lead, voice) - {0}:
        told = f"work {counted(lead, shaping.noun, voice)} straight; then, counting from there, {told}"
    if shown(straight, voice) - {0}:
        told += f", then {ending}"
    return as_sentence(told)


def _rank_phrases(plans: Sequence[ShapingPlan | None], noun: str, voice: Voice) -> list[str]:
    """Write one phrase for each rank of runs, and before them the first row where it stands apart."""
    early = [plan.event_rows[0] if plan and plan.runs and plan.lead < 0 else None for plan in plans]
    rows = [_runs_after(plan) if plan else () for plan in plans]
    phrases = [f"{noun} {number(early, voice)}"] if shown(early, voice) else []
    for rank in range(max(len(rows[place]) for place in voice.places)):
        runs = [of_size[rank] if rank < len(of_size) else None for of_size in rows]
        every = [None if run is None else run[0] for run in runs]
        times = [None if run is None else run[1] for run in runs]
        phrases.append(f"{_every(every, noun, voice)} {how_often(times, voice)}")
    return phrases


def _runs_after(plan: ShapingPlan) -> tuple[tuple[int, int], ...]:
    """Return the runs without the first row where that is named apart."""
    runs = plan.runs or ()
    if plan.lead >= 0 or not runs:
        return runs
    every, times = runs[0]
    return runs[1:] if times == 1 else ((every, times - 1), *runs[1:])


def _every(column: Column, noun: str, voice: Voice) -> str:
    """Write "every row" or "every 4th (6th) row"."""
    if shown(column, voice) == {1}:
        return f"every {noun}"
    return f"every {voice.listing([ordinal(n) if n else None for n in column])} {noun}"


def _action(shaping: ShapingWords, voice: Voice, part: set[int] | None = None) -> str:
    """Return the author's words, or what the numbers say."""
    if voice.wording > FIRST_WORDING:
        return action_words(shaping, voice.places, voice)[0]
    if shaping.words:
        return shaping.words.strip().rstrip(".")
    places = set(voice.places) if part is None else part
    plans = [plan for place in sorted(places) if (plan := shaping.plans[place]).runs is not None]
    growing = {plan.change > 0 for plan in plans if plan.change}
    each = {place: shaping.plans[place].each for place in places if shaping.plans[place].runs is not None}
    alike = len(set(each.values())) <= 1
    column = [next(iter(each.values()), None) if alike else each.get(i) for i in range(len(shaping.plans))]
    return f"{_verb(growing)} {counted(column, 'st', voice)}"


def _action_of(name: str, shaping: ShapingWords, voice: Voice) -> str:
    """Return what is done, named after its shaping where the author gave no words."""
    return _action(shaping, voice) + ("" if shaping.words else f" ({name.replace('_', ' ')})")


def _verb(growing: set[bool]) -> str:
    """Say which way stitches change."""
    if len(growing) > 1:
        return "change by"
    return "increase" if True in growing else "decrease"


def _merged(
    shapings: Mapping[str, ShapingWords], place: int, noun: str, actions: Mapping[str, str]
) -> list[str]:
    """List the rows of one size, those that follow one another and are worked alike together."""
    plans = {name: shaping.plans[place] for name, shaping in shapings.items()}
    if any(plan.runs is None for plan in plans.values()):
        return [DASH]
    merged = merge_event_rows({name: plan.event_rows for name, plan in plans.items()})
    lines = []
    for names, events in groupby(merged, key=lambda event: event[1]):
        rows = rows_listed([row for row, _ in events], noun)
        lines.append(f"{rows}: {listed([actions[name] for name in names])}")
    straight = max(plan.rows for plan in plans.values()) - (merged[-1][0] if merged else 0)
    ending = f"work {straight} {noun}{'' if straight == 1 else 's'} straight"
    return [*lines, f"then {ending}" if lines else ending] if straight else lines
