"""Finds the closing count of a row: `(24 sts)`, `18 dc, 8 ch-1 sps`, `36 sts remain`, `1 st dec'd`."""

from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.notes import read_spaces_note
from grading.core.audit.said_reading import read_said
from grading.core.audit.tokens import Token
from grading.core.audit.tree import Said

OPEN_WORDS = ("until", "till", "to", "when", "if", "unless", "before", "as", "where", "while", "what", "that")
MOST_LOST = 9
"""A row hardly loses more stitches than this where they are written with a minus."""
LONGEST_COUNT = 80
"""A closing count has fewer words and marks than this."""
OPENING = {")": "(", "]": "[", "}": "{"}


def split_said(tokens: list[Token], craft: str) -> tuple[list[Token], Said | None]:
    """The row without its closing count, and the count."""
    for split in (_bracketed, _last_sentence):
        found = split(tokens, craft)
        if found is not None:
            return _with_other_half(*found, craft)
    after = _idle_sentence(tokens)
    if after:
        rest, said = split_said(tokens[:after], craft)
        if said is not None:
            return rest + tokens[after:], said
    return tokens, None


def _with_other_half(rest: list[Token], said: Said, craft: str) -> tuple[list[Token], Said]:
    """`30 sc (2 sts dec'd)`: the count and the change may stand beside each other."""
    counted, changed = bool(said.stitches), said.change is not None
    if counted == changed:
        return rest, said
    for split in (_bracketed, _last_sentence):
        found = split(rest, craft)
        if found is None:
            continue
        other = found[1]
        if not found[0] or rest[len(found[0])].text in (",", ";", ":"):
            continue
        if bool(other.stitches) == changed and (other.change is not None) == counted:
            change = said if changed else other
            count = other if changed else said
            return found[0], replace(count, change=change.change, sign=change.sign)
    return rest, said


def _idle_sentence(tokens: list[Token]) -> int:
    """Where a last sentence such as `Fasten off.` begins; 0 when there is none."""
    for index in range(len(tokens) - 2, 0, -1):
        if tokens[index].text == "." and _idle(tokens[index:]):
            return index
    return 0


def _bracketed(tokens: list[Token], craft: str) -> tuple[list[Token], Said] | None:
    """The last bracket of the row, when only turning and joining follow it."""
    end = len(tokens)
    while end and tokens[end - 1].text not in OPENING:
        end -= 1
    if not end or not _idle(tokens[end:]):
        return None
    start = _opening_of(tokens, end - 1)
    if start < 0 or (start and tokens[start - 1].text in ("*", "x", "in", "into")):
        return None
    said = read_said(tokens[start + 1 : end - 1], craft, bare=True)
    return None if said is None else (tokens[:start] + tokens[end:], said)


def _opening_of(tokens: list[Token], end: int) -> int:
    """Where the bracket that closes at `end` opens; below zero when nowhere."""
    depth = 0
    for index in range(end, -1, -1):
        depth += (tokens[index].text in OPENING) - (tokens[index].text in OPENING.values())
        if depth == 0:
            return index if tokens[index].text == OPENING[tokens[end].text] else -1
    return -1


def _idle(tokens: list[Token]) -> bool:
    cursor = Cursor(tokens)
    while not cursor.ended():
        cursor.skip_separators()
        if cursor.ended():
            break
        if not (
            cursor.phrase(words.TURN)
            or cursor.phrase(words.IDLE)
            or cursor.phrase(words.AFTER_COUNT)
            or cursor.phrase(words.RETURN)
        ):
            return False
    return True


def _last_sentence(tokens: list[Token], craft: str) -> tuple[list[Token], Said] | None:
    """What stands after the last full stop, dash or equals sign."""
    end = len(tokens)
    while end and tokens[end - 1].text in (".", ",", ";"):
        end -= 1
    for start in range(end - 1, max(0, end - 1 - LONGEST_COUNT), -1):
        found = _after_mark(tokens[:end], start, craft)
        if found is not None:
            return found
    said = read_said(tokens[:end], craft, bare=False)
    only_chains = tokens[end - 1].text in ("ch", "chs", "chain", "chains") if end else False
    return None if said is None or not tokens or only_chains else ([], said)


def _after_mark(tokens: list[Token], start: int, craft: str) -> tuple[list[Token], Said] | None:
    """A count after the mark at `start`, or one whose first words can only begin a count."""
    mark = tokens[start].text
    if mark not in (".", "-", "=", ";", ":", ",", "+", *OPENING):
        said = None if tokens[start - 1].text in OPEN_WORDS else _unmarked(tokens[start:], craft)
        return None if said is None else (tokens[:start], said)
    if mark in OPENING:
        said = read_said(tokens[start + 1 :], craft, bare=False, worded=True)
        return None if said is None else (tokens[: start + 1], said)
    if (mark == "," and _may_be_sizes(tokens, start)) or (mark == ";" and _lists_stitches(tokens, start)):
        return None
    signed = _is_sign(tokens, start)
    if mark == "+" and not signed:
        return None
    after = start if signed else start + 1
    said = read_said(tokens[after:], craft, bare=mark in ("-", "="), worded=mark == ",")
    return None if said is None else (_without_begin(tokens[:start]), said)


def _may_be_sizes(tokens: list[Token], start: int) -> bool:
    """`cast on 80, 90 sts`: numbers of two sizes, and no count."""
    numbers = all(token.kind == "number" for token in tokens[start - 1 : start + 2 : 2])
    return numbers and tokens[start - 2].text in words.SIZED_VERBS


def _lists_stitches(tokens: list[Token], start: int) -> bool:
    """`10 sc; dec; 6 sc`: a row cut by semicolons whose last part is worked like those before it."""
    if tokens[-1].text in ("sts", "st", "stitches"):
        return False
    marks = [index for index in range(start) if tokens[index].text == ";"]
    if not marks:
        return False
    before = {token.text for token in tokens[marks[-1] + 1 : start]}
    return not before & words.TO_THE_END


def _is_sign(tokens: list[Token], start: int) -> bool:
    """`+6 sts`, `-2 sts` at the head of a clause; a dash before a greater number only parts it off."""
    if tokens[start].text not in ("+", "-") or not _begins_clause(tokens, start) or start + 1 >= len(tokens):
        return False
    number = tokens[start + 1]
    if tokens[start].text == "+":
        return True
    close = tokens[start].end == number.start
    return close and isinstance(number.value, int) and number.value <= MOST_LOST


def _without_begin(tokens: list[Token]) -> list[Token]:
    """Without words such as `Total on the needles`, which a colon parts from the count they introduce."""
    start = len(tokens)
    while start and tokens[start - 1].text not in (".", ",", ";", ":", ")", "]", "}"):
        start -= 1
    cursor = Cursor(tokens[start:])
    return tokens[:start] if cursor.phrase(words.SAID_BEGIN) and cursor.ended() else tokens


def _begins_clause(tokens: list[Token], start: int) -> bool:
    return start == 0 or tokens[start - 1].text in (".", ",", ";", ":", ")", "]", "}")


def _unmarked(tokens: list[Token], craft: str) -> Said | None:
    """`around for a total of 24 sts`: words that can only begin a count need no mark before them."""
    if not Cursor(tokens).phrase(words.SAID_ALWAYS):
        return None
    return read_said(tokens, craft, bare=False, worded=True)


def spaces_note_in(tokens: list[Token]) -> bool | None:
    """What the head of a row says of chain spaces."""
    for start, token in enumerate(tokens):
        if token.text in ("(", "[") or start == 0:
            note = read_spaces_note(Cursor(tokens[start + 1 :]))
            if note is not None:
                return note.counts
    return None
