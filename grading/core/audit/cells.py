"""The places beneath a row: stitches, chain spaces, row ends or chains, in runs of equal ones."""

import re
from dataclasses import dataclass
from typing import Self

from grading.core.audit.tree import Kind


@dataclass(frozen=True)
class Cell:
    """A run of `number` equal places; `counted` ones are stitches of the count."""

    kind: Kind
    number: int
    counted: bool


class Beneath:
    """Places beneath, with how far they have been worked; None for a beginning that has none."""

    def __init__(self, cells: tuple[Cell, ...] | None, *, lost: bool = False, bare: bool = False) -> None:
        self.cells = None if cells is None else merge_cells(cells)
        self.number = None if self.cells is None else sum(cell.number for cell in self.cells if cell.counted)
        """How many counted places there are: the same however they are turned."""
        self.lost = lost
        """Whether there is something beneath that is not known."""
        self.bare = bare
        """Whether only the count is known, and not where chain spaces lie."""
        self.index = 0
        self.used = 0
        self.over = 0
        self.started = 0

    @classmethod
    def of_count(cls, number: int | None, kind: Kind = Kind.STITCH) -> Self:
        """So many equal places."""
        bare = kind is Kind.STITCH
        return cls(None if number is None else (Cell(kind, number, True),), bare=bare)

    @classmethod
    def unknown(cls) -> Self:
        """Places whose count is not known."""
        return cls(None, lost=True)

    def state(self) -> tuple[object, ...]:
        """All that tells these places from others."""
        return self.cells, self.lost, self.bare, self.index, self.used, self.over, self.started

    def copy(self) -> "Beneath":
        """The same places, worked as far."""
        other = Beneath(None, lost=self.lost, bare=self.bare)
        other.cells, other.number = self.cells, self.number
        other.index, other.used = self.index, self.used
        other.over, other.started = self.over, self.started
        return other

    def total(self) -> int | None:
        """How many counted places there are; None at a beginning."""
        return self.number

    def rest(self) -> tuple[Cell, ...]:
        """What has not been worked; afterwards nothing is left."""
        cells = self.cells or ()
        rest = []
        for index in range(self.index, len(cells)):
            cell = cells[index]
            number = cell.number - (self.used if index == self.index else 0)
            if number:
                rest.append(Cell(cell.kind, number, cell.counted))
        self.index, self.used = len(cells), 0
        return tuple(rest)

    def remaining(self) -> int:
        """Counted places not worked yet."""
        cells = (self.cells or ())[self.index :]
        left = sum(cell.number for cell in cells if cell.counted)
        return left - (self.used if cells and cells[0].counted else 0)

    def remaining_signed(self) -> int:
        """Counted places not worked yet; below zero when more were asked for than there are."""
        return self.remaining() - self.over

    def spaces_left(self) -> int:
        """Chain spaces not worked yet."""
        return sum(cell.number for cell in self.copy().rest() if cell.kind is Kind.SPACE)

    def has_spaces_left(self) -> bool:
        """Whether a chain space has not been worked yet."""
        return self.spaces_left() > 0

    def is_even(self) -> bool:
        """Whether all that is left is one run of counted places."""
        cells = self.cells or ()
        return self.index >= len(cells) - 1 and all(cell.counted for cell in cells[self.index :])

    def has_spaces(self) -> bool:
        """Whether any chain space is beneath."""
        return any(cell.kind is Kind.SPACE for cell in self.cells or ())

    def take(self, number: int) -> int:
        """Work so many counted places, passing over spaces that don't count; returns how many were wanted."""
        cells = self.cells or ()
        wanted = number
        while wanted > 0 and self.index < len(cells):
            cell = cells[self.index]
            left = cell.number - self.used
            step = left if not cell.counted else min(left, wanted)
            wanted -= step if cell.counted else 0
            self.used += step
            if self.used >= cell.number:
                self.index, self.used = self.index + 1, 0
        self.over += wanted
        return number

    def take_space(self) -> int:
        """Work the next chain space; returns the counted places passed and taken."""
        passed = 0
        cells = self.cells or ()
        while self.index < len(cells):
            cell = cells[self.index]
            if cell.kind is Kind.SPACE:
                self.used += 1
                if self.used >= cell.number:
                    self.index, self.used = self.index + 1, 0
                return passed + cell.counted
            passed += (cell.number - self.used) * cell.counted
            self.index, self.used = self.index + 1, 0
        self.over += 1
        return passed + 1

    def is_ring(self) -> bool:
        """Whether a chain that was closed to a ring is beneath, not worked into yet."""
        cells = self.cells or ()
        return self.position() == (0, 0, 0) and bool(cells) and all(cell.kind is Kind.RING for cell in cells)

    def position(self) -> tuple[int, int, int]:
        """How far the places have been worked."""
        return self.index, self.used, self.over

    def begin_at_space(self) -> None:
        """A round that begins in a chain space: the stitches before it are its last."""
        cells = self.cells or ()
        first = next((index for index, cell in enumerate(cells) if cell.kind is Kind.SPACE), 0)
        if self.index == self.used == 0 and first:
            self.cells = (*cells[first:], *cells[:first])

    def mark_worked(self, skipped: int) -> None:
        """Remember how many chains a foundation row leaves out."""
        self.started = skipped

    def behind(self, chains: int) -> "Beneath":
        """The same places behind chains that were made at the start of the row, and are worked first."""
        return Beneath((Cell(Kind.CHAIN, chains, True), *(self.cells or ())))

    def chains_ahead(self) -> int:
        """Chains that come next, before any other place."""
        ahead = self.copy().rest()
        return ahead[0].number if ahead and ahead[0].kind is Kind.CHAIN else 0


def merge_cells(cells: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """Neighbouring equal runs as one; a run below zero takes away from the one before it."""
    merged: list[Cell] = []
    for cell in cells:
        if merged and merged[-1].kind is cell.kind and merged[-1].counted == cell.counted:
            merged[-1] = Cell(cell.kind, merged[-1].number + cell.number, cell.counted)
        elif cell.number < 0:
            _take_from_last(merged, cell)
        elif cell.number:
            merged.append(cell)
    return tuple(cell for cell in merged if cell.number > 0)


def _take_from_last(merged: list[Cell], cell: Cell) -> None:
    for index in range(len(merged) - 1, -1, -1):
        if merged[index].kind is cell.kind:
            merged[index] = Cell(cell.kind, merged[index].number + cell.number, merged[index].counted)
            return


BETWEEN = re.compile(
    r"(?P<number>\d+) (?P<stitch>[a-z]+) with (?:a )?(?P<space>(?:\d-ch|ch-\d) sps?) between "
    r"(?:them|each two|every two|each pair|each st|sts)(?: sts)?"
)
LAYOUT = re.compile(r"\((?P<group>[^()]*)\)\s*x\s*(?P<times>\d+)|(?P<plain>[^,;()]+)")


def read_layout(text: str) -> tuple[Cell, ...] | None:
    """The row beneath as a list in words: `1 dc, then (ch-2 sp, dc) x 15; chain spaces not counted`."""
    plain, _, note = text.lower().partition(";")
    between = BETWEEN.fullmatch(plain.strip())
    if between:
        number, stitch, space = between.group("number", "stitch", "space")
        plain = f"1 {stitch}, then ({space}, {stitch}) x {int(number) - 1}"
    spaces_count = "not counted" not in note and "counted" in note
    cells: list[Cell] = []
    for match in LAYOUT.finditer(plain.replace("×", "x")):
        group = match.group("group")
        parts = [_cell(part, spaces_count) for part in (group or match.group("plain")).split(",")]
        if None in parts:
            return None
        cells += [cell for cell in parts if cell is not None and cell.number] * int(match.group("times") or 1)
    return tuple(cells) or None


PLACE_WORDS = {
    *(
        "st",
        "sts",
        "stitch",
        "stitches",
        "sp",
        "sps",
        "ch",
        "chs",
        "chain",
        "chains",
        "corner",
        "counted",
        "as",
    ),
    *("sc", "hdc", "dc", "tr", "htr", "dtr", "shell", "bobble", "puff", "popcorn", "cluster", "of"),
    *(f"ch-{number}" for number in range(1, 10)),
    *(f"{number}-ch" for number in range(1, 10)),
}


def _cell(text: str, spaces_count: bool) -> Cell | None:
    words = text.replace("then", " ").split()
    if not words:
        return Cell(Kind.STITCH, 0, True)
    number = int(words[0]) if words[0].isdigit() else 1
    rest = words[1:] if words[0].isdigit() else words
    if not rest or not PLACE_WORDS.issuperset(rest):
        return None
    if "sp" in rest or "sps" in rest:
        return Cell(Kind.SPACE, number, spaces_count)
    return Cell(Kind.STITCH, number, True)
