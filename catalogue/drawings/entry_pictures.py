"""What an entry gives while it is typed: pieces to scale, stripes as they look, words as printed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from catalogue.drawings.pieces_in_size import IN_FULL
from catalogue.drawings.schematics import SCREEN_TYPE_MM, Schematic, schematics
from catalogue.drawings.stripe_bars import StripeBar
from catalogue.drawings.stripe_plans import Shades, repeat_bar
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import draw_graded, nest_box
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.filling import Filler, plain_text
from grading.core.instructions.references import parse_references
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import PrintForm
from grading.core.yarn.needs import grams_per_stitch_row
from grading.grid.shown_numbers import NONE, decimal_text, figure

WRITTEN = {
    "shapings": "{{{0}}}",
    "spreads": "{{{0}}}",
    "stripes": "{{{0}}}",
    "pick_ups": "{{{0} in words}}",
    "curves": "{{{0} at start}}",
}
SMALL_MM = 34.0
MARGIN_MM = 0.5
REPEATS = 2


@dataclass(frozen=True)
class SmallPiece:
    """A piece in one size, all sizes at one scale."""

    size: str
    edge: str
    frame: Frame


@dataclass(frozen=True)
class JoinedRow:
    """One size of a join: both lengths, and by how much the first is longer, without their unit."""

    size: str
    edges: str
    onto: str
    longer: str


@dataclass(frozen=True)
class EntryPicture:
    """What is shown beside the form of an entry; parts that do not apply are empty."""

    pieces: tuple[Schematic, ...] = ()
    small: tuple[SmallPiece, ...] = ()
    bar: StripeBar | None = None
    reference: str = ""
    printed: str = ""
    by_size: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    joined: tuple[JoinedRow, ...] = ()
    units: str = ""


def picture_of(part: str, name: str, graded: Graded, edition: PrintForm, shades: Shades) -> EntryPicture:
    """Draw an entry of a graded pattern and put it in words, for all sizes and for each."""
    facts = facts_of(graded.pattern, graded)
    if part == "pieces":
        return _piece(facts, name, graded, edition)
    if part == "fabrics":
        return EntryPicture(notes=tuple(_fabric_notes(graded.pattern, name, edition)))
    if part == "joins":
        units = "in" if edition.units == "in" else "cm"
        return EntryPicture(joined=tuple(_joined(graded, name, units)), units=IN_FULL.get(units, units))
    if part not in WRITTEN:
        return EntryPicture()
    reference = WRITTEN[part].format(name)
    sizes = range(len(graded.sizes))
    alone = [(graded.sizes[place], _printed(facts, edition, reference, (place,))) for place in sizes]
    stripes = next((one for one in graded.pattern.stripes if one.name == name), None)
    return EntryPicture(
        bar=repeat_bar(facts, shades, stripes, REPEATS) if part == "stripes" and stripes else None,
        reference=reference,
        printed=_printed(facts, edition, reference, None),
        by_size=tuple(alone) if len(alone) > 1 else (),
    )


def _printed(facts: Facts, edition: PrintForm, reference: str, kept: tuple[int, ...] | None) -> str:
    """A reference as the instructions print it."""
    return plain_text(Filler(facts, edition, kept).fill(parse_references(reference).pieces))


def _piece(facts: Facts, name: str, graded: Graded, edition: PrintForm) -> EntryPicture:
    """A piece with its measurements, and small in every size."""
    piece = next(one for one in facts.pattern.pieces if one.name == name)
    alone = replace(facts, pattern=replace(facts.pattern, pieces=(piece,)))
    kept = list(range(len(graded.sizes)))
    drawn = schematics(alone, graded, edition, kept, type_mm=SCREEN_TYPE_MM)
    sizes = draw_graded(piece, graded.pieces[name], graded.pattern.curves)
    box = nest_box(sizes)
    if box is None:
        return EntryPicture(notes=("It can't be drawn in any size yet: a corner of it has no number.",))
    scale = max(box[2] - box[0], box[3] - box[1], 1.0) / SMALL_MM
    small = [
        SmallPiece(
            size,
            edge_path(Paper(drawing.box[0], drawing.box[3], scale)(drawing.edge)),
            _frame(drawing.box, scale, size),
        )
        for size, drawing in zip(graded.sizes, sizes, strict=True)
        if drawing is not None
    ]
    missing = [size for size, drawing in zip(graded.sizes, sizes, strict=True) if drawing is None]
    notes = [f"It can't be drawn in {', '.join(missing)}: a corner has no number there."] if missing else []
    return EntryPicture(pieces=tuple(drawn), small=tuple(small) if len(small) > 1 else (), notes=tuple(notes))


def _joined(graded: Graded, name: str, units: str) -> Iterator[JoinedRow]:
    """How long both sides of a join are in every size."""
    lengths = graded.joins[name]
    for size, edges, onto in zip(graded.sizes, lengths.edges, lengths.onto, strict=True):
        said = [figure(float(mm), "length", units) for mm in (edges, onto, abs(edges - onto))]
        sign = "" if said[2] in ("0", NONE) else "+" if edges > onto else "−"
        yield JoinedRow(size, said[0], said[1], f"{sign}{said[2]}")


def _frame(box: Sequence[float], scale: float, size: str) -> Frame:
    """The frame of a small piece."""
    wide, high = (box[2] - box[0]) / scale, (box[3] - box[1]) / scale
    return frame_of((-MARGIN_MM, -MARGIN_MM, wide + MARGIN_MM, high + MARGIN_MM), f"Size {size}, to scale")


def _fabric_notes(pattern: PatternFile, name: str, edition: PrintForm) -> list[str]:
    """What a fabric's gauge and weighed swatch say, in plain numbers."""
    fabric: Any = next(one for one in pattern.fabrics if one.name == name)
    mm, unit = (100.0, "10 cm") if edition.units == "cm" else (101.6, "4 in")
    stitches = decimal_text(fabric.stitches_per_mm * mm, 1)
    told = [f"{stitches} stitches and {decimal_text(fabric.rows_per_mm * mm, 1)} rows to {unit}."]
    if fabric.swatch:
        swatch = fabric.swatch
        grams = grams_per_stitch_row(swatch.weight_g, swatch.stitches, swatch.rows)
        square = grams * fabric.stitches_per_mm * fabric.rows_per_mm * mm * mm
        told.append(f"A square of {unit} takes {decimal_text(square, 1)} g of yarn.")
    return told
