"""The measurements of a whole as the second wording told them.

Never to be changed: records are printed with them.
"""

from collections.abc import Iterator, Mapping, Sequence

from catalogue.drawings.found_lines import found_lines
from catalogue.drawings.laid_wholes import PARTS, LaidPiece, Sizes, Told, placed_line
from catalogue.drawings.pieces_in_size import Ground, drawn_between, found_line, measured_line
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import PieceEntry


def wide_told(ground: Ground, laid: Sequence[LaidPiece], sizes: Mapping[str, Sizes]) -> list[Told]:
    """The measurements of the whole and then of its parts, each value once; found lines only of the whole."""
    seen: set[str] = set()
    told: list[Told] = []
    for one in sorted(laid, key=lambda each: each.role not in PARTS):
        its_sizes = sizes[one.piece.name]
        for number, line in enumerate(one.drawing.lines):
            if line.value not in seen:
                seen.add(line.value)
                told.append(placed_line(one, measured_line(ground, its_sizes, number), line))
        if one.role in PARTS:
            for found in found_lines(one.piece, one.drawing, is_wide=True):
                at = drawn_between(found, one.drawing)
                told.append(placed_line(one, found_line(found, its_sizes), at))
    return told


def wide_words(ground: Ground, piece: PieceEntry, sizes: Sizes, told: Sequence[Told]) -> Iterator[str]:
    """The measurements of a part that is not drawn, as far as no line of the picture is called the same."""
    if not any(sizes[place] for place in ground.kept):
        return
    known = {line.label for line, _ in told}
    when = when_label(piece.when, ground.facts.pattern)
    for number in range(len(piece.dimensions)):
        line = measured_line(ground, sizes, number)
        if line.label not in known:
            yield f"{line.label} ({when}): {ground.lengths(line.numbers, ground.kept)}"
