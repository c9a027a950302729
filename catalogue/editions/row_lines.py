"""Lines of rows and lists of numbers that stay whole: a list over sizes is not torn over two pages."""

import re
from dataclasses import replace

from django.utils.html import strip_tags
from django.utils.safestring import SafeString

from catalogue.editions.sources import Source
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import WIDE_WORDING

# Words of so many letters take a quarter of a page in large print; longer ones may go on over the page.
LONGEST_WHOLE = 380

_ROWS = re.compile(r'<span class="rows">(.*?)</span>', re.DOTALL)
# A space before rows ends a line; the renderer may break the words before it a word too early.
_SPACE_BEFORE_ROWS = re.compile(r'\s+(?=<span class="rows">)')
_PARAGRAPH = re.compile(r"<p>(.*?)</p>", re.DOTALL)
# A number with others in brackets behind it.
_LIST = re.compile(r"[\d–] [(\[][\d–]")


def with_lines(sections: list[PrintedSection], source: Source) -> list[PrintedSection]:
    """Sections whose lines of rows and lists stay whole; in older wordings as they are."""
    if source.facts.pattern.wording <= WIDE_WORDING:
        return sections
    closed = _closed if source.is_for_one else lines_apart
    return [replace(one, steps=tuple(closed(step) for step in one.steps)) for one in sections]


def _closed(step: SafeString) -> SafeString:
    """A printed step without spaces before its rows."""
    return SafeString(_SPACE_BEFORE_ROWS.sub("", step))


def lines_apart(step: SafeString) -> SafeString:
    """A printed step with its lines of rows and words with lists in boxes of their own; all reads as before.

    >>> lines_apart(SafeString('<p>K 2 (3, 4).</p>'))
    '<p><span class="whole">K 2 (3, 4).</span></p>'
    >>> lines_apart(SafeString('<p><span class="rows">S: a.<br>M: b.</span></p>'))
    '<p><span class="rows"><span class="row">S: a.</span><span class="row">M: b.</span></span></p>'
    """
    return SafeString(_PARAGRAPH.sub(_in_boxes, _closed(step)))


def _in_boxes(found: re.Match[str]) -> str:
    """The words and the rows of one paragraph."""
    parts = _ROWS.split(found.group(1))
    boxes = (_rows(part) if at % 2 else _words(part) for at, part in enumerate(parts))
    return f"<p>{''.join(boxes)}</p>"


def _rows(lines: str) -> str:
    """Rows, each line in a box."""
    boxes = "".join(f'<span class="row">{line}</span>' for line in lines.split("<br>"))
    return f'<span class="rows">{boxes}</span>'


def _words(html: str) -> str:
    """Words between rows; those with a list over sizes stay whole unless they are long or half a phrase."""
    text = strip_tags(html)
    is_closed = html.count("<") == 2 * html.count("</")
    is_whole = is_closed and len(text) <= LONGEST_WHOLE and _LIST.search(text)
    return f'<span class="whole">{html}</span>' if is_whole else html
