"""Joined edges of a pattern file, measured and compared size by size."""

import math
import re
from fractions import Fraction
from functools import partial

from tests.grading.oracle.arithmetic import TOLERANCE, NoResultError, evaluate
from tests.grading.oracle.formulas import LENGTH, STITCH, FormulaError, literal
from tests.grading.oracle.sheet import quarter_ellipse
from tests.grading.oracle.yarn import unresolved


def notice_joins(sheet):
    """Find edges that cannot be measured, don't fit, or are picked up at a rate that suits no gauge."""
    for join in sheet.pattern.get("joins", []):
        where = f"joins.{join['name']}"
        if unresolved(sheet, join.get("when", {})):
            sheet.find(where, None, "stop")
        for edge in [*join["edges"], *join["onto"]]:
            if not is_known(sheet, edge):
                sheet.find(where, None, "stop")
        for size in range(len(sheet.sizes)):
            first, second = (
                together(sheet, edges, size) if all(is_known(sheet, one) for one in edges) else None
                for edges in (join["edges"], join["onto"])
            )
            if first is not None and second is not None and misfits(sheet, join, first, second):
                sheet.find(where, size, "warn")
        for edge in [*join["edges"], *join["onto"]]:
            if not suits_gauges(sheet, edge):
                sheet.find(where, None, "warn")


def is_known(sheet, edge):
    """Whether an edge is a side, a length, or stitches whose fabric is known."""
    owner, _, side = edge["edge"].rpartition(".")
    if owner:
        piece = [one for one in sheet.pattern.get("pieces", []) if one["name"] == owner]
        return bool(piece) and side in {one["name"] for one in piece[0].get("sides", [])}
    dimension = sheet.known.get(edge["edge"])
    return dimension == LENGTH or (dimension == STITCH and fabric_of(sheet, edge) in sheet.fabrics)


def fabric_of(sheet, edge):
    """The fabric that is worked on an edge of stitches."""
    return edge.get("fabric") or sheet.pick_ups.get(edge["edge"], {}).get("fabric")


def together(sheet, edges, size):
    """The length of all edges on one side of a join; None where one has none."""
    lengths = [(edge.get("times", 1), length_of(sheet, edge, size)) for edge in edges]
    return (
        None if any(one is None for _, one in lengths) else sum(times * float(one) for times, one in lengths)
    )


def length_of(sheet, edge, size):
    """The length of one edge in mm."""
    owner, _, name = edge["edge"].rpartition(".")
    if not owner:
        number = sheet.look_up(edge["edge"], size)
        if number is None or sheet.known[edge["edge"]] == LENGTH:
            return number
        return number / sheet.fabric_number(fabric_of(sheet, edge), "stitches")
    piece = next(one for one in sheet.pattern["pieces"] if one["name"] == owner)
    side = next(one for one in piece["sides"] if one["name"] == name)
    corners = [corner(sheet, pair, size) for pair in piece["outline"]]
    if any(None in pair for pair in corners):
        return None
    shapes = {curve["name"]: curve["shape"] for curve in sheet.pattern.get("curves", [])}
    bent = {
        frozenset((one["from"], one["to"])): shapes.get(one.get("curve"), "quarter ellipse")
        for one in piece.get("curves", [])
    }
    length, at = 0.0, side["from"]
    while at != side["to"]:
        onward = at % len(corners) + 1
        (x, y), (to_x, to_y) = corners[at - 1], corners[onward - 1]
        across, up = abs(float(to_x - x)), abs(float(to_y - y))
        is_round = bent.get(frozenset((at, onward))) == "quarter ellipse"
        length += quarter_ellipse(across, up) if is_round else math.hypot(across, up)
        at = onward
    return length


def corner(sheet, pair, size):
    """A corner in mm."""
    found = []
    for text in pair:
        try:
            node = sheet.read_formula(text, LENGTH)
            found.append(evaluate(node, partial(sheet.look_up, size=size)))
        except (FormulaError, NoResultError):
            found.append(None)
    return found


def misfits(sheet, join, first, second):
    """Whether two lengths differ by more than the tolerance, or miss a wanted ease by more than a row."""
    least, most = (float(literal(end)[0]) for end in join.get("ease", ["0 cm", "0 cm"]))
    tolerance = float(literal(join.get("tolerance", "5 %"))[0])
    wanted = min(max(first - second, least), most)
    allowed = tolerance * abs(second)
    if least or most:
        allowed = min(allowed, max(float(1 / sheet.fabric_number(one, "rows")) for one in sheet.fabrics))
    is_short = least > 0 and first < second - 1e-6
    return is_short or abs(first - second - wanted) > allowed + 1e-6


def suits_gauges(sheet, edge):
    """Whether a pick-up's rate lies within 8 % of what the gauges of its fabrics ask for."""
    pick_up = sheet.pick_ups.get(edge["edge"])
    worked = fabric_of(sheet, edge)
    if pick_up is None or worked not in sheet.fabrics:
        return True
    part = "rows" if pick_up["along"] == "row ends" else "stitches"
    along = {name for name in named_from(sheet, pick_up["count"], set()) if name.endswith(f".{part}")}
    along = {name.partition(".")[0] for name in along}
    if len(along) != 1 or (part == "stitches" and along == {worked}):
        return True
    p, q = (int(number) for number in pick_up["ratio"].split("per"))
    asked = sheet.fabric_number(worked, "stitches") / sheet.fabric_number(along.pop(), part)
    return abs(Fraction(p, q) / asked - 1) <= Fraction(8, 100) + TOLERANCE


def named_from(sheet, name, seen):
    """A name and all that its formula names, however far."""
    if name in seen:
        return set()
    seen.add(name)
    formula = sheet.values.get(name, {}).get("formula")
    if formula is None:
        return {name}
    return {name}.union(
        *(named_from(sheet, one, seen) for one in re.findall(r"[a-z][a-z0-9_]*(?:\.[a-z]+)?", formula))
    )
