"""What changed between two frozen records: numbers by value and size, words as a diff, other entries."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Any, Literal

from catalogue.models import Version
from catalogue.versions.changed_sentences import changed_sentences
from catalogue.versions.records import Record, frozen_record
from catalogue.versions.yarn_numbers import amounts, as_chosen_in, new_choices, yarn_key
from grading.core.pattern.parts import label_of

Mark = Literal["same", "gone", "new"]

# Parts of a pattern that are compared entry by entry; values and words have their own ways.
ENTRY_PARTS = {
    "title": "Title",
    "summary": "Summary",
    "skill": "Skill level",
    "construction": "Construction",
    "wearer": "Wearer",
    "hazards": "Hazards",
    "sizes": "Sizes",
    "size_groups": "Groups of sizes",
    "body": "Body",
    "fabrics": "Gauge and tools",
    "notions": "Notions",
    "abbreviations": "Abbreviations",
    "options": "Options",
    "yarns": "Yarn",
    "stripes": "Stripes",
    "stitch_patterns": "Stitch patterns",
    "special_stitches": "Special stitches",
}
# Which wording of the studio's a special stitch was taken from: nothing that makers read.
OF_STUDIO = ("of_studio", "state", "kept_at")
KEYS_IN_WORDS = {
    "may_shrink": "may be smaller in a larger size",
    "may_jump": "may jump between neighbouring sizes",
    "put_up": "one ball weighs",
    "length_per_100g": "length in 100 g",
    "swatch": "weighed swatch",
    "computed": "its weight is computed, not weighed",
    "over": "counted over",
    "tool_mm": "hook or needle, mm",
    "yarn_weight": "yarn weight, by its number",
    "forward_share": "share of the forward pass",
}
# A list of numbers over sizes is one word: parts of two lists are never mixed.
_NUMBERS = r"[\d–¼½¾][\d.,¼½¾]*(?: ?[\(\[][\d–¼½¾][^()\[\]]*[\)\]])+"
_TOKEN = re.compile(rf"{_NUMBERS}|\s+|\w+|[^\w\s]")
# The kind of a number that tells what a new choice takes more than the default: g.
MORE_WEIGHT = "more weight"
TOLERANCE = 1e-6  # records keep six places


@dataclass(frozen=True)
class NumberChange:
    """One number of one size; None where a version has none."""

    name: str
    label: str
    kind: str
    size: str
    old: float | None
    new: float | None


@dataclass(frozen=True)
class WordChange:
    """One step whose words differ, in pieces that stayed, went or came."""

    section: str
    step: int
    pieces: tuple[tuple[Mark, str], ...]

    @property
    def sentences(self) -> list[tuple[str, str]]:
        """The sentences that differ, each whole, as it was and as it is."""
        return changed_sentences(self.pieces)

    @property
    def marked_sentences(self) -> list[tuple[list[tuple[str, bool]], list[tuple[str, bool]]]]:
        """The same in pieces, each with whether the other sentence lacks it; [] where there is no sentence.

        >>> pieces = ("same", "Work "), ("gone", "4"), ("new", "5"), ("same", " rows.")
        >>> ((old, new),) = WordChange("Body", 1, pieces).marked_sentences
        >>> old, new[1]
        ([('Work ', False), ('4', True), (' rows.', False)], ('5', True))
        """
        marked = []
        for old, new in self.sentences:
            pieces = list(diff_pieces(old, new))
            before = [(text, mark == "gone") for mark, text in pieces if mark != "new"]
            after = [(text, mark == "new") for mark, text in pieces if mark != "gone"]
            marked.append((before, after))
        return marked


@dataclass(frozen=True)
class EntryChange:
    """Any other entry, as typed."""

    place: str
    old: str
    new: str


@dataclass(frozen=True)
class Changes:
    """All that differs between two versions."""

    numbers: list[NumberChange] = field(default_factory=list)
    words: list[WordChange] = field(default_factory=list)
    entries: list[EntryChange] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.numbers or self.words or self.entries)

    def of_size(self, size: str) -> "Changes":
        """The same with the numbers of one size alone; of all where none is named."""
        return replace(self, numbers=[one for one in self.numbers if size in ("", one.size)])


def differences(old: Version, new: Version) -> Changes:
    """What changed from one version to another, from their frozen records alone."""
    return record_differences(frozen_record(old.record), frozen_record(new.record))


def record_differences(old: Record, new: Record) -> Changes:
    """What changed from one record to another."""
    return Changes(
        numbers=list(_changed_numbers(old, new)),
        words=list(_changed_words(old["words"], new["words"])),
        entries=[
            *entry_changes(_labelled(old["pattern"]), _labelled(new["pattern"])),
            *_changed_headings(old["words"], new["words"]),
            *entry_changes(_beside(old), _beside(new)),
        ],
    )


def numbers_of(record: Record) -> dict[tuple[str, str, str], dict[str, float | None]]:
    """Every number of a record that is printed: {(name, label, kind): {size: number}}."""
    results, sizes = record["results"], record["results"]["sizes"]
    labels = {value["name"]: label_of(value) for value in record["pattern"].get("values", [])}
    found: dict[tuple[str, str, str], dict[str, float | None]] = {}
    for name, value in results["values"].items():
        key = (name, labels.get(name, name), value["kind"])
        found[key] = dict(zip(sizes, value["worked"], strict=True))
    for name, picked in results["pick_ups"].items():
        found[name, name.replace("_", " "), "stitches"] = dict(zip(sizes, picked, strict=True))
    for (colour, chosen), weights in amounts(record).items():
        found[yarn_key(colour, chosen)] = dict(zip(sizes, weights, strict=True))
    return found


def _changed_numbers(old: Record, new: Record) -> Iterator[NumberChange]:
    """Numbers that differ, by value in the order of the new record, then by size.

    Amounts of yarn are compared for the same choices; a choice that is new tells what it takes more.
    """
    before, after = _compared(old, new), _compared(new, old)
    old_by_name = {key[0]: figures for key, figures in before.items()}
    keys = {key[0]: key for key in (*after, *before)}
    keys.update({key[0]: key for key in after})
    new_by_name = {key[0]: figures for key, figures in after.items()}
    for name, label, kind in keys.values():
        one, other = old_by_name.get(name, {}), new_by_name.get(name, {})
        for size in dict.fromkeys((*other, *one)):
            if not _same(one.get(size), other.get(size)):
                yield NumberChange(name, label, kind, size, one.get(size), other.get(size))
    for choice in new_choices(old, new):
        for size, more in zip(new["results"]["sizes"], choice.more, strict=True):
            if more is not None and not _same(more, 0):
                yield NumberChange(choice.name, choice.label, MORE_WEIGHT, size, None, more)


def _compared(record: Record, other: Record) -> dict[tuple[str, str, str], dict[str, float | None]]:
    """The numbers of a record; of its yarn only what another one has as well, by the choices of both."""
    found = {key: figures for key, figures in numbers_of(record).items() if not key[0].startswith("yarn.")}
    for (colour, chosen), weights in amounts(record).items():
        there = as_chosen_in(chosen, record, other)
        if there is not None:
            both = tuple(sorted({*chosen, *there}))
            found[yarn_key(colour, both)] = dict(zip(record["results"]["sizes"], weights, strict=True))
    return found


def _same(one: float | None, other: float | None) -> bool:
    """Whether two frozen numbers are equal."""
    if one is None or other is None:
        return one is other
    return abs(one - other) < TOLERANCE


def _changed_words(old: list[dict[str, Any]], new: list[dict[str, Any]]) -> Iterator[WordChange]:
    """Steps as printed for all sizes, aligned by their whole text."""
    before, after = list(_flat_steps(old)), list(_flat_steps(new))
    matcher = SequenceMatcher(
        None, [text for *_, text in before], [text for *_, text in after], autojunk=False
    )
    for what, old_from, old_to, new_from, new_to in matcher.get_opcodes():
        if what != "equal":
            pairs = zip_longest(before[old_from:old_to], after[new_from:new_to])
            yield from (_word_change(gone, come) for gone, come in pairs)


def _flat_steps(sections: list[dict[str, Any]]) -> Iterator[tuple[str, int, str]]:
    """Section title, number of the step from 1, and its text."""
    for section in sections:
        for number, text in enumerate(section["steps"], 1):
            yield section["title"], number, text


def _word_change(gone: tuple[str, int, str] | None, come: tuple[str, int, str] | None) -> WordChange:
    """One step that was changed, taken out or put in."""
    section, number, _ = come or gone or ("", 0, "")
    return WordChange(section, number, tuple(diff_pieces(gone[2] if gone else "", come[2] if come else "")))


def diff_pieces(old: str, new: str) -> Iterator[tuple[Mark, str]]:
    """Cut two texts into pieces that stayed, went or came, in reading order."""
    before, after = _TOKEN.findall(old), _TOKEN.findall(new)
    # What both begin and end with is found at once; the matcher takes the square of its words' number.
    head = _in_common(before, after)
    tail = _in_common(before[head:][::-1], after[head:][::-1])
    if head:
        yield "same", "".join(before[:head])
    yield from _matched(before[head : len(before) - tail], after[head : len(after) - tail])
    if tail:
        yield "same", "".join(before[len(before) - tail :])


def _in_common(one: list[str], other: list[str]) -> int:
    """How many words two lists begin with in common."""
    pairs = zip(one, other, strict=False)
    return next((at for at, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))


def _matched(before: list[str], after: list[str]) -> Iterator[tuple[Mark, str]]:
    """What stayed, went or came between two lists of words."""
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for what, old_from, old_to, new_from, new_to in matcher.get_opcodes():
        if what == "equal":
            yield "same", "".join(before[old_from:old_to])
            continue
        if old_to > old_from:
            yield "gone", "".join(before[old_from:old_to])
        if new_to > new_from:
            yield "new", "".join(after[new_from:new_to])


def entry_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[EntryChange]:
    """Entries that differ between two sets of parts, each part known by its label."""
    changes = []
    for label in dict.fromkeys((*new, *old)):
        before, after = dict(_leaves(old.get(label), label)), dict(_leaves(new.get(label), label))
        changes += [
            EntryChange(place, before.get(place, ""), after.get(place, ""))
            for place in dict.fromkeys((*after, *before))
            if before.get(place) != after.get(place)
        ]
    return changes


def _labelled(document: dict[str, Any]) -> dict[str, Any]:
    """The parts of a pattern that are compared entry by entry, by their labels."""
    parts = {label: document.get(part) for part, label in ENTRY_PARTS.items()}
    special = [
        {key: one[key] for key in one if key not in OF_STUDIO} for one in document.get("special_stitches", [])
    ]
    return {
        **parts,
        ENTRY_PARTS["stitch_patterns"]: _row_by_row(document.get("stitch_patterns", [])),
        ENTRY_PARTS["special_stitches"]: special,
    }


def _beside(record: Record) -> dict[str, Any]:
    """What a version prints beside its pattern, where it has any: rights, use, and the practice piece."""
    rights, practice = record.get("rights", {}), record.get("practice")
    parts: dict[str, Any] = {
        "Rights": dict(enumerate(rights.get("notes", []), 1)),
        "Use of finished items": rights.get("finished_use"),
    }
    if practice:
        parts["Practice piece"] = {
            "techniques": [one["label"] for one in practice["techniques"]],
            "in the PDF": "yes" if practice["in_pdf"] else "no",
            "pieces": [
                f"{one['title']}: {one['stitches']} stitches, {one['rows']} {one['unit']}"
                for one in practice.get("sizes", [])  # a state that is signed has only the ticks
            ],
        }
    return parts


def _row_by_row(patterns: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Stitch patterns whose rows are told apart by their numbers; the lowest line of a grid is row 1."""
    return [
        {
            **{key: content for key, content in one.items() if key not in ("rows", "grid")},
            **{f"row {n}": row for n, row in enumerate(one.get("rows") or one["grid"][::-1], 1)},
        }
        for one in patterns
    ]


def _changed_headings(old: list[dict[str, Any]], new: list[dict[str, Any]]) -> Iterator[EntryChange]:
    """Titles of sections, and the choices that sections are for, where they differ."""
    before, after = [_heading(section) for section in old], [_heading(section) for section in new]
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for what, old_from, old_to, new_from, new_to in matcher.get_opcodes():
        if what != "equal":
            pairs = zip_longest(before[old_from:old_to], after[new_from:new_to], fillvalue="")
            yield from (EntryChange("Section", gone, come) for gone, come in pairs)


def _heading(section: dict[str, Any]) -> str:
    """The title of a section with the choices that it is for."""
    return f"{section['title']} ({section['when']})" if section.get("when") else str(section["title"])


def _leaves(value: Any, place: str) -> Iterator[tuple[str, str]]:
    """Every single entry with the way to it in words."""
    if isinstance(value, dict):
        for key, part in value.items():
            if key != "label" or not isinstance(part, str):
                yield from _leaves(part, f"{place}, {KEYS_IN_WORDS.get(key, str(key).replace('_', ' '))}")
            else:
                yield f"{place}, label", part
    elif isinstance(value, list) and any(isinstance(part, dict) for part in value):
        for number, part in enumerate(value, 1):
            named = part.get("label") or part.get("name") or part.get("colour") or number
            yield from _leaves(part, f"{place}, {named}")
    elif value is not None:
        yield place, _as_typed(value)


def _as_typed(value: Any) -> str:
    """An entry in words; a list in one line."""
    if isinstance(value, list):
        return ", ".join(_as_typed(part) for part in value)
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
