"""Pictures of things made of cloth: layers over each other, arms hanging, light from the upper left."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from catalogue.site.demo_cloth import Cloth, Numbers, coloured

WIDE, HIGH = 1280, 960
AROUND_PX = 40
GROUND = (231, 226, 215)
SHADE = (70, 62, 54)
STEP_MM, SOFT_MM = 8.0, 60.0
# How dark a layer makes those below it, and its own cloth towards its edge.
CAST, ROUNDED = 0.5, 0.34
FOLDS = 0.045

Points = NDArray[np.floating[Any]]
Own = Callable[[Points, Points], tuple[Points, Points]]


@dataclass(frozen=True)
class Arms:
    """How arms hang: beyond so many mm from the middle all slopes down, and keeps its length."""

    from_mm: float = 1e6
    slope: float = 0.0

    @property
    def _share(self) -> float:
        """What is left across of a length that slopes."""
        return float(1 / np.hypot(1, self.slope))

    def hung(self, points: Points) -> Points:
        """Points of what lies straight, as they hang."""
        beyond = np.maximum(np.abs(points[:, 0]) - self.from_mm, 0)
        x = np.minimum(np.abs(points[:, 0]), self.from_mm) + beyond * self._share
        return np.column_stack([np.sign(points[:, 0]) * x, points[:, 1] - self._drop(beyond)])

    def straight(self, x: Points, y: Points) -> tuple[Points, Points]:
        """Points as they hang, laid straight again."""
        beyond = np.maximum(np.abs(x) - self.from_mm, 0) / self._share
        return np.sign(x) * (np.minimum(np.abs(x), self.from_mm) + beyond), y + self._drop(beyond)

    def _drop(self, beyond: Points) -> Points:
        """How far down, beginning softly."""
        return np.asarray((np.hypot(beyond, SOFT_MM) - SOFT_MM) * self.slope * self._share)


@dataclass(frozen=True)
class Layer:
    """A piece of a scene: its edge or, with a breadth, its middle line; its own mm, cloth and light."""

    edge: Points
    own: Own
    cloth: Cloth
    lit: float = 1.0
    broad_mm: float = 0.0


@dataclass(frozen=True)
class Scene:
    """Layers from the hindmost to the foremost in mm, y upwards; buttons as x, y and radius."""

    layers: list[Layer]
    arms: Arms = Arms()
    soft_mm: float = 5.0
    round_px: int = 70
    buttons: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class _View:
    """Where the scene lies in the picture."""

    left: float
    top: float
    scale: float

    def pixels(self, points: Points) -> Points:
        """Points of the scene in the picture."""
        return np.asarray(np.column_stack([points[:, 0] - self.left, self.top - points[:, 1]]) * self.scale)

    def millimetres(self, box: tuple[int, int, int, int]) -> tuple[Points, Points]:
        """The points of a part of the picture in the scene."""
        x = (np.arange(box[0], box[2], dtype=np.float32) + 0.5) / np.float32(self.scale) + np.float32(
            self.left
        )
        y = np.float32(self.top) - (np.arange(box[1], box[3], dtype=np.float32) + 0.5) / np.float32(
            self.scale
        )
        across, up = np.meshgrid(x, y)
        return across, up


def photographed(scene: Scene) -> Image.Image:
    """The scene on a quiet ground."""
    hung = [
        scene.arms.hung(_close_points(layer.edge, is_closed=not layer.broad_mm)) for layer in scene.layers
    ]
    view = _view(np.concatenate(hung), scene.round_px)
    picture = _ground()
    for layer, edge in zip(scene.layers, hung, strict=True):
        _paint(picture, scene, layer, view.pixels(edge), view)
    for x, y, radius in scene.buttons:
        ((across, down),) = view.pixels(scene.arms.hung(np.array([[x, y]], np.float32)))
        _sew(picture, (float(across), float(down)), radius * view.scale)
    return picture


def _close_points(edge: Points, *, is_closed: bool) -> Points:
    """A line with points so close that it can be bent."""
    corners = np.concatenate([edge, edge[:1]]) if is_closed else edge
    found = [corners[:1]]
    for start, end in pairwise(corners):
        count = max(int(np.hypot(*(end - start)) / STEP_MM), 1)
        found.append(start + np.arange(1, count + 1)[:, None] / count * (end - start))
    return np.concatenate(found)


def _view(points: Points, round_px: int) -> _View:
    """As large as the picture allows, in its middle."""
    low, high = points.min(axis=0), points.max(axis=0)
    scale = float(min((WIDE - 2 * round_px) / (high - low)[0], (HIGH - 2 * round_px) / (high - low)[1]))
    middle = (low + high) / 2
    return _View(float(middle[0] - WIDE / 2 / scale), float(middle[1] + HIGH / 2 / scale), scale)


def _ground() -> Image.Image:
    """A quiet ground, lighter where the light comes from."""
    y, x = np.mgrid[0:HIGH, 0:WIDE].astype(np.float32)
    light = 1.03 - 0.12 * np.hypot((x - 0.35 * WIDE) / WIDE, (y - 0.25 * HIGH) / HIGH)
    light += np.random.default_rng(3).normal(0, 0.006, (HIGH, WIDE)).astype(np.float32)
    return Image.fromarray(np.clip(light[..., None] * np.array(GROUND, np.float32), 0, 255).astype(np.uint8))


def _paint(picture: Image.Image, scene: Scene, layer: Layer, edge: Points, view: _View) -> None:
    """Lay a layer down: its shadow, then its cloth, rounder and darker towards its edge."""
    box = _box_of(edge)
    if box[0] >= box[2] or box[1] >= box[3]:
        return
    mask = _mask(
        layer,
        edge - np.array(box[:2]),
        (box[2] - box[0], box[3] - box[1]),
        scene.soft_mm * view.scale,
        view.scale,
    )
    shadow = mask.filter(ImageFilter.GaussianBlur(8)).point([round(level * CAST) for level in range(256)])
    picture.paste(SHADE, (box[0] + 4, box[1] + 6), mask=shadow)
    x, y = scene.arms.straight(*view.millimetres(box))
    cloth = coloured(layer.cloth, *layer.own(x, y))
    near = np.asarray(mask.filter(ImageFilter.GaussianBlur(12)), dtype=np.float32) / 255
    light = layer.lit * (1 - ROUNDED * (1 - np.clip(2 * near - 1, 0, 1)) ** 1.5) * _folds(x, y)
    lit = np.clip(cloth * light[..., None], 0, 255).astype(np.uint8)
    picture.paste(Image.fromarray(lit), box[:2], mask=mask)


def _box_of(edge: Points) -> tuple[int, int, int, int]:
    """The part of the picture that an edge and the light around it need."""
    low, high = (
        np.floor(edge.min(axis=0)).astype(int) - AROUND_PX,
        np.ceil(edge.max(axis=0)).astype(int) + AROUND_PX,
    )
    return max(int(low[0]), 0), max(int(low[1]), 0), min(int(high[0]), WIDE), min(int(high[1]), HIGH)


def _mask(layer: Layer, edge: Points, size: tuple[int, int], soft: float, scale: float) -> Image.Image:
    """Where a layer lies, 0 to 255, its corners softened."""
    mask = Image.new("L", size, 0)
    draw = ImageDraw.Draw(mask)
    line = [(float(x), float(y)) for x, y in edge]
    if layer.broad_mm:
        draw.line(line, fill=255, width=max(round(layer.broad_mm * scale), 1), joint="curve")
        soft = 2.0
    else:
        draw.polygon(line, fill=255)
    blurred = mask.filter(ImageFilter.GaussianBlur(max(soft, 1)))
    sharp = max(soft, 1)
    return blurred.point([round(min(max((level - 127.5) * sharp + 127.5, 0), 255)) for level in range(256)])


def _folds(x: Points, y: Points) -> Numbers:
    """How light soft folds are: long waves, none of them straight."""
    bent = x + 0.25 * y + 30 * np.sin(y / 130)
    waves = np.sin(bent / 57) + 0.6 * np.sin(bent / 31 + y / 210) + 0.5 * np.sin((x - y) / 143)
    return np.asarray(1.06 + FOLDS * waves, dtype=np.float32)


def _sew(picture: Image.Image, at: tuple[float, float], radius: float) -> None:
    """A button of wood with two holes."""
    draw = ImageDraw.Draw(picture)
    x, y = at
    draw.ellipse([x - radius + 2, y - radius + 3, x + radius + 2, y + radius + 3], fill=SHADE)
    draw.ellipse(
        [x - radius, y - radius, x + radius, y + radius], fill=(158, 120, 82), outline=(120, 88, 58), width=2
    )
    hole = radius / 5
    for across in (-radius / 3, radius / 3):
        draw.ellipse([x + across - hole, y - hole, x + across + hole, y + hole], fill=(70, 50, 34))
