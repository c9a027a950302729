"""Shapings in words: how often and on which rows, and the stitches after each group of rows."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.numbers import DASH, MOST_IN_LINE, needs_table, number_list
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
    rows_named,
    rows_spaced,
    shown,
    size_names,
)
from grading.core.shaping.shaping import Run, ShapingPlan

FEWEST_LINES = 3  # so many ways of shaping stand in lines of their own


@dataclass(frozen=True)
class ShapingWords:
    """A shaping to be put in words.

    One plan and one number of stitches before it per size, the author's words, rows or rounds;
    `is_closed` where the author's own words tell the stitches at its end, `at_once` where it is told
    beside another shaping, so that no row is known to be straight.
    """

    plans: tuple[ShapingPlan, ...]
    words: str = ""
    rounds: bool = False
    starts: Column = ()
    is_closed: bool = True
    at_once: bool = False

    @property
    def noun(self) -> str:
        """What one row is called."""
        return "round" if self.rounds else "row"


def shaping_words(shaping: ShapingWords, voice: Voice) -> str:
    """Say how a piece is shaped.

    Args:
        shaping: The plans, one per size.
        voice: Whom it is for.

    Returns:
        For one size the rows by their numbers. For several one phrase for each run of equal gaps; sizes that
        are shaped in another way have a sentence of their own after their labels, so that no
        size is told to do a thing 0 times; their numbers alone stand in it. A dash alone where no
        size printed has a plan.

    Source: common practice.

    >>> plan = ShapingPlan(((6, 2), (8, 1)), change=-6, each=2, rows=24)
    >>> shaping_words(ShapingWords((plan, plan), starts=(40, 44)), Voice(("S", "M"), "knitting"))
    'Decrease 1 st at each end of every 6th row twice (36 (40) sts), then of every 8th row once, then \
work 4 rows straight.'
    >>> plan = ShapingPlan(((2, 1), (4, 2)), change=-3, each=1, rows=10)
    >>> shaping_words(ShapingWords((plan, plan)), Voice(("S", "M"), "crochet"))
    'Decrease 1 st on row 2, then on every 4th row twice.'
    """
    known = [place for place in voice.places if shaping.plans[place].runs is not None]
    if not known:
        return DASH
    groups = _alike(shaping, known)
    if _are_apart(shaping, groups, voice):
        return " ".join(_told_apart(shaping, known, voice))
    if len(groups) == 1:
        return as_sentence(_Told(shaping, voice, known).words())
    return " ".join(
        as_sentence(f"{_sizes(group, voice)}: {_Told(shaping, _voice_of(group, voice), group).words()}")
        for group in groups
    )


def shaping_lines(shaping: ShapingWords, voice: Voice) -> tuple[str, ...]:
    """Say how a piece is shaped in a line for each way, where sizes are shaped in three ways or more.

    Args:
        shaping: The plans, one per size.
        voice: Whom it is for.

    Returns:
        A sentence after the labels of its sizes for each way; none where one sentence or two say it all.

    Source: common practice.

    >>> runs = ((((6, 4),), 24), (((6, 2), (8, 1)), 24), (((4, 2), (8, 2)), 24))
    >>> plans = tuple(ShapingPlan(one, change=-2 * sum(n for _, n in one), each=2, rows=r) for one, r in runs)
    >>> words = ShapingWords(plans, starts=(40, 44, 48))
    >>> for line in shaping_lines(words, Voice(("S", "M", "L"), "knitting")):
    ...     print(line)
    S: decrease 1 st at each end of every 6th row 4 times.
    M: decrease 1 st at each end of every 6th row twice (40 sts), then of every 8th row once, \
then work 4 rows straight.
    L: decrease 1 st at each end of every 4th row twice (44 sts), then of every 8th row twice.
    """
    known = [place for place in voice.places if shaping.plans[place].runs is not None]
    if not known or not _are_apart(shaping, _alike(shaping, known), voice):
        return ()
    told = _told_apart(shaping, known, voice)
    return told if len(told) >= FEWEST_LINES else ()


def _told_apart(shaping: ShapingWords, known: Sequence[int], voice: Voice) -> tuple[str, ...]:
    """A sentence for each way in which sizes are shaped, after their labels."""
    texts = {place: _of_one(shaping, place, voice) for place in known}
    return tuple(as_sentence(f"{names}: {words}") for names, words in by_size(texts, voice) if words != DASH)


def _are_apart(shaping: ShapingWords, groups: Sequence[Sequence[int]], voice: Voice) -> bool:
    """Whether sizes are shaped so differently that lists would lose their places: each is told by itself.

    A list that leaves sizes out has no place at which a maker finds their own number.
    """
    known = [place for group in groups for place in group]
    if voice.wording <= WIDE_WORDING or len(known) < 2 or not _are_in_line(known, voice):
        return False
    ranks = {len(_runs_after(shaping.plans[place])) for place in known}
    return len(groups) > 1 or len(ranks) > 1


def _of_one(shaping: ShapingWords, place: int, voice: Voice) -> str:
    """What one size does, by how often and not by the numbers of its rows."""
    return _Told(shaping, replace(voice, kept=(place,), print_list=None), (place,), by_gaps=True).words()


def _voice_of(group: Sequence[int], voice: Voice) -> Voice:
    """Speak to some sizes, which are named: their numbers alone stand in the lists."""
    kept, print_list = tuple(group), voice.print_list
    if print_list is None or len(kept) <= MOST_IN_LINE:
        return replace(voice, kept=kept, print_list=None)

    def print_theirs(texts: Sequence[str | None], label: str) -> str:
        if not needs_table(texts, kept):
            return number_list(texts, kept)
        return print_list([text if place in kept else None for place, text in enumerate(texts)], label)

    return replace(voice, kept=kept, print_list=print_theirs)


def _are_in_line(places: Sequence[int], voice: Voice) -> bool:
    """Whether the numbers of so many sizes stand in the line, and in no table."""
    return voice.print_list is None or len(places) <= MOST_IN_LINE


def action_words(shaping: ShapingWords, places: Iterable[int], voice: Voice) -> tuple[str, str]:
    """Return what is done in a shaping row, and the word before that row.

    Args:
        shaping: The plans, one per size.
        places: Positions of the sizes it is said of.
        voice: Whom it is for.

    Returns:
        The author's words or what the numbers say, and "on" or "of": two stitches in a row that is
        turned at its ends are one at each.
    """
    if shaping.words:
        return shaping.words.strip().rstrip("."), "on"
    plans = {place: shaping.plans[place] for place in places if shaping.plans[place].runs is not None}
    growing = {plan.change > 0 for plan in plans.values() if plan.change}
    verb = "change by" if len(growing) > 1 else "increase" if True in growing else "decrease"
    each = {plan.each for plan in plans.values()}
    if each == {2} and not shaping.rounds:
        return f"{verb} 1 st at each end", "of"
    column = [plans[place].each if place in plans else None for place in range(len(shaping.plans))]
    column = [next(iter(each)) for _ in column] if len(each) == 1 else column
    return f"{verb} {counted(column, 'st', voice)}", "on"


def _alike(shaping: ShapingWords, known: Sequence[int]) -> list[list[int]]:
    """Gather the sizes that are told in one sentence, by the first of each."""
    groups: dict[object, list[int]] = {}
    for place in known:
        plan = shaping.plans[place]
        sign = 0 if not plan.runs else 1 if shaping.words or plan.change > 0 else -1
        runs = _runs_after(plan)
        # "Every 1st row" is no English, so those that begin or go on with every row stand apart.
        in_every_row = [runs[at][0] == 1 for at in (0, -1) if runs]
        groups.setdefault((sign, plan.lead > 0, plan.lead < 0, *in_every_row), []).append(place)
    found = []
    for group in groups.values():
        has_two = any(len(_runs_after(shaping.plans[place])) > 1 for place in group)
        once = [place for place in group if has_two and _times(shaping.plans[place]) == 1]
        found += [part for part in ([place for place in group if place not in once], once) if part]
    return sorted(found)


def _sizes(group: Sequence[int], voice: Voice) -> str:
    """Name the sizes of a group."""
    return f"size{'s' if group[1:] else ''} {listed(size_names(group, voice))}"


@dataclass(frozen=True)
class _Told:
    """What is told of some sizes that are shaped in the same way; the others have no number in it."""

    shaping: ShapingWords
    voice: Voice
    places: Sequence[int]
    by_gaps: bool = False
    """Whether even one size is told how often a row is worked, not the numbers of the rows."""

    def words(self) -> str:
        """Say how these sizes are shaped, without the capital and the full stop."""
        if not any(self._plan(place).runs for place in self.places):
            rows = {place: self._plan(place).rows for place in self.places}
            return f"work {self._counted(rows, 'worked straight')} straight"
        if self.voice.for_one and not self.by_gaps:
            return f"{self._numbered()}{self._straight()}"
        # In the order in which they are read, for that is how rows of a table get their letters.
        leads, told = {place: max(0, self._plan(place).lead) for place in self.places}, ""
        if any(leads.values()):
            lead = self._counted(leads, "straight before the shaping")
            told = f"work {lead} straight; then, counting from there, "
        told += f"{self._action()[0]} {', then '.join(self._phrases())}"
        return f"{told}{self._straight()}"

    def _plan(self, place: int) -> ShapingPlan:
        return self.shaping.plans[place]

    def _action(self) -> tuple[str, str]:
        return action_words(self.shaping, self.places, self.voice)

    def _column(self, numbers: Mapping[int, int]) -> Column:
        """Return one number per size of the pattern, None for those that this is not told of."""
        return [numbers.get(place) for place in range(len(self.shaping.plans))]

    def _counted(self, rows: Mapping[int, int], label: str) -> str:
        return counted(self._column(rows), self.shaping.noun, self.voice, f"{self._nouns} {label}")

    @property
    def _nouns(self) -> str:
        """What rows are called at the head of a row of a table."""
        return f"{self.shaping.noun.capitalize()}s"

    def _numbered(self) -> str:
        """Name the shaping rows of one size by their numbers."""
        (place,) = self.places
        action, before = self._action()
        shaped = self._plan(place).event_rows
        stitches = self.stitches_after({place: len(shaped)}, is_last=True)
        name = rows_spaced if self.voice.wording > WIDE_WORDING else rows_named
        return f"{action} {before} {name(shaped, self.shaping.noun)}{stitches}"

    def _phrases(self) -> list[str]:
        """Write one phrase for each rank of runs, and before them the first row where it stands apart."""
        noun, (_, before) = self.shaping.noun, self._action()
        early = {
            place: self._plan(place).event_rows[0] for place in self.places if self._plan(place).lead < 0
        }
        runs = {place: _runs_after(self._plan(place)) for place in self.places}
        ranks = max(len(of_size) for of_size in runs.values())
        done = dict.fromkeys(self.places, 1 if early else 0)
        named = f"First shaping {noun}"
        phrases = [f"{before} {noun} {number(self._column(early), self.voice, named)}"] if early else []
        for rank in range(ranks):
            # A size whose gaps are all alike has nothing to do in a second rank.
            every = {place: of_size[rank][0] for place, of_size in runs.items() if rank < len(of_size)}
            times = {place: of_size[rank][1] for place, of_size in runs.items() if rank < len(of_size)}
            done = {place: done[place] + times.get(place, 0) for place in self.places}
            part = "" if ranks == 1 else f", {('first', 'then')[rank > 0]}"
            some = self._of_some(list(every))
            at = some.every_words(every, part)
            often = how_often(self._column(times), some.voice, f"Times{part}")
            if self._is_first_row(rank, early, times):
                at, often = (
                    f"{noun} {number(self._column(every), some.voice, f'{noun.capitalize()}{part}')}",
                    "",
                )
            named = "" if some is self else f"in {_sizes(list(every), self.voice)} "
            told = f"{named}{before} {at} {often}".rstrip()
            phrases.append(told + some.stitches_after(done, is_last=rank == ranks - 1))
        return phrases

    def _is_first_row(self, rank: int, early: Mapping[int, int], times: Mapping[int, int]) -> bool:
        """Whether all sizes do it once, and first: on the row of that number."""
        is_new = self.voice.wording > WIDE_WORDING
        return is_new and rank == 0 and not early and set(times.values()) == {1}

    def _of_some(self, places: Sequence[int]) -> "_Told":
        """Speak to the sizes that have a part, where others have not: they are named."""
        if len(places) == len(self.places) or not self._names_some:
            return self
        return replace(self, voice=_voice_of(places, self.voice), places=places)

    @property
    def _names_some(self) -> bool:
        """Whether sizes are named that have a part which others have not; in a table they have a dash."""
        voice = self.voice
        return voice.wording > WIDE_WORDING and _are_in_line(self.places, voice) and not voice.for_one

    def every_words(self, every: Mapping[int, int], part: str) -> str:
        """Write "every row" or "every 4th (6th) row"."""
        if set(every.values()) == {1}:
            return f"every {self.shaping.noun}"
        words = [None if n is None else ordinal(n) for n in self._column(every)]
        return f"every {self.voice.listing(words, f'Every … {self.shaping.noun}{part}')} {self.shaping.noun}"

    def stitches_after(self, done: Mapping[int, int], *, is_last: bool) -> str:
        """Tell the stitches after so many shaping rows; at the end only where the author does not."""
        if (is_last and self.shaping.is_closed) or not self.shaping.starts:
            return ""
        after: dict[int, int] = {}
        for place in self.places:
            start, plan = self.shaping.starts[place], self._plan(place)
            if start is not None:
                after[place] = start + done[place] * (plan.each if plan.change > 0 else -plan.each)
        column = self._column(after)
        told = counted(column, "st", self.voice, "Stitches after these")
        return f" ({told})" if shown(column, self.voice) else ""

    def _straight(self) -> str:
        """Tell the rows that are then worked straight."""
        straight = {place: self._plan(place).straight_rows for place in self.places}
        if self.shaping.at_once or not any(straight.values()):
            return ""
        ranks = {len(_runs_after(self._plan(place))) for place in self.places}
        is_for_all = len(ranks) == 1 or not self._names_some
        these = "" if len(self.places) == len(self.voice.labels) else "these "
        then = ", then" if is_for_all else f"; after that, in all {these}sizes,"
        if all(straight.values()):
            return f"{then} work {self._counted(straight, 'straight at the end')} straight"
        rows = {place: self._plan(place).rows for place in self.places}
        told = self._counted(rows, "from where the shaping began")
        return f"{then} work straight until {told} are worked from where the shaping began"


def _runs_after(plan: ShapingPlan) -> tuple[Run, ...]:
    """Return the runs without the first row where that is named apart."""
    runs = plan.runs or ()
    if plan.lead >= 0 or not runs:
        return runs
    every, times = runs[0]
    return runs[1:] if times == 1 else ((every, times - 1), *runs[1:])


def _times(plan: ShapingPlan) -> int:
    """Count the shaping rows after one that is named apart."""
    return sum(times for _, times in _runs_after(plan))
