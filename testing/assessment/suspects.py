"""Which counts of a sheet a wrong measurement hangs on, and which of them may be at fault; pure."""

from collections import Counter
from collections.abc import Mapping

from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.sheet import program_of


def counts_behind(pattern: PatternFile, name: str) -> tuple[str, ...]:
    """The stitches, rows and counts that a value hangs on, the first on each way, in sheet order."""
    program = program_of(pattern)
    kinds = {value.name: value.kind for value in pattern.values}
    names = {symbol.cell: key for key, symbol in program.names.symbols.items()}
    found, seen, open_names = set(), set(), [name]
    while open_names:
        line = program.lines[program.line_of(open_names.pop())]
        for cell in line.needs:
            needed = names.get(cell, "")
            if needed in seen or needed not in kinds:
                continue
            seen.add(needed)
            if kinds[needed] in COUNT_KINDS:
                found.add(needed)
            else:
                open_names.append(needed)
    return tuple(value.name for value in pattern.values if value.name in found)


def suspects(pattern: PatternFile, verdicts: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """For each wrong measurement the counts that may be at fault: none that a sound one hangs on as well.

    Where sound ones hang on all of them, all stay under suspicion, those last that most sound ones speak for.
    """
    behind = {name: counts_behind(pattern, name) for name in verdicts}
    sound = Counter(
        count for name, verdict in verdicts.items() if verdict == "holds" for count in behind[name]
    )
    return {
        name: tuple(count for count in behind[name] if count not in sound)
        or tuple(sorted(behind[name], key=lambda count: sound[count]))
        for name, verdict in verdicts.items()
        if verdict not in ("holds", "undecided")
    }


def ruled_out(pattern: PatternFile, verdicts: Mapping[str, str]) -> dict[str, list[tuple[str, str]]]:
    """For each wrong measurement the counts behind it that a sound one speaks for, each with that one."""
    behind = {name: counts_behind(pattern, name) for name in verdicts}
    speaks: dict[str, str] = {}
    for name, verdict in verdicts.items():
        if verdict == "holds":
            for count in behind[name]:
                speaks.setdefault(count, name)
    return {
        name: [(count, speaks[count]) for count in behind[name] if count in speaks]
        for name, verdict in verdicts.items()
        if verdict not in ("holds", "undecided")
    }


def sharing(found: Mapping[str, tuple[str, ...]]) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Measurements that share a suspect, with what they share: (measurements, counts) in order."""
    groups: list[tuple[list[str], set[str]]] = []
    for name, counts in found.items():
        for names, shared in groups:
            if shared & set(counts):
                names.append(name)
                shared &= set(counts)
                break
        else:
            groups.append(([name], set(counts)))
    return [(tuple(names), tuple(sorted(shared))) for names, shared in groups if len(names) > 1]
