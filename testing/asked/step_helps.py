"""The helps that the steps of a version name, for testers who were stuck at one."""

from dataclasses import dataclass

from catalogue.models import Version
from catalogue.versions.frozen_helps import named_helps
from catalogue.versions.records import frozen_record
from grading.core.instructions.references import helps_named
from testing.asked.figures import version_figures
from testing.models import Placement


@dataclass(frozen=True)
class StepHelp:
    """A help of a version: its number and title there, and the places of the steps that name it."""

    code: str
    number: int
    title: str
    places: tuple[str, ...]


def step_helps(placement: Placement) -> list[StepHelp]:
    """The helps of the version that a tester works from, by their numbers."""
    result = getattr(placement, "result", None)
    version = result.version if result else placement.call.version
    return version_helps(version) if version else []


def version_helps(version: Version) -> list[StepHelp]:
    """The helps of a version, by their numbers."""
    record = frozen_record(version.record)
    core, kept = version_figures(version).pattern, {one["name"]: one for one in record.get("helps", ())}
    where: dict[str, list[str]] = {}
    for i, section in enumerate(core.sections):
        for j, step in enumerate(section.steps):
            for name in helps_named([step]):
                where.setdefault(name, []).append(f"sections[{i}].steps[{j}]")
    return [
        StepHelp(kept[name]["code"], number, kept[name]["title"], tuple(where[name]))
        for name, number in named_helps(core).items()
        if name in kept
    ]
