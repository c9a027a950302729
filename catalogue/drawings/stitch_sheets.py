"""Stitch patterns as they are read: rows in words, the chart, its key, and the repeats of each size."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from catalogue.drawings.chart_keys import KeyPicture, draw_key, without_sign
from catalogue.drawings.stitch_charts import ChartPicture, Look, draw_charts
from grading.core.instructions.steps import print_words
from grading.core.pattern.pattern import PatternFile, StitchPatternEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.numbers import DASH, needs_table, number_list
from grading.core.printing.size_rows import PageRow
from grading.core.printing.wording import capital, listed
from grading.core.stitch_patterns.charts import Chart, chart_of, craft_of
from grading.core.stitch_patterns.fits import all_repeats, multiple_words, stitches_over
from grading.core.stitch_patterns.written import written_rows

# What a line of the sheet counts: the number beside its label says it again.
_STITCHES = re.compile(r", stitches\b( each\b)?")

_SIDES = {False: ("right to left", "left to right"), True: ("left to right", "right to left")}


@dataclass(frozen=True)
class RowInWords:
    """A row: its head and its words in the terms of the edition."""

    head: str
    words: str


@dataclass(frozen=True)
class StitchSheet:
    """Everything that is printed of one stitch pattern; `rows` are for a table, `fits` for sentences."""

    name: str
    label: str
    multiple: str
    introduction: str
    written: tuple[RowInWords, ...]
    charts: tuple[ChartPicture, ...]
    key: tuple[KeyPicture, ...]
    reading: str
    in_words: str
    in_letters: str
    reasons: tuple[str, ...]
    fits: tuple[str, ...]
    rows: tuple[PageRow, ...]
    left_over: str


def stitch_links(pattern: PatternFile) -> dict[str, str]:
    """Where each stitch pattern stands in a document that holds them all."""
    return {entry.name: f"#stitch-{entry.name}" for entry in pattern.stitch_patterns}


def stitch_sheets(look: Look, kept: Sequence[int]) -> tuple[StitchSheet, ...]:
    """The stitch patterns of a pattern for the sizes that are kept, in file order."""
    return tuple(stitch_sheet(entry, look, kept) for entry in look.facts.pattern.stitch_patterns)


def stitch_sheet(entry: StitchPatternEntry, look: Look, kept: Sequence[int]) -> StitchSheet:
    """One stitch pattern."""
    facts, edition = look.facts, look.edition
    chart = chart_of(entry, facts.pattern)
    written = tuple(
        RowInWords(row.head, facts.plain(row.text, edition)) for row in written_rows(entry, facts.pattern)
    )
    label = facts.plain(entry.label, edition)
    charts = draw_charts(entry, look, _alternative(label, written))
    fits = [fit for name in entry.over if (fit := _Fit.of(entry, look, name, kept))]
    return StitchSheet(
        name=entry.name,
        label=label,
        multiple=multiple_words(entry),
        introduction=facts.typeset(print_words(entry.introduction or "", facts, edition)),
        written=written,
        charts=charts,
        key=draw_key(entry, look) if charts else (),
        reading=_reading(entry, chart, look) if charts else "",
        in_words=_in_words(entry, chart) if charts else "",
        in_letters=_in_letters(without_sign(entry, look)) if charts else "",
        reasons=tuple(f"{_noun(entry)} {row.number}: {row.why}." for row in chart.unread),
        fits=tuple(fit.sentence for fit in fits if not fit.is_long),
        rows=tuple(row for fit in fits if fit.is_long for row in fit.rows),
        left_over=facts.typeset(print_words(entry.left_over or "", facts, edition)),
    )


def _alternative(label: str, written: Sequence[RowInWords]) -> str:
    """What stands for the chart where it can't be seen: its rows."""
    rows = " ".join(f"{row.head}: {row.words}" for row in written)
    return f"Chart of {label}. {rows}"


def _noun(entry: StitchPatternEntry) -> str:
    """Row or Round."""
    return "Round" if entry.rounds else "Row"


def _reading(entry: StitchPatternEntry, chart: Chart, look: Look) -> str:
    """How the chart is read, and what its frame means."""
    towards, back = _SIDES[look.mirrored]
    craft = craft_of(entry, look.facts.pattern)
    if entry.rounds:
        way = f"Begin at the bottom and read every round from {towards}."
    elif craft == "tunisian":
        way = f"Begin at the bottom and read every row from {towards}; the return pass is not drawn."
    else:
        sides = f"right-side (RS) rows from {towards} and wrong-side (WS) rows from {back}"
        way = f"Begin at the bottom. Read {sides}."
    seen = (
        " Each symbol shows the stitch as it looks from the right side." if _has_sides(entry, craft) else ""
    )
    has_edges = any(row.length < row.width for row in chart.rows if row.cells)
    edges = ", and the stitches outside it once at each edge" if has_edges else ""
    frame = "Work the stitches in the frame again and again"
    if look.facts.pattern.wording > WIDE_WORDING:
        frame = "Repeat the stitches in the frame"
        edges = ", and work those outside it once at each edge" if has_edges else ""
    hand = " The chart is mirrored for left-handed work." if look.mirrored else ""
    return f"{way}{seen} {frame}{edges}.{hand}"


def _has_sides(entry: StitchPatternEntry, craft: str) -> bool:
    """Whether a symbol means another stitch on the wrong side."""
    return craft == "knitting" and not entry.rounds and not entry.grid


def _in_words(entry: StitchPatternEntry, chart: Chart) -> str:
    """Which rows have no chart."""
    numbers = [str(row.number) for row in chart.unread]
    if not numbers:
        return ""
    many = len(numbers) > 1
    nouns = f"{_noun(entry)}s" if many else _noun(entry)
    return f"{nouns} {listed(numbers)} {'are' if many else 'is'} not in the chart: follow the words."


def _in_letters(shorts: Sequence[str]) -> str:
    """Which stitches stand as abbreviations."""
    if not shorts:
        return ""
    many = len(shorts) > 1
    stand = "their abbreviations stand in the cells" if many else "its abbreviation stands in the cell"
    return f"There is no published symbol for {listed(shorts)}: {stand}."


def _sts(numbers: str) -> str:
    """What numbers of stitches count."""
    return "st" if numbers == "1" else "sts"


@dataclass(frozen=True)
class _Fit:
    """How often the repeat is worked over one line of the sheet."""

    label: str
    counts: tuple[str | None, ...]
    repeats: tuple[str | None, ...]
    over: tuple[str | None, ...]
    kept: tuple[int, ...]

    @classmethod
    def of(cls, entry: StitchPatternEntry, look: Look, name: str, kept: Sequence[int]) -> "_Fit | None":
        """The repeats over a line; None for a name that is none, or that has no stitches."""
        if name not in look.facts.units_of:
            return None
        counts = look.facts.row(name)
        known, _ = all_repeats(entry, counts)
        repeats: list[str | None] = [None if n is None else str(n) for n in known]
        over: list[str | None] = [None] * len(counts)
        for place, count in enumerate(counts):
            if count is not None and known[place] is None and entry.left_over:
                over[place] = str(stitches_over(count, entry.multiple, entry.plus))
                repeats[place] = str(max(0, int((count - entry.plus) // entry.multiple)))
            elif count is not None:
                over[place] = "0"
        shown = tuple(None if count is None else f"{count:g}" for count in counts)
        label = look.facts.plain(look.facts.labels.get(name, name.replace("_", " ")), look.edition)
        if look.facts.pattern.wording > WIDE_WORDING:
            label = _STITCHES.sub(r"\1", label)
            label = capital(label)
        return cls(label, shown, tuple(repeats), tuple(over), tuple(kept))

    @property
    def is_long(self) -> bool:
        """Whether its numbers need a table."""
        return needs_table(self.counts, self.kept)

    @property
    def has_rest(self) -> bool:
        """Whether stitches are left over in a size that is printed."""
        return any(self.over[place] not in (None, "0") for place in self.kept)

    @property
    def sentence(self) -> str:
        """The stitches and repeats of the sizes kept."""
        counts, repeats = (number_list(texts, self.kept) for texts in (self.counts, self.repeats))
        noun = "repeat" if repeats == "1" else "repeats"
        over = number_list(self.over, self.kept)
        rest = f", {over} {_sts(over)} left over" if self.has_rest else ""
        return f"{self.label}: {counts} {_sts(counts)}, {repeats} {noun}{rest}."

    @property
    def rows(self) -> tuple[PageRow, ...]:
        """The same as rows of a table."""
        of = [(f"{self.label}, sts", self.counts), (f"{self.label}, repeats", self.repeats)]
        of += [(f"{self.label}, sts left over", self.over)] if self.has_rest else []
        return tuple(
            PageRow(label, tuple(texts[place] or DASH for place in self.kept)) for label, texts in of
        )
