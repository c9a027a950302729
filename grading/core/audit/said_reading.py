"""Reads what a closing count says: stitches, spaces, more or fewer than before, after which row."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.notes import read_spaces_note
from grading.core.audit.places import read_kind
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import Kind, Said

LESS = ("dec", "few", "less", "lost", "losing", "minus", "reduc", "down", "short", "taken", "away")


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
        kind = self._kind()
        if kind is Kind.ROW_END or (kind is None and not (bare and self._bare_end())):
            cursor.place = start
            return False
        if cursor.phrase(words.SAID_CHANGED):
            self.change, self.sign = number, self._direction(cursor.tokens[cursor.place - 1].text)
            return True
        self._add(number, kind)
        return True

    def _kind(self) -> Kind | None:
        """What is counted; the loops on the hook of Tunisian work are its stitches."""
        if self.craft == "tunisian" and self.cursor.word("loops", "loop", "lps"):
            return Kind.STITCH
        return read_kind(self.cursor, self.craft)

    def _add(self, number: Number, kind: Kind | None) -> None:
        halves = self.cursor.phrase(words.EACH_PART) and isinstance(number, int)
        self._end()
        (self.spaces if kind is Kind.SPACE else self.stitches).append(number)
        if halves:
            self.stitches.append(number)

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
