"""What “I read this size” and “I read this line” would tick although its words were never unfolded."""

from collections.abc import Collection
from dataclasses import dataclass

from catalogue.models import Pattern, Person
from catalogue.technical_edit.work_lists import WAS_READ, Seen, WorkStep, work_list


@dataclass(frozen=True)
class Unopened:
    """The steps whose words were folded up and nobody unfolded, with those of their cells that are new."""

    steps: tuple[WorkStep, ...]
    cells: frozenset[tuple[str, str]]
    """Step and size."""
    asked: int
    """How many cells the button would tick that were not ticked by hand or before."""


def all_of(shown: Seen, size: str | None, key: str | None) -> set[tuple[str, str]]:
    """The cells of a page that a button ticks: those of a size or of a line."""
    return {(step, one) for step, sizes in shown.items() for one in sizes if one == size or step == key}


def unopened(
    pattern: Pattern, person: Person, shown: Seen, added: Collection[tuple[str, str]], opened: Collection[str]
) -> Unopened:
    """Find what was never opened of the cells that a button adds to those ticked by hand.

    Args:
        pattern: The pattern.
        person: Who reads.
        shown: What the page showed.
        added: Step and size of each cell that the button ticks and nobody ticked by hand.
        opened: The steps that were unfolded on the page, as far as the browser could tell.
    """
    new = {(key, size) for key, size in added if not str(shown[key][size]).endswith(WAS_READ)}
    sizes = {size for cells in shown.values() for size in cells}
    steps = work_list(pattern, person, size=sizes.pop() if len(sizes) == 1 else "")
    folded = [step for step in steps if step.whole and step.key not in opened]
    found = tuple(step for step in folded if any(key == step.key for key, _ in new))
    keys = {step.key for step in found}
    return Unopened(found, frozenset(cell for cell in new if cell[0] in keys), len(new))
