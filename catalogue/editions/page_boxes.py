"""The pages as the renderer laid them out: what is used of its private parts, all of it.

A new release may change these without a word; tests/site/test_private_parts.py then says so.
"""

from collections.abc import Sequence

import weasyprint
from weasyprint.formatting_structure import boxes


def laid_out_words(pages: Sequence[weasyprint.Page]) -> str:
    """The text of all pages as laid out, without the margins; lines stand apart."""
    return "\n".join(
        box.text
        for page in pages
        for box in page._page_box.children[0].descendants()  # noqa: SLF001 no other way to the laid-out text
        if isinstance(box, boxes.TextBox)
    )


def page_fills(pages: Sequence[weasyprint.Page]) -> tuple[float, ...]:
    """How far down each page is filled: the foot of its lowest word or picture, as a share of its room."""
    return tuple(_fill(page._page_box) for page in pages)  # noqa: SLF001 no other way to what is laid out


def _fill(page: boxes.PageBox) -> float:
    """The share of one page, from the head of its room to the lowest ink in it."""
    top, room = float(page.content_box_y()), float(page.height)
    inked = (
        float(box.position_y + box.margin_height())
        for box in page.children[0].descendants()
        if isinstance(box, boxes.TextBox | boxes.ReplacedBox)
    )
    return (max(inked, default=top) - top) / room
