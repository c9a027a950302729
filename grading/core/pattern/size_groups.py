"""Groups of sizes: patterns of many sizes are printed group by group, as for babies, children and adults."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from grading.core.formula.errors import PatternFileError

# Source: common practice: a list of more numbers is hard to count along.
MOST_IN_A_GROUP = 12


@dataclass(frozen=True)
class SizeGroup:
    """Sizes that are printed together, in size order, and what they are called."""

    label: str
    sizes: tuple[str, ...]


def read_size_groups(typed: dict[str, Any]) -> tuple[SizeGroup, ...]:
    """Return the groups of a pattern file that fits the schema; none where it names none.

    Source: derived.

    >>> read_size_groups({"size_groups": [{"label": "Baby", "sizes": ["3 m", "6 m"]}]})
    (SizeGroup(label='Baby', sizes=('3 m', '6 m')),)
    """
    return tuple(SizeGroup(one["label"], tuple(one["sizes"])) for one in typed.get("size_groups", ()))


def require_size_groups(sizes: Sequence[str], groups: Sequence[SizeGroup]) -> None:
    """Refuse groups that don't hold each size once, in the order of the sizes, 12 at most.

    Args:
        sizes: Labels of all sizes, in size order.
        groups: The groups, in file order; none at all is right.

    Raises:
        PatternFileError: Carries the path of the first group that is wrong, and one sentence.

    Source: derived.

    >>> require_size_groups(["S", "M"], [SizeGroup("Adult", ("S", "M"))])
    """
    held: dict[str, str] = {}
    known: set[str] = set()
    for at, group in enumerate(groups):
        problem = _problem(group, sizes, held, known)
        if problem:
            raise PatternFileError(f"$.size_groups[{at}]", problem)
        known.add(group.label.strip().casefold())
        held |= dict.fromkeys(group.sizes, group.label)
    left = [size for size in sizes if size not in held]
    if groups and left:
        raise PatternFileError("$.size_groups", f"Size {left[0]} is in no group: put it into one.")
    if groups and list(held) != list(sizes):
        early = next(one for one, size in zip(held, sizes, strict=True) if one != size)
        says = f"Size {early} comes too early in the groups: keep the order of the sizes."
        raise PatternFileError("$.size_groups", says)


def _problem(group: SizeGroup, sizes: Sequence[str], held: dict[str, str], known: set[str]) -> str | None:
    """Say what is wrong with a group after those before it."""
    label = group.label
    if label.strip().casefold() in known:
        return f"Two groups are called “{label}”: give each its own name."
    if len(group.sizes) > MOST_IN_A_GROUP:
        return (
            f"The group “{label}” has {len(group.sizes)} sizes, and {MOST_IN_A_GROUP} is the most: divide it."
        )
    for size in group.sizes:
        if size not in sizes:
            return f"The group “{label}” has a size {size}, and the pattern has none: name sizes as they are."
        if size in held:
            return f"Size {size} is in “{held[size]}” and in “{label}”: leave it in one of them."
    return None
