"""The guide's small pattern: its lines and steps are worked out as the page is made."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.utils.safestring import SafeString

from catalogue.instructions.instructions import step_html
from catalogue.practice.showing import ShownPiece, shown_piece
from catalogue.versions.frozen_practice import kept_piece, piece_record
from grading.core.grade.grade import Graded, grade
from grading.core.instructions.facts import Facts, facts_of
from grading.core.pattern.file import read_pattern, text_of_file
from grading.core.pattern.pattern import ValueEntry
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.practice.techniques import Teaching, offered_techniques
from grading.core.printing.edition import PrintForm

FILE = Path(__file__).with_name("example.json")

_SOURCES = {"list": "a list, typed", "steps": "one size and the steps from it"}
_DIRECTIONS = {"nearest": "to the nearest", "up": "up to a", "down": "down to a"}


@dataclass(frozen=True)
class ExampleLine:
    """One line of a sheet: what was typed, and its numbers as printed, one for each size."""

    label: str
    name: str
    formula: str
    source: str
    rounding: str
    sizes: tuple[str, ...]
    numbers: tuple[str, ...]


@lru_cache(maxsize=1)
def example_facts() -> Facts:
    """The small pattern, read and worked out."""
    pattern = read_pattern(text_of_file(FILE))
    graded: Graded = grade(pattern)
    return facts_of(pattern, graded)


def example_line(name: str) -> ExampleLine:
    """One line of the small pattern.

    Raises:
        StopIteration: No line has this name.
    """
    facts = example_facts()
    value = next(one for one in facts.pattern.values if one.name == name)
    numbers = tuple(_printed_number(name, size) for size in facts.pattern.sizes)
    return ExampleLine(
        value.label,
        name,
        value.formula or "",
        _SOURCES.get(value.source, ""),
        _rounding(value),
        facts.pattern.sizes,
        numbers,
    )


def printed_example(text: str, edition: PrintForm | None = None) -> SafeString:
    """A step as it prints: in every size, in centimetres and UK terms unless told otherwise."""
    return step_html(text, example_facts(), edition or PrintForm("cm", "UK", None, "right"))


@lru_cache(maxsize=8)
def example_practice(keys: tuple[str, ...]) -> ShownPiece:
    """The practice piece of the small pattern for some ticks, in centimetres and UK terms.

    Raises:
        ValueError: The small pattern has none of a tick.
    """
    facts = example_facts()
    of = Teaching(facts.pattern, grade(facts.pattern))
    if gone := set(keys) - {one.key for one in offered_techniques(of)}:
        raise ValueError(f"The small pattern has no {', '.join(sorted(gone))}.")
    kept = kept_piece(piece_record(of.pattern, of.graded, list(keys), in_pdf=False), NEWEST_WORDING)
    if kept is None:
        raise ValueError("There is no piece.")
    return shown_piece(kept, PrintForm("cm", "UK"))


def _printed_number(name: str, size: str) -> str:
    """The number of one size, with its unit where it has one."""
    edition = PrintForm("cm", "UK", size, "right")
    html = step_html(f"{{{name}}}", example_facts(), edition)
    return html.replace("<p>", "").replace("</p>", "").strip()


def _rounding(value: ValueEntry) -> str:
    """How the line is rounded, in words."""
    if value.rounding is None:
        return ""
    plus = f" plus {value.rounding.plus:g}" if value.rounding.plus else ""
    return f"rounded {_DIRECTIONS[value.rounding.to]} multiple of {value.rounding.multiple:g}{plus}"
