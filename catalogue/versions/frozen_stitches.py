"""The pictures of the special stitches of a pattern, as they are frozen with a version."""

from typing import Any

from catalogue.models import StitchState
from catalogue.versions.frozen_helps import picture_record


def states_in(document: dict[str, Any]) -> dict[str, StitchState]:
    """The studio's state that each special stitch of a pattern was taken from, by its name in the pattern."""
    entries = [one for one in document.get("special_stitches", ()) if "of_studio" in one]
    codes = {one["of_studio"] for one in entries}
    if not codes:
        return {}
    found = StitchState.objects.filter(stitch__code__in=codes).select_related("stitch")
    known = {(one.stitch.code, one.number): one for one in found.prefetch_related("pictures")}
    return {
        one["name"]: state
        for one in entries
        if (state := known.get((one["of_studio"], one.get("state")))) is not None
    }


def stitch_pictures(document: dict[str, Any]) -> list[dict[str, Any]]:
    """The pictures of each special stitch that has some, by its name in the pattern."""
    return [
        {"name": name, "pictures": pictures}
        for name, state in states_in(document).items()
        if (pictures := [picture_record(one) for one in state.pictures.all()])
    ]
