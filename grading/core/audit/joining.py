"""Pieces that are joined fit, and mirrored pieces mirror."""

from collections import Counter
from collections.abc import Iterator

from grading.core.audit.size_states import SizeState
from grading.core.audit.statement_kinds import Joined

BODY_WORDS = {"back", "front", "fronts", "left", "right"}
MIRRORED = {"left": "right", "right": "left"}
# Where edges are shaped at the beginning of rows, mirrored pieces are a row apart (common practice).
ROWS_APART = 1


def wrong_seams(state: SizeState, joined: Joined) -> str:
    """What does not fit where the pieces of the body are joined; "" where all does or nothing is known."""
    found = []
    for back, other, title in _backs_and_fronts(state):
        if joined.sides:
            found.append(_wrong_sides(back, other, title))
        if joined.shoulders:
            found.append(_wrong_shoulders(back, other, title))
    return next(filter(None, found), "")


def _backs_and_fronts(state: SizeState) -> Iterator[tuple[SizeState, SizeState, str]]:
    """Every back with every front that one maker can work, and the front's title."""
    pieces = [
        (title, end)
        for (title, size), ends in state.audit.finished.items()
        for end in ends
        if size == state.size and BODY_WORDS.issuperset(title.split()) and state.goes_with(end)
    ]
    backs = [end for title, end in pieces if title == "back"]
    fronts = [(title, end) for title, end in pieces if "back" not in title.split()]
    for back in backs:
        for title, front in fronts:
            if back.goes_with(front):
                yield back, front, title


def _wrong_sides(back: SizeState, front: SizeState, title: str) -> str:
    """The side of a piece ends at its marker; where neither piece has one, with the piece."""
    if (back.marked is None) != (front.marked is None):
        return ""
    rows = [piece.rows_worked if piece.marked is None else piece.marked for piece in (back, front)]
    if None in rows or rows[0] == rows[1]:
        return ""
    return f"the side of the back has {rows[0]} rows, that of the {title} {rows[1]}"


def _wrong_shoulders(back: SizeState, front: SizeState, title: str) -> str:
    stitches = front.stitches()
    if back.shoulder is None or not stitches or front.is_split or stitches == back.shoulder:
        return ""
    return f"a shoulder of the back has {back.shoulder} sts, that of the {title} {stitches}"


def wrong_mirror(title: str, state: SizeState) -> str:
    """What a piece has otherwise than the one that it mirrors; "" where they mirror, or nothing is known."""
    words = title.split()
    side = words[0] if words and words[0] in MIRRORED else ""
    other_title = " ".join([MIRRORED.get(side, ""), *words[1:]])
    if not side or len(words) < 2:
        return ""
    others = state.audit.finished.get((other_title, state.size), ())
    found = (_unlike(other, other_title, state, title) for other in others if state.goes_with(other))
    return next(filter(None, found), "")


def _unlike(other: SizeState, other_title: str, state: SizeState, title: str) -> str:
    stitches = other.stitches(), state.stitches()
    if None not in stitches and stitches[0] != stitches[1]:
        return f"the {other_title} ends with {stitches[0]} sts, the {title} with {stitches[1]}"
    rows = other.rows_worked, state.rows_worked
    if rows[0] is not None and rows[1] is not None and abs(rows[0] - rows[1]) > ROWS_APART:
        return f"the {other_title} has {rows[0]} rows, the {title} {rows[1]}"
    return _same_edge(other, other_title, state, title) if state.craft == "tunisian" else ""


def _same_edge(other: SizeState, other_title: str, state: SizeState, title: str) -> str:
    """In work that is never turned, what stands at the start of the rows here stands at their end there."""
    ends = [Counter(piece.edges) for piece in (other, state)]
    for name in sorted({name for name, _ in ends[0]} & {name for name, _ in ends[1]}):
        for here, there in (("start", "end"), ("end", "start")):
            alone = ends[0][name, here] and not ends[0][name, there]
            if alone and ends[1][name, here] and not ends[1][name, there]:
                return f"{name} is at the {here} of the rows of both the {other_title} and the {title}"
    return ""
