"""Lines and tables of an edition whose sizes are printed by groups."""

from collections.abc import Callable, Iterable
from dataclasses import replace

from catalogue.editions.sources import Source
from grading.core.printing.size_rows import PageTable


def lines_by_group(source: Source, lines: Callable[[Source], list[str]]) -> list[str]:
    """Lines that all groups share once, the others each with its group."""
    told = [(label, lines(part)) for label, part in source.groups]
    if not told:
        return lines(source)
    shared = [line for line in told[0][1] if all(line in found for _, found in told)]
    return [
        *shared,
        *(f"{label}: {line}" for label, found in told for line in found if line not in shared),
    ]


def tables_by_group(source: Source, tables: Callable[[Source], Iterable[PageTable]]) -> list[PageTable]:
    """Tables over sizes, each group's under its name."""
    if not source.groups:
        return list(tables(source))
    return [
        replace(table, caption=f"{label}: {table.caption}" if table.caption else label)
        for label, part in source.groups
        for table in tables(part)
    ]
