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
