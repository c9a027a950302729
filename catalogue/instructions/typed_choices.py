"""Numbers typed in steps with the references that may be written in their place, as buttons send them."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalogue.drafts.patterns import read_core
from catalogue.models import Pattern
from grading.core.instructions.facts import kinds_of
from grading.core.instructions.meant_values import Pointer
from grading.core.instructions.reference_checks import NUMBERS, name_problem
from grading.core.instructions.references import Reference, parse_references
from grading.core.instructions.typed_numbers import written_length
from grading.core.sheet.findings import Weight

LONGEST_CHOICE = 1000


class NumberGone(Exception):
    """The number does not stand in the step (any more), or no such reference can be written."""


@dataclass(frozen=True)
class Choice:
    """A reference that may be written in place of a number: what the button sends, and what it says."""

    sent: str
    reference: str
    numbers: str


@dataclass(frozen=True)
class TypedHere:
    """A number typed in a step, as a page shows it."""

    says: str
    shown: str
    choices: tuple[Choice, ...]
    weight: Weight


def typed_here(pointers: Sequence[Pointer]) -> list[TypedHere]:
    """What a page shows of the numbers typed in a step: what is said, and what may be written instead."""
    return [TypedHere(one.says, one.typed.shown, tuple(_choices(one)), one.weight) for one in pointers]


def _choices(pointer: Pointer) -> list[Choice]:
    """The values that a number may mean; for a length the length itself, in braces, as well."""
    typed = pointer.typed
    offered = [(one.reference, one.numbers) for one in pointer.meant]
    if typed.unit and not typed.is_list:
        offered.append((f"{{{written_length(typed.source)}}}", "the same in every size"))
    return [
        Choice(f"{typed.offset}|{typed.source}|{reference}", reference, numbers)
        for reference, numbers in offered
    ]


def write_reference(text: str, sent: str, pattern: Pattern) -> str:
    """Write the reference that a button sent in place of its number; the rest of the text stays.

    Raises:
        NumberGone: The number does not stand there, or the reference prints no number of this pattern.
    """
    place, _, rest = sent[:LONGEST_CHOICE].partition("|")
    source, _, written = rest.rpartition("|")
    start = int(place) if place.isdecimal() and len(place) < 10 else -1
    if start < 0 or not source or not text.startswith(source, start) or not _prints_numbers(written, pattern):
        raise NumberGone
    return text[:start] + written + text[start + len(source) :]


def _prints_numbers(written: str, pattern: Pattern) -> bool:
    """Whether a text is one reference that prints numbers of the pattern, or a length."""
    pieces = parse_references(written).pieces
    reference = pieces[0] if len(pieces) == 1 else None
    if not isinstance(reference, Reference) or reference.form not in ("plain", "length"):
        return False
    kinds = kinds_of(read_core(pattern))
    is_number = reference.form == "length" or kinds.get(reference.name) in NUMBERS
    return is_number and name_problem(reference, kinds) is None
