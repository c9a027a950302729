"""Lines of rows that stand each by itself: none is torn over two pages, as one size's line would be."""

import re
from dataclasses import replace

from django.utils.safestring import SafeString

from catalogue.editions.sources import Source
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import WIDE_WORDING

_ROWS = re.compile(r'<span class="rows">(.*?)</span>', re.DOTALL)


def with_lines(sections: list[PrintedSection], source: Source) -> list[PrintedSection]:
    """Sections whose lines of rows stand each by itself; in older wordings and for one maker as they are."""
    if source.facts.pattern.wording <= WIDE_WORDING or source.is_for_one:
        return sections
    return [replace(one, steps=tuple(lines_apart(step) for step in one.steps)) for one in sections]


def lines_apart(step: SafeString) -> SafeString:
    """A printed step with its lines of rows in boxes of their own; its words stay as they are.

    >>> lines_apart(SafeString('<span class="rows">S: a.<br>M: b.</span>'))
    '<span class="rows"><span class="row">S: a.</span><span class="row">M: b.</span></span>'
    """
    return SafeString(_ROWS.sub(_in_boxes, step))


def _in_boxes(found: re.Match[str]) -> str:
    """The lines of one block."""
    lines = "".join(f'<span class="row">{line}</span>' for line in found.group(1).split("<br>"))
    return f'<span class="rows">{lines}</span>'
