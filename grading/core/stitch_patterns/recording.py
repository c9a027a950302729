"""Works a row as the count audit does, and keeps every stitch in the order in which it is made."""

import re
from dataclasses import dataclass, replace
from typing import Self

from grading.core.audit.cells import Beneath
from grading.core.audit.row_reading import read_rows
from grading.core.audit.row_states import Setting, UnreadError, Worked
from grading.core.audit.stitches import Stitch
from grading.core.audit.tree import Both, Chain, Each, Item, Next, Repeat, Row, Run, Same, Slip, Work
from grading.core.audit.working import RowWorker

NOT_DRAWN = "stitches cast on, bound off, picked up, left or shaped are not drawn"


@dataclass(frozen=True)
class Made:
    """What is made at once: one stitch, or several in one place; `width` cells of the chart.

    A name is that of the stitch in the words of the author; `colour` is set in grids of colours.
    """

    names: tuple[str, ...]
    width: int = 1
    colour: str = ""

    @property
    def name(self) -> str:
        """The one stitch; "" where several are made in one place."""
        return self.names[0] if len(self.names) == 1 else ""


LOOP = Made(("loop",))
NO_STITCH = Made(())


class Recorder(RowWorker):
    """Works one row and keeps what is made; chains that stand at its beginning are kept by themselves."""

    def __init__(self, row: Row, beneath: Beneath, setting: Setting) -> None:
        super().__init__(row, beneath, setting)
        self.made: list[Made] = []
        self.turning = 0

    def _save(self) -> Self:
        kept = super()._save()
        kept.made = list(self.made)
        return kept

    def _has_first_loop(self) -> bool:
        found = super()._has_first_loop()
        self.made += [LOOP] * found
        return found

    def _run(self, stitch: Stitch, times: int) -> None:
        super()._run(stitch, times)
        self.made += [_made_of(stitch)] * times

    def _make(self, work: Work, places: int) -> None:
        super()._make(work, places)
        names = self._names(work.what) * self.number(work.times)
        one = _made_of(work.what) if len(names) == 1 and isinstance(work.what, Stitch) else _group(names)
        self.made += [one] * places

    def _next_several(self, stitch: Stitch, times: int, number: int) -> None:
        super()._next_several(stitch, times, number)
        if number == 1 and stitch.name.endswith("tog"):
            self.made += [_made_of(stitch)] * times

    def _chain_between(self, chain: Chain, after: tuple[Item, ...]) -> None:
        super()._chain_between(chain, after)
        if chain.counts is not None or not self._belongs_to_next_row(after):
            self.made += [Made(("ch",))] * self.number(chain.number)

    def _turning_chain(self, chain: Chain, number: int) -> None:
        before = len(self.out)
        super()._turning_chain(chain, number)
        if len(self.out) > before:
            self.made.append(Made(("ch",) * number, 1))
        else:
            self.turning = number

    def _slip(self, slip: Slip) -> None:
        before = sum(cell.number for cell in self.out)
        super()._slip(slip)
        self.made += [Made(("sl st",))] * max(0, sum(cell.number for cell in self.out) - before)

    def _repeat_alike(self, saved: RowWorker, keep: int) -> None:
        more = (self.beneath.remaining_signed() - keep) // (self.taken - saved.taken)
        kept = len(saved.made) if isinstance(saved, Recorder) else 0
        super()._repeat_alike(saved, keep)
        self.made += self.made[kept:] * more

    def _each(self, work: Work, place: Each, after: tuple[Item, ...]) -> None:
        if place.marker:
            raise UnreadError("where the markers are is not known")
        super()._each(work, place, after)

    def _do_ends(self, item: Item, after: tuple[Item, ...]) -> None:  # noqa: ARG002  the worker's
        raise UnreadError(NOT_DRAWN)

    def _both(self, both: Both) -> None:  # noqa: ARG002  the worker's
        raise UnreadError("two sorts of places in one sentence are not drawn")

    def _names(self, what: Stitch | tuple[Item, ...]) -> tuple[str, ...]:
        """The stitches of a group that is worked into one place, in their order."""
        if isinstance(what, Stitch):
            return (plain_name(what.name),)
        return tuple(name for item in what for name in self._names_in(item))

    def _names_in(self, item: Item) -> tuple[str, ...]:
        if isinstance(item, Run):
            return (plain_name(item.stitch.name),) * self.number(item.times)
        if isinstance(item, Work) and isinstance(item.place, Same | Next):
            return self._names(item.what) * self.number(item.times)
        if isinstance(item, Chain):
            return ("ch",) * self.number(item.number)
        if isinstance(item, Repeat):
            return self._names(item.items) * (self.number(item.times) + item.more)
        return ("sl st",) if isinstance(item, Slip) else ()


_PLAIN = {"knit": "k", "purl": "p", "slip": "sl", "slip st": "sl st", "k tbl": "ktbl", "p tbl": "ptbl"}


def plain_name(name: str) -> str:
    """The short form of a stitch that has two.

    >>> plain_name("knit"), plain_name("ssk")
    ('k', 'ssk')
    """
    return _PLAIN.get(name, name)


def _made_of(stitch: Stitch) -> Made:
    """One stitch, as wide as what it leaves."""
    return Made((plain_name(stitch.name),), max(1, stitch.leaves) if stitch.leaves >= 0 else 0)


def _group(names: tuple[str, ...]) -> Made:
    """Several stitches in one place; each has a cell."""
    return Made(names, len(names))


# Slipped stitches that are passed over what follows are one decrease. Source: common practice.
_PASSED = {
    ("sl", "k", "psso"): "skp",
    ("sl1k", "k", "psso"): "skp",
    ("sl", "k2tog", "psso"): "sk2p",
    ("sl1k", "k2tog", "psso"): "sk2p",
    ("sl", "sl", "k", "p2sso"): "s2kp",
    ("sl1k", "sl1k", "k", "p2sso"): "s2kp",
}


def _joined(made: list[Made]) -> list[Made]:
    """Decreases of several words as one stitch; raises where one is left over."""
    found: list[Made] = []
    for one in made:
        found.append(one)
        for names, whole in _PASSED.items():
            if tuple(other.name for other in found[-len(names) :]) == names:
                found[-len(names) :] = [Made((whole,))]
    if any(one.width == 0 for one in found):
        raise UnreadError("a stitch is passed over others in a way that is not drawn")
    return found


# How a stitch is worked, written so that its name holds it.
# Source: the yarn council's abbreviations, from memory.
_LOOP = r"(?:in |through |in the )?(?:the )?(?:{0}lo|{1} loops?(?: only)?)(?: of)?"
_YARN = r"(?:wyi|with yarn (?:in|at) )"
_STITCH = r"(sc|hdc|dc|tr|dtr|htr)"
_REWRITTEN = (
    (re.compile(r"\b([kp])(\d)tog (?:tbl|through (?:the )?back loops?)\b"), r"\1\2togtbl"),
    (re.compile(r"\b([kp]) ?(\d+) (?:tbl|through (?:the )?back loops?)\b"), r"\1tbl \2"),
    (re.compile(r"\b([kp]) (?:tbl|through (?:the )?back loops?)\b"), r"\1tbl"),
    (re.compile(rf"\b(?:sl|slip) 1 (?:pwise |purlwise )?{_YARN}(f|b)(?:ront|ack)?\b"), r"sl1wyi\1"),
    (re.compile(r"\b(?:sl|slip) (\d+) (?:pwise|purlwise)\b"), r"sl \1"),
    (re.compile(r"\b(?:sl|slip) 1 (?:kwise|knitwise)\b"), r"sl1k"),
    (re.compile(rf"\b{_STITCH} {_LOOP.format('b', 'back')}\b"), r"bl\1 in"),
    (re.compile(rf"\b{_STITCH} {_LOOP.format('f', 'front')}\b"), r"fl\1 in"),
    (re.compile(rf"\bblo {_STITCH}\b"), r"bl\1"),
    (re.compile(rf"\bflo {_STITCH}\b"), r"fl\1"),
    (re.compile(rf"\b([fb]p) {_STITCH}\b"), r"\1\2"),
    (re.compile(r"\bin in\b"), "in"),
)  # fmt: skip
_HOW = re.compile(
    r"\b(?:tbl|(?:back|front) loops?|[bf]lo|[bf]l only|wyi[fb]|yarn (?:in|at) (?:front|back)|post|below|"
    r"behind|spike|linked|[kp](?:nit|url)?wise|twisted|standing|other side)\b"
)


def _rewritten(text: str) -> str:
    """A row in small letters whose stitches have in their names how they are worked."""
    text = text.lower()
    for finder, written in _REWRITTEN:
        text = finder.sub(written, text)
    return text


def read_row(text: str, craft: str) -> Row:
    """Read one row so that every stitch is known by its name.

    Args:
        text: The row in the trade's words, without its head.
        craft: crochet, tunisian or knitting.

    Returns:
        The row as the count audit reads it.

    Raises:
        UnreadError: It says more than a chart can show, or can't be read; carries the reason.
    """
    rows = read_rows(text, craft)
    named = read_rows(_rewritten(text), craft)
    if len(rows) != 1 or len(named) != 1:
        raise UnreadError("this is no single row")
    for row, said in ((rows[0], text), (named[0], _rewritten(text))):
        if row.unread:
            words = said[row.unread[0].start : row.unread[0].end]
            raise UnreadError(f"“{words}”: {row.unread[0].why}" if words else row.unread[0].why)
        if row.shapings or row.repeats != 1 or row.again is not None:
            raise UnreadError(NOT_DRAWN if row.shapings else "rows worked again are not drawn")
    if found := _HOW.search(_rewritten(text)):
        raise UnreadError(f"“{found.group()}” is not drawn here")
    return named[0]


def again_of(text: str, craft: str) -> int | None:
    """The number of the one row that a row repeats; None where it is written out.

    >>> again_of("As row 1.", "knitting"), again_of("Knit.", "knitting")
    (1, None)
    """
    rows = read_rows(text, craft)
    again = rows[0].again if len(rows) == 1 else None
    only = again is not None and again.first == again.to and again.times is None and again.until is None
    return again.first if again is not None and only and isinstance(again.first, int) else None


def work_recorded(
    row: Row, beneath: Beneath, craft: str, *, spaces_count: bool = False
) -> tuple[list[Made], int, Worked]:
    """Work a row over what is beneath.

    Args:
        row: The row as read.
        beneath: The places beneath.
        craft: crochet, tunisian or knitting.
        spaces_count: Whether chain spaces count as stitches.

    Returns:
        What is made, in order; the chains at the beginning that are no stitch; and what the row comes to.

    Raises:
        UnreadError: It can't be worked, or not drawn; carries the reason.
    """
    worker = Recorder(replace(row, numbers=None), beneath, Setting(craft, spaces_count=spaces_count))
    worked = worker.work()
    return _joined(worker.made), worker.turning, worked
