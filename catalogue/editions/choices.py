"""Which edition of a version: hand, units, terms, sizes, print and paper, and their words."""

import re
from collections.abc import Iterable, Iterator
from typing import Any

from catalogue.editions.chosen import read_options, read_shades
from catalogue.editions.ingredients import EditionFailed
from catalogue.models.edition_choices import HELPS, Choices, choices_code
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record
from grading.core.instructions.references import helps_named
from grading.core.instructions.sides import NEVER_TURNED, unmarked_sides
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.wording import listed
from grading.core.sheet.findings import Finding

_STEP = re.compile(r"sections\[(\d+)\]\.steps\[(\d+)\]")
ONE_OR_GROUP = "An edition is of one size or of one group: choose all sizes beside the group."
CHOICES = {
    "hand": ("right", "left"),
    "units": ("cm", "in", "both"),
    "terms": ("US", "UK"),
    "print": ("screen", "saving", "large"),
    "paper": ("A4", "Letter"),
}


BOTH_HANDS = "stitches and counts read the same for both hands."
MIRRORED = (
    "Worked left-handed, each piece comes out as a mirror image: read left for right, and right for left, in "
    "words and drawings."
)
# What changes sides in a mirror image: parts that are called left or right, and buttonholes. A front alone
# may be a front loop.
CHANGE_SIDES = {
    r"\b(?:left|right)(?:-hand)? sleeve": "sleeves",
    r"\b(?:left|right)(?:-hand)? front": "fronts",
    r"\b(?:left|right)(?:-hand)? shoulder": "shoulders",
    r"\bbuttonhole": "bands with buttonholes",
}


def home_choices(record: Record) -> Choices:
    """The edition in the designer's own units and terms."""
    return {
        "hand": "right",
        "units": record["pattern"]["home_units"],
        "terms": record["pattern"]["home_terms"],
        "sizes": "all",
        "print": "screen",
        "paper": "A4",
    }


def suggested_choices(pattern: dict[str, Any], sizes: Iterable[str]) -> Iterator[tuple[Choices, bool]]:
    """The editions that the page for publishing offers, the home edition first, and whether to make them."""
    home = home_choices({"pattern": pattern})
    other_terms = "US" if home["terms"] == "UK" else "UK"
    other_units = "in" if home["units"] == "cm" else "cm"
    yield home, True
    yield {**home, "terms": other_terms, "units": "both"}, True
    yield {**home, "print": "saving"}, True
    yield {**home, "print": "large"}, True
    yield {**home, "units": other_units}, False
    yield {**home, "paper": "Letter"}, False
    if pattern["craft"] in NEVER_TURNED:
        yield {**home, "hand": "left"}, False
    if helps_named(step for section in pattern["sections"] for step in section["steps"]):
        yield {**home, "helps": "codes"}, False
        yield {**home, "helps": "without"}, False
    for group in pattern.get("size_groups", ()):
        yield {**home, "group": group["label"]}, False
    for size in sizes:
        yield {**home, "sizes": size}, False


def allowed_choices(record: Record) -> dict[str, tuple[str, ...]]:
    """What there is to choose from; a left hand only for work that is never turned."""
    is_turned = record["pattern"]["craft"] not in NEVER_TURNED
    hands = ("right",) if is_turned else CHOICES["hand"]
    return {**CHOICES, "hand": hands, "sizes": ("all", *record["results"]["sizes"])}


def group_names(record: Record) -> list[str]:
    """What the groups of sizes of a version are called."""
    return [one["label"] for one in record["pattern"].get("size_groups", ())]


def check_choices(record: Record, choices: Choices) -> None:
    """Refuse an edition that there is not."""
    for name, allowed in allowed_choices(record).items():
        if choices.get(name) not in allowed:
            raise EditionFailed(
                f"There is no edition with {name} “{choices.get(name)}”: choose {', '.join(allowed)}."
            )
    _check_own_choices(record, choices)
    _check_group(record, choices)
    if choices.get("helps", "with") not in ("with", *HELPS) or (
        "helps" in choices and not record.get("helps")
    ):
        raise EditionFailed("This version has no helps: choose an edition without that choice.")
    if choices["hand"] == "left" and (says := left_hand_problem(record_pattern(record))):
        raise EditionFailed(says)


def _check_group(record: Record, choices: Choices) -> None:
    """Refuse a group that the version does not have, and a group beside one size."""
    if "group" not in choices:
        return
    if choices["group"] not in group_names(record):
        raise EditionFailed(
            f"This version has no group of sizes “{choices['group']}”: choose one that it has."
        )
    if choices["sizes"] != "all":
        raise EditionFailed(ONE_OR_GROUP)


def _check_own_choices(record: Record, choices: Choices) -> None:
    """Refuse options or shades that the pattern does not have."""
    if "options" not in choices and "shades" not in choices:
        return
    pattern = record_pattern(record)
    if choices["sizes"] == "all" or pattern.wording == FIRST_WORDING:
        raise EditionFailed("Options and shades are chosen in the edition of one size: choose a size first.")
    if read_options(pattern.options, choices.get("options", "")) is None:
        raise EditionFailed("The pattern has no such choice of its options: choose one for each option.")
    if read_shades(pattern, choices.get("shades", "")) is None:
        raise EditionFailed("A shade can't be read: give each as # and six digits, like #4a3728.")


def left_hand_problem(pattern: PatternFile) -> str | None:
    """Say where the words have sides that a left-hand edition can't exchange; None where it can be made.

    What was frozen before such words were looked for keeps its edition.
    """
    found = unmarked_sides(pattern) if pattern.wording > FIRST_WORDING else []
    return (
        f"There is no left-hand edition yet. {_step_named(pattern, found[0])}: {found[0].says}"
        if found
        else None
    )


def _step_named(pattern: PatternFile, finding: Finding) -> str:
    """The step that a finding is about: “Body, step 2”."""
    place = _STEP.fullmatch(finding.where)
    section, step = (int(one) for one in place.groups()) if place else (0, 0)
    return f"{pattern.sections[section].title}, step {step + 1}"


def left_hand_words(record: Record) -> str:
    """Why there is no left-hand edition, for makers, and what changes sides; empty where there can be."""
    craft = str(record["pattern"]["craft"])
    if craft not in NEVER_TURNED:
        words = str(record["pattern"]["sections"]).casefold()
        sides = [named for part, named in CHANGE_SIDES.items() if re.search(part, words)]
        change = f" {listed(sides).capitalize()} change sides with it." if sides else ""
        return f"There is no left-hand PDF: {BOTH_HANDS} {MIRRORED}{change}"
    pattern = record_pattern(record)
    found = unmarked_sides(pattern) if pattern.wording > FIRST_WORDING else []
    if not found:
        return ""
    step = _step_named(pattern, found[0])
    return f"There is no left-hand PDF: the words of {step} name a side that can’t be exchanged."


def unique(choices: Iterable[Choices]) -> list[Choices]:
    """Editions without those that stand there twice."""
    return list({choices_code(one): one for one in choices}.values())
