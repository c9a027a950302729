"""References in the words of a pattern: `{back_stitches}`, `{chest in both}`, `{3 cm}`.

What may stand between braces:

- `{name}`: a value, a body measurement, a pick-up (its number), a shaping, a spread, stripes,
  a stitch pattern (its name and where it stands);
- `{name + 1}`, `{name - 1}`, `{name / 2}`: a count worked out, one number per size;
- `{name in both}`: a measure in both systems of units;
- `{name|repeat|repeats}`: the word alone, the first when every number printed is 1;
- `{pick_up in words}`: how to spread a pick-up along its edge;
- `{shaping with other}`: two shapings that run at once, as one list of rows;
- `{shaping reversed}`: the same rows from last to first, so that a second piece mirrors the first;
- `{curve at start}`, `{curve at end}`, `{curve at both ends}`, `{curve reversed}`: a curve, row by row;
- `{3 cm}`: a length written out, which follows the units of the edition;
- `{side start}`, `{side end}`, `{side left}`, `{side right}`, `{side first}`, `{side last}`: a side word,
  the other way round in a left-hand edition of work that is never turned;
- `{help long_tail}`: the mark of one of the studio's helps, “help 3”; they are numbered as steps name them.

`{{` and `}}` print braces.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Form = Literal[
    "plain",
    "sum",
    "both",
    "word",
    "words",
    "with",
    "start",
    "end",
    "ends",
    "reversed",
    "length",
    "side",
    "help",
]

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "yd": 914.4}
METRIC_UNITS = ("mm", "cm", "m")

_NAME = r"[a-z][a-z0-9_]*"
_LENGTH = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*(mm|cm|m|in|ft|yd)")
_SIDE = re.compile(r"side (start|end|left|right|first|last)")
_HELP = re.compile(rf"help ({_NAME})")
_HELP_MARK = re.compile(rf"\{{\s*help\s+{_NAME}\s*\}}")
_WORD = re.compile(rf"({_NAME})\s*\|([^|]*)\|([^|]*)")
_SUM = re.compile(rf"({_NAME}) ?([+/−-]) ?(\d{{1,4}})")
_WITH = re.compile(rf"({_NAME}) with ({_NAME})")
_FORMS: dict[str, Form] = {
    "": "plain",
    " in both": "both",
    " in words": "words",
    " at start": "start",
    " at end": "end",
    " at both ends": "ends",
    " reversed": "reversed",
}
_NAMED = re.compile(rf"({_NAME})( in both| in words| at start| at end| at both ends| reversed)?")
_BRACE = re.compile(r"\{\{|\}\}|\{|\}")
_END = re.compile(r"[{}\n]")


@dataclass(frozen=True)
class Written:
    """Words of the author between two references; `offset` counts from 0 in the text."""

    text: str
    offset: int


@dataclass(frozen=True)
class Reference:
    """One reference; `extra` holds the other shaping, the two words, the unit, the side, or what is added."""

    source: str
    offset: int
    form: Form
    name: str = ""
    extra: tuple[str, ...] = ()
    length_mm: float = 0.0


@dataclass(frozen=True)
class Problem:
    """Something that can't be read, at an offset (from 0) of the text."""

    offset: int
    says: str


@dataclass(frozen=True)
class Parsed:
    """A text cut into the author's words and references, with what could not be read."""

    pieces: tuple[Written | Reference, ...]
    problems: tuple[Problem, ...]


def parse_references(text: str, offset: int = 0) -> Parsed:
    """Cut a text into words and references.

    Args:
        text: The words of a step or of another text that may hold references.
        offset: Where the text begins in the whole that places are counted in.

    Returns:
        The pieces in order, and a problem for each brace that can't be read; what can't be read
        stays among the words as it was typed.

    >>> [piece.form for piece in parse_references("{chest in both}{3 cm}").pieces]
    ['both', 'length']
    >>> parse_references("{{x}}").pieces[0].text
    '{x}'
    """
    reader = _Reader(text, offset)
    place = 0
    while found := _BRACE.search(text, place):
        reader.write(text[place : found.start()], place)
        place = reader.read_brace(found.group(), found.start())
    reader.write(text[place:], place)
    return Parsed(tuple(reader.pieces), tuple(reader.problems))


def words_only(text: str, parsed: Parsed, offset: int = 0) -> str:
    """Blank the references of a text, so that its words can be looked at in their places.

    Args:
        text: The text that was parsed.
        parsed: Its pieces.
        offset: Where the text begins in the whole that places are counted in.

    Returns:
        A text of the same length.

    >>> words_only("a {b} c", parse_references("a {b} c")).replace("\ue000", "_")
    'a ___ c'
    """
    words, place = "", 0
    for piece in parsed.pieces:
        if isinstance(piece, Reference):
            start = piece.offset - offset
            words += text[place:start] + "\ue000" * len(piece.source)
            place = start + len(piece.source)
    return words + text[place:]


class _Reader:
    """Collects pieces and problems while a text is read from left to right."""

    def __init__(self, text: str, offset: int) -> None:
        """Begin at the start of a text."""
        self.text = text
        self.offset = offset
        self.pieces: list[Written | Reference] = []
        self.problems: list[Problem] = []

    def write(self, words: str, place: int) -> None:
        """Take words over as they are, joined to words just before them."""
        if not words:
            return
        last = self.pieces[-1] if self.pieces else None
        if isinstance(last, Written):
            self.pieces[-1] = Written(last.text + words, last.offset)
        else:
            self.pieces.append(Written(words, self.offset + place))

    def refuse(self, words: str, place: int, says: str) -> int:
        """Keep words that can't be read and say why; return the place after them."""
        self.write(words, place)
        self.problems.append(Problem(self.offset + place, says))
        return place + len(words)

    def read_brace(self, brace: str, place: int) -> int:
        """Read what begins with this brace; return the place after it."""
        if len(brace) == 2:
            self.write(brace[0], place)
            return place + 2
        if brace == "}":
            return self.refuse(brace, place, "This } has no { before it: write }} to print a brace.")
        end = _END.search(self.text, place + 1)
        if end is None or end.group() != "}":
            says = "This { has no } after it: close it, or write {{ to print a brace."
            return self.refuse(brace, place, says)
        source = self.text[place : end.end()]
        reference = _read_reference(source, self.offset + place)
        if reference is None:
            return self.refuse(source, place, _unreadable(source))
        self.pieces.append(reference)
        return end.end()


_SUM_WITH_LENGTH = re.compile(r"[+−-].*\d\s*(?:cm|mm|in|m|g|yd)\b|\d\s*(?:cm|mm|in|m|g|yd)\s*[+−-]")


def _unreadable(source: str) -> str:
    """Say that a reference can't be read."""
    shown = source if len(source) <= 60 else source[:57] + "…}"
    if _SUM_WITH_LENGTH.search(source):
        return (
            f"{shown} can't be read: a sum in braces is of names and whole numbers. Make it a line of the "
            "sheet, and write the name of that line here."
        )
    return (
        f"{shown} can't be read: write the name of a value, or a length such as {{3 cm}}, "
        "or {{ to print a brace."
    )


def _read_reference(source: str, offset: int) -> Reference | None:
    """Read one reference with its braces; None when it has no form that is known."""
    inside = " ".join(source[1:-1].split())
    if found := _LENGTH.fullmatch(inside):
        number, unit = found.groups()
        length_mm = float(number) * MM_PER_UNIT[unit]
        return Reference(source, offset, "length", extra=(number, unit), length_mm=length_mm)
    if found := _SIDE.fullmatch(inside):
        return Reference(source, offset, "side", extra=(found.group(1),))
    if found := _HELP.fullmatch(inside):
        return Reference(source, offset, "help", extra=(found.group(1),))
    if found := _WORD.fullmatch(inside):
        name, one, many = (part.strip() for part in found.groups())
        return Reference(source, offset, "word", name, (one, many))
    if (found := _SUM.fullmatch(inside)) and (found.group(2) != "/" or found.group(3) == "2"):
        return Reference(source, offset, "sum", found.group(1), (found.group(2), found.group(3)))
    if found := _WITH.fullmatch(inside):
        return Reference(source, offset, "with", found.group(1), (found.group(2),))
    if found := _NAMED.fullmatch(inside):
        return Reference(source, offset, _FORMS[found.group(2) or ""], found.group(1))
    return None


def helps_named(steps: Iterable[str]) -> dict[str, int]:
    """Number the helps that steps name, in the order in which they are first named.

    Args:
        steps: The words of all steps, in their order.

    Returns:
        Numbers from 1, by name.

    >>> helps_named(["Chain 10. {help chains}", "{help picots} {help chains}"])
    {'chains': 1, 'picots': 2}
    """
    named = (
        piece.extra[0]
        for step in steps
        for piece in parse_references(step).pieces
        if isinstance(piece, Reference) and piece.form == "help"
    )
    return {name: number for number, name in enumerate(dict.fromkeys(named), 1)}


def without_helps(text: str) -> str:
    """Blank the marks of helps, which are no part of the work.

    Args:
        text: The words of a step.

    Returns:
        A text of the same length.

    >>> without_helps("Turn {help turning}.")
    'Turn               .'
    """
    return _HELP_MARK.sub(lambda found: " " * len(found.group()), text)


def line_and_column(text: str, offset: int) -> tuple[int, int]:
    r"""Return the line and column (both from 1) of an offset (from 0) in a text.

    Args:
        text: The whole text.
        offset: A place in it, from 0.

    Returns:
        Line and column.

    >>> line_and_column("ab\ncd", 4)
    (2, 2)
    """
    before = text[:offset]
    return before.count("\n") + 1, offset - (before.rfind("\n") + 1) + 1
