"""The rows of a version that a maker may count, and what the pattern comes to after each, where known."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from catalogue.instructions.row_accounts import count_at, lines_of
from grading.core.audit.patterns import Counted, Line
from grading.core.audit.sentences import is_definition, runs_at_once
from grading.core.instructions.facts import facts_of
from grading.core.instructions.filling import Filler, plain_text
from grading.core.instructions.references import parse_references
from testing.asked.figures import Figures

LONGEST_ROW = 80
UNKNOWN = Counted(None, None, None)
_ROUND = re.compile(r"\b(?:rounds?|rnds?)\b", re.IGNORECASE)


@dataclass(frozen=True)
class CountedRow:
    """Written words that a maker may have counted after: their place, and what they should leave.

    `counts` are the stitches after each row of theirs, None where not known; `worked` those at the end.
    """

    name: str
    place: str
    title: str
    words: str
    shown: str
    worked: int | None
    counts: tuple[int | None, ...] = ()
    is_joint: bool = False

    @property
    def spot(self) -> str:
        """The section and the step, from 0: "0.2"."""
        return ".".join(self.name.split(".")[:2])

    @property
    def in_section(self) -> str:
        """How the list of its section shows it: "Yoke 3: Rib …"; chosen, it stands without its heading."""
        return f"{self.title} {self.shown.removeprefix(f'{self.title}, step ')}"

    @property
    def has_rows(self) -> bool:
        """Whether it is worked in several rows, so that one of them can be named."""
        return len(self.counts) > 1

    def at(self, row: int | None) -> "CountedRow":
        """The same after one of its rows, from 1, which it names; the last one is the end of the whole."""
        if row is None or not self.has_rows:
            return self
        word = "round" if _ROUND.search(self.shown) else "row"
        shown = f"{self.shown} ({word} {row})"
        if row == len(self.counts):
            return replace(self, shown=shown)
        return replace(self, name=f"{self.name}.{row}", shown=shown, worked=self.counts[row - 1], counts=())


def counted_rows(figures: Figures, size: str) -> list[CountedRow]:
    """The rows of a version in this size, in order, for the options that were told.

    A step that works no row but tells how many stitches there are can be counted after as well.
    """
    if size not in figures.pattern.sizes:
        return []
    place = figures.size_place(size)
    lines = [line for line in lines_of(figures.graded) if _is_made(line, figures.chosen)]
    worked = {(line.section, line.step) for line in lines if _is_worked(line, line.sizes[place])}
    numbers, found = figures.printed_numbers(size), dict[str, CountedRow]()
    for index, line in enumerate(lines):
        is_told = (line.section, line.step) not in worked and _tells_count(line, place, figures)
        if not (is_told or _is_worked(line, line.sizes[place])):
            continue
        row = _counted_row(lines, index, place, figures, numbers)
        known = found.setdefault(row.name, row)
        if (known.worked, known.counts) != (row.worked, row.counts):  # it hangs on options that were not told
            found[row.name] = replace(known, worked=None, counts=(None,) * len(known.counts))
    return list(found.values())


def _is_worked(line: Line, counted: Counted) -> bool:
    """Whether a line works something: no count that is told, no words that say where a part stands."""
    if counted.audited is None or counted.stitches is None or is_definition(line.text):
        return False
    stands = (counted.before, counted.rows_before) == (counted.stitches, counted.rows)
    return not stands or bool(line.row) or counted.verdict != "agrees"


def _tells_count(line: Line, place: int, figures: Figures) -> bool:
    """Whether a line that works nothing prints the stitches that there are."""
    counted = line.sizes[place]
    if counted.verdict != "agrees" or counted.stitches is None or is_definition(line.text):
        return False
    return re.search(rf"(?<!\d){counted.stitches} sts?\b", _filled(line, place, figures)) is not None


def _is_made(line: Line, chosen: Mapping[str, str]) -> bool:
    return all(chosen.get(option, choice) == choice for option, choice in line.options)


def _counted_row(
    lines: Sequence[Line], index: int, place: int, figures: Figures, numbers: Mapping[tuple[int, int], int]
) -> CountedRow:
    line = lines[index]
    title = figures.pattern.sections[line.section].title
    number = numbers.get((line.section, line.step), line.step + 1)
    counted, joint = line.sizes[place], _joint_with(lines, index, place)
    worked, counts = counted.stitches, _counts_within(counted, joint or counted)
    if not _is_known(lines, index, place, figures):
        worked, counts = None, (None,) * len(counts)
    elif joint is not None:
        worked = counts[-1] if counts else None
    return CountedRow(
        name=f"{line.section}.{line.step}.{line.start}",
        place=f"sections[{line.section}].steps[{line.step}]",
        title=title,
        words=line.text.strip(),
        shown=f"{title}, step {number}: {_printed(line, place, figures)}",
        worked=worked,
        counts=() if line.row else counts,
        is_joint=joint is not None,
    )


def _printed(line: Line, place: int, figures: Figures) -> str:
    """The beginning of the words as this size prints them."""
    text = _filled(line, place, figures)
    return text if len(text) <= LONGEST_ROW else f"{text[:LONGEST_ROW].rpartition(' ')[0]} …"


def _filled(line: Line, place: int, figures: Figures) -> str:
    """The words as this size prints them."""
    facts = facts_of(figures.pattern, figures.graded)
    edition = figures.edition(figures.pattern.home_units, figures.pattern.sizes[place])
    pieces = Filler(facts, edition, (place,)).fill(parse_references(line.text).pieces)
    return " ".join(plain_text(pieces).replace("`", "").split())


def _joint_with(lines: Sequence[Line], index: int, place: int) -> Counted | None:
    """The last line that is worked in the same rows as this one, at the same time; None without any."""
    line = lines[index]
    begun = line.sizes[place].rows_before
    if begun is None or line.sizes[place].rows == begun:
        return None
    found = {
        later.options: later.sizes[place]
        for later in lines[index + 1 :]
        if later.section == line.section and set(line.options) <= set(later.options)
        if later.sizes[place].is_joint and later.sizes[place].rows_before == begun
    }
    ends = {(one.stitches, one.course) for one in found.values()}
    return UNKNOWN if len(ends) > 1 else next(iter(found.values()), None)


def _counts_within(counted: Counted, worked: Counted) -> tuple[int | None, ...]:
    """The stitches after each row of a line, in the account of another that goes on in the same rows."""
    if counted.rows is None or counted.rows_before is None:
        return ()
    return tuple(count_at(worked, row) for row in range(counted.rows_before + 1, counted.rows + 1))


def _is_known(lines: Sequence[Line], index: int, place: int, figures: Figures) -> bool:
    """Whether the account can be trusted at a line: read, worked here, with nothing unread beside it."""
    line = lines[index]
    if line.sizes[place].verdict == "unreadable" or is_definition(line.text):
        return False
    steps = figures.pattern.sections[line.section].steps
    at_once = [step for step in (line.step, line.step + 1) if step < len(steps) and runs_at_once(steps[step])]
    return all(
        any(
            other.sizes[place].is_joint
            for other in lines
            if (other.section, other.step) == (line.section, step)
        )
        for step in at_once
    )
