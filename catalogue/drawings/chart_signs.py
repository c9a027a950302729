"""Signs of stitch charts as lines of our own, in a cell of one by one; wide ones have cells side by side.

Source: the Craft Yarn Council's published lists of crochet and of knit chart symbols, from memory. What each
sign is for stands in `grading.core.stitch_patterns.symbols`.
"""

from collections.abc import Callable
from dataclasses import dataclass

from catalogue.drawings.nests import LETTER_WIDTH

Point = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """A line through points, an oval (`kind` oval), or a bow of one cubic curve (`kind` bow)."""

    kind: str
    points: tuple[Point, ...]
    is_filled: bool = False


def line(*points: Point) -> Stroke:
    """A line from point to point."""
    return Stroke("line", points)


def oval(x: float, y: float, across: float, down: float, *, is_filled: bool = False) -> Stroke:
    """An oval around a point."""
    return Stroke("oval", ((x, y), (across, down)), is_filled)


def bow(*points: Point) -> Stroke:
    """A cubic curve."""
    return Stroke("bow", points)


def dot(x: float = 0.5, y: float = 0.5, size: float = 0.13) -> Stroke:
    """A filled dot."""
    return oval(x, y, size, size, is_filled=True)


_UP = line((0.22, 0.8), (0.78, 0.2))
_DOWN = line((0.22, 0.2), (0.78, 0.8))
_TWISTED = bow((0.24, 0.82), (0.98, 0.1), (0.02, 0.1), (0.76, 0.82))
_M = line((0.22, 0.8), (0.22, 0.2), (0.5, 0.6), (0.78, 0.2), (0.78, 0.8))
_V = line((0.2, 0.22), (0.5, 0.78), (0.8, 0.22))
_CROSS = (line((0.28, 0.3), (0.72, 0.72)), line((0.28, 0.72), (0.72, 0.3)))

_KNITTING: dict[str, tuple[Stroke, ...]] = {
    "knit": (),
    "purl": (dot(),),
    "yarn_over": (oval(0.5, 0.5, 0.27, 0.27),),
    "k2tog": (_UP,),
    "p2tog": (_UP, dot(0.74, 0.72, 0.09)),
    "ssk": (_DOWN,),
    "ssp": (_DOWN, dot(0.26, 0.72, 0.09)),
    "k3tog": (_UP, line((0.5, 0.5), (0.5, 0.84))),
    "sssk": (_DOWN, line((0.5, 0.5), (0.5, 0.84))),
    "centred_decrease": (line((0.18, 0.82), (0.5, 0.2), (0.82, 0.82)), line((0.5, 0.2), (0.5, 0.82))),
    "knit_through_back": (_TWISTED,),
    "purl_through_back": (_TWISTED, line((0.24, 0.92), (0.76, 0.92))),
    "make_one": (_M,),
    "make_one_purl": (_M, dot(0.5, 0.9, 0.07)),
    "make_one_left": (line((0.62, 0.82), (0.62, 0.2)), line((0.62, 0.55), (0.26, 0.2))),
    "make_one_right": (line((0.38, 0.82), (0.38, 0.2)), line((0.38, 0.55), (0.74, 0.2))),
    "slip": (_V,),
    "slip_yarn_in_front": (_V, line((0.2, 0.88), (0.8, 0.88))),
}


def _stem(top: Point, foot: Point, slashes: int, *, bar: bool = True) -> tuple[Stroke, ...]:
    """A tall stitch: its stem, the bar on it, and a slash for each yarn over."""
    (x, y), (foot_x, foot_y) = top, foot
    strokes = [line(top, foot)]
    if bar:
        strokes.append(line((x - 0.26, y), (x + 0.26, y)))
    for number in range(slashes):
        share = 0.4 if slashes == 1 else 0.28 + 0.2 * number
        at_x, at_y = x + (foot_x - x) * share, y + (foot_y - y) * share
        strokes.append(line((at_x - 0.17, at_y + 0.09), (at_x + 0.17, at_y - 0.09)))
    return tuple(strokes)


def _together(legs: int, slashes: int) -> tuple[Stroke, ...]:
    """Stitches that end in one: legs that meet under one bar, or under a cross where they have no slash."""
    feet = [0.2, 0.8] if legs == 2 else [0.14, 0.5, 0.86]
    strokes = [one for foot in feet for one in _stem((0.5, 0.16), (foot, 0.9), slashes, bar=False)]
    if slashes:
        return (*strokes, line((0.26, 0.16), (0.74, 0.16)))
    ticks = [line(((x + 0.5) / 2 - 0.1, 0.53), ((x + 0.5) / 2 + 0.1, 0.53)) for x in feet]
    return (*strokes, *ticks)


def _closed() -> tuple[Stroke, ...]:
    """Stitches in one place that are closed at top and foot."""
    return tuple(
        bow((0.5, 0.16), (0.5 + bulge, 0.35), (0.5 + bulge, 0.7), (0.5, 0.92)) for bulge in (-0.42, 0.0, 0.42)
    )


_TALL = {"half_double": 0, "double": 1, "treble": 2, "double_treble": 3}
_CROCHET: dict[str, tuple[Stroke, ...]] = {
    "chain": (oval(0.5, 0.5, 0.34, 0.17),),
    "slip_stitch": (oval(0.5, 0.5, 0.2, 0.1, is_filled=True),),
    "single": _CROSS,
    **{name: _stem((0.5, 0.12), (0.5, 0.9), slashes) for name, slashes in _TALL.items()},
    "sc2tog": _together(2, 0),
    "sc3tog": _together(3, 0),
    "dc2tog": _together(2, 1),
    "dc3tog": _together(3, 1),
    "front_post_double": (
        *_stem((0.5, 0.12), (0.5, 0.72), 1),
        bow((0.5, 0.72), (0.5, 0.96), (0.84, 0.98), (0.84, 0.74)),
    ),
    "back_post_double": (
        *_stem((0.5, 0.12), (0.5, 0.72), 1),
        bow((0.5, 0.72), (0.5, 0.96), (0.16, 0.98), (0.16, 0.74)),
    ),
    "back_loop_single": (*_CROSS, bow((0.26, 0.95), (0.38, 0.78), (0.62, 0.78), (0.74, 0.95))),
    "front_loop_single": (*_CROSS, bow((0.26, 0.82), (0.38, 0.99), (0.62, 0.99), (0.74, 0.82))),
    "back_loop_double": (
        *_stem((0.5, 0.1), (0.5, 0.8), 1),
        bow((0.26, 0.97), (0.38, 0.8), (0.62, 0.8), (0.74, 0.97)),
    ),
    "front_loop_double": (
        *_stem((0.5, 0.1), (0.5, 0.8), 1),
        bow((0.26, 0.84), (0.38, 1.01), (0.62, 1.01), (0.74, 0.84)),
    ),
    "bobble": _closed(),
    "popcorn": (
        *_closed(),
        line((0.3, 0.6), (0.7, 0.46)),
        oval(0.5, 0.12, 0.2, 0.07),
    ),
    "picot": (oval(0.32, 0.62, 0.15, 0.1), oval(0.5, 0.36, 0.15, 0.1), oval(0.68, 0.62, 0.15, 0.1)),
}


def _crossed(width: int) -> tuple[Stroke, ...]:
    """A cable whose front stitches lean to the left, over so many cells."""
    half = width / 2
    front = [line((half, 0.92), (0.08, 0.08)), line((width - 0.08, 0.92), (half, 0.08))]
    back = [line((0.08, 0.92), (half / 2, 0.54)), line((width - half / 2, 0.46), (width - 0.08, 0.08))]
    return (*front, *back)


_WIDE: dict[str, Callable[[int], tuple[Stroke, ...]]] = {
    "cross_left": _crossed,
    "cross_right": lambda width: tuple(flipped(stroke, width) for stroke in _crossed(width)),
}
DRAWN = frozenset({*_KNITTING, *_CROCHET, *_WIDE, "no_stitch"})


def strokes_of(sign: str, width: int = 1) -> tuple[Stroke, ...]:
    """The lines of a sign, none for an empty cell; a stitch wider than its sign has it in its middle."""
    if sign in _WIDE:
        return _WIDE[sign](width)
    strokes = {**_KNITTING, **_CROCHET}.get(sign, ())
    return tuple(moved(stroke, (width - 1) / 2) for stroke in strokes)


def fan_of(signs: tuple[str, ...]) -> tuple[Stroke, ...]:
    """Several stitches in one place: each in its cell, their feet together in the middle."""
    foot = (len(signs) / 2, 0.95)
    strokes: list[Stroke] = []
    for place, sign in enumerate(signs):
        x = place + 0.5
        if sign in _TALL:
            strokes += _stem((x, 0.12 + 0.05 * abs(x - foot[0]) / len(signs)), foot, _TALL[sign])
        elif sign == "chain":
            strokes.append(oval(x, 0.16, 0.3, 0.12))
        else:
            strokes += [line((x, 0.74), foot), *(moved(one, place) for one in strokes_of(sign))]
    return tuple(strokes)


def chains_of(number: int) -> tuple[Stroke, ...]:
    """So many chains on one another, four at most being told apart."""
    shown = min(number, 4)
    return tuple(oval(0.5, (place + 0.5) / shown, 0.17, 0.42 / shown) for place in range(shown))


def moved(stroke: Stroke, across: float) -> Stroke:
    """A stroke further to the right."""
    points = stroke.points[:1] if stroke.kind == "oval" else stroke.points
    rest = stroke.points[len(points) :]
    return Stroke(stroke.kind, (*((x + across, y) for x, y in points), *rest), stroke.is_filled)


def flipped(stroke: Stroke, width: int) -> Stroke:
    """A stroke as a mirror shows it."""
    points = stroke.points[:1] if stroke.kind == "oval" else stroke.points
    rest = stroke.points[len(points) :]
    return Stroke(stroke.kind, (*((width - x, y) for x, y in points), *rest), stroke.is_filled)


def path_of(stroke: Stroke, at: Point, cell: Point) -> str:
    """A stroke as the data of an SVG path, its cell's corner at a point, in mm."""
    (left, top), (wide, high) = at, cell
    if stroke.kind == "oval":
        (x, y), (across, down) = stroke.points
        x, y, across, down = left + x * wide, top + y * high, across * wide, down * high
        return (
            f"M{x - across:.2f} {y:.2f}a{across:.2f} {down:.2f} 0 1 0 {2 * across:.2f} 0"
            f"a{across:.2f} {down:.2f} 0 1 0 {-2 * across:.2f} 0Z"
        )
    points = [f"{left + x * wide:.2f} {top + y * high:.2f}" for x, y in stroke.points]
    return f"M{points[0]}C{' '.join(points[1:])}" if stroke.kind == "bow" else f"M{'L'.join(points)}"


def fitting_type(text: str, wide: float, high: float) -> float:
    """The height of type in which an abbreviation fits a cell, in mm."""
    return min(high * 0.62, wide / width_of_type(max(1, len(text)), 1.0))


def width_of_type(letters: int, type_mm: float) -> float:
    """How wide a cell must be for so many letters, in mm."""
    return letters * type_mm * LETTER_WIDTH * 1.08
