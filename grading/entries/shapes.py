"""Shapes of pieces: sides tied to lines of the sheet, from which corners, curves and measures follow."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from grading.sheets.documents import Document


@dataclass(frozen=True)
class Shape:
    """A shape: its sides, its corners from the hem up as formulas of them, curved edges, measured sides.

    `named` are the edges that something may be joined to, each from its first corner onward to its last.

    Corners count from 1; an edge leaves its first corner along the row and reaches its second upright.
    """

    key: str
    label: str
    sides: tuple[str, ...]
    corners: tuple[tuple[str, str], ...]
    edges: tuple[tuple[int, int], ...] = ()
    measured: tuple[tuple[str, int, int], ...] = ()
    named: tuple[tuple[str, int, int], ...] = ()


SIDES = {
    "width": ("Width", "Such as 50 cm, or a line. Of a measurement all round, take the half."),
    "height": ("Height", "From the hem to the highest edge, such as 60 cm."),
    "bottom": ("Width at the bottom", "Such as 24 cm."),
    "top": ("Width at the top", "Such as 38 cm."),
    "armhole": ("Depth of the armhole", "From underarm to shoulder, such as 20 cm."),
    "inset": ("Cut in at the underarm", "How far the armhole comes in at each side, such as 4 cm."),
    "neck": ("Width of the neck", "Of a half, its half; such as 18 cm."),
    "neck_depth": ("Depth of the neck", "Such as 8 cm; 0 cm for a straight back."),
    "cap": ("Height of the sleeve cap", "Such as 12 cm."),
    "cap_top": ("Width at the top of the cap", "Such as 10 cm."),
    "inner": ("Radius of the inner edge", "Such as 10 cm; 0 cm for a point."),
    "depth": ("Depth from the inner to the outer edge", "Such as 25 cm."),
}
_IN, _OUT = "{inner}", "{inner} + {depth}"

SHAPES = (
    Shape(
        "rectangle", "rectangle", ("width", "height"),
        (("0 cm", "0 cm"), ("{width}", "0 cm"), ("{width}", "{height}"), ("0 cm", "{height}")),
        measured=(("width", 1, 2), ("height", 4, 1)),
        named=(("bottom", 1, 2), ("side", 2, 3), ("top", 3, 4)),
    ),
    Shape(
        "trapezium", "trapezium, or a sleeve without a cap", ("bottom", "top", "height"),
        (("0 cm", "0 cm"), ("{bottom}", "0 cm"), ("({bottom} + {top}) / 2", "{height}"),
         ("({bottom} - {top}) / 2", "{height}")),
        measured=(("bottom", 1, 2), ("top", 4, 3)),
        named=(("bottom", 1, 2), ("side", 2, 3), ("top", 3, 4)),
    ),
    Shape(
        "body", "body with armholes and neck", ("width", "height", "armhole", "inset", "neck", "neck_depth"),
        (("0 cm", "0 cm"), ("{width}", "0 cm"), ("{width}", "{height} - {armhole}"),
         ("{width} - {inset}", "{height} - {armhole} + {inset}"), ("{width} - {inset}", "{height}"),
         ("({width} + {neck}) / 2", "{height}"), ("{width} / 2", "{height} - {neck_depth}"),
         ("({width} - {neck}) / 2", "{height}"), ("{inset}", "{height}"),
         ("{inset}", "{height} - {armhole} + {inset}"), ("0 cm", "{height} - {armhole}")),
        edges=((3, 4), (11, 10), (7, 6), (7, 8)),
        measured=(("width", 1, 2), ("neck", 8, 6), ("armhole", 3, 5), ("height", 8, 1)),
        named=(("hem", 1, 2), ("side", 2, 3), ("armhole", 3, 5), ("shoulder", 5, 6), ("neck", 6, 8)),
    ),
    Shape(
        "half", "half of a body, open at the front",
        ("width", "height", "armhole", "inset", "neck", "neck_depth"),
        (("0 cm", "0 cm"), ("{width}", "0 cm"), ("{width}", "{height} - {armhole}"),
         ("{width} - {inset}", "{height} - {armhole} + {inset}"), ("{width} - {inset}", "{height}"),
         ("{neck}", "{height}"), ("0 cm", "{height} - {neck_depth}")),
        edges=((3, 4), (7, 6)),
        measured=(("width", 1, 2), ("armhole", 3, 5), ("height", 6, 1)),
        named=(("hem", 1, 2), ("side", 2, 3), ("armhole", 3, 5), ("shoulder", 5, 6), ("neck", 6, 7),
               ("edge", 7, 1)),
    ),
    Shape(
        "sleeve", "sleeve with a cap", ("bottom", "top", "height", "cap", "cap_top"),
        (("({top} - {bottom}) / 2", "0 cm"), ("({top} + {bottom}) / 2", "0 cm"), ("{top}", "{height}"),
         ("({top} + {cap_top}) / 2", "{height} + {cap}"), ("({top} - {cap_top}) / 2", "{height} + {cap}"),
         ("0 cm", "{height}")),
        edges=((3, 4), (6, 5)),
        measured=(("bottom", 1, 2), ("top", 6, 3), ("height", 6, 1), ("cap_top", 5, 4)),
        named=(("wrist", 1, 2), ("side", 2, 3), ("cap", 3, 6)),
    ),
    Shape(
        "quarter", "quarter of a circle", ("inner", "depth"),
        ((_IN, "0 cm"), (_OUT, "0 cm"), ("0 cm", _OUT), ("0 cm", _IN)),
        edges=((3, 2), (4, 1)), measured=(("depth", 1, 2),), named=(("outer", 2, 3), ("inner", 4, 1)),
    ),
    Shape(
        "half_circle", "half of a circle", ("inner", "depth"),
        (("2 * {inner} + {depth}", "0 cm"), ("2 * {inner} + 2 * {depth}", "0 cm"), (_OUT, _OUT),
         ("0 cm", "0 cm"),
         ("{depth}", "0 cm"), (_OUT, _IN)),
        edges=((3, 2), (3, 4), (6, 1), (6, 5)), measured=(("depth", 1, 2),),
        named=(("outer", 2, 4), ("inner", 5, 1)),
    ),
)  # fmt: skip
BY_KEY = {shape.key: shape for shape in SHAPES}
_SIDE = re.compile(r"\{(\w+)\}")
# A side as it stands in a corner: a name, a length, or a formula in brackets.
_CONTENT = r"[a-z][a-z0-9_]*|[0-9.]+ ?[a-z]+|\([^()]*(?:\([^()]*\)[^()]*)*\)"
_ONE = re.compile(rf"(?:{_CONTENT})", re.ASCII)


def piece_of(shape: Shape, sides: Mapping[str, str], lengths: Sequence[str]) -> dict[str, Any]:
    """Return outline, curved edges and measurements of a shape; `lengths` are the names of lines."""
    filled = {key: text if _ONE.fullmatch(text) else f"({text})" for key, text in sides.items()}
    lines = [(_line_of(sides[key], lengths), start, end) for key, start, end in shape.measured]
    return {
        "outline": [[corner.format(**filled) for corner in pair] for pair in shape.corners],
        "curves": [{"from": start, "to": end} for start, end in shape.edges],
        "dimensions": [{"value": line, "from": start, "to": end} for line, start, end in lines if line],
    }


def sides_of(shape: Shape) -> list[dict[str, Any]]:
    """Return the sides of a shape that something may be joined to, as the file has them."""
    return [{"name": name, "from": start, "to": end} for name, start, end in shape.named]


def shape_of(piece: Mapping[str, Any]) -> tuple[str, dict[str, str]]:
    """Return the shape that a stored piece has, and its sides; ("", {}) for one drawn freely."""
    written = "\n".join(text for pair in piece["outline"] for text in pair)
    edges = [
        {"from": one["from"], "to": one["to"]} for one in piece.get("curves", ()) if isinstance(one, dict)
    ]
    for shape in SHAPES:
        if len(shape.corners) != len(piece["outline"]) or len(edges) != len(piece.get("curves", ())):
            continue
        found = _pattern_of(shape).fullmatch(written)
        if found and edges == [{"from": start, "to": end} for start, end in shape.edges]:
            sides = {key: _bare(text) for key, text in found.groupdict().items()}
            lengths = [one["value"] for one in piece.get("dimensions", ())]
            if piece_of(shape, sides, lengths)["dimensions"] == piece.get("dimensions", []):
                return shape.key, sides
    return "", {}


def worked_of(piece: Mapping[str, Any], fabric: str) -> str:
    """Return stitches × rows of a piece in a fabric as a formula: the area within its corners at the gauge.

    Source: derived (the area of a polygon from its corners).
    """
    corners = [(_in_brackets(across), _in_brackets(up)) for across, up in piece["outline"]]
    following = [*corners[1:], corners[0]]
    terms = [
        f"{sign} {one} * {other}"
        for (x, y), (next_x, next_y) in zip(corners, following, strict=True)
        for sign, one, other in (("+", x, next_y), ("-", next_x, y))
        if not {"0 cm", "0 in", "0"} & {one, other}
    ]
    area = " ".join(terms).removeprefix("+ ")
    return f"({area}) / 2 * {fabric}.stitches * {fabric}.rows"


def proposals(document: Document) -> list[dict[str, str]]:
    """Return parts whose yarn may be counted: each piece that no part is named after, in each fabric."""
    known = {str(one["name"]) for one in document.get("yarn_sections", [])}
    return [
        {"piece": piece["name"], "label": piece["label"], "fabric": fabric, "fabric_label": entry["label"]}
        for piece in document.get("pieces", [])
        if piece["label"] not in known
        for fabric, entry in document.get("fabrics", {}).items()
    ]


def proposed_part(document: Document, piece: str, fabric: str) -> dict[str, Any]:
    """Return what a form of a yarn part begins with: a piece in a fabric, all in the first colour."""
    for one in document.get("pieces", []):
        if one["name"] == piece and fabric in document.get("fabrics", {}):
            colour = next((yarn["colour"] for yarn in document.get("yarns", [])), "")
            ticked = [
                f"{option}={choice}"
                for option, chosen in one.get("when", {}).items()
                for choice in ([chosen] if isinstance(chosen, str) else chosen)
            ]
            return {"name": one["label"], "fabric": fabric, "worked": worked_of(one, fabric),
                    "colour": colour, "when": ticked}  # fmt: skip
    return {}


def _pattern_of(shape: Shape) -> re.Pattern[str]:
    """What the corners of a shape look like, with its sides as groups."""
    seen: set[str] = set()

    def group(found: re.Match[str]) -> str:
        side = found[1]
        first = side not in seen
        seen.add(side)
        return f"(?P<{side}>{_CONTENT})" if first else f"(?P={side})"

    escaped = re.escape("\n".join(text for pair in shape.corners for text in pair))
    return re.compile(_SIDE.sub(group, escaped.replace(r"\{", "{").replace(r"\}", "}")), re.ASCII)


def _line_of(side: str, lengths: Sequence[str]) -> str:
    """The line that a side bears: its own, or the one of which it is the half."""
    name = side.removesuffix("/ 2").strip("() ")
    return name if name in lengths else ""


def _bare(text: str) -> str:
    """A side without the brackets that it got in a corner."""
    return text[1:-1] if text.startswith("(") else text


def _in_brackets(text: str) -> str:
    """A corner's formula as a factor."""
    return text if _ONE.fullmatch(text) else f"({text})"
