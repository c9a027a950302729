"""A line of the account in short words: references as the numbers of the sizes shown, each to be followed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from grading.core.audit.patterns import Line
from grading.core.instructions.facts import Facts
from grading.core.instructions.filling import Filler, plain_text
from grading.core.instructions.reference_checks import expands, name_problem
from grading.core.instructions.references import Reference, Written, parse_references
from grading.core.printing.edition import PrintForm, Units
from grading.core.printing.numbers import number_list, print_whole
from grading.core.printing.size_rows import MOST_ACROSS


@dataclass(frozen=True)
class WordPiece:
    """Some words; `value` is the line of the sheet behind its numbers, `is_marked` that they are unread."""

    text: str
    value: str = ""
    is_marked: bool = False


@dataclass(frozen=True)
class Reader:
    """For whom words are printed: the sizes shown, by their places."""

    facts: Facts
    places: tuple[int, ...]

    @property
    def edition(self) -> PrintForm:
        """The author's own units and terms."""
        units = cast("Units", self.facts.pattern.home_units)
        return PrintForm(units, self.facts.home_terms)


def without_names(says: str, facts: Facts) -> str:
    """A sentence about what is typed: quotes have the numbers that are printed, the rest labels of values."""
    words = ""
    for piece in parse_references(says).pieces:
        is_quoted = words.count("“") > words.count("”")
        words += piece.text if isinstance(piece, Written) else _said(piece, facts, is_quoted=is_quoted)
    return words


def _said(reference: Reference, facts: Facts, *, is_quoted: bool) -> str:
    """What a reference prints for all sizes where it is quoted, else what it is called."""
    if not is_quoted or facts.kinds.get(reference.name) != "value":
        return _called(reference, facts)
    if name_problem(reference, facts.kinds) or expands(reference, facts.kinds):
        return _called(reference, facts)
    reader = Reader(facts, tuple(range(len(facts.pattern.sizes))))
    return plain_text(Filler(facts, reader.edition, reader.places).fill([reference]))


def _called(reference: Reference, facts: Facts) -> str:
    """What a reference in braces is called."""
    if not reference.name:
        return reference.source.strip("{}")
    return facts.labels.get(reference.name) or reference.name.replace("_", " ")


def short_words(line: Line, reader: Reader, marked: tuple[int, int] = (0, 0)) -> tuple[WordPiece, ...]:
    """The words of a line, with what can't be read marked (places count from the line's start)."""
    places = tuple(place for place in reader.places if line.sizes[place].audited is not None)
    of_sizes = Reader(reader.facts, places or reader.places)
    pieces = [
        piece
        for one in parse_references(line.text).pieces
        for piece in (_cut(one, marked) if isinstance(one, Written) else [_filled(one, of_sizes, marked)])
    ]
    return tuple(piece for piece in pieces if piece.text)


def _cut(written: Written, marked: tuple[int, int]) -> Iterator[WordPiece]:
    """Words of the author, cut where the mark begins and ends."""
    start, end = (max(0, min(len(written.text), place - written.offset)) for place in marked)
    yield WordPiece(written.text[:start])
    yield WordPiece(written.text[start:end], is_marked=True)
    yield WordPiece(written.text[end:])


def _filled(reference: Reference, reader: Reader, marked: tuple[int, int]) -> WordPiece:
    """What a reference prints for the sizes shown; a list of rows by its name and what it does."""
    is_marked = marked[0] < reference.offset + len(reference.source) and reference.offset < marked[1]
    facts = reader.facts
    if reference.name and name_problem(reference, facts.kinds):
        return WordPiece(reference.source, is_marked=is_marked)
    if reference.name and expands(reference, facts.kinds):
        return WordPiece(_plan_words(reference, reader), is_marked=is_marked)
    is_value = facts.kinds.get(reference.name) == "value"
    return WordPiece(_number_words(reference, reader), reference.name if is_value else "", is_marked)


def _number_words(reference: Reference, reader: Reader) -> str:
    """Numbers in a row, or the label of a value that has too many for a line."""
    if len(reader.places) > MOST_ACROSS and reference.form in ("plain", "both"):
        label = reader.facts.labels.get(reference.name)
        return f"“{label}”" if label else reference.source
    filler = Filler(reader.facts, reader.edition, reader.places)
    return plain_text(filler.fill([reference]))


def _plan_words(reference: Reference, reader: Reader) -> str:
    """`sleeve taper: stitches from 44 to 32 over 36 rows`."""
    facts = reader.facts
    names = [reference.name, *(reference.extra if reference.form == "with" else ())]
    words = " with ".join(name.replace("_", " ") for name in names)
    shaping = next((one for one in facts.pattern.shapings if one.name == reference.name), None)
    if shaping is None or len(names) > 1:
        return words if reference.form in ("plain", "with", "words") else f"{words}, {_where(reference)}"
    start, end, over = (
        whole_list(facts.row(count), reader.places) for count in (shaping.start, shaping.end, shaping.over)
    )
    if reference.form == "reversed":
        start, end, words = end, start, f"{words}, reversed"
    return f"{words}: stitches from {start} to {end} over {over} {'rounds' if shaping.rounds else 'rows'}"


def _where(reference: Reference) -> str:
    if reference.form == "ends":
        return "at both ends"
    return reference.form if reference.form == "reversed" else f"at the {reference.form}"


def whole_list(numbers: Sequence[float | None], places: Sequence[int]) -> str:
    """Whole numbers as the trade prints them, one alone where all are equal."""
    texts = [None if number is None else print_whole(number) for number in numbers]
    return number_list(texts, tuple(places))
