"""Reads closing counts: `(24 sts)`, `18 dc, 8 ch-1 sps`, `36 sts remain`, `1 st dec'd`."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.notes import read_spaces_note
from grading.core.audit.places import read_kind
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import Kind, Said

OPEN_WORDS = ("until", "till", "to", "when", "if", "unless", "before", "as", "where", "while", "what", "that")
LESS = ("dec", "few", "less", "lost", "losing", "minus", "reduc", "down", "short", "taken", "away")
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
        if not (cursor.phrase(words.TURN) or cursor.phrase(words.AFTER_COUNT) or cursor.phrase(words.RETURN)):
            return False
    return True


def _last_sentence(tokens: list[Token], craft: str) -> tuple[list[Token], Said] | None:
    """What stands after the last full stop, dash or equals sign."""
    end = len(tokens)
    while end and tokens[end - 1].text in (".", ",", ";"):
        end -= 1
    for start in range(end - 1, 0, -1):
        mark = tokens[start].text
        if mark not in (".", "-", "=", ";", ":", ",", "+", *OPENING):
            said = None if tokens[start - 1].text in OPEN_WORDS else _unmarked(tokens[start:end], craft)
            if said is not None:
                return tokens[:start], said
            continue
        signed = mark == "+" or (mark == "-" and tokens[start].end == tokens[start + 1 : start + 2][0].start)
        after = start if signed and _begins_clause(tokens, start) else start + 1
        if mark in OPENING:
            said = read_said(tokens[start + 1 : end], craft, bare=False, worded=True)
            if said is not None:
                return tokens[: start + 1], said
            continue
        if mark == "," and tokens[start - 1].kind == "number":
            continue
        said = read_said(tokens[after:end], craft, bare=mark in ("-", "="), worded=mark == ",")
        if said is not None and not (mark == "+" and after > start):
            return _without_begin(tokens[:start]), said
    said = read_said(tokens[:end], craft, bare=False)
    only_chains = tokens[end - 1].text in ("ch", "chs", "chain", "chains") if end else False
    return None if said is None or not tokens or only_chains else ([], said)


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
        self._after_row()
        introduced = False
        while cursor.phrase(words.SAID_BEGIN) or (introduced and cursor.word(":", "=", "-")):
            introduced = True
        if worded and not (introduced or self._sees_change() or self._sees_plain_count()):
            return None
        if not self._part(bare=bare or introduced):
            return None
        while not cursor.ended():
            if self._breakdown():
                continue
            cursor.word(",", "and", ";", "+", "&", "plus", ".", "-", "(", "/")
            cursor.phrase(words.SAID_BEGIN)
            if not (cursor.ended() or self._note() or self._part(bare=False) or self._tail()):
                return None
        return Said(tuple(self.stitches), tuple(self.spaces), self.change, self.sign, self.spaces_count)

    def _sees_change(self) -> bool:
        start = self.cursor.place
        found = self._change_first()
        self.cursor.place, self.change = start, None
        return found

    def _sees_plain_count(self) -> bool:
        """`36 sts left`: so many stitches that nothing is said to be done with."""
        after = self.cursor.texts[self.cursor.place + 1 :]
        number = self.cursor.now()
        return number is not None and number.kind == "number" and after[:1] in (["sts"], ["stitches"])

    def _tail(self) -> bool:
        return self._after_row() or self.cursor.phrase(words.SAID_END) or self.cursor.word(")")

    def _after_row(self) -> bool:
        """`after row 6`, `at the end of rnds 3 and 4`, `on every row`, `after both`."""

        def read() -> bool:
            cursor = self.cursor
            if not cursor.phrase(words.SAID_AFTER):
                return False
            named = cursor.phrase(words.THIS_ROW) and cursor.tokens[cursor.place - 1].text in (
                "both",
                "all",
                "these",
            )
            named = cursor.phrase(words.ROWS) or named
            while (
                cursor.number() is not None or cursor.ordinal() is not None or cursor.word("and", "to", "-")
            ):
                named = True
            cursor.phrase(words.ROWS)
            cursor.word(":", ",")
            return named

        return self.cursor.attempt(read) is not None

    def _breakdown(self) -> bool:
        """`: 16 for each shoulder`, `(12 dc and 8 ch)` after a total."""

        def read() -> bool:
            cursor = self.cursor
            if not cursor.word(":", "(", "-", ",") or not (self.stitches or self.spaces):
                return False
            parted = False
            while cursor.number() is not None:
                read_kind(cursor, self.craft)
                parted = cursor.phrase(words.PART_OF) or parted
                cursor.word(",", "and", "+", "&", ";")
            cursor.word(")")
            return parted and cursor.ended()

        return self.cursor.attempt(read) is not None

    def _change_first(self) -> bool:
        """`inc'd 2 sts`, `decreased by 1 st`, `+6 sts`, `an increase of 4`."""

        def read() -> bool:
            cursor = self.cursor
            cursor.word("a", "an")
            token = cursor.now()
            if token is None:
                return False
            if not (cursor.phrase(words.SAID_CHANGED) or cursor.word("+", "-")):
                return False
            cursor.word("by", "of")
            number = cursor.number()
            named = read_kind(cursor, self.craft) is Kind.STITCH
            if number is None or (token.text in "+-" and not (named or cursor.ended())):
                return False
            self.change = number
            self.sign = -1 if token.text == "-" else self._direction(token.text)
            return True

        return self.cursor.attempt(read) is not None

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
        if self.change is None and self._change_first():
            self._end()
            return True
        number = cursor.number()
        if number is None:
            return False
        cursor.word("corner", "live", "rem", "remaining", "total")
        if cursor.attempt(lambda: self._corner_spaces()):
            self.spaces.append(number)
            return True
        if cursor.phrase(words.SAID_OTHER):
            self._end()
            return True
        if cursor.phrase(words.SAID_CHANGES):
            self.change, self.sign = number, self._direction(cursor.tokens[cursor.place - 1].text)
            return True
        loops = self.craft == "tunisian" and cursor.word("loops", "loop", "lps")
        kind = Kind.STITCH if loops else read_kind(cursor, self.craft)
        if kind is Kind.ROW_END or (kind is None and not (bare and self._bare_end())):
            cursor.place = start
            return False
        if cursor.phrase(words.SAID_CHANGED):
            self.change, self.sign = number, self._direction(cursor.tokens[cursor.place - 1].text)
            return True
        halves = cursor.phrase(words.EACH_PART) and isinstance(number, int)
        self._end()
        (self.spaces if kind is Kind.SPACE else self.stitches).append(number)
        if halves:
            self.stitches.append(number)
        return True

    def _corner_spaces(self) -> bool:
        """`4 ch-2 corner sps`."""
        cursor = self.cursor
        if not cursor.phrase(words.CHAIN_NOUNS):
            return False
        cursor.number()
        return cursor.word("corner") and cursor.phrase(words.SPACE_NOUNS)

    def _bare_end(self) -> bool:
        if self.cursor.ended() or self.cursor.sees(",", ";", ".", "("):
            return True
        return self._after_row() or self.cursor.phrase(words.SAID_END)

    def _end(self) -> None:
        while self._after_row() or self.cursor.phrase(words.SAID_END):
            pass

    @staticmethod
    def _direction(word: str) -> int:
        return -1 if word.startswith(LESS) else 1
