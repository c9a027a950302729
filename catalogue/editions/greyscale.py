"""Greys for the print-saving edition: every colour becomes the grey that is as light."""

import re

_IN_STYLE = re.compile(r"#([0-9a-fA-F]{6})\b")
# In HTML only colours of drawings: escaped words can't hold the quotation mark.
_IN_DRAWING = re.compile(r'(?<=[ ]fill=")#([0-9a-fA-F]{6})(?=")|(?<=[ ]stroke=")#([0-9a-fA-F]{6})(?=")')


def greyed_style(css: str) -> str:
    """A style sheet without colours."""
    return _IN_STYLE.sub(_as_light_grey, css)


def greyed_drawings(html: str) -> str:
    """HTML whose drawings have no colours."""
    return _IN_DRAWING.sub(_as_light_grey, html)


def _as_light_grey(found: re.Match[str]) -> str:
    """The grey of the same luma (ITU-R BT.601)."""
    written = found.group(found.lastindex or 0)
    red, green, blue = (int(written[at : at + 2], 16) for at in (0, 2, 4))
    grey = round(0.299 * red + 0.587 * green + 0.114 * blue)
    return f"#{grey:02x}{grey:02x}{grey:02x}"
