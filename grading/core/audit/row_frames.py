"""Rows that are led to and written one by one: `Work 4 rows: row 1: …` tells how many they are."""

import re
from dataclasses import replace
from functools import lru_cache

from grading.core.audit.row_reading import read_rows
from grading.core.audit.rows import Audited
from grading.core.audit.sentences import Sentence, headed_rows
from grading.core.audit.size_states import Frame, SizeState, disagrees, unread
from grading.core.audit.statement_kinds import Straight

_LEADS = re.compile(r"(?::|\b(?:as follows|like this)[.:]?)\s*$", re.IGNORECASE)
_OF_THESE = re.compile(r"\s*(?:these|those|the last|rep(?:eat)?)\b", re.IGNORECASE)


def leads_to_rows(text: str) -> bool:
    """Whether what is said of rows is told after it.

    >>> leads_to_rows("Work 4 rows as follows:"), leads_to_rows("Work 4 rows.")
    (True, False)
    """
    return _LEADS.search(text) is not None


def is_numbered(text: str, craft: str) -> bool:
    """Whether a text begins with a row that has a number.

    >>> is_numbered("Row 1: k40.", "knitting"), is_numbered("K40.", "knitting")
    (True, False)
    """
    return first_number(text, craft) is not None


@lru_cache(maxsize=20_000)
def first_number(text: str, craft: str) -> int | None:
    """The number of the row that a text begins with.

    >>> first_number("Rows 3 and 4: k40.", "knitting")
    3
    """
    rows = read_rows(text, craft)
    return rows[0].numbers[0] if rows and rows[0].numbers is not None else None


def begin_frame(state: SizeState, straight: Straight) -> None:
    """Keep how many rows those are that are written next."""
    state.go_on_from_before()
    rows, begun = state.resolve(straight.rows), state.rows_worked
    if rows is None or begun is None or straight.above is not None or straight.part is not None:
        return
    state.frame = Frame(begun, rows if straight.total else begun + rows, state.stitches())


def is_of_frame(state: SizeState, sentence: Sentence | None) -> bool:
    """Whether a sentence is one of the rows, or works them again."""
    frame = state.frame
    if frame is None or sentence is None or sentence.expands is not None or state.rows_worked == frame.rows:
        return False
    number = first_number(sentence.text, state.craft)
    if number is None:
        return _OF_THESE.match(sentence.text) is not None
    return frame.first is None or 0 <= number - frame.first < frame.rows - frame.begun


def end_frame(state: SizeState) -> str:
    """Work what is left of the rows; say what is not known where the count changes within them."""
    frame, state.frame = state.frame, None
    if frame is None or state.rows_worked is None or state.rows_worked >= frame.rows:
        return ""
    written, told = state.rows_worked - frame.begun, frame.rows - frame.begun
    if written and state.stitches() != frame.stitches:
        state.rows_worked = None
        return f"{told} rows are said and {written} are written: how they go on is not said"
    state.rows_worked = frame.rows
    return ""


def within_frame(state: SizeState, sentence: Sentence, audited: Audited | None) -> Audited | None:
    """What a sentence comes to among rows that are said to be so many."""
    frame = state.frame
    if frame is None or audited is None or audited.verdict == "unreadable":
        return audited
    if frame.first is None:
        text = sentence.text.partition(":")[2] if headed_rows(sentence.text, state.craft) else sentence.text
        frame = state.frame = replace(frame, first=first_number(text, state.craft))
    if state.rows_worked is not None and state.rows_worked > frame.rows:
        state.frame = None
        says = f"says {frame.rows - frame.begun} rows, {state.rows_worked - frame.begun} are written"
        if audited.verdict == "disagrees":
            return replace(audited, says=f"{audited.says}; {says}")
        return disagrees(state.stitches(), says)
    if state.following is None or is_of_frame(state, state.following):
        return audited
    unsaid = end_frame(state)
    return unread(unsaid) if unsaid and audited.verdict == "agrees" else audited
