"""The text of a file: a PDF, a DOCX document or plain text, as lines with blank lines between paragraphs."""

import io
import re
import statistics
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

MOST_BYTES = 20 * 1024 * 1024
MOST_PAGES = 200
# Parts of a page where heads and feet stand, as shares of its height (common practice).
HEAD, FOOT = 0.92, 0.09
# Lines further apart than this, of the usual distance, belong to two paragraphs.
PARAGRAPH = 1.35


class FileRefusedError(ValueError):
    """A file that has no text for us; its text is one sentence for the person."""


@dataclass(frozen=True)
class Line:
    """A line of a page: its words, its height above the page's foot and the size of its letters (points)."""

    words: str
    height: float
    size: float
    is_margin: bool


def read_file(name: str, content: bytes) -> str:
    """Text of a file by its kind; paragraphs are parted by blank lines.

    Args:
        name: The file's name: its ending tells the kind.
        content: The bytes of the file.

    Raises:
        FileRefusedError: It is of another kind, damaged, locked, or holds no text.
    """
    readers: dict[str, Callable[[bytes], str]] = {"pdf": _pdf_text, "docx": _docx_text, "txt": _plain_text}
    ending = name.rpartition(".")[2].lower()
    if ending not in readers:
        raise FileRefusedError(f"“{name[-60:]}” is not a PDF, DOCX or TXT file: save it as one of them.")
    try:
        text = readers[ending](content).replace("\x00", "").strip()
    except (FileRefusedError, MemoryError):
        raise
    except Exception:  # noqa: BLE001 a damaged file does anything to its reader
        raise FileRefusedError(
            f"The {ending.upper()} file is damaged: save it again, or paste its text."
        ) from None
    if not text:
        raise FileRefusedError("The file has no text, perhaps only pictures of pages: paste or type it.")
    return text


def _plain_text(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileRefusedError(
            "The text file is not in UTF-8: save it as UTF-8, or paste its text."
        ) from None


def _docx_text(content: bytes) -> str:
    """Paragraphs and tables in their order; headings are marked, rows of a table become lists."""
    from docx import Document
    from docx.table import Table

    parts = Document(io.BytesIO(content)).iter_inner_content()
    return "\n".join(
        _docx_table(part) if isinstance(part, Table) else _docx_paragraph(part) for part in parts
    )


def _docx_paragraph(paragraph: Any) -> str:
    style = (paragraph.style.name or "") if paragraph.style is not None else ""
    words = paragraph.text.strip()
    if words and style.startswith(("Heading", "Title")):
        return f"{words}\n" if style == "Title" else f"\n# {words}\n"
    if words and style.startswith("List"):
        return f"- {words}"
    return f"{words}\n"


def _docx_table(table: Any) -> str:
    """Each row as a line: its first cell, then the others as a list of sizes."""
    rows = []
    for row in table.rows:
        cells = [" ".join(cell.text.split()) for cell in row.cells]
        first, others = cells[0], [cell for cell in cells[1:] if cell]
        listed = others[0] + (f" ({', '.join(others[1:])})" if others[1:] else "") if others else ""
        rows.append(f"{first or 'Sizes'}: {listed}" if listed else first)
    return "\n" + "\n\n".join(rows) + "\n"


def _pdf_text(content: bytes) -> str:
    """Lines of all pages; heads, feet and page numbers, which say the same on most pages, are left out."""
    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(content))
    if reader.is_encrypted and not reader.decrypt(""):
        raise FileRefusedError("The PDF is locked with a password: save it without one.")
    if len(reader.pages) > MOST_PAGES:
        raise FileRefusedError(f"The PDF has more than {MOST_PAGES} pages: import it in two halves.")
    pages = [_page_lines(page) for page in reader.pages]
    repeated = _repeated(pages)
    kept = [
        [line for line in page if not (line.is_margin and _masked(line.words) in repeated)] for page in pages
    ]
    usual = _usual_drop(kept)
    return "\n\n".join(_page_text(page, usual) for page in kept if page)


def _page_lines(page: Any) -> list[Line]:
    """The lines of a page in the order in which they were set."""
    lines: list[Line] = []
    bottom, tall = float(page.mediabox.bottom), float(page.mediabox.height) or 1.0

    def take(text: str, outer: list[float], inner: list[float], _: Any, size: float) -> None:
        words = " ".join(text.split())
        if not words:
            return
        height = inner[4] * outer[1] + inner[5] * outer[3] + outer[5] - bottom
        size *= abs(inner[3] * outer[3]) or 1.0
        last = lines[-1] if lines else None
        if last is not None and abs(last.height - height) < 0.4 * max(last.size, size):
            lines[-1] = Line(f"{last.words} {words}", last.height, max(last.size, size), last.is_margin)
        else:
            share = height / tall
            lines.append(Line(words, height, size, is_margin=not FOOT < share < HEAD))

    page.extract_text(visitor_text=take)
    return lines


def _repeated(pages: list[list[Line]]) -> set[str]:
    """What stands at the head or foot of at least half of the pages, numbers aside."""
    seen = Counter(words for page in pages for words in {_masked(one.words) for one in page if one.is_margin})
    least = max(2, len(pages) / 2)
    return {words for words, count in seen.items() if count >= least}


def _masked(words: str) -> str:
    return re.sub(r"\d+", "0", words)


def _usual_drop(pages: list[list[Line]]) -> float:
    """The distance of lines within a paragraph, in sizes of their letters."""
    drops = [
        (above.height - below.height) / above.size
        for page in pages
        for above, below in pairwise(page)
        if above.size == below.size
    ]
    within = [drop for drop in drops if 0.8 < drop < 2.5]
    return statistics.median_low(within) if within else 1.2


def _page_text(page: list[Line], usual: float) -> str:
    """Lines of a page; a blank line where the distance, or the size of letters, tells of a new paragraph."""
    text = ""
    for above, below in zip([None, *page], page, strict=False):
        if above is not None:
            drop = (above.height - below.height) / max(above.size, below.size)
            is_next = 0 < drop <= PARAGRAPH * usual and abs(above.size - below.size) < 0.1 * above.size
            text += "\n" if is_next else "\n\n"
        text += below.words
    return text
