"""What the words of a pattern draw on: its names, its numbers for every size, its choices."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol, cast

import numpy as np
from numpy.typing import NDArray

from grading.core.instructions.choice_words import is_plural
from grading.core.instructions.references import helps_named
from grading.core.instructions.terms import Craft, translate
from grading.core.pattern.pattern import CountOrName, PatternFile
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.apostrophes import with_apostrophes
from grading.core.printing.edition import PrintForm, Terms
from grading.core.printing.shaping_sentences import ShapingWords
from grading.core.printing.wording import Voice
from grading.core.shaping.curves import CurvePlan, plan_curve
from grading.core.shaping.pick_ups import PickUpPlan, Ratio, plan_pick_up
from grading.core.shaping.shaping import ShapingInput, mirrored_plan, plan_shaping
from grading.core.shaping.spreads import SpreadPlan, plan_spread

Row = tuple[float | None, ...]

_IN_ROUNDS = re.compile(r"\brounds?\b(?! the)|\bjoin in (?:the|a) round\b", re.IGNORECASE)
_IN_ROWS = re.compile(r"\brows?\b|\bturn\b", re.IGNORECASE)


def more_of_rounds(steps: Sequence[str]) -> int:
    """Count how much more often the steps of a section speak of rounds than of rows.

    >>> more_of_rounds(["Join in the round.", "Work 3 rounds."]), more_of_rounds(["Work 2 rows, turn."])
    (2, -2)
    """
    words = " ".join(steps)
    return len(_IN_ROUNDS.findall(words)) - len(_IN_ROWS.findall(words))


def _one_of(noun: str) -> str:
    """What is counted, as one of it: where there are several it is printed with an s of its own."""
    noun = noun.strip()
    return noun.removesuffix("s") if is_plural(noun) else noun


class WorkedValue(Protocol):
    """A value as graded: what is read of it here."""

    @property
    def worked(self) -> NDArray[np.float64]:
        """One rounded number per size, NaN where a size has none."""


class GradedPattern(Protocol):
    """A graded pattern: what is read of it here."""

    @property
    def values(self) -> Mapping[str, WorkedValue]:
        """The values by name."""

    @property
    def pick_ups(self) -> Mapping[str, NDArray[np.float64]]:
        """The stitches of the pick-ups by name, NaN where a size has none."""


@dataclass(frozen=True)
class Facts:
    """A pattern and its worked numbers by name (values and pick-ups, one number per size)."""

    pattern: PatternFile
    numbers: Mapping[str, Row] = field(default_factory=dict)

    @cached_property
    def kinds(self) -> dict[str, str]:
        """What each name of the pattern names."""
        return kinds_of(self.pattern)

    @cached_property
    def units_of(self) -> dict[str, str]:
        """The kind of number behind each name that prints numbers."""
        pattern = self.pattern
        return {
            **{value.name: value.kind for value in pattern.values},
            **{measure.name: "length" for measure in pattern.body},
            **{pick_up.name: "stitches" for pick_up in pattern.pick_ups},
        }

    @cached_property
    def labels(self) -> dict[str, str]:
        """What each value and body measurement is called."""
        values = {value.name: value.label for value in self.pattern.values}
        return values | {measure.name: measure.label for measure in self.pattern.body}

    @cached_property
    def helps(self) -> dict[str, int]:
        """The number of each help that the steps name."""
        return helps_named(step for section in self.pattern.sections for step in section.steps)

    @property
    def craft(self) -> Craft:
        """The craft of the pattern."""
        return cast("Craft", self.pattern.craft)

    @property
    def home_terms(self) -> Terms:
        """The terms the author writes in."""
        return cast("Terms", self.pattern.home_terms)

    def row(self, count: CountOrName | None) -> Row:
        """Return one number per size: of a name, of a number for all sizes, or none."""
        everywhere = len(self.pattern.sizes)
        if count is None or isinstance(count, int):
            return (count,) * everywhere
        body = next((one.entries for one in self.pattern.body if one.name == count), None)
        return body or self.numbers.get(count, (None,) * everywhere)

    def translate(self, text: str, edition: PrintForm) -> str:
        """Put words of the author into the terms of an edition."""
        return translate(text, self.home_terms, edition.terms, self.craft, self.pattern.wording)

    def plain(self, text: str, edition: PrintForm) -> str:
        """Put a label into the terms of an edition, without the backticks that keep words as they are."""
        return self.typeset(self.translate(text, edition).replace("`", ""))

    def typeset(self, text: str) -> str:
        """Put printed apostrophes into words of the author; in the first wording they stand as typed."""
        return text if self.pattern.wording == FIRST_WORDING else with_apostrophes(text)

    def voice(self, edition: PrintForm, kept: tuple[int, ...] | None) -> Voice:
        """Say whom sentences are for; left-handed work that is never turned is mirrored."""
        mirrored = edition.hand == "left" and self.craft == "tunisian"
        return Voice(
            self.pattern.sizes,
            self.pattern.craft,
            edition.terms,
            kept,
            mirrored,
            wording=self.pattern.wording,
        )

    def shaping(self, name: str, edition: PrintForm, *, mirrored: bool = False) -> ShapingWords:
        """Return a shaping with its plan for each size; mirrored, back to where it began."""
        shaping = next(one for one in self.pattern.shapings if one.name == name)
        columns = [self.row(count) for count in (shaping.start, shaping.end, shaping.over, shaping.each)]
        firsts, plain_ends = self.row(shaping.first), self.row(shaping.plain_end)
        plans = tuple(
            plan_shaping(ShapingInput(start, end, rows, each, shaping.on_every, first, plain_end))
            for (start, end, rows, each), first, plain_end in zip(
                zip(*columns, strict=True), firsts, plain_ends, strict=True
            )
        )
        if mirrored:
            plans = tuple(mirrored_plan(plan, shaping.on_every) for plan in plans)
            starts = tuple(None if end is None else round(end) for end in columns[1])
            return ShapingWords(plans, "", shaping.rounds, starts)
        starts = tuple(None if start is None else round(start) for start in columns[0])
        return ShapingWords(plans, self.translate(shaping.words or "", edition), shaping.rounds, starts)

    @property
    def in_rounds(self) -> bool:
        """Whether all that is said to be worked in rows or rounds is worked in rounds, stripes too."""
        pattern = self.pattern
        shapings = [one.rounds for one in pattern.shapings]
        told = [*shapings, *(one.rounds for one in pattern.stitch_patterns)]
        if not told or not all(told) or pattern.curves or pattern.wording <= WIDE_WORDING:
            return False
        return all(self._may_be_rounds(section.steps) for section in pattern.sections)

    def _may_be_rounds(self, steps: Sequence[str]) -> bool:
        """Whether steps speak more of rounds than of rows; without stripes in them, of neither as well."""
        more, words = more_of_rounds(steps), " ".join(steps)
        is_striped = any(re.search(rf"\{{{one.name}\b", words) for one in self.pattern.stripes)
        return more > 0 or (more == 0 and not is_striped)

    @property
    def row_noun(self) -> str:
        """What a row is called."""
        return "round" if self.in_rounds else "row"

    def spread(self, name: str) -> tuple[list[SpreadPlan], str]:
        """Return the plan of a spread for each size, and what is counted in it: a noun that takes an s."""
        spread = next(one for one in self.pattern.spreads if one.name == name)
        rows = zip(self.row(spread.change), self.row(spread.within), strict=True)
        of = _one_of(spread.of) if self.pattern.wording > WIDE_WORDING else spread.of
        return [plan_spread(change, within) for change, within in rows], of or "st"

    def curve(self, name: str) -> tuple[list[CurvePlan], int]:
        """Return the plan of a curve for each size, and its rows per step."""
        curve = next(one for one in self.pattern.curves if one.name == name)
        rows = zip(self.row(curve.width), self.row(curve.depth), strict=True)
        shrinking = self.pattern.wording > FIRST_WORDING
        plans = [plan_curve(width, depth, curve.shape, shrinking=shrinking) for width, depth in rows]
        return plans, curve.every

    def pick_up(self, name: str) -> tuple[list[PickUpPlan | None], str]:
        """Return the plan of a pick-up for each size, and what it runs along."""
        pick_up = next(one for one in self.pattern.pick_ups if one.name == name)
        ratio = Ratio(pick_up.stitches, pick_up.per)
        rows = zip(self.row(name), self.row(pick_up.count), strict=True)
        return [plan_pick_up(stitches, count, ratio) for stitches, count in rows], pick_up.along


def facts_of(pattern: PatternFile, graded: GradedPattern) -> Facts:
    """Gather what the words of a graded pattern draw on.

    Args:
        pattern: The pattern as read.
        graded: Its numbers.

    Returns:
        The pattern with its worked numbers, NaN as none.
    """
    return Facts(pattern, _Rows(graded))


class _Rows(Mapping[str, Row]):
    """The numbers of a graded pattern by name, made plain when they are asked for: a sheet may be large."""

    def __init__(self, graded: GradedPattern) -> None:
        """Begin with none."""
        self._graded = graded
        self._known: dict[str, Row] = {}

    def __getitem__(self, name: str) -> Row:
        if name not in self._known:
            picked, value = self._graded.pick_ups.get(name), self._graded.values.get(name)
            numbers = picked if value is None or picked is not None else value.worked
            if numbers is None:
                raise KeyError(name)
            self._known[name] = tuple(None if math.isnan(n) else float(n) for n in numbers)
        return self._known[name]

    def __iter__(self) -> Iterator[str]:
        return iter({**self._graded.values, **self._graded.pick_ups})

    def __len__(self) -> int:
        return sum(1 for _ in self)


class _Named(Protocol):
    """A part of a pattern that has a name."""

    @property
    def name(self) -> str:
        """Its name."""


def kinds_of(pattern: PatternFile) -> dict[str, str]:
    """Return what each name of a pattern names.

    Args:
        pattern: The pattern as read.

    Returns:
        By name: value, body, pick_up, shaping, spread, curve, stripes, stitch_pattern or fabric.
    """
    named: dict[str, Sequence[_Named]] = {
        "fabric": pattern.fabrics,
        "stitch_pattern": pattern.stitch_patterns,
        "stripes": pattern.stripes,
        "curve": pattern.curves,
        "spread": pattern.spreads,
        "shaping": pattern.shapings,
        "pick_up": pattern.pick_ups,
        "body": pattern.body,
        "value": pattern.values,
    }
    return {one.name: kind for kind, many in named.items() for one in many}
