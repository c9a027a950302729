"""Cuts a row of a pattern into words, numbers and marks, each with its place in the text."""

import re
from dataclasses import dataclass, replace

from grading.core.audit.stitches import is_whole_word
from grading.core.audit.words import ABBREVIATED, NUMBER_WORDS, ORDINAL_WORDS, TENS

Number = int | str
"""A number as written, or the name of the value that a reference prints."""


@dataclass(frozen=True)
class Token:
    """One word, number or mark; `value` is the number, or the name that a reference prints."""

    kind: str
    text: str
    start: int
    end: int
    value: Number = 0


PATTERN = re.compile(
    r"""
    (?P<reference>\{\s*(?:
        [a-z][a-z0-9_]*(?:\s*[+-]\s*\d+|\s*/\s*2|\ in\ (?:both|words)|\ reversed)?
        |[a-z][a-z0-9_]*\ at\ (?:start|end|both\ ends)
        |[a-z][a-z0-9_]*\ with\ [a-z][a-z0-9_]*|[a-z][a-z0-9_]*\s*\|[^{}]*
        |side\ (?:start|end|left|right)|[+-]?\d+(?:\.\d+)?\s*(?:mm|cm|m|in|ft|yd)
    )\s*\})
    |(?P<cable>\d/\d\s?(?:rc|lc|rpc|lpc|rt|lt)\b)
    |(?P<measure>\d+\s*[.,]\d+\b|\d*\s*[¼½¾]|\d+/\d+)
    |(?P<ordinal>\d+(?:st|nd|rd|th)\b(?!\s*(?:s\b)))
    |(?P<letters>(?:[a-z]\.){2,})
    |(?P<mixed>[a-z]+\d+[a-z]*(?:\d+[a-z]*)*)
    |(?P<number>\d+)
    |(?P<word>[a-z]+(?:'[a-z]+)*)
    |(?P<star>\*+|†+)
    |(?P<mark>[^\s\w])
    """,
    re.VERBOSE,
)
SAME_LENGTH = str.maketrans({"–": "-", "—": "-", "‑": "-", "−": "-", "×": "x", "’": "'", "‘": "'", "\n": " "})


def cut_tokens(text: str) -> list[Token]:
    """Tokens of a text, in order; hyphens inside words are dropped, full stops of abbreviations too.

    >>> [token.text for token in cut_tokens("K2tog, k12; sc-blo in next 3 sts.")]
    ['k2tog', ',', 'k', '12', ';', 'sc', 'blo', 'in', 'next', '3', 'sts', '.']
    """
    plain = text.translate(SAME_LENGTH)
    tokens: list[Token] = []
    for match in PATTERN.finditer(plain.lower()):
        tokens += _tokens_of(match)
    return _join_sums(_join_number_words(_drop_idle_marks(tokens, plain)))


def _tokens_of(match: re.Match[str]) -> list[Token]:
    kind, text, start = match.lastgroup or "mark", match.group(), match.start()
    if kind == "reference":
        return [_reference(text, start)]
    if kind == "cable":
        return [Token("word", re.sub(r"\s", "", text), start, match.end())]
    if kind == "number":
        return [Token("number", text, start, match.end(), int(text[:9]))]
    if kind == "ordinal":
        return [Token("ordinal", text, start, match.end(), int(re.sub(r"\D", "", text)[:9]))]
    if kind == "letters":
        return [Token("word", text.replace(".", ""), start, match.end())]
    if kind == "mixed" and not is_whole_word(text):
        return _split_mixed(text, start)
    loop = LOOP_TAIL.fullmatch(text)
    if loop:
        return [_word(loop.group(1), start), _word(loop.group(2), start + len(loop.group(1)))]
    if kind in ("mixed", "word"):
        return [_word(text, start)]
    return [Token(kind, text, start, match.end())]


LOOP_TAIL = re.compile(r"(sc|hdc|dc|htr|tr|dtr|ss)(blo|flo)")
NAMED = re.compile(r"[a-z][a-z0-9_]*(?:\s*[+-]\s*\d+|\s*/\s*2)?")


def _reference(text: str, start: int) -> Token:
    """A reference to a number, to a word that follows one, or to a measure or side."""
    inside, end = text[1:-1].strip(), start + len(text)
    if NAMED.fullmatch(inside):
        return Token("number", text, start, end, re.sub(r"\s", "", inside))
    if "|" in inside:
        return Token("word", inside.rpartition("|")[2].strip(), start, end)
    if inside.startswith("side "):
        return Token("word", inside.removeprefix("side "), start, end)
    return Token("measure", text, start, end)


def _split_mixed(text: str, start: int) -> list[Token]:
    """`k3p2` is k 3 p 2; what has no such reading stays a row of pieces, to be found unread."""
    pieces: list[Token] = []
    for part in re.finditer(r"(\d+)(?:st|nd|rd|th)\b|\d+|[a-z]+", text):
        place = start + part.start()
        if part.group().isdigit():
            pieces.append(
                Token("number", part.group(), place, place + len(part.group()), int(part.group()[:9]))
            )
        else:
            pieces.append(_word(part.group(), place))
    return pieces


def _word(text: str, start: int) -> Token:
    end = start + len(text)
    if text in ORDINAL_WORDS:
        return Token("ordinal", text, start, end, ORDINAL_WORDS[text])
    if text in NUMBER_WORDS:
        return Token("number", text, start, end, NUMBER_WORDS[text])
    return Token("word", text, start, end)


def _drop_idle_marks(tokens: list[Token], plain: str) -> list[Token]:
    """Without hyphens inside words and full stops of abbreviations; `3-5` stays a range."""
    kept: list[Token] = []
    for index, token in enumerate(tokens):
        before = tokens[index - 1] if index else None
        after = tokens[index + 1] if index + 1 < len(tokens) else None
        if token.text == "-" and before and after and before.end == token.start and after.start == token.end:
            if {before.kind, after.kind} != {"number"}:
                if before.kind == "number" and kept:
                    kept[-1] = replace(kept[-1], text=f"{kept[-1].text}-")
                continue
            if before.value in TENS.values() and before.text.isalpha() and after.text.isalpha():
                continue
        if token.text == "." and before and before.end == token.start and before.text in ABBREVIATED:
            rest = plain[token.end :].lstrip()
            begins = before.text == "ch" and (len(kept) < 2 or kept[-2].kind == "mark")
            if rest and (rest[0].islower() or rest[0] in ",;:" or (begins and rest[0].isdigit())):
                continue
        kept.append(token)
    return kept


def _join_number_words(tokens: list[Token]) -> list[Token]:
    """`thirty six` is 36."""
    joined: list[Token] = []
    for token in tokens:
        last = joined[-1] if joined else None
        if (
            last
            and last.kind == token.kind == "number"
            and last.text.rstrip("-") in TENS
            and token.text in NUMBER_WORDS
            and isinstance(token.value, int)
            and token.value < 10
        ):
            value = TENS[last.text.rstrip("-")] + token.value
            joined[-1] = Token(
                "number", f"{last.text.rstrip('-')}-{token.text}", last.start, token.end, value
            )
        else:
            joined.append(token)
    return joined


def _join_sums(tokens: list[Token]) -> list[Token]:
    """`{stitches} + 1` is one number."""
    joined: list[Token] = []
    for token in tokens:
        if (
            len(joined) > 1
            and token.kind == joined[-2].kind == "number"
            and joined[-1].text in ("+", "-")
            and isinstance(joined[-2].value, str)
            and isinstance(token.value, int)
        ):
            first, sign = joined[-2], joined[-1].text
            joined[-2:] = [
                Token("number", first.text, first.start, token.end, f"{first.value}{sign}{token.value}")
            ]
        else:
            joined.append(token)
    return joined
