"""A place in a row of tokens, with the small steps that reading is made of."""

from collections.abc import Callable, Iterable
from functools import partial
from typing import ParamSpec, TypeVar

from grading.core.audit.phrases import Phrases
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number, Token
from grading.core.audit.words import TIMES_WORDS

SINGLE_SPACES = (["sp"], ["space"], ["loop"], ["lp"], ["arch"])
Read = TypeVar("Read")
Given = ParamSpec("Given")


class Cursor:
    """Reads tokens from left to right; what can't be read leaves the place as it was."""

    def __init__(self, tokens: list[Token]) -> None:
        self.tokens = tokens
        self.defined: dict[str, Stitch] = {}
        self.texts = [token.text for token in tokens]
        self.place = 0

    def ended(self) -> bool:
        """Whether every token has been read."""
        return self.place >= len(self.tokens)

    def now(self) -> Token | None:
        """The token to be read next."""
        return self.tokens[self.place] if self.place < len(self.tokens) else None

    def sees(self, *texts: str) -> bool:
        """Whether the next token is one of these."""
        token = self.now()
        return token is not None and token.text in texts

    def word(self, *texts: str) -> bool:
        """Read one of these words or marks."""
        if not self.sees(*texts):
            return False
        self.place += 1
        return True

    def words(self, text: str) -> bool:
        """Read these words in a row."""
        wanted = text.split()
        if self.texts[self.place : self.place + len(wanted)] != wanted:
            return False
        self.place += len(wanted)
        return True

    def phrase(self, phrases: Phrases) -> bool:
        """Read the longest of these phrases that fits."""
        length = 0 if self.ended() else phrases.length(self.texts, self.place)
        self.place += length
        return length > 0

    def number(self) -> Number | None:
        """Read a number or a reference."""
        token = self.now()
        if token is None or token.kind != "number":
            return None
        self.place += 1
        return token.value

    def count(self) -> Number | None:
        """Read a number of places; that of `2-ch sp` is a size, and is left."""
        token = self.now()
        after = self.texts[self.place + 1 : self.place + 3]
        chain = token is not None and after[:1] in (["ch"], ["chain"])
        if chain and (self.texts[self.place].endswith("-") or after[1:] in SINGLE_SPACES):
            return None
        return self.number()

    def ordinal(self) -> int | None:
        """Read an ordinal number."""
        token = self.now()
        if token is None or token.kind != "ordinal" or not isinstance(token.value, int):
            return None
        self.place += 1
        return token.value

    def times(self) -> Number | None:
        """Read how often: `twice`, `3 times`, `x 3`, `3 x`."""
        token = self.now()
        if token is not None and token.text in TIMES_WORDS:
            self.place += 1
            return TIMES_WORDS[token.text]
        return self.attempt(self._times_by_number)

    def _times_by_number(self) -> Number | None:
        self.word("for", "a")
        self.words("total of")
        crossed = self.word("x")
        number = self.number()
        if number is None:
            return None
        if crossed:
            self.word("times")
            return number
        return number if self.word("times", "time", "x") else None

    def attempt(self, reader: Callable[[], Read]) -> Read | None:
        """What `reader` reads; when that is nothing the place is as before."""
        start = self.place
        read = reader()
        if read is None or read is False or read == ():
            self.place = start
            return None
        return read

    def first_of(
        self, readers: Iterable[Callable[Given, Read]], *arguments: Given.args, **named: Given.kwargs
    ) -> Read | None:
        """What the first of these readers reads that reads anything."""
        for reader in readers:
            read = self.attempt(partial(reader, *arguments, **named))
            if read is not None:
                return read
        return None

    def clause_ended(self) -> bool:
        """Whether a new part of the sentence begins here."""
        return self.ended() or self.sees(",", ";", ".", ":", ")", "]", "}", "*", "-", "(", "[", "then", "and")

    def skip_separators(self) -> None:
        """Pass over commas, full stops and joining words."""
        while self.sees(",", ";", ".", ":", "-", "&") or self._joining_word():
            self.place += 1

    def _joining_word(self) -> bool:
        return self.sees("and", "then", "now", "next") and not self._begins_next_place()

    def _begins_next_place(self) -> bool:
        """`next st` at the head of a clause is a place, not a joining word."""
        return self.sees("next")
