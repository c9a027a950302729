"""What the erratum form says before anybody writes in it; never a tester's name."""

from collections.abc import Sequence
from typing import Any

from catalogue.errata.quoting import says_there
from catalogue.models import Version
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


def result_prefill(row: DeviationRow) -> dict[str, Any]:
    """The measurement as its version prints it for the size, and no reason: makers read that one."""
    place, record = f"values.{row.line.name}", read_record(row.result.version.record)
    return {
        "place": place,
        "sizes": [row.size],
        "says": says_there(place, record, row.size),
        "gravity": "wrong" if row.deviation.is_beyond else "cosmetic",
    }


def result_words(row: DeviationRow, units: str) -> str:
    """What a garment measures, what it should, and the tolerance: for the studio, beside the form."""
    deviation = row.deviation
    tolerance = f"the tolerance of {length_in(deviation.tolerance_mm, units)}"
    where = f"beyond {tolerance}."
    if not deviation.is_beyond:
        where = f"within {tolerance}. By itself that is no mistake of the pattern."
    return (
        f"{row.line.label}, size {row.size}: should measure {length_in(deviation.expected_mm, units)} at the "
        f"garment's own gauge. The garment measures {length_in(deviation.measured_mm, units)}: "
        f"{deviation_in(deviation, units)} off, {where}"
    )


def mend_prefill(shown: ShownVerdict, mending: Mending, label: str) -> dict[str, Any]:
    """The count at fault, as it was made and as it should be."""
    rows = zip(mending.figures.pattern.sizes, mending.made.tolist(), mending.mend.after.tolist(), strict=True)
    return {
        **verdict_prefill(shown, [mending.mend.value], None),
        "sizes": [size for size, made, after in rows if whole(made) != whole(after)],
        "says": f"{label}: {mending.says}",
        "should_say": f"{label}: {mending.should_say}",
    }


def verdict_prefill(shown: ShownVerdict, counts: Sequence[str], version: Version | None) -> dict[str, Any]:
    """The value at fault if there is but one, as the version prints it, the sizes, and no reason.

    The verdict is for the studio: it stands beside the form, and makers read nothing of it.
    """
    place = f"values.{counts[0] if len(counts) == 1 else shown.name}"
    return {
        "place": place,
        "sizes": shown.affected,
        "says": says_there(place, read_record(version.record)) if version else "",
    }
