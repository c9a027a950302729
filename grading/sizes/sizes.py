"""The sizes on offer: renamed, added and taken away, with everything that has one figure for each."""

from decimal import Decimal, InvalidOperation
from itertools import pairwise
from typing import Any

from grading.core.formula.errors import PatternFileError
from grading.core.formula.literals import MM_PER_INCH, parse_literal
from grading.entries.settling import settled_in
from grading.sheets.documents import Document

MOST_SIZES = 24
LONGEST_LABEL = 40


def read_labels(text: str) -> list[str]:
    """Read labels typed one a line, in one line with commas, or pasted as a row of a spreadsheet."""
    lines = text.replace("\t", "\n").strip().splitlines()
    if len(lines) == 1:
        lines = lines[0].replace(";", ",").split(",")
    return [label.strip() for label in lines if label.strip()]


def label_problem(labels: list[str]) -> str | None:
    """Say in one sentence what is wrong with labels, or None."""
    if not labels:
        return "Type at least one size, such as M."
    if len(labels) > MOST_SIZES:
        return f"There are {len(labels)} sizes; a sheet has at most {MOST_SIZES}."
    seen: dict[str, str] = {}
    for label in labels:
        if len(label) > LONGEST_LABEL:
            return f"The label “{label[:LONGEST_LABEL]}…” is longer than {LONGEST_LABEL} characters."
        if label.casefold() in seen:
            return f"“{label}” is there twice (as “{seen[label.casefold()]}”): each size needs its own label."
        seen[label.casefold()] = label
    return None


def resize(document: Document, labels: list[str]) -> Document:
    """Return the document with other sizes.

    As many labels as before rename the sizes in their places. Otherwise sizes with the same label keep their
    figures; a new size has no number in lists and body measurements, and steps of 0 until they are typed.

    Raises:
        PatternFileError: The base size of some steps would go.
    """
    old = list(document["sizes"])
    sources = _sources(old, labels)
    return {
        **document,
        "sizes": labels,
        **({"size_groups": _regrouped(document["size_groups"], old, labels, sources)}
           if "size_groups" in document else {}),
        **({"body": _resized_body(document["body"], sources)} if "body" in document else {}),
        **({"values": [_with_settled(_resized(value, old, labels, sources), old, labels, sources)
                       for value in document["values"]]} if "values" in document else {}),
        **({"checks": [_with_settled(check, old, labels, sources) for check in document["checks"]]}
           if "checks" in document else {}),
    }  # fmt: skip


def _regrouped(
    groups: list[dict[str, Any]], old: list[str], labels: list[str], sources: list[int | None]
) -> list[dict[str, Any]]:
    """The groups with the new labels; a new size joins the one before it, an empty group goes."""
    group_of = {size: at for at, group in enumerate(groups) for size in group["sizes"]}
    held: list[list[str]] = [[] for _ in groups]
    at = 0
    for label, source in zip(labels, sources, strict=True):
        at = at if source is None else group_of[old[source]]
        held[at].append(label)
    return [{**group, "sizes": sizes} for group, sizes in zip(groups, held, strict=True) if sizes]


def _with_settled(
    entry: dict[str, Any], old: list[str], labels: list[str], sources: list[int | None]
) -> dict[str, Any]:
    """An entry of which what was settled is so in the sizes that stay, under their new labels."""
    now = {old[source]: label for source, label in zip(sources, labels, strict=True) if source is not None}
    return settled_in(entry, now)


def _sources(old: list[str], labels: list[str]) -> list[int | None]:
    """Which size of before each new one was; None for a new one."""
    if len(labels) == len(old) and not _is_reordered(old, labels):
        return list(range(len(old)))
    return [old.index(label) if label in old else None for label in labels]


def added_sizes(old: list[str], labels: list[str]) -> list[str]:
    """Return the labels that stand for no size of before."""
    pairs = zip(labels, _sources(old, labels), strict=True)
    return [label for label, source in pairs if source is None]


def _is_reordered(old: list[str], labels: list[str]) -> bool:
    """Whether a known label stands in another place, so that places cannot mean the same sizes."""
    return any(label in old and old.index(label) != place for place, label in enumerate(labels))


def _picked(figures: list[Any], sources: list[int | None]) -> list[Any]:
    """The figures of the sizes that stay, null for new ones."""
    return [None if source is None else figures[source] for source in sources]


def _resized_body(body: dict[str, Any], sources: list[int | None]) -> dict[str, Any]:
    """Body measurements for the new sizes."""
    return {name: {**entry, "values": _picked(entry["values"], sources)} for name, entry in body.items()}


def _resized(
    value: dict[str, Any], old: list[str], labels: list[str], sources: list[int | None]
) -> dict[str, Any]:
    """A value for the new sizes."""
    if "list" in value:
        return {**value, "list": _picked(value["list"], sources)}
    if "steps" not in value:
        return value
    steps = value["steps"]
    base = old.index(steps["base_size"])
    if base not in sources:
        says = f"“{value['label']}” steps from size {steps['base_size']}: choose another base size first."
        raise PatternFileError("$.sizes", says)
    step = _new_steps(steps, sources)
    return {**value, "steps": {**steps, "base_size": labels[sources.index(base)], "step": step}}


def _new_steps(steps: dict[str, Any], sources: list[int | None]) -> list[Any]:
    """The increments between the new sizes, so that sizes that stay keep their numbers.

    As typed between neighbours, added up where sizes went; a new size repeats the one before it.
    """
    nothing = _with_unit_of(steps["base"], Decimal(0))
    known = sources[0]
    increments = []
    for source in sources[1:]:
        if source is None or known is None:
            increments.append(nothing)
        else:
            increments.append(_sum(steps["step"], known, source, steps["base"]))
        known = known if source is None else source
    return increments


def _sum(step: list[Any], start: int, end: int, like: Any) -> Any:
    """The increments from one size to another, in the unit of the base; a single one stays as typed."""
    if end - start == 1:
        return step[start]
    unit = _parts(like)[1]
    total = Decimal(0)
    for literal in step[min(start, end) : max(start, end)]:
        increment, other = _parts(literal)
        total += increment if other == unit else _converted(literal, unit)
    return _with_unit_of(like, total if end > start else -total)


def _parts(literal: Any) -> tuple[Decimal, str]:
    """Number and unit of a literal."""
    words = str(literal).split()
    digits = words[0].rstrip("abcdefghijklmnopqrstuvwxyz%") if len(words) == 1 else words[0]
    try:
        return Decimal(digits), str(literal)[len(digits) :].strip()
    except InvalidOperation:
        return Decimal(str(parse_literal(str(literal)).number)), ""


def _converted(literal: Any, unit: str) -> Decimal:
    """A length in another unit, to 6 decimals."""
    per_unit = {"cm": 10.0, "mm": 1.0, "m": 1000.0, "in": MM_PER_INCH}.get(unit, 1.0)
    return Decimal(str(round(parse_literal(str(literal)).number / per_unit, 6)))


def _with_unit_of(like: Any, number: Decimal) -> Any:
    """A number in the unit of a literal, bare where that is bare."""
    _, unit = _parts(like)
    text = f"{number.normalize() + 0:f}"
    if unit:
        return f"{text} {unit}"
    return float(text) if "." in text else int(text)


def falls(document: Document) -> list[str]:
    """Say which body measurements are smaller in a larger size: kept as given, but worth a look."""
    found = []
    for entry in document.get("body", {}).values():
        given = [(size, number) for size, number in zip(document["sizes"], entry["values"], strict=False)
                 if number is not None]  # fmt: skip
        for (small, before), (large, after) in pairwise(given):
            if after < before:
                found.append(
                    f"{entry['label']} falls from {before:g} (size {small}) to {after:g} (size {large})."
                )
    return found
