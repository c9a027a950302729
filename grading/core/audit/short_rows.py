"""Short rows: rows that turn before the end, worked place by place on stitches whose number stays the same.

short row = [head] piece { "," piece }
piece     = double stitch | work so many | work to a place | as one | turn
place     = end | last N sts | marker | [N sts before] the gap, double stitch or wrapped stitch
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from grading.core.audit.rows import Audited

Amount = Callable[[str], int | None]
"""What a number, or a reference in braces, is in this size."""

TURNED_UNKNOWN = "where the row before it has turned is not known"
_SPOKEN = re.compile(r"\bshort[- ]rows?\b|\bw\s*&\s*t\b|\bwrap (?:and|&) turn\b", re.IGNORECASE)
_TECHNIQUE = re.compile(r"\s*(?:an?|the) (?:double|wrapped|turning) (?:stitch|st)\s*:", re.IGNORECASE)
_HEAD = re.compile(
    r"\s*(?:(?P<short>short[- ])?(?:row|rnd|round) (?P<number>\d+)|next (?:short[- ])?(?:row|rnd|round))"
    r"\s*(?:\((?:rs|ws)\))?\s*:",
    re.IGNORECASE,
)
# Words between short rows that only say something of them, and have nothing worked.
_REMARK = re.compile(
    r"\s*(?:an?|the|each|every|this|these|those|it|they|you|there|note)\b"
    r"(?!.*\b(?:times|repeat(?:ed)?|worked|(?:next|last|following) (?:rows?|rnds?|rounds?))\b)",
    re.IGNORECASE | re.DOTALL,
)
_TURNS = re.compile(r"\b(?:turn|w\s*&\s*t)\b(?: the work)?[.\s]*$", re.IGNORECASE)
_CHANGES = re.compile(
    r"\b(?:\w*tog\w*|ssk|ssp|skp|sk2p|s2kp|m1\w*|kfb|pfb|inc\w*|dec\w*|cast|bind)\b", re.IGNORECASE
)
_AGAIN = re.compile(
    r"\s*(?:repeat|rep|work) (?:short[- ])?rows? (\d+)(?: (?:and|to)|[-–])? ?(\d+)? "
    r"(?:(once|twice)|(\d+|\{[^}]+\})(?: more)? times?)(?: more)?(?: times?)?\s*\.?\s*$",
    re.IGNORECASE,
)
_WORK = r"(?:k|knit|p|purl|work|rib|patt)"
_NUMBER = r"(?P<n>\d+|\{[^}]+\})"
_MADE = r"double (?:stitch|st)|ds|wrapped (?:stitch|st)|gap|turn(?:ing point)?"
_NAMED = rf"(?:the )?(?:last |next |previous )?(?P<what>{_MADE})"
_PIECES: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(rf"{words}(?: (?:and|then))?", re.IGNORECASE))
    for kind, words in (
        ("double", r"(?:and )?(?:make|work) (?:a |one )?(?:double (?:stitch|st)|ds)|mds"),
        ("turn", r"(?:and |then )?turn(?: (?:the )?work)?|(?:and )?(?:w\s*&\s*t|wrap (?:and|&) turn)"),
        ("double", r"(?:sl|slip) (?:1|one)(?: (?:st|stitch))?(?: (?:purlwise|knitwise|wyif|wyib))*"),
        ("idle", r"(?:sm|slip (?:the )?(?:marker|m))"),
        ("as one", rf"{_WORK} (?:it|this|(?:the )?(?:{_MADE})) (?:as one(?: (?:stitch|st))?|with its wrap)"),
        ("as one", r"clos(?:e|ing) the gap"),
        ("before", rf"{_WORK} to {_NUMBER} (?:sts?|stitch(?:es)?) before {_NAMED}"),
        ("at", rf"{_WORK} to {_NAMED}"),
        ("last", rf"{_WORK} to (?:the )?last (?:{_NUMBER} )?(?:sts?|stitch(?:es)?)"),
        ("marker", rf"{_WORK} to (?:the )?(?:marker|m)(?: of the (?:round|rnd))?"),
        ("end", rf"{_WORK} to (?:the )?end(?: of the (?:row|rnd|round))?"),
        ("many", rf"{_WORK} ?{_NUMBER}(?: more)?(?: (?:sts?|stitch(?:es)?))?"),
    )
)


@dataclass(frozen=True)
class Piece:
    """A piece of a short row: what is done, how often, and at which sign of a turn."""

    kind: str
    number: str = ""
    sign: str = ""


@dataclass(frozen=True)
class ShortRows:
    """Where the needle is within the stitches of a run of short rows.

    `at` counts from the first stitch, or from the marker of a round; None after a row that can't be read.
    """

    stitches: int
    in_round: bool
    at: int | None = 0
    forward: bool = True
    turns: tuple[int, ...] = ()
    at_end: bool = False
    """Whether the last row has not turned before its end."""
    why_lost: str = TURNED_UNKNOWN
    """Why it is not known where the needle is, where it is not."""
    rows: dict[int, tuple[Piece, ...]] = field(default_factory=dict)

    @property
    def is_open(self) -> bool:
        """Whether turns wait to be passed, or it is not known whether there are some."""
        return self.at is None or bool(self.turns)


def speaks_of_short_rows(text: str) -> bool:
    """Whether words name short rows.

    >>> speaks_of_short_rows("Short rows raise the back neck."), speaks_of_short_rows("K12, turn.")
    (True, False)
    """
    return _SPOKEN.search(text) is not None


def tells_a_technique(text: str) -> bool:
    """Whether a sentence only tells how a stitch of short rows is made.

    >>> tells_a_technique("A double stitch: slip 1 with the yarn in front.")
    True
    """
    return _TECHNIQUE.match(text) is not None


def is_remark(text: str) -> bool:
    """Whether a sentence between short rows only says something of them, and goes on with none.

    >>> is_remark("Each short row now goes 3 sts further."), is_remark("Knit 4 rows.")
    (True, False)
    """
    return _REMARK.match(text) is not None


def begin_short_rows(stitches: int, text: str, *, in_round: bool, broken_off: bool) -> ShortRows:
    """Begin a run of short rows with its first sentence.

    Args:
        stitches: The stitches on the needle.
        text: The sentence.
        in_round: Whether the piece is worked in rounds.
        broken_off: Whether a run before it ended with turns that no row has passed.

    Returns:
        The run; where the needle is is not known where rows that are not read belong to it.
    """
    head = _HEAD.match(text)
    number = (head["number"] if head else None) or ""
    goes_on = number != "1" and (broken_off or bool(head and head["short"] and number))
    return ShortRows(stitches, in_round, None if goes_on else 0)


def is_short_row(text: str) -> bool:
    """Whether a sentence is a numbered row that turns, or is called a short row.

    >>> is_short_row("Short row 1 (RS): k12, turn."), is_short_row("Row 2: p to the end.")
    (True, False)
    """
    head = _HEAD.match(text)
    if head is None:
        return False
    pieces = read_short_row(text[head.end() :]) or ()
    return head["short"] is not None or _only_turns(text) or any(piece.kind == "turn" for piece in pieces)


def _only_turns(text: str) -> bool:
    """Whether a row turns at its end and takes no stitch in or out, whatever else its words say."""
    return _TURNS.search(text) is not None and _CHANGES.search(text) is None


def read_short_row(words: str) -> tuple[Piece, ...] | None:
    """Read the pieces of a short row, without its head; None where one of them is not known.

    >>> [piece.kind for piece in read_short_row("make a double stitch, p to the marker, p12, turn.")]
    ['double', 'marker', 'many', 'turn']
    """
    told = re.split(r"[,;]\s*|(?<!wrap)\s+(?:and|then)\s+(?=turn\b|w\s*&)", words.strip().rstrip(". "))
    found = []
    for text in told:
        piece = next((one for kind, of in _PIECES if (one := _piece(kind, of, text.strip()))), None)
        if piece is None:
            return None
        found.append(piece)
    return tuple(found)


def _piece(kind: str, of: re.Pattern[str], text: str) -> Piece | None:
    match = of.fullmatch(text)
    if match is None:
        return None
    groups = match.groupdict()
    return Piece(kind, groups.get("n") or ("1" if kind == "last" else ""), (groups.get("what") or "").lower())


def work_short_row(run: ShortRows, text: str, amount: Amount) -> tuple[ShortRows, Audited] | None:
    """Work a sentence of short rows; None where the run has ended.

    Args:
        run: Where the needle is.
        text: The sentence, without a closing count.
        amount: The numbers of this size.

    Returns:
        The run after it, and what is to be said: that its places are there, or which are not.

    Source: common practice: a short row takes no stitch in or out; derived from where its turns are.
    """
    again = _AGAIN.match(text)
    if again is not None:
        return _work_again(run, again, amount)
    head = _HEAD.match(text)
    pieces = read_short_row(text[head.end() :]) if head else None
    if head is None or (pieces is None and head["short"] is None and not _only_turns(text)):
        return None
    if pieces is None:
        return replace(run, at=None), _unread("these words are not known in a short row")
    if head["number"]:
        run = replace(run, rows={**run.rows, int(head["number"]): pieces})
    return _work_rows(run, [pieces], amount)


def _work_again(run: ShortRows, again: re.Match[str], amount: Amount) -> tuple[ShortRows, Audited]:
    first, last, word, times = again.groups()
    numbers = range(int(first), int(last or first) + 1)
    often = {"once": 1, "twice": 2}[word.lower()] if word else amount(times)
    if often is None or not all(number in run.rows for number in numbers):
        return replace(run, at=None), _unread("the rows to repeat are not given")
    return _work_rows(run, [run.rows[number] for number in numbers] * min(often, 500), amount)


def _work_rows(
    run: ShortRows, rows: Iterable[tuple[Piece, ...]], amount: Amount
) -> tuple[ShortRows, Audited]:
    for row in rows:
        if run.at_end and not run.in_round:
            run = replace(run, forward=not run.forward)
        run = replace(run, at_end=all(piece.kind != "turn" for piece in row))
        for piece in row:
            run, says = _worked(run, piece, amount)
            if says:
                return replace(run, at=None), _wrong(run.stitches, says)
            if run.at is None:
                return replace(run, why_lost=TURNED_UNKNOWN), _unread(run.why_lost)
    return run, Audited(run.stitches, 0, run.stitches, 0, None, "agrees", "")


def _worked(run: ShortRows, piece: Piece, amount: Amount) -> tuple[ShortRows, str]:
    """The run after one piece, and what is wrong with it."""
    at, step = run.at, 1 if run.forward else -1
    number = amount(piece.number) if piece.number else 0
    if at is None or number is None or piece.kind == "idle":
        return replace(run, at=at if number is not None else None), ""
    if piece.kind == "turn":
        return replace(run, forward=not run.forward, turns=(*run.turns, at)), ""
    if piece.kind == "marker" and not (run.in_round and at * step < 0):
        # The marker of a round is ahead where the row comes back to it; every other is where it was set.
        return replace(run, at=None, why_lost="where its marker is, is not known"), ""
    place = _place_of(run, piece, at, number)
    if place is None:
        return run, "there is no turn before it, at this side, to be worked to"
    # What a row has passed over is worked together there, and is no turn any more.
    turns = tuple(turn for turn in run.turns if (turn - at) * step <= 0 or (turn - place) * step > 0)
    run = replace(run, at=place, turns=turns)
    return run, _past_the_end(run, place)


def _place_of(run: ShortRows, piece: Piece, at: int, number: int) -> int | None:
    """Where a piece ends; None where it names a turn that is not there."""
    step = 1 if run.forward else -1
    if piece.kind in ("double", "as one", "many"):
        return at + step * (number if piece.kind == "many" else 1)
    if piece.kind == "marker":
        return 0
    if piece.kind in ("end", "last"):
        end = 0 if run.in_round or not run.forward else run.stitches
        return end - step * number
    ahead = [turn for turn in run.turns if (turn - at) * step > 0]
    if not ahead:
        return None
    turn = min(ahead, key=lambda turn: (turn - at) * step)
    of_two = 1 if piece.sign.startswith(("double", "ds")) else 0
    return turn - step * (number + of_two)


def _past_the_end(run: ShortRows, place: int) -> str:
    """Say that a row has more stitches than there are before it."""
    if run.in_round:
        reach = [*run.turns, place, 0]
        over = max(reach) - min(reach) - run.stitches
        return f"its turns overlap by {_sts(over)} in the round" if over > 0 else ""
    over = -place if place < 0 else place - run.stitches
    return f"goes {_sts(over)} past the end of the row" if over > 0 else ""


def _sts(number: int) -> str:
    return f"{number} st" if number == 1 else f"{number} sts"


def _unread(why: str) -> Audited:
    return Audited(None, None, None, None, None, "unreadable", why)


def _wrong(stitches: int, says: str) -> Audited:
    return Audited(None, None, stitches, None, None, "disagrees", says)
