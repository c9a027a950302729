"""Drawings as files of their own: a page with hundreds of their parts in it takes longer to lay out.

In a page every part of a drawing is matched against all styles, though its own attributes alone dress it.
"""

import re
from collections.abc import Callable

from catalogue.editions.ingredients import OWN

_DRAWING = re.compile(r"<svg .*?</svg>", re.DOTALL)
_TITLE = re.compile(r"<title>(.*?)</title>", re.DOTALL)


def loose_drawings(html: str) -> tuple[str, dict[str, Callable[[], bytes]]]:
    """A page whose drawings are pictures with their titles as alternative texts, and the files of these."""
    files: dict[str, Callable[[], bytes]] = {}

    def picture(found: re.Match[str]) -> str:
        drawing = found[0]
        title = _TITLE.search(drawing)
        address = f"{OWN}drawing/{len(files)}.svg"
        files[address] = drawing.encode
        return f'<img src="{address}" alt="{title[1] if title else ""}">'

    return _DRAWING.sub(picture, html), files
