"""The swatch diary: swatches added and taken out, and the one whose gauge the sheet has."""

from typing import Any

from django.db import transaction

from catalogue.models import Pattern, Swatch
from catalogue.photos.intake import store_photo
from catalogue.photos.photos import remove_unused
from catalogue.photos.pictures import CleanPhoto
from grading.sheets.documents import Document, entries_of


def add_swatch(*, pattern: Pattern, picture: CleanPhoto | None, **typed: Any) -> Swatch:
    """Write a swatch into the diary."""
    kept: dict[str, Any] = {}
    if picture:
        kept = {"width_px": picture.width_px, "height_px": picture.height_px, "digest": picture.digest,
                "files": store_photo(picture)}  # fmt: skip
    return Swatch.objects.create(pattern=pattern, **typed, **kept)


@transaction.atomic
def delete_swatch(swatch: Swatch) -> None:
    """Take a swatch out; files that another row has stay."""
    digest, files = swatch.digest, swatch.files
    swatch.delete()
    remove_unused(digest, files)


def with_gauge_of(document: Document, swatch: Swatch) -> Document:
    """The sheet with the gauge of a swatch in its fabric, and its weight where it was weighed."""
    gauge: dict[str, Any] = {
        "stitches": _tidy(swatch.after_stitches), "rows": _tidy(swatch.after_rows), "over": swatch.over,
    }  # fmt: skip
    if swatch.weight_g is not None:
        weighed = {key: gauge[key] for key in ("stitches", "rows")}
        gauge["swatch"] = {**weighed, "weight": f"{_tidy(swatch.weight_g)} g"}
    fabrics = dict(entries_of(document, "fabrics"))
    return {**document, "fabrics": {**fabrics, swatch.fabric: {**fabrics[swatch.fabric], **gauge}}}


def is_gauge_of(entry: dict[str, Any], swatch: Swatch) -> bool:
    """Whether a fabric has the gauge of a swatch."""
    mine = (swatch.after_stitches, swatch.after_rows, swatch.over)
    return mine == (entry["stitches"], entry["rows"], entry["over"])


def _tidy(number: float) -> int | float:
    """A whole number without its point."""
    return int(number) if number == int(number) else number
