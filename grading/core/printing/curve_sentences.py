"""Curves in words: rows that every size has as lists, what only some sizes still have size by size."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.first_curves import first_curve_lines
from grading.core.printing.numbers import DASH
from grading.core.printing.wording import Column, Voice, as_sentence, by_size, counted, rows_named, shown
from grading.core.shaping.curves import CurvePlan, Side, opposite, place_curve_rows

At = Literal["start", "end", "ends", "reversed"]


def curve_lines(plans: Sequence[CurvePlan], every: int, voice: Voice, at: At) -> list[str]:
    """Write a curve.

    Args:
        plans: One per size.
        every: Rows per step, 1 or more.
        voice: Whom it is for; where it is mirrored, starts and ends are exchanged.
        at: End of the row at which the first step is made; "ends" for both edges at once; "reversed" for
            the same drops from last to first, added instead of taken off.

    Returns:
        A line for each row or stretch of rows that every size has; then, after a line that says so,
        one for each size or sizes that go on; last how many rows there are, where some stay plain. A dash
        where no size printed has a plan.

    Source: common practice: crochet slip stitches across at the start of a row and leaves stitches
    unworked at its end; knitting casts off at the start, for the far edge one row later.

    >>> curve_lines([CurvePlan((3, 1, 0))], 1, Voice(("M",), "tunisian"), "ends")
    ['Row 1: slip stitch across 3 sts at the start of the row and leave as many unworked at its end.', \
'Row 2: slip stitch across 1 st at the start of the row and leave as many unworked at its end.', \
'Work row 3 straight.']
    """
    if voice.wording == FIRST_WORDING:
        return first_curve_lines(plans, every, voice, "start" if at == "ends" else at)
    drops = [plan.drops[::-1] if at == "reversed" and plan.drops else plan.drops for plan in plans]
    if all(drops[place] is None for place in voice.places):
        return [DASH]
    curve = _Curve(drops, every, voice, at)
    shared = curve.shared_steps()
    lines = curve.shared_lines(shared)
    if rest := curve.others(set(shared)):
        lines.append("After that, in the same way:" if shared else f"{as_sentence(curve.manner())[:-1]}:")
        lines += [f"{sizes}: {words}." for sizes, words in rest]
    plain = curve.plain_lines(has_others=bool(lines))
    return [*plain, *lines] if curve.begins_plain() and voice.wording > WIDE_WORDING else [*lines, *plain]


@dataclass(frozen=True)
class _Curve:
    """The steps of a curve for all sizes, and how they are worked."""

    drops: Sequence[tuple[int, ...] | None]
    every: int
    voice: Voice
    at: At

    def column(self, step: int) -> tuple[int | None, ...]:
        """Return the stitches of a step, None for a size that has no such step."""
        return tuple(of_size[step] if of_size and step < len(of_size) else None for of_size in self.drops)

    def _printed(self, step: int) -> list[int | None]:
        """Return the stitches of a step in the sizes printed."""
        return [self.column(step)[place] for place in self.voice.places]

    def shared_steps(self) -> list[int]:
        """List the first steps in which every size printed changes; for one size all that change."""
        most = max(len(of_size or ()) for of_size in self.drops)
        changes = [all(self._printed(step)) for step in range(most)]
        if self.voice.for_one:
            return [step for step, changed in enumerate(changes) if changed]
        return list(range(changes.index(False) if False in changes else most))

    def shared_lines(self, steps: Sequence[int]) -> list[str]:
        """Write steps for all sizes, those that follow one another and are worked alike together."""
        lines = []
        for _, group in groupby(steps, key=lambda step: (self._printed(step), self._side(step))):
            alike = list(group)
            rows = [row for step in alike for row in self._rows(step)]
            told = self._action(self.column(alike[0]), self._side(alike[0]), rows)
            lines.append(as_sentence(f"{rows_named(rows, 'row')}: {told}"))
        return lines

    def others(self, shared: set[int]) -> list[tuple[str, str]]:
        """Write the steps that only some sizes have, by size."""
        texts = {}
        for place in self.voice.places:
            steps = [i for i, drop in enumerate(self.drops[place] or ()) if drop and i not in shared]
            told = []
            for drop, group in groupby(steps, key=lambda i: (self.drops[place] or ())[i]):
                rows = [row for step in group for row in self._rows(step)]
                each = "each of " if rows[1:] else ""
                told.append(f"{drop} {'st' if drop == 1 else 'sts'} in {each}{rows_named(rows, 'row')}")
            texts[place] = ", ".join(told) or DASH
        return [(sizes, words) for sizes, words in by_size(texts, self.voice) if words != DASH]

    def plain_lines(self, *, has_others: bool) -> list[str]:
        """Tell the rows in which nothing changes, by their numbers where one size is printed."""
        plain = {
            place: self._plain_rows(drops)
            for place in self.voice.places
            if (drops := self.drops[place]) is not None
        }
        if not any(plain.values()):
            return []
        if self.voice.for_one:
            (rows,) = plain.values()
            return [f"Work {rows_named(rows, 'row')} straight."]
        in_all = [None if one is None else len(one) * self.every for one in self.drops]
        counts = counted(in_all, "row", self.voice, "Rows in all")
        if not has_others:
            return [f"Work {counts} straight."]
        return [f"Work all other rows straight, until {counts} are worked in all."]

    def begins_plain(self) -> bool:
        """Whether one size is printed, and all its plain rows come before its first step."""
        drops = self.drops[self.voice.places[0]] if self.voice.for_one else None
        if not drops:
            return False
        plain = self._plain_rows(drops)
        return plain == list(range(1, len(plain) + 1)) and len(plain) < len(drops) * self.every

    def _plain_rows(self, drops: tuple[int, ...]) -> list[int]:
        """List the rows of a size in which nothing changes."""
        shaped = {row for step, drop in enumerate(drops) if drop for row in self._rows(step)}
        return [row for row in range(1, len(drops) * self.every + 1) if row not in shaped]

    def manner(self) -> str:
        """Say what is done in rows that are told size by size."""
        knits = self.voice.craft == "knitting"
        if self.at == "reversed":
            if knits or self.voice.wording > WIDE_WORDING:
                return f"{'cast on' if knits else 'add'} these sts at the curved edge"
            return "chain these sts, and work into them"
        edge = "both edges" if self.at == "ends" else "this edge"
        return f"{self.voice.casting_off} these sts at {edge}" if knits else f"leave these sts out at {edge}"

    @property
    def _is_cast_off_later(self) -> bool:
        """Whether the far edge is cast off in the second row of a step, at the start of that row."""
        return self.voice.craft == "knitting" and self.every % 2 == 0

    def _side(self, step: int) -> Side:
        """Return the end of the row at which a step is made."""
        if self.at in ("ends", "reversed"):
            return "start"
        first: Side = "end" if self.at == "end" else "start"
        first = opposite(first) if self.voice.mirrored else first
        made = place_curve_rows((0,) * (step + 1), self.every, at=first, craft=self.voice.craft)
        return made[step].side

    def _rows(self, step: int) -> list[int]:
        """Return the rows in which a step is made."""
        first = step * self.every + 1
        if self.at == "ends" and self._is_cast_off_later:
            return [first, first + 1]
        is_later = self.at != "reversed" and self._side(step) == "end" and self._is_cast_off_later
        return [first + 1 if is_later else first]

    def _action(self, column: Column, side: Side, rows: Sequence[int]) -> str:
        """Say how the stitches of a step are taken off or added."""
        stitches = counted(column, "st", self.voice, f"Stitches, {rows_named(rows, 'row')}")
        the_row = "each row" if rows[1:] else "the row"
        knits = self.voice.craft == "knitting"
        if self.at == "reversed":
            if knits:
                return f"cast on {stitches} at the curved edge"
            if self.voice.wording > WIDE_WORDING:
                return f"add {stitches} at the curved edge{' in each row' if rows[1:] else ''}"
            them = "it" if shown(column, self.voice) == {1} else "them"
            return f"chain {stitches} more at the curved edge and work into {them}"
        if side == "end" and not self._is_cast_off_later:
            return f"leave {stitches} unworked at the end of {the_row}"
        verb = self.voice.casting_off if knits else "slip stitch across"
        begun = f"{verb} {stitches} at the start of {the_row}"
        if self.at == "ends" and not self._is_cast_off_later:
            return f"{begun} and leave as many unworked at its end"
        return begun
