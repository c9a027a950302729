"""PDF writing: HTML of an edition laid out, written as a tagged PDF, from named files and nothing else."""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache

import weasyprint
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from catalogue.editions.greyscale import greyed_drawings, greyed_style
from catalogue.editions.ingredients import FONTS, OWN, EditionFailed, font_path, template_folder
from catalogue.editions.loose_drawings import loose_drawings
from catalogue.editions.page_boxes import laid_out_words, page_fills
from catalogue.editions.pdf_tags import finish_tags
from catalogue.editions.typefaces import TextSetting, setting_of

Files = dict[str, Callable[[], bytes]]
IsWanted = Callable[[tuple[float, ...]], bool]

# Pango's font maps are shared by the process: one edition at a time, with one set of fonts.
_RENDERING = threading.Lock()
# As a frozen edition always was; with the fonts of its scripts; without signs that even these do not draw.
SETTINGS_TRIED = 3
SIGNS_TOLD = 5
# What tells a drawing: unless it is told, every reader of pictures is loaded and tries it first.
DRAWING = {"Content-Type": "image/svg+xml"}


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
        return URLFetcherResponse(url, self.files[url](), DRAWING if url.endswith(".svg") else {})


@dataclass(frozen=True)
class WrittenPdf:
    """A PDF with what was laid out in it: the words of its pages, how full these are, and its outline."""

    content: bytes
    pages: int
    words: str
    outline: tuple[str, ...]
    setting: TextSetting
    fills: tuple[float, ...]


@dataclass(frozen=True)
class PageSource:
    """What is to be laid out: a page, the files and the style that it names, and the identity of its PDF."""

    html: str
    files: Files
    style: str
    identity: str
    in_greys: bool = False
    has_loose_drawings: bool = False


class _SignsMissing(Exception):
    """Signs that no font drew."""

    def __init__(self, signs: frozenset[str]) -> None:
        super().__init__("A sign in it has no letter in any font.")
        self.signs = signs


@dataclass(frozen=True)
class _Complaints:
    """What the renderer said: signs that it had no font for, and all else."""

    missing: set[str]
    others: list[str]


def write_pdf(
    source: PageSource, *, is_wanted: IsWanted = lambda _: True, is_frozen: bool = False
) -> WrittenPdf | None:
    """Lay out and paint; any complaint of the renderer or refused address fails the edition.

    What is frozen is first set in the house's fonts and those of the machine, as editions always were, so
    that it keeps its bytes. None when what was laid out is not wanted, told by how full its pages are: then
    nothing was painted.
    """
    if source.in_greys:
        source = replace(source, html=greyed_drawings(source.html))
    refused: frozenset[str] = frozenset()
    setting = TextSetting() if is_frozen else setting_of(source.html)
    for _ in range(SETTINGS_TRIED):
        try:
            with _RENDERING:
                return _set_and_paint(source, is_wanted, setting)
        except _SignsMissing as found:
            if not setting.is_plain:
                refused |= {sign for sign in found.signs if not sign.isascii()}
            setting = setting_of(source.html, refused)
            codes = ", ".join(f"U+{ord(sign):04X}" for sign in sorted(found.signs)[:SIGNS_TOLD])
    raise EditionFailed(f"The PDF could not be made: no font drew {codes}.")


def _set_and_paint(source: PageSource, is_wanted: IsWanted, setting: TextSetting) -> WrittenPdf | None:
    """Paint in one setting.

    Raises:
        _SignsMissing: It has no font for some signs.
    """
    html = setting.drawings(setting.typed(source.html))
    html, drawings = loose_drawings(html) if source.has_loose_drawings else (html, {})
    scripts = {address: path.read_bytes for address, path in setting.files()}
    fetcher = OwnFiles({**source.files, **scripts, **drawings})
    fonts = _fonts() if setting.is_plain else FontConfiguration()
    with _complaints() as complaints:
        own = weasyprint.CSS(
            string=setting.style(source.style), font_config=fonts, url_fetcher=fetcher, base_url=OWN
        )
        house = (
            house_style(source.in_greys) if setting.is_plain else _read_style(source.in_greys, fonts, setting)
        )
        document = weasyprint.HTML(string=html, url_fetcher=fetcher, base_url=OWN).render(
            font_config=fonts, stylesheets=[own, house], pdf_variant="pdf/ua-1"
        )
        fills = page_fills(document.pages)
        if not is_wanted(fills):
            return None
        content = document.write_pdf(
            pdf_variant="pdf/ua-1", pdf_identifier=source.identity[:32].encode(), finisher=finish_tags
        )
    if fetcher.refused or complaints.others:
        reason = (complaints.others or [f"{fetcher.refused[0]} was refused"])[0]
        raise EditionFailed(f"The PDF could not be made: {reason[:200]}.")
    if complaints.missing:
        raise _SignsMissing(frozenset(complaints.missing))
    outline = tuple(_titles(document.make_bookmark_tree()))
    return WrittenPdf(content, len(fills), laid_out_words(document.pages), outline, setting, fills)


@cache
def _fonts() -> FontConfiguration:
    """The fonts of all editions: loaded once for the process and those that it forks."""
    return FontConfiguration()


@cache
def house_style(in_greys: bool) -> weasyprint.CSS:
    """The style of all editions, read once for the process and those that it forks."""
    return _read_style(in_greys, _fonts(), TextSetting())


def _read_style(in_greys: bool, fonts: FontConfiguration, setting: TextSetting) -> weasyprint.CSS:
    """The style of editions with the fonts that it names."""
    style = (template_folder() / "edition.css").read_text()
    files: Files = {f"{OWN}font/{name}": font_path(name).read_bytes for name in FONTS}
    files |= {address: path.read_bytes for address, path in setting.files()}
    with _complaints() as complaints:
        found = weasyprint.CSS(
            string=setting.style(greyed_style(style) if in_greys else style),
            font_config=fonts,
            url_fetcher=OwnFiles(files),
            base_url=OWN,
        )
    if complaints.others:
        raise EditionFailed(f"The style of editions can't be read: {complaints.others[0][:200]}.")
    return found


def _titles(tree: list[tuple[str, object, list[object], str]]) -> Iterator[str]:
    """The headings of an outline in reading order."""
    for title, _, children, _ in tree:
        yield title
        yield from _titles(children)  # type: ignore[arg-type]


@contextmanager
def _complaints() -> Iterator[_Complaints]:
    """What the renderer logs in this thread."""
    found = _Complaints(set(), [])
    thread = threading.get_ident()

    class Listener(logging.Handler):
        """Keeps warnings and errors."""

        def emit(self, record: logging.LogRecord) -> None:
            if record.thread != thread:
                return
            if str(record.msg).startswith(".notdef") and isinstance(record.args, tuple):
                found.missing.add(str(record.args[0]))
            else:
                found.others.append(record.getMessage())

    listener, logger = Listener(logging.WARNING), logging.getLogger("weasyprint")
    logger.addHandler(listener)
    try:
        yield found
    finally:
        logger.removeHandler(listener)
