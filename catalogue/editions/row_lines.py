"""Lines of rows and lists of numbers that stay whole: a list over sizes is not torn over two pages."""

import re
from dataclasses import replace

from django.utils.html import strip_tags
from django.utils.safestring import SafeString

from catalogue.editions.sources import Source
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import WIDE_WORDING

# So many letters take a quarter of a page in large print, where longer words have a line for each sentence.
LONGEST_WHOLE = 380

_ROWS = re.compile(r'<span class="rows">(.*?)</span>', re.DOTALL)
# A space before rows ends a line; the renderer may break the words before it a word too early.
_SPACE_BEFORE_ROWS = re.compile(r'\s+(?=<span class="rows">)')
# A count that the rows lead to, or a short sentence about it.
_COUNT_AFTER_ROWS = re.compile(
    r'(<span class="rows">[^<]*(?:<br>[^<]*)*</span>)\s*(\([^<]*|[^<\s][^<]{0,119})(?=</p>)'
)
_PARAGRAPH = re.compile(r"<p>(.*?)</p>", re.DOTALL)
# A number with others in brackets behind it.
_LIST = re.compile(r"[\d–] [(\[][\d–]")
# What a line of rows is for: sizes, or the rows themselves.
_LINE_HEAD = re.compile(r"[^:<>.]{1,32}:(?= )")
_SENTENCE_END = re.compile(r"(?<=[.)]) (?=[A-Z])")


def with_lines(sections: list[PrintedSection], source: Source) -> list[PrintedSection]:
    """Sections whose lines of rows and lists stay whole; in older wordings as they are."""
    if source.facts.pattern.wording <= WIDE_WORDING:
        return sections
    closed = counts_kept if source.is_for_one else sentences_apart if source.is_large else lines_apart
    return [replace(one, steps=tuple(closed(step) for step in one.steps)) for one in sections]


def _closed(step: SafeString) -> SafeString:
    """A printed step without spaces before its rows."""
    return SafeString(_SPACE_BEFORE_ROWS.sub("", step))


def counts_kept(step: SafeString) -> SafeString:
    """A printed step of one size with the count or short words behind its rows in a box that begins no page.

    >>> counts_kept(SafeString('<p>So: <span class="rows">Row 1: a.<br>Row 2: b.</span> (9 sts)</p>'))
    '<p>So:<span class="rows">Row 1: a.<br>Row 2: b.</span><span class="whole">(9 sts)</span></p>'
    >>> counts_kept(SafeString('<p><span class="rows">Row 1: a.</span> Fasten off.</p>'))
    '<p><span class="rows">Row 1: a.</span><span class="whole">Fasten off.</span></p>'
    """
    return SafeString(_COUNT_AFTER_ROWS.sub(r'\1<span class="whole">\2</span>', _closed(step)))


def lines_apart(step: SafeString) -> SafeString:
    """A printed step with its lines of rows and words with lists in boxes of their own; all reads as before.

    >>> lines_apart(SafeString('<p>K 2 (3, 4).</p>'))
    '<p><span class="whole">K 2 (3, 4).</span></p>'
    >>> print(lines_apart(SafeString('<p><span class="rows">S: a.<br>b.</span></p>'))[22:])
    <span class="row"><strong>S:</strong> a.</span><span class="row">b.</span></span></p>
    """
    return SafeString(_PARAGRAPH.sub(_in_boxes, _closed(step)))


def sentences_apart(step: SafeString) -> SafeString:
    """The same for large print, where long words have a line for each sentence.

    >>> words = f"K 2 (3, 4). Purl {'x' * LONGEST_WHOLE}."
    >>> print(sentences_apart(SafeString(f"<p>{words}</p>"))[:60])
    <p><span class="whole">K 2 (3, 4).</span> <span class="whole
    """
    return SafeString(_PARAGRAPH.sub(lambda found: _in_boxes(found, by_sentence=True), _closed(step)))


def _in_boxes(found: re.Match[str], *, by_sentence: bool = False) -> str:
    """The words and the rows of one paragraph."""
    parts = _ROWS.split(found.group(1))
    words = _sentences if by_sentence else _words
    boxes = (_rows(part) if at % 2 else words(part) for at, part in enumerate(parts))
    return f"<p>{''.join(boxes)}</p>"


def _rows(lines: str) -> str:
    """Rows, each line in a box."""
    boxes = "".join(f'<span class="row">{_headed(line)}</span>' for line in lines.split("<br>"))
    return f'<span class="rows">{boxes}</span>'


def _headed(line: str) -> str:
    """A line with its head in bold type."""
    head = _LINE_HEAD.match(line)
    return f"<strong>{head[0]}</strong>{line[head.end() :]}" if head else line


def _words(html: str) -> str:
    """Words between rows; a list over sizes or a count stays whole unless it is long or half a phrase."""
    text = strip_tags(html)
    has_numbers = _LIST.search(text) or text.lstrip().startswith("(")
    is_whole = len(text) <= LONGEST_WHOLE and has_numbers and _is_closed(html)
    return _whole(html) if is_whole else html


def _sentences(html: str) -> str:
    """The same; long words with a list have each sentence whole, unless one begins within a phrase."""
    text, sentences = strip_tags(html), _SENTENCE_END.split(html)
    if len(text) <= LONGEST_WHOLE or not _LIST.search(text) or not all(map(_is_closed, sentences)):
        return _words(html)
    return " ".join(map(_whole, sentences))


def _whole(html: str) -> str:
    """Words in a box that is not torn."""
    return f'<span class="whole">{html}</span>'


def _is_closed(html: str) -> bool:
    """Whether all that begins in it ends in it."""
    return html.count("<") == 2 * html.count("</")
