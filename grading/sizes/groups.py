"""Groups of sizes as they are typed: one a line, its name and its first size."""

from typing import Any

from grading.core.pattern.size_groups import MOST_IN_A_GROUP
from grading.core.printing.size_rows import size_groups
from grading.sizes.tables import published_tables

Group = dict[str, Any]
# From which tables sizes are told apart, smallest people first.
_TABLES = ("yarn-baby", "yarn-child", "yarn-woman", "yarn-man")


class GroupProblem(Exception):
    """Groups can't be read as they are typed; the text says why."""


def groups_text(groups: list[Group]) -> str:
    """Groups as they are typed.

    >>> groups_text([{"label": "Baby", "sizes": ["3 m", "6 m"]}])
    'Baby: 3 m'
    """
    return "\n".join(f"{one['label']}: {one['sizes'][0]}" for one in groups)


def read_groups(text: str, sizes: list[str]) -> list[Group]:
    r"""Read groups, each of which goes on to the first size of the next.

    Raises:
        GroupProblem: A line can't be read, or begins with a size that is not there.

    >>> read_groups("Baby: 3 m\nChild: 2 y", ["3 m", "6 m", "2 y"])
    [{'label': 'Baby', 'sizes': ['3 m', '6 m']}, {'label': 'Child', 'sizes': ['2 y']}]
    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    begun = [_begun(line, sizes) for line in lines]
    starts = [sizes.index(first) for _, first in begun]
    if not starts:
        return []
    if starts[0] != 0:
        raise GroupProblem(f"Size {sizes[0]} is in no group: let the first group begin with it.")
    for (label, _), start, before in zip(begun[1:], starts[1:], starts, strict=False):
        if start <= before:
            raise GroupProblem(
                f"“{label}” begins with size {sizes[start]}, which is not after the group before it: "
                "keep the groups in the order of the sizes."
            )
    ends = [*starts[1:], len(sizes)]
    return [
        {"label": label, "sizes": sizes[start:end]}
        for (label, _), start, end in zip(begun, starts, ends, strict=True)
    ]


def _begun(line: str, sizes: list[str]) -> tuple[str, str]:
    """The name of a group and its first size."""
    cuts = [at for at, sign in enumerate(line) if sign == ":"]
    for at in cuts:
        label, first = line[:at].strip(), line[at + 1 :].strip()
        if label and first in sizes:
            return label, first
    if not cuts or not line[: cuts[0]].strip():
        raise GroupProblem(f"“{line[:60]}” is not a group: type its name, a colon and its first size.")
    first = line[cuts[0] + 1 :].strip()
    raise GroupProblem(f"“{line[: cuts[0]].strip()[:60]}” begins with “{first[:60]}”, which is no size here.")


def proposed_groups(sizes: list[str]) -> list[Group]:
    """Groups for more sizes than a list should have: by the tables that hold them, else as even as can be."""
    if len(sizes) <= MOST_IN_A_GROUP:
        return []
    runs: list[tuple[str, list[str]]] = []
    for size in sizes:
        label = _table_of(size, runs[-1][0] if runs else "")
        if not runs or runs[-1][0] != label:
            runs.append((label, []))
        runs[-1][1].append(size)
    even = [(label, run[part]) for label, run in runs for part in size_groups(run, MOST_IN_A_GROUP)]
    labels = [label for label, _ in even]
    return [
        {"label": label if label and labels.count(label) == 1 else _span(run), "sizes": run}
        for label, run in even
    ]


def _table_of(size: str, before: str) -> str:
    """The people whose table has a size, those of the size before first; empty for none."""
    tables = [published_tables()[key] for key in _TABLES]
    found = [table.name.partition(",")[0] for table in tables if table.place_of(size) is not None]
    return before if before in found else (found[0] if found else "")


def _span(run: list[str]) -> str:
    """The name of a group that no table names, such as “XS to M”."""
    return f"{run[0]} to {run[-1]}"[:40] if run[1:] else run[0]
