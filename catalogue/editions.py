"""Editions: one PDF of a frozen version, made from its record and from nothing else."""

import hashlib
import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version as library_version
from pathlib import Path
from typing import Any

import weasyprint
from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.files.storage import default_storage
from django.template.loader import render_to_string
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from catalogue.booklet import booklet, source_of
from catalogue.freezing import record_pattern
from catalogue.models import Version
from catalogue.records import Record, canonical, digest_of, read_record
from catalogue.tagging import scope_headers
from grading.core.grade import Graded, grade

CHOICES = {
    "hand": ("right", "left"),
    "units": ("cm", "in", "both"),
    "terms": ("US", "UK"),
    "print": ("screen", "saving", "large"),
    "paper": ("A4", "Letter"),
}
FONTS = (
    "Literata-Regular.ttf",
    "Literata-Italic.ttf",
    "Literata-SemiBold.ttf",
    "SourceSans3-Regular.ttf",
    "SourceSans3-Italic.ttf",
    "SourceSans3-SemiBold.ttf",
)
LIBRARIES = ("weasyprint", "pydyf", "fonttools", "tinycss2", "Pillow")
TYPE_SIZE = {"screen": "10pt", "saving": "10pt", "large": "18pt"}
OWN = "edition:"

# Pango's font maps are shared by the process: one edition at a time.
_RENDERING = threading.Lock()


class EditionFailed(Exception):
    """An edition that could not be made; its text is one sentence."""


@dataclass(frozen=True)
class RenderedPdf:
    """The bytes of an edition, and what they were made with."""

    content: bytes
    pages: int
    sha256: str
    key: str
    libraries: dict[str, str]


class OwnFiles(URLFetcher):
    """Serves the files of one edition by name, refuses all else, and remembers what it refused."""

    def __init__(self, files: dict[str, Callable[[], bytes]]) -> None:
        super().__init__(allowed_protocols=(), allow_redirects=False)
        self.files = files
        self.refused: list[str] = []

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:  # noqa: ARG002
        """Return a named file; nothing is ever looked up on a disk or a network by its address."""
        if url not in self.files:
            self.refused.append(url)
            raise ValueError(f"{url[:100]} does not belong to this edition.")
        return URLFetcherResponse(url, self.files[url]())


def home_choices(record: Record) -> dict[str, str]:
    """The edition in the designer's own units and terms."""
    return {
        "hand": "right",
        "units": record["pattern"]["home_units"],
        "terms": record["pattern"]["home_terms"],
        "sizes": "all",
        "print": "screen",
        "paper": "A4",
    }


def check_choices(record: Record, choices: dict[str, str]) -> None:
    """Refuse an edition that there is not."""
    for name, allowed in {**CHOICES, "sizes": ("all", *record["results"]["sizes"])}.items():
        if choices.get(name) not in allowed:
            raise EditionFailed(
                f"There is no edition with {name} “{choices.get(name)}”: choose {', '.join(allowed)}."
            )


def render_pdf(*, record: Record, choices: dict[str, str], copy_for: str = "") -> RenderedPdf:
    """Make one edition; the same record and choices give the same bytes.

    Raises:
        EditionFailed: The edition can't be made as it should be; nothing is half right.
    """
    check_choices(record, choices)
    graded = _graded_as_frozen(record)
    context = booklet(source_of(record, graded, choices), copy_for)
    photos = [] if choices["print"] == "saving" else record["photos"]
    context["print"] = choices["print"]
    context["photos"] = [{**photo, "url": f"{OWN}photo/{photo['digest']}"} for photo in photos]
    identity = edition_key(record, choices, copy_for)
    html = render_to_string("catalogue/pdf/edition.html", context)
    with _RENDERING:
        content, pages = _paint(html, _files_of(photos), _page_style(choices), identity)
    return RenderedPdf(content, pages, hashlib.sha256(content).hexdigest(), identity, libraries())


def test_copy(*, version: Version, size: str | None, name: str) -> bytes:
    """A tester's own copy: their name in the footer of each page; one size, or all."""
    record = read_record(version.record)
    choices = {**home_choices(record), "sizes": size or "all"}
    return render_pdf(record=record, choices=choices, copy_for=name).content


def edition_key(record: Record, choices: dict[str, str], copy_for: str = "") -> str:
    """What an edition depends on, as one hash: record, choices, templates, fonts, library versions."""
    return digest_of(canonical([record, choices, copy_for, _template_digest(), libraries()]))


@cache
def libraries() -> dict[str, str]:
    """Versions of what editions are made with."""
    from weasyprint.text.ffi import pango

    number = pango.pango_version()
    pango_version = f"{number // 10000}.{number // 100 % 100}.{number % 100}"
    return {**{name: library_version(name) for name in LIBRARIES}, "pango": pango_version}


def _graded_as_frozen(record: Record) -> Graded:
    """The numbers of a record, which the calculation must still give."""
    graded = grade(record_pattern(record))
    if canonical(graded.as_json()) != canonical(record["results"]):
        raise EditionFailed(
            f"Version {record['number']} was frozen with other numbers than the calculation gives now: "
            "make the edition with the program that froze it."
        )
    return graded


def _template_folder() -> Path:
    """Where the templates of editions are."""
    return Path(settings.BASE_DIR) / "templates" / "catalogue" / "pdf"


@cache
def _template_digest() -> str:
    """One hash over the templates, the style and the fonts."""
    digest = hashlib.sha256()
    for path in [*sorted(_template_folder().iterdir()), *(_font_path(name) for name in FONTS)]:
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


def _font_path(name: str) -> Path:
    """A font of our own."""
    found = finders.find(f"fonts/print/{name}")
    if not found:
        raise EditionFailed(f"The font {name} is missing: the installation is not whole.")
    return Path(str(found))


def _files_of(photos: list[dict[str, Any]]) -> dict[str, Callable[[], bytes]]:
    """The files that an edition may use: our fonts, the woven rule, and the version's photos."""
    files = {f"{OWN}font/{name}": _font_path(name).read_bytes for name in FONTS}
    files[f"{OWN}weave.svg"] = (_template_folder() / "weave.svg").read_bytes
    for photo in photos:
        files[f"{OWN}photo/{photo['digest']}"] = _photo_reader(photo)
    return files


def _photo_reader(photo: dict[str, Any]) -> Callable[[], bytes]:
    """Reads the largest JPEG of a photo and makes sure that it is the one that was frozen."""

    def read() -> bytes:
        jpegs = [one for one in photo["files"] if one["format"] == "jpg"]
        with default_storage.open(max(jpegs, key=lambda one: one["width_px"])["name"]) as stored:
            content = bytes(stored.read())
        if hashlib.sha256(content).hexdigest() != photo["digest"]:
            raise ValueError("The photo is not the one that was frozen.")
        return content

    return read


def _page_style(choices: dict[str, str]) -> str:
    """What depends on paper and print."""
    return f"@page {{ size: {choices['paper']} }} html {{ font-size: {TYPE_SIZE[choices['print']]} }}"


def _paint(
    html: str, files: dict[str, Callable[[], bytes]], page_style: str, identity: str
) -> tuple[bytes, int]:
    """Lay out and paint; any complaint of the renderer or refused address fails the edition."""
    fetcher, fonts = OwnFiles(files), FontConfiguration()
    sheets = [page_style, (_template_folder() / "edition.css").read_text()]
    with _complaints() as complaints:
        styles = [
            weasyprint.CSS(string=one, font_config=fonts, url_fetcher=fetcher, base_url=OWN) for one in sheets
        ]
        document = weasyprint.HTML(string=html, url_fetcher=fetcher, base_url=OWN).render(
            font_config=fonts, stylesheets=styles, pdf_variant="pdf/ua-1"
        )
        content = document.write_pdf(
            pdf_variant="pdf/ua-1", pdf_identifier=identity[:32].encode(), finisher=scope_headers
        )
    if fetcher.refused or complaints:
        reason = (complaints or [f"{fetcher.refused[0]} was refused"])[0]
        raise EditionFailed(f"The PDF could not be made: {reason[:200]}.")
    return content, len(document.pages)


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """What the renderer logs in this thread, as a list."""
    found: list[str] = []
    thread = threading.get_ident()

    class Listener(logging.Handler):
        """Keeps warnings and errors."""

        def emit(self, record: logging.LogRecord) -> None:
            if record.thread == thread:
                found.append(record.getMessage())

    listener, logger = Listener(logging.WARNING), logging.getLogger("weasyprint")
    logger.addHandler(listener)
    try:
        yield found
    finally:
        logger.removeHandler(listener)
