"""Editions: one PDF of a frozen version, made from its record and from nothing else."""

import gc
import hashlib
import re
from collections.abc import Callable
from typing import Any

from django.template.loader import render_to_string
from django.utils.html import strip_tags

from catalogue.drawings.qr_codes import qr_svg
from catalogue.editions.booklet import booklet, corrections_url, source_of
from catalogue.editions.choices import check_choices
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
from catalogue.editions.pdf_checks import check_pdf
from catalogue.editions.pdf_writing import Files, PageSource, WrittenPdf, write_pdf
from catalogue.models.edition_choices import Choices, printed_choices
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record, canonical
from grading.core.grade.grade import Graded, grade
from grading.core.pattern.wordings import FIRST_WORDING

TYPE_SIZE = {"screen": "10pt", "saving": "10pt", "large": "18pt"}
FOOT_LARGE = "32mm"
MARGINS = {"one": "17mm 19mm 21mm", "saving": "15mm 17mm 20mm", "large": "15mm 14mm 27mm"}
# What is tried while a page is too empty: smaller drawings and less air move what stands on the next page up.
LEAST_FILL = 0.6
SNUGNESSES = (
    "",
    ".flowing .drawing svg { max-height: 62mm !important } .flowing h2 { margin-top: 1rem !important }",
)
PAGES_WITH_CONTENTS = 8
LINES_OF_A_LONG_BOOKLET = 195
CHARACTERS_A_LINE = 85
LINES_A_DRAWING, LINES_A_PAGE = 16, 45

# The space between a number and what it counts, and before the unit of a row, where no line may end.
_BEFORE_UNIT = re.compile(
    r"(?<=[\d¼½¾)\]]) (?=(?:mm|cm|m|g|in|oz|yd|sts?|ch|ss|h?dc|h?tr|dtr|sc|T[kps]s)\b)"
    r"|(?<=\bch) (?=\d)|(?<=,) (?=(?:cm|in|g|m|oz|yd|balls|%)</th>)"
)

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
    context = edition_context(
        record=record, graded=graded or graded_as_frozen(record), choices=choices, copy_for=copy_for
    )
    identity = pdf_identity(record, choices, copy_for)
    files = _files_of(record, context["photos"], read_photo or stored_photo)
    written = _write_fullest(context, files, _page_style(choices, context), identity)
    check_pdf(written, context)
    return written


def edition_context(
    *, record: Record, graded: Graded, choices: Choices, copy_for: str = ""
) -> dict[str, Any]:
    """Everything that the templates of one edition print."""
    photos = [] if choices["print"] == "saving" else record["photos"]
    printed = [{**photo, "url": f"{OWN}photo/{photo['digest']}"} for photo in photos]
    return {
        **booklet(source_of(record, graded, choices), copy_for),
        "print": choices["print"],
        "edition_words": printed_choices(choices),
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


def _write_fullest(context: dict[str, Any], files: Files, style: str, identity: str) -> WrittenPdf:
    """Set more snugly where pages but the last are too empty, and keep what has the fewest such pages.

    A single such page stands before something tall, which a little less air does not move: laying it all out
    again is worth its time where there are two, or in large print, which flows.
    """
    tried: list[WrittenPdf] = []
    for snug in SNUGNESSES if context["wording"] > FIRST_WORDING else SNUGNESSES[:1]:
        tried.append(_write_file(context, files, f"{style} {snug}".strip(), identity))
        if _sparse(tried[-1]) < (1 if context["print"] == "large" else 2):
            return tried[-1]
        gc.collect()
    return min(tried, key=_sparse)


def _sparse(written: WrittenPdf) -> int:
    """How many pages are less full than they should be, the last left out."""
    return sum(fill < LEAST_FILL for fill in written.fills[:-1])


def _write_file(context: dict[str, Any], files: Files, style: str, identity: str) -> WrittenPdf:
    """Paint with or without a list of contents: a booklet has one from eight pages up.

    Which is tried first is told from what there is to print, so that most editions are laid out once.
    """
    is_long = _seems_long(context)

    def paint_with(has_contents: bool, is_wanted: Callable[[int], bool]) -> WrittenPdf | None:
        html = render_to_string("catalogue/pdf/edition.html", {**context, "has_contents": has_contents})
        greys = context["print"] == "saving"
        return write_pdf(
            PageSource(_BEFORE_UNIT.sub("\u00a0", html), files, style, identity, in_greys=greys),
            is_wanted=is_wanted,
            is_frozen=not context["copy_for"],
        )

    first = paint_with(is_long, lambda pages: _has_contents(pages) == is_long)
    if first is None:
        gc.collect()  # what was laid out in vain; nobody else collects in a child of the renderer
        first = paint_with(not is_long, bool)
    if first is None:
        raise EditionFailed("The PDF could not be made: it has no pages.")
    return first


def _has_contents(pages: int) -> bool:
    """Whether a booklet of so many pages has a list of contents."""
    return pages >= PAGES_WITH_CONTENTS


def _seems_long(context: dict[str, Any]) -> bool:
    """Whether a booklet will have eight pages or more, told from its lines before it is laid out."""
    tables = [*context["measurement_tables"], *context["yarn_tables"]]
    rows = sum(len(table.rows) + 2 for table in tables)
    steps = [
        strip_tags(step.replace("<br>", "\n"))
        for section in context["instructions"]
        for step in section.steps
    ]
    lines = sum(len(step) / CHARACTERS_A_LINE + 1 + step.count("\n") for step in steps)
    pages = len(context["photos"]) + bool(context["stripes"])
    drawn = LINES_A_DRAWING * len(context["schematics"]) + LINES_A_PAGE * pages
    return context["print"] == "large" or rows + lines + drawn > LINES_OF_A_LONG_BOOKLET


def _files_of(record: Record, photos: list[dict[str, Any]], read_photo: PhotoReader) -> Files:
    """The files that an edition may use beside our fonts: the woven rule, the QR code, its photos."""
    files: Files = {
        f"{OWN}weave.svg": (template_folder() / "weave.svg").read_bytes,
        f"{OWN}corrections.svg": lambda: qr_svg(corrections_url(record)),
    }
    for photo in photos:
        files[f"{OWN}photo/{photo['digest']}"] = _checked_reader(photo, read_photo)
    return files


def _checked_reader(photo: dict[str, Any], read_photo: PhotoReader) -> Callable[[], bytes]:
    """Reads a photo and makes sure that it is the one that was frozen."""

    def read() -> bytes:
        content = read_photo(photo)
        if hashlib.sha256(content).hexdigest() != photo["digest"]:
            raise ValueError("The photo is not the one that was frozen.")
        return content

    return read


def _page_style(choices: Choices, context: dict[str, Any]) -> str:
    """What depends on paper, print and whom it is for; pages of the first wording stay as they were."""
    which = "one" if context["is_for_one"] and choices["print"] == "screen" else choices["print"]
    page = f"size: {choices['paper']};"
    if context["wording"] > FIRST_WORDING and which in MARGINS:
        page += f" margin: {MARGINS[which]} !important"
    elif choices["print"] == "large":
        page += f" margin-bottom: {FOOT_LARGE} !important"
    return f"@page {{ {page} }} html {{ font-size: {TYPE_SIZE[choices['print']]} }}"
