"""A row that is described as one of the right or the wrong side: are the rows of its shaping of that side?"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from grading.core.grade.row_sides import RowPlans
from grading.core.instructions.references import Reference, parse_references

_COUNTED = re.compile(r"\bcount|\brow 1\b|\bfirst\b", re.IGNORECASE)


@dataclass(frozen=True)
class ShapedRows:
    """The rows in which shapings change something in one size, and the steps from the one followed."""

    plans: RowPlans
    place: int
    steps: tuple[str, ...]

    def follows(self) -> bool:
        """Whether a shaping is printed in this step or one of the next two."""
        pieces = (piece for step in self.steps[:3] for piece in parse_references(step).pieces)
        return any(isinstance(piece, Reference) and piece.name in self.plans.rows for piece in pieces)

    def wrong_side(
        self, name: str, head: str, described: bool | None, last_is_right: bool | None
    ) -> Iterator[str]:
        """Say where the rows of a shaping are of another side than its row is described for.

        Args:
            name: The shaping.
            head: The words of its sentence before it.
            described: Whether the row is described as a right-side row; None where it is not.
            last_is_right: Whether the row before row 1 shows the right side; None where that is not known.

        Yields:
            A sentence; none where rows of both sides are shaped, or where the words count from another row.

        Source: derived: rows of turned work show their sides in turn.
        """
        planned = self.plans.rows.get(name)
        rows = {row % 2 for row in planned[self.place]} if planned else set()
        counts_anew = _COUNTED.search(head) is not None and "next row" not in head
        if described is None or last_is_right is None or len(rows) != 1 or counts_anew:
            return
        shows_right = last_is_right == (0 in rows)
        if shows_right == described:
            return
        side, other = ("right", "wrong") if shows_right else ("wrong", "right")
        first = "wrong" if last_is_right else "right"
        yield (
            f"The row that is described is a {other}-side row, and the rows of this shaping are "
            f"{side}-side rows: row 1 is a {first}-side row here. Work one row more or fewer before it."
        )
