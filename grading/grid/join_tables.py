"""All joins of a pattern in one table: both edges in every size, and by how much they differ."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from grading.core.grade.edge_words import edge_labels, edge_said
from grading.core.grade.grade import Graded
from grading.core.grade.joins import highest_row_mm, is_misfit, misfits_mm
from grading.core.pattern.parts import JOIN_TOLERANCE
from grading.core.pattern.pattern import JoinEdge, JoinEntry, PatternFile
from grading.core.printing.wording import listed
from grading.grid.shown_numbers import NONE, decimal_text, figure
from grading.sheets.documents import Document, entries_of


@dataclass(frozen=True)
class JoinCell:
    """A join in one size: both lengths and the difference, as text; how that is to be taken.

    The difference is in per cent; beyond an ease that is wanted, in cm or in. `longer` is by how much the
    first edges are longer in all, whatever of it is wanted.
    """

    size: str
    edges: str
    onto: str
    longer: str
    off: str
    verdict: str
    """"" where they fit, else "wide" (only the join's wider tolerance lets it pass) or "misfit"."""


@dataclass(frozen=True)
class JoinLine:
    """A join in all sizes; `place` is its number among the joins of the sheet."""

    place: int
    label: str
    edges: str
    onto: str
    tolerance: str
    ease: str
    worst: str
    worst_off: str
    worst_words: str
    """Where it differs most and by how much; nothing where nothing differs."""
    note: str
    """Why its edges may differ so, as the designer wrote it."""
    cells: tuple[JoinCell, ...]

    @property
    def wide(self) -> tuple[str, ...]:
        """The sizes that only a tolerance wider than the usual one lets pass."""
        return tuple(cell.size for cell in self.cells if cell.verdict == "wide")

    @property
    def wide_in(self) -> str:
        """Those sizes in words."""
        return self.where(self.wide)

    @property
    def misfits(self) -> tuple[str, ...]:
        """The sizes that don't fit."""
        return tuple(cell.size for cell in self.cells if cell.verdict == "misfit")

    @property
    def misfits_in(self) -> str:
        """Those sizes in words."""
        return self.where(self.misfits)

    def where(self, sizes: Sequence[str]) -> str:
        """Some of its sizes in words."""
        return "every size" if len(sizes) == len(self.cells) > 1 else ", ".join(sizes)


USUAL_TOLERANCE = f"{decimal_text(JOIN_TOLERANCE * 100, 1)} %"


def join_table(document: Document, graded: Graded, units: str) -> list[JoinLine]:
    """The joins of a pattern, in file order, with lengths in cm or in.

    A difference is a share of the edge that is joined to; where an ease is wanted, the length beyond it.
    """
    typed = {
        name: (place, str(one.get("note", "")))
        for place, (name, one) in enumerate(entries_of(document, "joins"))
    }
    return [_line(typed[one.name], one, graded, units) for one in graded.pattern.joins]


def _line(typed: tuple[int, str], join: JoinEntry, graded: Graded, units: str) -> JoinLine:
    place, note = typed
    lengths = graded.joins[join.name]
    off_mm, onto_mm = misfits_mm(join, lengths).tolist(), lengths.onto.tolist()
    shares = [off / onto if onto > 0 else math.nan for off, onto in zip(off_mm, onto_mm, strict=True)]
    offs = (
        [_signed(figure(mm, "length", units)) for mm in off_mm] if any(join.ease) else map(_per_cent, shares)
    )
    misfit = is_misfit(join, lengths, highest_row_mm(graded.pattern)).tolist()
    cells = tuple(
        JoinCell(
            size, figure(edge, "length", units), figure(onto, "length", units),
            _signed(figure(edge - onto, "length", units)), off, "misfit" if wrong else _if_wide(share, join),
        )
        for size, edge, onto, share, off, wrong in zip(
            graded.sizes, lengths.edges.tolist(), onto_mm, shares, offs, misfit, strict=True
        )
    )  # fmt: skip
    worst = _worst(shares)
    return JoinLine(
        place,
        join.label,
        _edges(join.edges, graded.pattern),
        _edges(join.onto, graded.pattern),
        f"{decimal_text(join.tolerance * 100, 1)} %",
        _ease(join, units),
        graded.sizes[worst] if worst is not None else "",
        cells[worst].off if worst is not None else "",
        _worst_words(cells, worst, f" {units}" if any(join.ease) else ""),
        note,
        cells,
    )


def _worst(shares: Sequence[float]) -> int | None:
    """The first size with the largest difference; None where nothing differs by as much as is printed."""
    known = [(abs(share), -number) for number, share in enumerate(shares) if math.isfinite(share)]
    off, number = max(known, default=(0.0, 0))
    return -number if round(off * 1000) else None


def _worst_words(cells: Sequence[JoinCell], worst: int | None, unit: str) -> str:
    if worst is None:
        return ""
    off = cells[worst].off + unit
    if len(cells) > 1 and all(cell.off == cells[worst].off for cell in cells):
        return f"{off} in every size"
    return f"worst in {cells[worst].size}: {off}"


def _signed(text: str) -> str:
    """A difference with its sign."""
    if text == NONE or not text.strip("0.-"):
        return text
    return text.replace("-", "−") if text.startswith("-") else f"+{text}"


def _per_cent(share: float) -> str:
    if not math.isfinite(share):
        return NONE
    text = decimal_text(abs(share) * 100, 1)
    return "0 %" if text == "0" else f"{'+' if share > 0 else '−'}{text} %"


def _if_wide(share: float, join: JoinEntry) -> str:
    """Whether only a tolerance wider than the usual one lets it pass; an ease is a range of its own."""
    return "" if any(join.ease) or not abs(share) > JOIN_TOLERANCE + 1e-6 else "wide"


def _edges(edges: Sequence[JoinEdge], pattern: PatternFile) -> str:
    """Edges by the labels of their pieces and lines: “Back: armhole and Front: armhole”."""
    labels, words = edge_labels(pattern), []
    for edge in edges:
        label = edge_said(edge, labels)
        words.append(f"{edge.times} × {label}" if edge.times > 1 else label)
    return listed(words)


def _ease(join: JoinEntry, units: str) -> str:
    """How much longer the first edges are wanted."""
    least, most = (figure(mm, "length", units) for mm in join.ease)
    if not any(join.ease):
        return ""
    return f"{least} {units}" if least == most else f"{least} to {most} {units}"
