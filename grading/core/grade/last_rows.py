"""Rows that are said to end on one side, and rows of one side that others lead to: do their numbers agree?"""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grading.core.audit.described_rows import is_named_change
from grading.core.grade.described_sides import ShapedRows
from grading.core.grade.named_sides import SIDE, is_right
from grading.core.grade.row_sides import RowPlans
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

CountOf = Callable[[str], NDArray[np.float64] | None]

# A section without any of these says nothing of sides.
_SIDED = re.compile(rf"\({SIDE}\)", re.IGNORECASE)
# "Row 1 (WS): p2, …", "Increase row (RS): …": one row, whose side is told.
_ROW = re.compile(rf"^(?:[\w ]+,? )?row(?: \d+)? \({SIDE}\)[^:]*:", re.IGNORECASE)
# "Work 13 rows", "Purl {plain_rows} rows in stocking stitch": rows that follow the one before.
_MORE = re.compile(
    r"^(?:(?:work|knit|purl)|(?:work|continue)(?: straight| even)?(?: in [\w ×-]+?)?,?"
    r"(?: (?:starting|beginning) with an? \w+ row,)? for) "
    r"(#\d+#|\d+) (?:more )?rows?\b(?! of the\b)([^.;:]*)",
    re.IGNORECASE,
)
# Before the rows: "Join A, change to the larger needles and continue …".
_LEAD = re.compile(
    r"^(?:join [A-Z]\b(?:,| and) )?(?:change to (?:the )?(?:larger|smaller) needles?(?:,| and) )?(?=\w)",
    re.IGNORECASE,
)
# "So that the next row is a WS row", "the first row of A is a wrong-side row".
_NEXT = re.compile(
    rf"\bthe (?:next row|first row (?:of|in|with) [A-Z]) is an? {SIDE} row\b(?!,? row)", re.IGNORECASE
)
# "Repeat these two rows until there are {rows} rows": counted from the first of them.
_UNTIL = re.compile(
    r"^(?:repeat|rep) (?:these (?:two |2 )?rows|rows 1 and 2) until (?:there are|you have) (#\d+#|\d+) rows"
    r"(?: in all| of [\w ×-]+)?"
    r"(?=[.;,]|$)",
    re.IGNORECASE,
)
_LAST = re.compile(
    rf"[;,] (?:and )?(?:the last(?: row)? is an? {SIDE} row|ending (?:with|on|after) an? {SIDE} row)",
    re.IGNORECASE,
)
_JOINS = re.compile(r"\b[Jj]oin(?! [A-Z]\b)")
_SHAPED = re.compile("§([a-z0-9_]*)§")
# "Bind off 4 sts at the beginning of the next 2 rows", "… of the next RS row".
_BOUND = re.compile(
    r"^(?:[\w ]+: )?(?:bind|cast) off (?:#[\d?]+#|\d+) (?:sts|stitches) "
    r"at the (?:beginning|start) of the next "
    rf"(?:(?P<rows>\d+) rows|{SIDE} row)\b[^;:]*$",
    re.IGNORECASE,
)
# "Work one WS row", "With the right side facing knit across …": one row, whose side is told.
_ONE = re.compile(
    rf"^(?:(?:work|knit|purl) (?:one|1|a) {SIDE} row\.?$|with (?:the )?{SIDE} facing(?!.*\b(?:turn|rows)\b))",
    re.IGNORECASE,
)
# More than one row in the words of one.
_MANY = re.compile(r"\bturn|\brows\b|\bevery\b|\btimes\b", re.IGNORECASE)
# What changes no side: nothing is worked.
_IDLE = re.compile(
    r"^(?:change to|(?:break|cut|join) [A-Z]\b|keep|leave|there are|\(|place|"
    r"slip (?:the |all )?markers?|from here)",
    re.IGNORECASE,
)
_TAIL = re.compile(
    r"^(?: (?:in|of) [\w ×-]+| straight| even| without shaping| as before)*(?:, | *$)", re.IGNORECASE
)
_SENTENCES = re.compile(r"(?<=[.)])\s+(?=[A-Z(*{#§])")
_TOTAL = re.compile(r"\(#?[^()]*\bsts?\)\s*$")


@dataclass
class _Told:
    """The side of the last row, and of row 1 while rows are numbered; None where it is not known.

    A row that is told without rows before it may only be described, to be worked later.
    """

    last_is_right: bool | None = None
    first_is_right: bool | None = None
    has_more: bool = False
    described: bool | None = None
    """The side of the row that is described last, as in "Decrease row (RS)", to be worked by a shaping."""

    def bind(self, bound: re.Match[str]) -> None:
        """Count rows in which stitches are cast off; one alone is told to be of one side."""
        if bound["rows"] is None:
            self.last_is_right = is_right(bound)
        elif self.last_is_right is None:
            self.forget()
        else:
            self.last_is_right = self.last_is_right == (int(bound["rows"]) % 2 == 0)
        self.has_more = False

    def forget(self) -> None:
        """Nothing is known of the side any more."""
        self.last_is_right = self.first_is_right = None
        self.has_more = False


def last_row_findings(pattern: PatternFile, count_of: CountOf, plans: RowPlans) -> list[Finding]:
    """Find numbers of rows that end on another side than the words say.

    Args:
        pattern: The pattern.
        count_of: Gives the worked numbers of a name, one per size, NaN for none; None for no rows.
        plans: The rows of its shapings.

    Returns:
        Findings (warn) at the step, for the first size of each that does not agree; none for work that is
        never turned. Only rows that are told one after the other are followed.

    Source: derived: rows of turned work show their sides in turn.
    """
    if pattern.craft == "tunisian":
        return []
    found: list[Finding] = []
    sided = [
        (i, section)
        for i, section in enumerate(pattern.sections)
        if any(_SIDED.search(step) for step in section.steps)
    ]
    for place, label in enumerate(pattern.sizes):
        for i, section in sided:
            told = _Told()
            for j, step in enumerate(section.steps):
                where = f"sections[{i}].steps[{j}]"
                words = _with_numbers(step, place, count_of, plans)
                for says in _of_step(words, told, ShapedRows(plans, place, section.steps[j:])):
                    if not any(one.where == where and one.says == says for one in found):
                        found.append(warn(where, says, label))
    return found


def _of_step(words: str, told: _Told, shaped: ShapedRows) -> Iterator[str]:
    """Follow the sides through the sentences of a step in one size."""
    if ":::" in words or re.search(r"\brounds?\b|\bshort[- ]rows?\b", words, re.IGNORECASE):
        told.forget()
        return
    for sentence in _SENTENCES.split(words):
        if _JOINS.search(sentence):
            told.forget()
            continue
        yield from _of_sentence(_LEAD.sub("", sentence.strip()), told, shaped)


def _of_sentence(sentence: str, told: _Told, shaped: ShapedRows) -> Iterator[str]:
    """Follow the side through one sentence, and say where it does not agree."""
    row, name = _ROW.match(sentence), _SHAPED.search(sentence)
    if name:
        head = sentence[: name.start()]
        yield from shaped.wrong_side(name.group(1), head, told.described, told.last_is_right)
        told.forget()
    elif row and is_named_change(sentence) and shaped.follows():
        told.described = is_right(row)
    elif row:
        yield from _of_row(row, sentence, told)
    elif bound := _BOUND.match(sentence):
        told.bind(bound)
    elif one := _ONE.match(sentence):
        told.last_is_right, told.has_more = is_right(one), False
    elif until := _UNTIL.match(sentence):
        yield from _of_rows(sentence, _number(until.group(1)), _other(told.first_is_right), told)
    elif more := _MORE.match(sentence):
        is_plain = _TAIL.match(more.group(2)) is not None
        yield from _of_rows(sentence, _number(more.group(1)), told.last_is_right if is_plain else None, told)
    elif _IDLE.match(sentence) or _TOTAL.fullmatch(sentence):
        yield from _said_next(sentence, told)
    else:
        told.forget()


def _of_row(row: re.Match[str], sentence: str, told: _Told) -> Iterator[str]:
    """One row whose side is told."""
    shows_right = is_right(row)
    if told.has_more and told.last_is_right == shows_right:
        side = "a right-side row" if shows_right else "a wrong-side row"
        yield f"“{row.group().rstrip(':')}” follows {side}: one row more or fewer must come before it."
    if _MANY.search(sentence, row.end()):
        told.forget()
        return
    is_first = re.search(r"\brow 1 \(", sentence, re.IGNORECASE) is not None
    told.first_is_right = shows_right if is_first else told.first_is_right
    told.last_is_right, told.has_more = shows_right, False


def _of_rows(sentence: str, rows: int | None, before_is_right: bool | None, told: _Told) -> Iterator[str]:
    """So many rows after one whose side is known."""
    if before_is_right is None or rows is None:
        told.forget()
        return
    told.last_is_right, told.has_more = before_is_right == (rows % 2 == 0), True
    yield from _said_last(sentence, rows, told)


def _other(side: bool | None) -> bool | None:
    """The side of the row before one whose side is known."""
    return None if side is None else not side


def _said_next(sentence: str, told: _Told) -> Iterator[str]:
    """Compare the side of the row that comes next with what is said of it."""
    said = _NEXT.search(sentence)
    if said is not None and told.has_more and is_right(said) == told.last_is_right:
        side = "a right-side row" if told.last_is_right else "a wrong-side row"
        yield (
            f"The last row is {side}, so the next is of the other side than the words say: "
            "correct one of them."
        )
        told.forget()


def _said_last(sentence: str, rows: int, told: _Told) -> Iterator[str]:
    """Compare the side of the last row with what is said of it."""
    said = _LAST.search(sentence)
    if said is not None and is_right(said) != told.last_is_right:
        side = "a right-side row" if told.last_is_right else "a wrong-side row"
        yield f"The last of these {rows} rows is {side}, and the words say the other: work one more or fewer."
        told.last_is_right = is_right(said)
    yield from _said_next(sentence, told)


def _with_numbers(step: str, place: int, count_of: CountOf, plans: RowPlans) -> str:
    """The words of a step with each plain number of the sheet as #7#, a shaping as §its name§, else #?#."""
    pieces = []
    for piece in parse_references(step).pieces:
        if not isinstance(piece, Reference):
            pieces.append(piece.text)
            continue
        if piece.name in plans.rows:
            pieces.append(f"§{piece.name if piece.form == 'plain' else ''}§")
            continue
        known = count_of(piece.name) if piece.form == "plain" else None
        is_known = known is not None and math.isfinite(known[place])
        pieces.append(f"#{known[place]:.0f}#" if known is not None and is_known else "#?#")
    return "".join(pieces)


def _number(typed: str) -> int | None:
    """A number as typed or filled in."""
    bare = typed.strip("#")
    return int(bare) if bare.isdigit() else None
