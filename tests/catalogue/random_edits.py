"""Random edits of any part of a pattern file: a leaf, a key, an entry, the order of entries, a whole part.

Nothing here knows what a part means: places and keys come from the documents, words to choose from come from
the schema, so that a new key is edited as soon as one document has it.
"""

import copy
import json
import re

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.core.pattern.schema import schema
from grading.sheets.documents import BY_NAME, PARTS, entries_of, with_entries
from grading.sizes.sizes import resize
from tests.grading.oracle.random_formulas import random_sheet


def enums_in(tree):
    """The lists of words that the schema lets somebody choose from."""
    if isinstance(tree, dict):
        yield from [tree["enum"]] if "enum" in tree else []
        for child in tree.values():
            yield from enums_in(child)


EDITED = sorted(set(schema()["properties"]) - {"format", "format_version", "title"})
NUMBER = re.compile(r"\d+(?:\.\d+)?")
NAME = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z]+)?")
SPACE = re.compile(" ")
SCRAPS = [" Sew on a button.", " {3 cm}", " 4 in wide", " dc", " `dc`", " {nobody}", " {", ":::", "\n"]
FACTORS = [0, 0.5, 0.9, 1.1, 1.37, 2, 3]
TRIES = 300
LARGEST = 1e6
SOURCES = {"formula", "list", "steps"}
ENUMS = list(enums_in(schema()))


class Unsuited(Exception):
    """This edit can't be done here."""


def random_edit(rng, document, part, donors):
    """The document after an edit of one part that leaves it a pattern file."""
    for _ in range(TRIES):
        try:
            made = rng.choice(OPERATIONS)(rng, copy.deepcopy(document), part, donors)
            fit_sizes(made)
            read_pattern(made)
        except (PatternFileError, Unsuited):
            continue
        if json.dumps(made) != json.dumps(document):
            return made
    raise AssertionError(f"Found no edit of “{part}” in “{document['title']}”.")


def with_another_leaf(rng, made, part, donors):
    """A number, a word or a name is another."""
    leaves = list(leaves_in(made.get(part), (part,)))
    if not leaves:
        raise Unsuited
    numbers = [path for path in leaves if NUMBER.search(str(inner(made, path)))]
    *path, last = rng.choice(numbers if numbers and rng.random() < 0.6 else leaves)
    inside = inner(made, path)
    inside[last] = another(rng, made, inside[last])
    return made


def leaves_in(tree, path):
    """The places of everything that holds nothing else."""
    if isinstance(tree, dict | list):
        for key, child in tree.items() if isinstance(tree, dict) else enumerate(tree):
            yield from leaves_in(child, (*path, key))
    elif tree is not None or len(path) > 1:
        yield path


def inner(tree, path):
    for key in path:
        tree = tree[key]
    return tree


def another(rng, document, leaf):
    """Something else of the same kind."""
    if isinstance(leaf, bool):
        return not leaf
    if leaf is None or (isinstance(leaf, int | float) and rng.random() < 0.1):
        return rng.choice([None, 0, 5, "10 cm", 90])
    if isinstance(leaf, int | float):
        number = min(rng.choice([leaf * rng.choice(FACTORS), leaf + 1, leaf - 1]), LARGEST)
        return round(number) if isinstance(leaf, int) else round(number, 4)
    choices = [words for words in ENUMS if leaf in words]
    if choices and rng.random() < 0.9:
        return rng.choice(choices[0])
    return another_text(rng, document, leaf)


def another_text(rng, document, text):
    """A text with another number, another name, another break of lines, or a scrap more."""
    way = rng.choice([NUMBER, NAME, SPACE, None])
    found = list(way.finditer(text)) if way else []
    if not found:
        return text + rng.choice(SCRAPS)
    one = rng.choice(found)
    new = {
        NUMBER: lambda: f"{min(float(one[0]) * rng.choice(FACTORS), LARGEST):.4f}",
        NAME: lambda: rng.choice(names_of(document)),
        SPACE: lambda: rng.choice("\n\t"),
    }[way]()
    return text[: one.start()] + new + text[one.end() :]


def names_of(document):
    """Everything in a document that has a name, and one that nothing has."""
    named = [name for part in PARTS for name, _ in entries_of(document, part)]
    choices = [choice for option in document.get("options", ()) for choice in option["choices"]]
    gauge = [
        f"{fabric}.{of}" for fabric in document.get("fabrics", ()) for of in ("stitches", "rows", "plus")
    ]
    return [*named, *choices, *gauge, "nobody", "size_number"]


def with_another_key(rng, made, part, donors):
    """A key is taken out, or taken over from an entry of the same part in any document."""
    places = list(objects_in(made.get(part), (part,)))
    if not places:
        raise Unsuited
    path = rng.choice(places)
    entry = inner(made, path)
    if rng.random() < 0.3:
        entry.pop(rng.choice([*entry, "name"]), None)
        return made
    like = [
        inner(one, found)
        for one in [made, *donors]
        for found in objects_in(one.get(part), (part,))
        if (len(found), found[2:]) == (len(path), path[2:])
    ]
    borrowed = rng.choice(like)
    key = rng.choice([*borrowed, "nothing"])
    if key in {"name", "nothing"}:
        raise Unsuited
    if key in SOURCES:
        entry = {other: entry[other] for other in entry if other not in SOURCES}
    entry[key] = copy.deepcopy(borrowed[key])
    inner(made, path[:-1])[path[-1]] = entry
    return made


def objects_in(tree, path):
    """The places of everything that has keys; in parts by name, the part itself has none of its own."""
    if isinstance(tree, dict) and (len(path) > 1 or path[0] not in BY_NAME):
        yield path
    if isinstance(tree, dict | list):
        for key, child in tree.items() if isinstance(tree, dict) else enumerate(tree):
            yield from objects_in(child, (*path, key))


def with_other_entries(rng, made, part, donors):
    """An entry is out, moved, there twice under two names, or another document's."""
    if part not in {*PARTS, "sections", "notions", "stitch_patterns", "special_stitches"} - {"sizes"}:
        raise Unsuited
    entries = entries_in(made, part)
    way = rng.choice(["out", "moved", "again", "borrowed", "replaced"])
    if way in {"out", "moved", "again"}:
        if not entries:
            raise Unsuited
        name, entry = entries[place := rng.randrange(len(entries))]
        if way != "again":
            del entries[place]
    else:
        name, entry = rng.choice([one for donor in donors for one in entries_in(donor, part)] or [("", None)])
        if way == "replaced" and entries:
            old, _ = entries[place := rng.randrange(len(entries))]
            del entries[place]
            name, entry = renamed(part, entry, old)
    if way == "again":
        name, entry = renamed(part, entry, f"{name}_too")
    if entry is None:
        raise Unsuited
    if way != "out":
        entries.insert(rng.randint(0, len(entries)), (name, copy.deepcopy(entry)))
    made[part] = with_entries(part, entries)
    return made


def entries_in(document, part):
    return entries_of(document, part) if part in PARTS else [("", one) for one in document.get(part, ())]


def renamed(part, entry, name):
    """An entry under another name."""
    key = "colour" if part == "yarns" else "name"
    return name, {**entry, key: name} if isinstance(entry, dict) and key in entry else entry


def with_another_whole(rng, made, part, donors):
    """The part is gone, or another document's."""
    there = [one[part] for one in donors if part in one]
    if rng.random() < 0.3 and made.pop(part, None) is not None:
        return made
    if not there:
        raise Unsuited
    made[part] = copy.deepcopy(rng.choice(there))
    return made


def with_other_sizes(rng, made, part, donors):
    """A size has another label, is gone, or is new, with everything that has one figure for each."""
    if part != "sizes":
        raise Unsuited
    labels = list(made["sizes"])
    place = rng.randrange(len(labels))
    way = rng.choice(["label", "out", "new"])
    if way == "out":
        del labels[place]
    else:
        labels[place : place + (way == "label")] = [rng.choice(["6-9 m", "7X", "child 4", "M long"])]
    if not labels:
        raise Unsuited
    return resize(made, labels)


def with_other_groups(rng, made, part, donors):
    """The sizes stand in two groups, parted anywhere, or in one."""
    if part != "size_groups":
        raise Unsuited
    sizes = list(made["sizes"])
    place = rng.randint(1, len(sizes))
    made[part] = [
        {"label": label, "sizes": group}
        for label, group in (("Smaller", sizes[:place]), ("Larger", sizes[place:]))
        if group
    ]
    return made


def fit_sizes(made):
    """Give what was taken over from another document a figure for each size of this one."""
    sizes = made.get("sizes") or [""]
    listed = [*made.get("body", {}).values(), *made.get("values", ())]
    steps = [value["steps"] for value in made.get("values", ()) if "steps" in value]
    for entry, key, wanted in [
        *((entry, key, len(sizes)) for entry in listed for key in ("values", "list")),
        *((entry, "step", len(sizes) - 1) for entry in steps),
    ]:
        if key in entry:
            entry[key] = fitted(entry[key], wanted)
    for entry in steps:
        if entry.get("base_size") not in sizes:
            entry["base_size"] = sizes[0]


def fitted(figures, wanted):
    """As many figures as are wanted, the last one repeated."""
    return [*figures, *[figures[-1] if figures else 0] * wanted][:wanted]


OPERATIONS = [with_another_leaf] * 4 + [
    with_another_key,
    with_another_key,
    with_other_entries,
    with_another_whole,
    with_other_sizes,
    with_other_groups,
]


def random_pattern(rng):
    """A random sheet of formulas, with one or more of every part that stands on it."""
    counts = ["wide", "tall", "times", "bend", "nobody", 12, 3]
    few = range(rng.randint(1, 3))

    def named(kind, keys):
        return [{"name": f"{kind}_{i}", **{key: rng.choice(counts) for key in keys}} for i in few]

    return {
        **random_sheet(rng),
        "shapings": named("shaping", ["from", "to", "over", "each"]),
        "spreads": named("spread", ["change", "in"]),
        "stripes": [
            {"name": f"stripes_{i}", "sequence": [["A", rng.randint(1, 4)], [rng.choice("ABC"), 2]],
             "change": rng.choice(["row start", "return pass"])} for i in few
        ],
        "special_stitches": [
            {"name": f"stitch_{i}", "label": "A stitch", "short": f"zq{i}", "method": "Yarn over."}
            for i in few
        ],
        "options": [{"name": "arms", "label": "Arms", "choices": ["long", "short"], "default": "long"}],
        "yarns": [
            {"colour": colour, "label": f"Larkmoss {colour}", "length_per_100g": "200 m", "put_up": "50 g"}
            for colour in "AB"
        ],
        "yarn_sections": [
            {"name": f"Panel {i}", "fabric": "main", "worked": rng.choice(["wide * tall", "surface", "wide"]),
             **rng.choice([{"colour": "A"}, {"stripes": "stripes_0", "rows": rng.choice(["tall", 9])}]),
             **rng.choice([{}, {"when": {"arms": "long"}}, {"extra": "heavy"},
                           {"by_choice": [{"option": "arms", "choice": "short", "colour": "B"}]}])}
            for i in few
        ],
        "pieces": [
            {"name": f"piece_{i}", "label": "Piece", "outline": [["0", "0"], ["bust", "0"], ["0", "hip / 2"]]}
            for i in few
        ],
        "sections": [{"title": "Work", "steps": ["Work {wide} sts to {shaping_0} and {stripes_0}."]}],
    }  # fmt: skip
