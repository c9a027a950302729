"""The corrections of a version to print and tuck in, on one page if they fit; made once for each state."""

import hashlib
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from django.core.files.storage import default_storage
from django.template.loader import render_to_string

from catalogue.drawings.qr_codes import qr_svg
from catalogue.editions.booklet import corrections_path, corrections_url
from catalogue.editions.ingredients import OWN, EditionFailed, libraries, template_folder
from catalogue.errata.errata import errata_of_version
from catalogue.models import Version
from catalogue.public.size_corrections import told_corrections, whom_they_concern
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.public_address import public_address
from catalogue.studio.storage import keep_file
from catalogue.versions.moved_steps import follow
from catalogue.versions.records import Record, canonical, digest_of, read_record
from grading.core.printing.numbers import number_list

# Type sizes tried one after another until everything stands on one page; smaller type is hard to read.
TYPE_SIZES = ("12pt", "11pt", "10pt")
# What is small in an edition is no smaller than the rest here.
_STYLE = """
@page { size: A4; margin: 15mm 16mm 24mm !important; @bottom-right { font-size: 1rem !important } }
html :is(.aside, .running, .studio) { font-size: 1rem !important }
html h1 { font-size: 1.9rem !important }
html h2 { margin-top: 1.1rem !important }
html p { margin-bottom: 0.3rem !important }
"""


def corrections_sheet(held: Version, current: Version, *, units: str = "both", size: str = "") -> bytes:
    """The PDF of a version's corrections, for one size or all; the same bytes while nothing new is known."""
    html = sheet_html(held, current, units=units, size=size)
    name = f"corrections/{digest_of(canonical([html, TYPE_SIZES, _STYLE, libraries()]))}.pdf"
    kept = _kept(name)
    if kept is not None:
        return kept
    content = _write_pdf(html, _address(read_record(held.record)))
    with suppress(FilesOutOfReach):  # made anew for the next who asks
        keep_file(name, content)
    return content


def sheet_html(held: Version, current: Version, *, units: str, size: str) -> str:
    """The page as it is set."""
    record = read_record(held.record)
    context = _context(record, held, current)
    context["size"] = size
    context["sizes_line"] = number_list(record["results"]["sizes"])
    followed = follow(context["applying"], held.record, current.record, units, size)
    told = told_corrections(followed)
    context |= {"followed": followed, "corrections": told, "concerned": whom_they_concern(told, size)}
    return render_to_string("catalogue/public/corrections_sheet.html", context)


def _kept(name: str) -> bytes | None:
    """The page as it was made before; None where there is none, or not all of it."""
    try:
        with default_storage.open(name) as stored:
            content = bytes(stored.read())
    except OSError:
        return None
    return content if content.startswith(b"%PDF") and content.rstrip().endswith(b"%%EOF") else None


def _write_pdf(html: str, address: str) -> bytes:
    """The largest type that leaves it on one page; the smallest, where none does."""
    # The renderer costs a second to load, and few pages need it.
    from catalogue.editions.pdf_writing import PageSource, write_pdf

    files: dict[str, Callable[[], bytes]] = {
        f"{OWN}weave.svg": (template_folder() / "weave.svg").read_bytes,
        f"{OWN}corrections.svg": lambda: qr_svg(address),
    }
    identity = hashlib.sha256(html.encode()).hexdigest()
    for size in TYPE_SIZES:
        style = f"{_STYLE} html {{ font-size: {size} }}"
        is_last = size == TYPE_SIZES[-1]
        painted = write_pdf(
            PageSource(html, files, style, identity),
            is_wanted=lambda fills, is_last=is_last: len(fills) == 1 or is_last,  # type: ignore[misc]
        )
        if painted is not None:
            return painted.content
    raise EditionFailed("The page of corrections could not be laid out.")


def _context(record: Record, held: Version, current: Version) -> dict[str, Any]:
    """What stands on the page."""
    applying = errata_of_version(held)
    published = [one.published_at for one in (held, current) if one.published_at]
    return {
        "record": record,
        "held": held,
        "current": current,
        "applying": applying,
        "written": max([*published, *(one.erratum.created_at for one in applying)]),
        "corrections_url": _address(record),
    }


def _address(record: Record) -> str:
    """What the version prints; where it prints none, where its corrections are found now, if anywhere."""
    known = public_address()
    return corrections_url(record) or (known and known + corrections_path(record))
