"""What the erratum form says before anybody writes in it; never a tester's name."""

from collections.abc import Sequence
from typing import Any

from catalogue.errata.quoting import says_there
from catalogue.models import Person
from catalogue.versions.gaps import gaps_in
from catalogue.versions.records import read_record
from testing.access.lengths import deviation_in, length_in
from testing.asked.figures import Figures
from testing.models import Remark
from testing.verdicts.judging import DeviationRow
from testing.verdicts.mends import Mending, whole
from testing.verdicts.shown_verdicts import ShownVerdict

SPOTS_OF_PARTS = [
    ("materials", "Materials"),
    ("gauge", "Gauge"),
    ("schematic", "Schematic"),
    ("photo", "Photo"),
]


def spots_to_name(figures: Figures) -> list[tuple[str, Any]]:
    """Every place that can be wrong: steps, values, the rest, and where a step is missing altogether."""
    values = [(f"values.{value.name}", f"Number: {value.label}") for value in figures.pattern.values]
    gaps = gaps_in([(section.title, len(section.steps)) for section in figures.pattern.sections])
    return [*figures.steps(), *values, *SPOTS_OF_PARTS, ("A step is missing", gaps)]


def spots_of_measurement(figures: Figures, name: str) -> list[tuple[str, Any]]:
    """The same, with the steps first that print what a measurement is made of."""
    spots = spots_to_name(figures)
    making = figures.steps_making(name)
    rest = [one for one in spots if one not in making]
    return [("Steps that make this number", making), *rest] if making else spots


def remark_prefill(remark: Remark) -> dict[str, Any]:
    """The step as the tester's version prints it for their size, and no reason: makers read that one."""
    record = read_record(remark.result.version.record)
    return {
        "place": remark.place,
        "sizes": [remark.result.size],
        "says": says_there(remark.place, record, remark.result.size)[:2_000],
    }


def result_prefill(row: DeviationRow, person: Person) -> dict[str, Any]:
    """The measurement, what it should be, and how far the garment is from it."""
    deviation, units = row.deviation, person.units
    expected = length_in(deviation.expected_mm, units)
    place, record = f"values.{row.line.name}", read_record(row.result.version.record)
    return {
        "place": place,
        "sizes": [row.size],
        "says": says_there(place, record, row.size),
        "why": (
            f"Size {row.size} should measure {expected} at the garment's own gauge. "
            f"The garment measures {length_in(deviation.measured_mm, units)}: "
            f"{deviation_in(deviation, units)} off."
        ),
    }


def mend_prefill(shown: ShownVerdict, mending: Mending, label: str) -> dict[str, Any]:
    """The count at fault, as it was made and as it should be; the verdict as the reason."""
    rows = zip(mending.figures.pattern.sizes, mending.made.tolist(), mending.mend.after.tolist(), strict=True)
    return {
        **verdict_prefill(shown, [mending.mend.value]),
        "sizes": [size for size, made, after in rows if whole(made) != whole(after)],
        "says": f"{label}: {mending.says}",
        "should_say": f"{label}: {mending.should_say}",
    }


def verdict_prefill(shown: ShownVerdict, counts: Sequence[str]) -> dict[str, Any]:
    """The value at fault if there is but one, the sizes, and the verdict as the reason."""
    place = counts[0] if len(counts) == 1 else shown.name
    return {
        "place": f"values.{place}",
        "sizes": shown.affected,
        "says": f"{shown.label}: garments come out differently from the plan.",
        "why": f"{shown.sentence} {shown.cause}".strip(),
    }
