"""Parts of an edition that stand once, or once for each group of sizes: drawings, stripes, instructions."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Any

from catalogue.drawings.garment_pictures import garment_picture
from catalogue.drawings.joining import joining_picture
from catalogue.drawings.scales import Room, scale_number
from catalogue.drawings.schematics import LEAST_MM, TYPE_MM, schematics, strips
from catalogue.drawings.stitch_charts import CELL_MM, CELL_MM_LARGE, Look
from catalogue.drawings.stitch_sheets import stitch_links, stitch_sheets
from catalogue.drawings.stripe_plans import StripeSheet, stripe_work
from catalogue.drawings.whole_pictures import whole_picture
from catalogue.drawings.work_orders import order_of_work
from catalogue.editions.row_lines import with_lines
from catalogue.editions.sources import Source, split_table
from catalogue.editions.tool_sizes import with_tool_sizes
from catalogue.instructions.instructions import PrintedSection, render_instructions
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.numbers import number_list
from grading.core.printing.size_rows import PageRow

# With a tenth less than all of their room far fewer drawings leave the page before them half empty.
SHARE_OF_ALL = 0.9
# A piece with a nest beside it takes no more room than its measurements need.
BESIDE_NEST = 0.9
# In large print every piece stands with its list on one page.
LARGE_OF_ALL = 0.7
# Where pages are set closer, pieces that are joined are smaller too; their letters stay as large.
SMALLEST_JOINED = 0.8
# Pieces of all sizes, with their nests, are no smaller than this share of the usual.
SMALLEST_PIECES = 0.65
# Pieces of one size stand beside each other, each over its own list.
SHARE_OF_ONE, JOINED_OF_ONE, ORDER_OF_ONE = 0.5, 0.7, 0.6
LARGE_OF_ONE = 0.6
# Where sizes are printed by groups, these stand in each group.
NOTHING_BY_SIZE: dict[str, Any] = {"stripes": None, "stripe_sheets": [], "stitch_sheets": []}
NOTHING_DRAWN: dict[str, Any] = {
    "schematics": [],
    "strips": [],
    "whole": None,
    "garment": None,
    "order": (),
    "is_close": False,
    "is_beside": False,
    "is_told_beside": False,
    "joining": {"rows": ()},
}


@dataclass(frozen=True)
class SmallestScales:
    """How small drawings may be: 1 to so much."""

    pieces: float = inf
    whole: float = inf
    garment: float = inf


def drawn_parts(source: Source, share: float = 1.0) -> dict[str, Any]:
    """The pieces, the garment as worn, the order of work and what is joined to what.

    Pieces and garment take a share of the room that they may have at the most. A piece that lies in the
    picture of the whole with all its measurements is not drawn or told a second time, and no scale is chosen
    for it; up to the second wording it was told again as a strip, and had its part in the scale.
    """
    if source.groups:
        blocks = enumerate(source.groups, start=1)
        return {**NOTHING_DRAWN, "groups": [_group(at, label, part, share) for at, (label, part) in blocks]}
    return {**_drawn(source, share), "groups": []}


def _group(number: int, label: str, source: Source, share: float) -> dict[str, Any]:
    """All that is printed once for each group of sizes."""
    at = f"-{number}"
    return {
        "at": at,
        "label": label,
        "of_group": f": {label}",
        "sizes_line": sizes_line(source),
        "instructions": instructions_of(source, at),
        **_drawn(source, share),
        **by_size(source),
    }


def _smallest_scales(source: Source) -> SmallestScales:
    """In large print nothing is drawn smaller than the same at the usual size."""
    if source.type_mm == TYPE_MM or source.facts.pattern.wording <= WIDE_WORDING:
        return SmallestScales()
    usual = _drawn(replace(source, type_mm=TYPE_MM), 1.0)
    whole, garment = usual["whole"], usual["garment"]
    return SmallestScales(
        pieces=max((scale_number(one.scale) for one in usual["schematics"]), default=inf),
        whole=scale_number(whole.scale) if whole else inf,
        garment=scale_number(garment.scale) if garment else inf,
    )


def _drawn(source: Source, share: float) -> dict[str, Any]:
    """The drawings of the sizes of an edition, all of which stand in one list; more is for pieces."""
    facts, edition, kept = source.facts, source.edition, source.kept
    is_wide = facts.pattern.wording <= WIDE_WORDING
    # What the choices leave out is not worn: up to the second wording the garment was drawn as the sample is.
    graded = source.graded if is_wide else replace(source.graded, pattern=facts.pattern)
    of = (facts, graded, edition, kept)
    is_of_one = source.is_for_one and not is_wide
    is_close = is_of_one and source.type_mm == TYPE_MM
    roomier, share = max(share, 1.0), min(share, 1.0)
    room_of_whole, share_of_garment = share, share * SHARE_OF_ALL
    joined = JOINED_OF_ONE if is_close else 1.0 if is_wide else max(share, SMALLEST_JOINED)
    if not is_wide:
        usual, large = (SHARE_OF_ONE, LARGE_OF_ONE) if is_of_one else (SHARE_OF_ALL, LARGE_OF_ALL)
        share = share if is_of_one else max(share, SMALLEST_PIECES)
        share *= usual if source.type_mm == TYPE_MM else large
    # What lies flat stands beside its list, and alone: it needs no less room in one size.
    smallest = _smallest_scales(source)
    share_of_whole = room_of_whole if is_close else share
    whole = whole_picture(*of, type_mm=source.type_mm, room=Room(share_of_whole, smallest=smallest.whole))
    shown = whole.pieces if whole else frozenset()
    pieces = tuple(piece for piece in facts.pattern.pieces if is_wide or piece.name not in shown)
    others = replace(facts, pattern=replace(facts.pattern, pieces=pieces))
    beside = 1.0 if is_wide or is_of_one else BESIDE_NEST
    least_mm = LEAST_MM if is_of_one else 0.0
    room = Room(share * beside * roomier, least_mm, smallest.pieces)
    drawn = schematics(others, graded, edition, kept, type_mm=source.type_mm, room=room)
    # In large print a garment of one size needs its room too: lengths stand on its lines.
    share_of_garment = share if is_wide or is_close else max(share, share_of_garment)
    room = Room(share_of_garment, smallest=smallest.garment)
    garment = garment_picture(*of, type_mm=source.type_mm, room=room)
    return {
        "schematics": [one for one in drawn if one.name not in shown],
        "strips": list(strips(others, graded, edition, kept).values()),
        "whole": whole,
        "garment": garment,
        "order": order_of_work(facts, graded, kept, ORDER_OF_ONE if is_close else 1.0),
        "is_close": is_close,
        "is_beside": is_close and garment is not None,
        "is_told_beside": is_of_one and not is_close,
        "joining": joining_picture(*of, type_mm=source.type_mm, share=joined),
    }


def instructions_of(source: Source, at: str = "") -> list[PrintedSection]:
    """The instructions of the sizes of an edition; what they lead to ends with a mark of the group."""
    links = {f"help {name}": f"#help-{number}" for name, number in source.facts.helps.items()}
    links |= {name: link + at for name, link in stitch_links(source.facts.pattern).items()}
    told = with_tool_sizes(render_instructions(source.facts, source.edition, source.across, links), source)
    return with_lines(told, source)


def sizes_line(source: Source) -> str:
    """The sizes of an edition as a list that stands like its numbers; no line ends within the name of one."""
    pattern = source.facts.pattern
    names = [
        size if pattern.wording <= WIDE_WORDING else size.replace(" ", "\u00a0") for size in pattern.sizes
    ]
    return number_list(names, source.kept)


def by_size(source: Source) -> dict[str, Any]:
    """What has numbers over sizes beside the drawings: stripes and stitch patterns."""
    return {**stripe_block(source), "stitch_sheets": stitch_block(source)}


def stripe_block(source: Source) -> dict[str, Any]:
    """The stripe plan with its tables cut to the page; none for a pattern without stripes."""
    voice = source.facts.voice(source.edition, tuple(source.kept))
    of = stripe_work(source.facts, source.record["shades"], voice, source.kept, type_mm=source.stripe_type_mm)
    sheets = of.sheets if of else ()
    return {
        "stripes": of,
        "stripe_sheets": [
            {"of": one, "tables": list(split_table(source, _stripe_rows(source, one), one.parts))}
            for one in sheets
        ],
    }


def _stripe_rows(source: Source, of: StripeSheet) -> Sequence[PageRow]:
    """What the table of stripes tells."""
    return of.rows if source.facts.pattern.wording == FIRST_WORDING else of.ends


def stitch_block(source: Source) -> list[dict[str, Any]]:
    """The stitch patterns in words and as charts, with their tables cut to the page."""
    return [
        {"of": one, "tables": list(split_table(source, one.rows)) if one.rows else []}
        for one in stitch_sheets(look_of(source), source.kept)
    ]


def look_of(source: Source) -> Look:
    """How the charts of an edition look."""
    cell_mm = CELL_MM if source.type_mm == TYPE_MM else CELL_MM_LARGE
    return Look(source.facts, source.edition, source.record["shades"], cell_mm)
