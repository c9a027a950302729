"""What stands beside stripes: what parts are called, where row 1 lies, and the tables of rows and yarn."""

import re
from collections.abc import Iterator, Sequence

from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import PieceEntry, YarnSectionEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.numbers import DASH, print_whole
from grading.core.printing.size_rows import PageRow
from grading.core.printing.wording import Voice, capital, listed, small
from grading.core.yarn.stripes import StripePlan, StripeRepeat

_EDGES = {"bottom": "the bottom", "top": "the top", "left": "the left edge", "right": "the right edge"}
_SHEET_NAME = re.compile(r"[a-z0-9_]+")


def parts_label(sections: Sequence[YarnSectionEntry], facts: Facts) -> str:
    """What parts are called together; where one has a comma in its name, semicolons part them."""
    labels = [part_label(section, facts) for section in sections]
    parted = len(labels) > 2 and "," in "".join(labels) and facts.pattern.wording > WIDE_WORDING
    if facts.pattern.wording > WIDE_WORDING and (together := _with_shared_ending(labels)):
        return together
    return "; ".join(labels) if parted else listed(labels)


def _with_shared_ending(labels: Sequence[str]) -> str:
    """Parts that all end alike after a comma, with that ending once; empty where they do not.

    >>> _with_shared_ending(["Back, striped", "Fronts, striped"]), _with_shared_ending(["Back", "Front"])
    ('Back and fronts, striped', '')
    """
    cut = [label.rpartition(", ") for label in labels]
    if len(cut) < 2 or len({ending for _, _, ending in cut}) > 1 or not cut[0][0] or "," in cut[0][0]:
        return ""
    first, *others = (head for head, _, _ in cut)
    return f"{listed([first, *(small(head) for head in others)])}, {cut[0][2]}"


def part_label(section: YarnSectionEntry, facts: Facts) -> str:
    """What a part is called: by its name, where that is a word of the designer's and no name of the sheet."""
    if facts.pattern.wording == FIRST_WORDING or not _SHEET_NAME.fullmatch(section.name):
        return section.name
    for piece in facts.pattern.pieces:
        if piece.name == section.name:
            return piece.label
    return capital(section.name.replace("_", " ").strip())


def first_row(sections: Sequence[YarnSectionEntry], facts: Facts, voice: Voice) -> str:
    """Where row 1 lies in a bar and, as far as the pieces tell, in what is made."""
    if facts.pattern.wording == FIRST_WORDING:
        return "Row 1 is at the bottom."
    begin = _begin(sections, facts, voice)
    if begin == "bottom":
        return "Row 1 is at the bottom."
    also = f", and at {_EDGES[begin]} of the piece" if begin in _EDGES else ""
    return f"Row 1 is at the bottom of the drawing{also}."


def band_row(sections: Sequence[YarnSectionEntry], facts: Facts, voice: Voice) -> str:
    """Where row 1 lies in a band and, as far as the pieces tell, in what is made."""
    begin = _begin(sections, facts, voice)
    also = f"; in the piece it is at {_EDGES[begin]}" if begin in _EDGES else ""
    return f"In the drawing {facts.row_noun} 1 is on the left{also}."


def _begin(sections: Sequence[YarnSectionEntry], facts: Facts, voice: Voice) -> str:
    """The edge at which the pieces begin; nothing where they do not tell, or differ."""
    pieces = facts.pattern.pieces
    named = [piece for piece in pieces if any(_is_named_after(section, piece) for section in sections)]
    directions = {piece.direction for piece in named or pieces}
    direction = directions.pop() if len(directions) == 1 else None
    begin = (direction or "").split(" to ")[0]
    return {"left": "right", "right": "left"}.get(begin, begin) if voice.mirrored else begin


def _is_named_after(section: YarnSectionEntry, piece: PieceEntry) -> bool:
    """Whether a part is a piece, by the name or the label of that, or by what stands before a comma."""
    name = section.name.split(",")[0].strip().casefold()
    return name in (piece.name.casefold(), piece.label.casefold())


def last_label(facts: Facts, voice: Voice) -> str:
    """What a table calls the stripe that a size ends with."""
    if facts.pattern.wording <= WIDE_WORDING:
        return "Last stripe"
    return f"Last stripe, {facts.row_noun}s and {'color' if voice.terms == 'US' else 'colour'}"


def ends(plans: Sequence[StripePlan], noun: str, last: str) -> Iterator[PageRow]:
    """What tells a maker that they are where they should be: the rows in all, and the last stripe."""
    counts = tuple(DASH if plan.rows is None else str(len(plan.rows)) for plan in plans)
    yield PageRow(f"{noun.capitalize()}s in all", counts)
    yield PageRow(last, tuple(_last_stripe(plan) for plan in plans))


def _last_stripe(plan: StripePlan) -> str:
    """The rows and the colour of the stripe that a size ends with."""
    if not plan.rows:
        return DASH
    colour = plan.rows[-1].colour
    rows = next((at for at, row in enumerate(reversed(plan.rows)) if row.colour != colour), len(plan.rows))
    return f"{rows} {colour}"


def totals(sequence: StripeRepeat, plans: Sequence[StripePlan]) -> Iterator[PageRow]:
    """Rows in all, then rows and share of the yarn for each colour."""
    yield PageRow("Rows in all", tuple(DASH if plan.rows is None else str(len(plan.rows)) for plan in plans))
    for colour in sequence.colours:
        counts = [DASH if plan.rows is None else str(plan.row_counts.get(colour, 0)) for plan in plans]
        shares = [DASH if plan.rows is None else print_whole(plan.shares[colour] * 100) for plan in plans]
        yield PageRow(f"{colour}, rows begun in it", tuple(counts))
        yield PageRow(f"{colour}, share of the yarn in %", tuple(shares))
