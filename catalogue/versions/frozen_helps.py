"""The helps that the steps of a pattern name, as they are frozen with a version."""

from typing import Any

from catalogue.models import Help, HelpPicture, StitchPicture
from catalogue.versions.records import Record
from grading.core.instructions.references import helps_named
from grading.core.pattern.pattern import PatternFile


def named_helps(core: PatternFile) -> dict[str, int]:
    """The number of each help that the steps name, by name."""
    return helps_named(step for section in core.sections for step in section.steps)


def help_records(core: PatternFile) -> list[dict[str, Any]]:
    """All that a version keeps of the helps it names, by number; unknown ones are left out."""
    numbers = named_helps(core)
    if not numbers:
        return []
    found = Help.objects.filter(name__in=numbers).prefetch_related("pictures")
    return [_record(one) for one in sorted(found, key=lambda one: numbers[one.name])]


def record_pictures(record: Record) -> list[dict[str, Any]]:
    """All pictures that a version was frozen with: photos, and those of its helps and special stitches."""
    others = [*record.get("helps", ()), *record.get("special_pictures", ())]
    return [*record["photos"], *(picture for one in others for picture in one["pictures"])]


def _record(one: Help) -> dict[str, Any]:
    """One help with its pictures by their digests."""
    kept = (
        "name",
        "code",
        "title",
        "craft",
        "hand",
        "level",
        "text",
        "terms",
        "link",
        "link_from_s",
        "link_to_s",
    )
    return {
        **{key: getattr(one, key) for key in kept},
        "pictures": [picture_record(picture) for picture in one.pictures.all()],
    }


def picture_record(picture: HelpPicture | StitchPicture) -> dict[str, Any]:
    """A picture by its digest: the files themselves are named after it."""
    kept = ("alt", "caption", "width_px", "height_px", "digest", "files")
    return {key: getattr(picture, key) for key in kept}
