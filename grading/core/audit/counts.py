"""Reads closing counts: `(24 sts)`, `18 dc, 8 ch-1 sps`, `36 sts remain`, `1 st dec'd`."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.notes import read_spaces_note
from grading.core.audit.places import read_kind
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import Kind, Said

OPENING = {")": "(", "]": "[", "}": "{"}


def split_said(tokens: list[Token], craft: str) -> tuple[list[Token], Said | None]:
    """The row without its closing count, and the count."""
    for split in (_bracketed, _last_sentence):
        found = split(tokens, craft)
        if found is not None:
            return found
    return tokens, None


def _bracketed(tokens: list[Token], craft: str) -> tuple[list[Token], Said] | None:
    """The last bracket of the row, when only turning and joining follow it."""
    end = len(tokens)
    while end and tokens[end - 1].text not in OPENING:
        end -= 1
    if not end or not _idle(tokens[end:]):
        return None
    start = end - 1
    while start >= 0 and tokens[start].text != OPENING[tokens[end - 1].text]:
        start -= 1
    if start < 0 or (start and tokens[start - 1].text in ("*", "x", "in", "into")):
        return None
    said = read_said(tokens[start + 1 : end - 1], craft, bare=True)
    return None if said is None else (tokens[:start] + tokens[end:], said)


def _idle(tokens: list[Token]) -> bool:
    cursor = Cursor(tokens)
    while not cursor.ended():
        cursor.skip_separators()
        if cursor.ended():
            break
        if not (cursor.phrase(words.TURN) or cursor.phrase(words.AFTER_COUNT) or cursor.phrase(words.RETURN)):
            return False
    return True


def _last_sentence(tokens: list[Token], craft: str) -> tuple[list[Token], Said] | None:
    """What stands after the last full stop, dash or equals sign."""
    end = len(tokens)
    while end and tokens[end - 1].text in (".", ",", ";"):
        end -= 1
    for start in range(end - 1, -1, -1):
        if tokens[start].text not in (".", "-", "=", ";", ":", ","):
            continue
        bare = tokens[start].text in ("-", "=")
        said = read_said(tokens[start + 1 : end], craft, bare=bare, worded=tokens[start].text == ",")
        if said is not None:
            return tokens[:start], said
    said = read_said(tokens[:end], craft, bare=False)
    return None if said is None or not tokens else ([], said)


def spaces_note_in(tokens: list[Token]) -> bool | None:
    """What the head of a row says of chain spaces."""
    for start, token in enumerate(tokens):
        if token.text in ("(", "[") or start == 0:
            note = read_spaces_note(Cursor(tokens[start + 1 :]))
            if note is not None:
                return note.counts
    return None


def read_said(tokens: list[Token], craft: str, *, bare: bool, worded: bool = False) -> Said | None:
    """A closing count; a number alone counts where `bare`, and `worded` ones must say `you have`."""
    reader = SaidReader(tokens, craft)
    return reader.read(bare=bare, worded=worded)


class SaidReader:
    """Reads one closing count."""

    def __init__(self, tokens: list[Token], craft: str) -> None:
        self.cursor = Cursor(tokens)
        self.craft = craft
        self.stitches: list[Number] = []
        self.spaces: list[Number] = []
        self.change: Number | None = None
        self.sign = 1
        self.spaces_count: bool | None = None

    def read(self, *, bare: bool, worded: bool) -> Said | None:
        """The count, or None when the words are none."""
        cursor = self.cursor
        if cursor.ended():
            return None
        self._note()
        introduced = cursor.phrase(words.SAID_BEGIN)
        if worded and not introduced:
            return None
        if not self._part(bare=bare or introduced):
            return None
        while not cursor.ended():
            cursor.word(",", "and", ";", "+", "&", "plus", ".", "-", "(")
            cursor.phrase(words.SAID_BEGIN)
            if not (
                self._note() or self._part(bare=False) or cursor.phrase(words.SAID_END) or cursor.word(")")
            ):
                return None
        return Said(tuple(self.stitches), tuple(self.spaces), self.change, self.sign, self.spaces_count)

    def _note(self) -> bool:
        note = self.cursor.attempt(lambda: read_spaces_note(self.cursor))
        if note is None:
            return False
        self.spaces_count = note.counts
        self.cursor.word(":", ",", ";")
        return True

    def _part(self, *, bare: bool) -> bool:
        cursor = self.cursor
        start = cursor.place
        number = cursor.number()
        if number is None:
            return False
        cursor.word("corner", "live", "rem", "remaining", "total")
        if cursor.phrase(words.SAID_OTHER):
            self._end()
            return True
        if cursor.phrase(words.SAID_CHANGES):
            self.change, self.sign = number, self._direction(cursor.tokens[cursor.place - 1].text)
            return True
        kind = read_kind(cursor, self.craft)
        if kind is Kind.ROW_END or (kind is None and not (bare and self._bare_end())):
            cursor.place = start
            return False
        if cursor.phrase(words.SAID_CHANGED):
            self.change, self.sign = number, self._direction(cursor.tokens[cursor.place - 1].text)
            return True
        self._end()
        (self.spaces if kind is Kind.SPACE else self.stitches).append(number)
        return True

    def _bare_end(self) -> bool:
        return self.cursor.ended() or self.cursor.sees(",", ";", ".") or self.cursor.phrase(words.SAID_END)

    def _end(self) -> None:
        while self.cursor.phrase(words.SAID_END):
            pass

    @staticmethod
    def _direction(word: str) -> int:
        return -1 if word.startswith(("dec", "few", "less", "lost")) else 1
