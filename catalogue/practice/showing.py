"""A practice piece as readers see it: its sizes, drawings, yarn and steps, for one edition."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from django.utils.safestring import SafeString

from catalogue.drawings.scales import Room
from catalogue.drawings.schematics import TYPE_MM, Schematic, schematics
from catalogue.drawings.stitch_sheets import stitch_links
from catalogue.instructions.instructions import PrintedSection, render_instructions, step_html
from catalogue.versions.frozen_practice import KeptPiece
from grading.core.instructions.facts import facts_of
from grading.core.instructions.spelling import spelled
from grading.core.practice.recording import recording_plan
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import print_measure, print_value
from grading.core.printing.wording import listed

SHARE = 0.55  # of the room that a piece of the garment may take


@dataclass(frozen=True)
class ShownPiece:
    """A practice piece ready for a page or a PDF."""

    techniques: tuple[str, ...]
    sizes: tuple[str, ...]
    yarn: tuple[str, ...]
    lost: tuple[str, ...]
    drawings: list[Schematic]
    sections: list[PrintedSection]


@dataclass(frozen=True)
class ShownScene:
    """One scene of a recording plan: its number, where it stands, its step as HTML, what to show."""

    number: int
    title: str
    html: SafeString
    teaches: str
    show: tuple[str, ...]


def of_all(edition: PrintForm) -> PrintForm:
    """The edition for a practice piece, which has one size and no options."""
    return replace(edition, sizes=None, chosen=())


def shown_piece(piece: KeptPiece, edition: PrintForm, *, type_mm: float = TYPE_MM) -> ShownPiece:
    """A practice piece in the units, terms and hand of an edition."""
    edition = of_all(edition)
    facts = facts_of(piece.graded.pattern, piece.graded)

    def in_terms(text: str) -> str:
        return spelled(text if piece.is_first else facts.plain(text, edition), edition.terms)

    return ShownPiece(
        tuple(in_terms(one.label) for one in piece.techniques),
        tuple(_size(one) for one in piece.sizes),
        tuple(_yarn(piece, edition)),
        tuple(in_terms(says) for says in piece.lost),
        schematics(facts, piece.graded, edition, [0], type_mm=type_mm, room=Room(SHARE)),
        render_instructions(facts, edition, links=stitch_links(facts.pattern)),
    )


def _size(of: dict[str, Any]) -> str:
    """How large one of its pieces is, with the stitches of the edges that are picked up along it."""
    size = f"{of['title']}: {of['stitches']} stitches, {of['rows']} {of['unit']}"
    edges = [str(stitches) for stitches in of.get("edges", ())]
    if not edges:
        return f"{size}."
    return f"{size}; {'an edge' if len(edges) == 1 else 'edges'} of {listed(edges)} stitches."


def _yarn(piece: KeptPiece, edition: PrintForm) -> Iterator[str]:
    """What each colour takes, in metres or yards; a weight of so little would be rounded down to nothing."""
    for need in piece.graded.yarn:
        for colour, of in need.colours.items():
            if not of.length_m[0] > 0:
                continue
            length = print_measure(edition, "yarn", of.length_m.tolist())
            if piece.is_first:
                length = print_value("yarn", of.length_m.tolist(), edition.units)
                length += ", " + print_value("weight", of.weight_g.tolist(), edition.units)
            yield f"{colour}: {length}"


def shown_scenes(piece: KeptPiece, edition: PrintForm) -> list[ShownScene]:
    """The recording plan of a practice piece, its steps as printed."""
    edition = of_all(edition)
    pattern = piece.graded.pattern
    facts = facts_of(pattern, piece.graded)
    return [
        ShownScene(
            number,
            pattern.sections[one.section].title,
            step_html(pattern.sections[one.section].steps[one.step], facts, edition),
            one.teaches,
            one.show,
        )
        for number, one in enumerate(recording_plan(pattern, piece.techniques), 1)
    ]
