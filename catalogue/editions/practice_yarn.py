"""Yarn of the practice piece beside the amounts to buy: where it needs a ball more."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from catalogue.editions.sources import Source
from catalogue.versions.frozen_practice import KeptPiece, record_piece
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.wording import listed
from grading.core.yarn.needs import balls_for

NOT_INCLUDED = "The amounts to buy do not include this yarn."
ENOUGH = "The balls that you buy leave enough yarn for it."


def printed_piece(source: Source) -> KeptPiece | None:
    """The practice piece; none where the version was frozen without one, or it is not to be printed."""
    piece = record_piece(source.record)
    return piece if piece and piece.in_pdf else None


def balls_more(source: Source) -> list[str]:
    """What to buy for the practice piece beside the amounts, one sentence a colour; none where balls do."""
    piece = printed_piece(source)
    if piece is None or source.facts.pattern.wording <= WIDE_WORDING:
        return []
    return [
        f"For the practice piece, buy {_more_balls(max(more))} of {letter}{_in_sizes(source, more)}."
        for letter, more in _more(source, piece)
        if any(more)
    ]


def included_words(source: Source, piece: KeptPiece) -> str:
    """Whether the balls to buy hold the yarn of the practice piece, for those who make it."""
    more = list(_more(source, piece))
    if any(any(of) for _, of in more):
        return " ".join([NOT_INCLUDED, *balls_more(source)])
    return ENOUGH if len(more) == len(_weights(piece)) else NOT_INCLUDED


def _more_balls(count: int) -> str:
    """As “1 more ball”."""
    return f"{count} more ball{'s' if count > 1 else ''}"


def _in_sizes(source: Source, more: Sequence[int]) -> str:
    """The sizes that need more, where others need none."""
    sizes = [size for size, balls in zip(source.sizes, more, strict=True) if balls]
    if len(sizes) == len(source.sizes):
        return ""
    return f" for size{'s' if len(sizes) > 1 else ''} {listed(sizes)}"


def _weights(piece: KeptPiece) -> dict[str, float]:
    """What the piece takes of each colour, in g."""
    found = {
        letter: float(of.weight_g[0]) for need in piece.graded.yarn for letter, of in need.colours.items()
    }
    return {letter: weight for letter, weight in found.items() if weight > 0}


def _more(source: Source, piece: KeptPiece) -> Iterator[tuple[str, list[int]]]:
    """How many more balls each size needs at the most, of each colour that is sold in balls.

    Colours whose yarn is no longer made are left out: the balls of another one are bought.
    """
    ended = {one["colour"] for one in source.record.get("substitutes", ())}
    chosen = dict(source.edition.chosen).items()
    needs = [one["colours"] for one in source.record["results"]["yarn"] if chosen <= one["options"].items()]
    put_ups = {one.colour: one.put_up_g for one in source.facts.pattern.yarns}
    for letter, weight in _weights(piece).items():
        if (put_up := put_ups.get(letter)) and letter not in ended:
            yield letter, [_most(needs, letter, at, (weight, put_up)) for at in source.kept]


def _most(needs: Sequence[Mapping[str, Any]], letter: str, at: int, piece: tuple[float, float]) -> int:
    """The balls that come to one size, whatever is chosen."""
    weight, put_up = piece
    own = [of[letter]["weight"][at] or 0.0 for of in needs if letter in of]
    both = np.array([own, [one + weight for one in own]])
    before, after = balls_for(both, put_up)
    return int((after - before).max()) if own else int(balls_for(np.array([weight]), put_up)[0])
