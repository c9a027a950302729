"""Grids of colours: one letter for each stitch, as the right side looks; row 1 is the lowest line."""

from dataclasses import dataclass

from grading.core.pattern.pattern import StitchPatternEntry

FRAME = "|"


class GridProblem(Exception):
    """A grid that can't be read; `says` is one sentence."""

    def __init__(self, says: str) -> None:
        super().__init__(says)
        self.says = says


@dataclass(frozen=True)
class Grid:
    """Lines of letters, the highest first; the repeat is `length` letters from `start` on."""

    lines: tuple[str, ...]
    start: int
    length: int


def read_grid(entry: StitchPatternEntry) -> Grid:
    """Read the grid of a stitch pattern.

    Args:
        entry: A stitch pattern with a grid.

    Returns:
        Its lines without marks, and where the repeat lies.

    Raises:
        GridProblem: Lines differ in length or in their marks, or don't fit the multiple.

    Source: derived.

    >>> entry = StitchPatternEntry("dots", "Dots", 2, 1, grid=("A|AB|", "A|BA|"))
    >>> read_grid(entry)
    Grid(lines=('AAB', 'ABA'), start=1, length=2)
    """
    lines = [line.replace(" ", "") for line in entry.grid]
    total = len(lines)
    marks = [tuple(at for at, sign in enumerate(line) if sign == FRAME) for line in lines]
    for place, (line, at) in enumerate(zip(lines, marks, strict=True)):
        if len(line) != len(lines[0]) or at != marks[0]:
            raise GridProblem(
                f"Row {total - place} and row {total} of the grid differ in length or in their | marks: "
                "give every line as many letters, and the marks at the same places."
            )
    width = len(lines[0].replace(FRAME, ""))
    if len(marks[0]) not in (0, 2):
        raise GridProblem("Mark the repeat of the grid with two | in every line, or with none.")
    start, end = (marks[0][0], marks[0][1] - 1) if marks[0] else (0, width)
    if end - start != entry.multiple or width != entry.multiple + entry.plus:
        raise GridProblem(
            f"The grid repeats {end - start} of {width} stitches; the multiple is {entry.multiple} plus "
            f"{entry.plus}: change one of the two, or move the | marks."
        )
    return Grid(tuple(line.replace(FRAME, "") for line in lines), start, end - start)


def grid_rows(grid: Grid) -> list[str]:
    """Return the rows of a grid as they look, row 1 first.

    >>> grid_rows(Grid(("AB", "BB"), 0, 2))
    ['BB', 'AB']
    """
    return list(reversed(grid.lines))


def plain_stitch(craft: str, terms: str) -> str:
    """Return the stitch that a grid is worked in where none is named.

    Args:
        craft: crochet, tunisian or knitting.
        terms: US or UK.

    Source: common practice: stocking stitch, single crochet (UK double crochet), Tunisian simple stitch.

    >>> plain_stitch("crochet", "UK")
    'dc'
    """
    if craft == "crochet":
        return "sc" if terms == "US" else "dc"
    return "tss" if craft == "tunisian" else "k"
