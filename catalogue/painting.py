"""Painting: HTML of an edition laid out and written as a tagged PDF, from named files and nothing else."""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache

import weasyprint
from weasyprint.formatting_structure import boxes
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from catalogue.edition_files import FONTS, OWN, EditionFailed, font_path, template_folder
from catalogue.greys import greyed_drawings, greyed_style
from catalogue.tagging import finish_tags

Files = dict[str, Callable[[], bytes]]

# Pango's font maps are shared by the process: one edition at a time, with one set of fonts.
_RENDERING = threading.Lock()


class OwnFiles(URLFetcher):
    """Serves the files of one edition by name, refuses all else, and remembers what it refused."""

    def __init__(self, files: Files) -> None:
        super().__init__(allowed_protocols=(), allow_redirects=False)
        self.files = files
        self.refused: list[str] = []

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:  # noqa: ARG002
        """Return a named file; nothing is ever looked up on a disk or a network by its address."""
        if url not in self.files:
            self.refused.append(url)
            raise ValueError(f"{url[:100]} does not belong to this edition.")
        return URLFetcherResponse(url, self.files[url]())


@dataclass(frozen=True)
class Painted:
    """A PDF with what was laid out in it: the words of its pages and the headings of its outline."""

    content: bytes
    pages: int
    words: str
    outline: tuple[str, ...]


def paint(
    *,
    html: str,
    files: Files,
    style: str,
    identity: str,
    in_greys: bool = False,
    is_wanted: Callable[[int], bool] = lambda _: True,
) -> Painted | None:
    """Lay out and paint; any complaint of the renderer or refused address fails the edition.

    None when the number of pages is not wanted: then nothing was painted.
    """
    fetcher = OwnFiles(files)
    if in_greys:
        html = greyed_drawings(html)
    with _RENDERING, _complaints() as complaints:
        own = weasyprint.CSS(string=style, font_config=_fonts(), url_fetcher=fetcher, base_url=OWN)
        document = weasyprint.HTML(string=html, url_fetcher=fetcher, base_url=OWN).render(
            font_config=_fonts(), stylesheets=[own, house_style(in_greys)], pdf_variant="pdf/ua-1"
        )
        if not is_wanted(len(document.pages)):
            return None
        content = document.write_pdf(
            pdf_variant="pdf/ua-1", pdf_identifier=identity[:32].encode(), finisher=finish_tags
        )
    if fetcher.refused or complaints:
        reason = (complaints or [f"{fetcher.refused[0]} was refused"])[0]
        raise EditionFailed(f"The PDF could not be made: {reason[:200]}.")
    outline = tuple(_titles(document.make_bookmark_tree()))
    return Painted(content, len(document.pages), _words(document.pages), outline)


@cache
def _fonts() -> FontConfiguration:
    """The fonts of all editions: loaded once for the process and those that it forks."""
    return FontConfiguration()


@cache
def house_style(in_greys: bool) -> weasyprint.CSS:
    """The style of all editions, read once for the process and those that it forks."""
    style = (template_folder() / "edition.css").read_text()
    fonts: Files = {f"{OWN}font/{name}": font_path(name).read_bytes for name in FONTS}
    with _complaints() as complaints:
        found = weasyprint.CSS(
            string=greyed_style(style) if in_greys else style,
            font_config=_fonts(),
            url_fetcher=OwnFiles(fonts),
            base_url=OWN,
        )
    if complaints:
        raise EditionFailed(f"The style of editions can't be read: {complaints[0][:200]}.")
    return found


def _titles(tree: list[tuple[str, object, list[object], str]]) -> Iterator[str]:
    """The headings of an outline in reading order."""
    for title, _, children, _ in tree:
        yield title
        yield from _titles(children)  # type: ignore[arg-type]


def _words(pages: list[weasyprint.Page]) -> str:
    """The text of all pages as laid out, without the margins; lines stand apart."""
    return "\n".join(
        box.text
        for page in pages
        for box in page._page_box.children[0].descendants()  # noqa: SLF001 no other way to the laid-out text
        if isinstance(box, boxes.TextBox)
    )


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
