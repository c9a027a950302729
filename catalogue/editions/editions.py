"""Editions: one PDF of a frozen version, made from its record and from nothing else."""

import hashlib
from collections.abc import Callable
from functools import partial
from typing import Any

from catalogue.drawings.qr_codes import qr_svg
from catalogue.editions.booklet import booklet, corrections_url, help_url
from catalogue.editions.choices import check_choices
from catalogue.editions.fitting import FittedBooklet
from catalogue.editions.ingredients import (
    OWN,
    EditionFailed,
    RenderedPdf,
    edition_key,
    libraries,
    pdf_identity,
    stored_photo,
    template_folder,
)
from catalogue.editions.other_sizes import without_other_sizes
from catalogue.editions.pdf_checks import check_pdf
from catalogue.editions.pdf_writing import Files, WrittenPdf
from catalogue.editions.sized_parts import drawn_parts
from catalogue.editions.sources import Source, source_of
from catalogue.models.edition_choices import Choices, printed_choices
from catalogue.versions.freezing import record_pattern
from catalogue.versions.frozen_helps import record_pictures
from catalogue.versions.records import Record, canonical
from grading.core.grade.grade import Graded, grade
from grading.core.pattern.wordings import WIDE_WORDING

PhotoReader = Callable[[dict[str, Any]], bytes]


def render_pdf(
    *,
    record: Record,
    choices: Choices,
    copy_for: str = "",
    graded: Graded | None = None,
    read_photo: PhotoReader | None = None,
) -> RenderedPdf:
    """Make one edition; the same record and choices give the same bytes.

    Raises:
        EditionFailed: The edition can't be made as it should be; nothing is half right.
    """
    written = write_edition(
        record=record, choices=choices, copy_for=copy_for, graded=graded, read_photo=read_photo
    )
    key = edition_key(record, choices, copy_for, (path for _, path in written.setting.files()))
    content = written.content
    return RenderedPdf(content, written.pages, hashlib.sha256(content).hexdigest(), key, libraries())


def write_edition(
    *,
    record: Record,
    choices: Choices,
    copy_for: str = "",
    graded: Graded | None = None,
    read_photo: PhotoReader | None = None,
) -> WrittenPdf:
    """Set and check one edition, with all that is known of its pages.

    Raises:
        EditionFailed: The edition can't be made as it should be; nothing is half right.
    """
    check_choices(record, choices)
    graded = graded or graded_as_frozen(record)
    context = edition_context(record=record, graded=graded, choices=choices, copy_for=copy_for)
    identity = pdf_identity(record, choices, copy_for)
    files = _files_of(record, context["photos"], read_photo or stored_photo)
    drawn = partial(drawn_parts, source_of(record, graded, choices))
    written = FittedBooklet(context, files, choices["paper"], identity, drawn).written()
    check_pdf(written, context)
    return written


def edition_context(
    *, record: Record, graded: Graded, choices: Choices, copy_for: str = ""
) -> dict[str, Any]:
    """Everything that the templates of one edition print."""
    photos = [] if choices["print"] == "saving" else record["photos"]
    source = source_of(record, graded, choices)
    printed = [{**photo, "url": f"{OWN}photo/{photo['digest']}"} for photo in photos]
    if source.facts.pattern.wording > WIDE_WORDING:
        printed = [{**photo, "caption": _caption(photo["caption"], source)} for photo in printed]
    found = booklet(source, copy_for)
    told = found["for_choices"] if found["wording"] > WIDE_WORDING else ""
    # What breaks anywhere fills the page before drawings that do not.
    is_one_in_large = found["is_for_one"] and choices["print"] == "large"
    is_read_early = found["is_close"] or (is_one_in_large and found["wording"] > WIDE_WORDING)
    return {
        **found,
        "is_read_early": is_read_early,
        "print": choices["print"],
        "helps_form": choices.get("helps", "with"),
        "edition_words": printed_choices(
            choices,
            told,
            has_one_size=found["has_one_size"],
            is_wide=found["wording"] <= WIDE_WORDING,
        ),
        "photos": printed,
        "first_photo": next(iter(printed), None),
        "photo_beside": any(photo["height_px"] >= photo["width_px"] for photo in printed[:1]),
        "more_photos": printed[1:],
    }


def graded_as_frozen(record: Record) -> Graded:
    """The numbers of a record, which the calculation must still give."""
    graded = grade(record_pattern(record))
    if canonical(_numbers(graded.as_json(), record)) != canonical(_numbers(record["results"], record)):
        raise EditionFailed(
            f"Version {record['number']} was frozen with other numbers than the calculation gives now: "
            "make the edition with the program that froze it."
        )
    return graded


def _numbers(results: dict[str, Any], record: Record) -> dict[str, Any]:
    """The results that a record has, without findings: by now others may be noticed; none is printed."""
    return {part: results.get(part) for part in record["results"] if part != "findings"}


def _caption(caption: str, source: Source) -> str:
    """The words below a photo, without those about sizes that the edition does not have."""
    return source.facts.typeset(without_other_sizes(caption, source))


def _files_of(record: Record, photos: list[dict[str, Any]], read_photo: PhotoReader) -> Files:
    """The files that an edition may use beside our fonts: the woven rule, the QR code, its photos."""
    files: Files = {
        f"{OWN}weave.svg": (template_folder() / "weave.svg").read_bytes,
        f"{OWN}corrections.svg": lambda: qr_svg(corrections_url(record)),
    }
    for one in record.get("helps", ()):
        files[f"{OWN}help-{one['code']}.svg"] = partial(_help_code, record, one["code"])
    if photos or record.get("helps") or record.get("special_pictures"):
        for photo in record_pictures(record):
            files[f"{OWN}photo/{photo['digest']}"] = _checked_reader(photo, read_photo)
    return files


def _help_code(record: Record, code: str) -> bytes:
    """The QR code of the short link of a help."""
    return qr_svg(help_url(record, code))


def _checked_reader(photo: dict[str, Any], read_photo: PhotoReader) -> Callable[[], bytes]:
    """Reads a photo and makes sure that it is the one that was frozen."""

    def read() -> bytes:
        content = read_photo(photo)
        if hashlib.sha256(content).hexdigest() != photo["digest"]:
            raise ValueError("The photo is not the one that was frozen.")
        return content

    return read
