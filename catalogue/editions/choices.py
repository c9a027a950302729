"""Which edition of a version: hand, units, terms, sizes, print and paper, and their words."""

from collections.abc import Iterable, Iterator
from typing import Any

from catalogue.editions.ingredients import EditionFailed
from catalogue.models.edition_choices import Choices, choices_code
from catalogue.versions.records import Record
from grading.core.instructions.sides import NEVER_TURNED

CHOICES = {
    "hand": ("right", "left"),
    "units": ("cm", "in", "both"),
    "terms": ("US", "UK"),
    "print": ("screen", "saving", "large"),
    "paper": ("A4", "Letter"),
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
    for size in sizes:
        yield {**home, "sizes": size}, False


def allowed_choices(record: Record) -> dict[str, tuple[str, ...]]:
    """What there is to choose from; a left hand only for work that is never turned."""
    is_turned = record["pattern"]["craft"] not in NEVER_TURNED
    hands = ("right",) if is_turned else CHOICES["hand"]
    return {**CHOICES, "hand": hands, "sizes": ("all", *record["results"]["sizes"])}


def check_choices(record: Record, choices: Choices) -> None:
    """Refuse an edition that there is not."""
    for name, allowed in allowed_choices(record).items():
        if choices.get(name) not in allowed:
            raise EditionFailed(
                f"There is no edition with {name} “{choices.get(name)}”: choose {', '.join(allowed)}."
            )


def unique(choices: Iterable[Choices]) -> list[Choices]:
    """Editions without those that stand there twice."""
    return list({choices_code(one): one for one in choices}.values())
