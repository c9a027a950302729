"""Colours of yarn shades: lightness, difference, contrast, and how colour-blind eyes see them."""

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Triple = NDArray[np.float64]

# IEC 61966-2-1 (sRGB), linear RGB to XYZ, white D65.
_TO_XYZ = np.array(
    [
        [0.4123907993, 0.3575843394, 0.1804807884],
        [0.2126390059, 0.7151686788, 0.0721923154],
        [0.0193308187, 0.1191947798, 0.9505321522],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)

# WCAG 2.2, definition of relative luminance.
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])

# Machado, Oliveira and Fernandes, A Physiologically-based Model for Simulation of Color Vision
# Deficiency, IEEE TVCG 15 (6), 2009: severity 1.0, on linear RGB. Compared with several public copies.
_SIMULATIONS = {
    "red-blind": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "green-blind": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "blue-blind": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
FULL_COLOUR = "full colour"
EYES = (FULL_COLOUR, *_SIMULATIONS)

# Our own rule: below this difference in L* two stripes look alike in dim light or in grey print.
LEAST_LIGHTNESS_STEP = 15.0

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True)
class NeighbourVerdict:
    """How well two neighbouring shades are told apart: differences by kind of eyes."""

    lightness_steps: dict[str, float]
    differences: dict[str, float]

    @property
    def weak_eyes(self) -> list[str]:
        """Kinds of eyes for which the shades are too near in lightness."""
        return [eyes for eyes, step in self.lightness_steps.items() if step < LEAST_LIGHTNESS_STEP]

    @property
    def enough(self) -> bool:
        """Whether every kind of eyes can tell the shades apart by lightness."""
        return not self.weak_eyes


def parse_shade(text: str) -> Triple | None:
    """Read a shade.

    Args:
        text: sRGB as "#rrggbb".

    Returns:
        Red, green and blue, 0 to 1, as encoded; None where the text is none.

    Source: CSS Color Module, hexadecimal notation.

    >>> parse_shade("#ff0080").round(3).tolist()
    [1.0, 0.0, 0.502]
    """
    if not _HEX.fullmatch(text):
        return None
    return np.array([int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)])


def print_shade(shade: Triple) -> str:
    """Write a shade.

    Args:
        shade: Encoded red, green and blue, 0 to 1.

    Returns:
        "#rrggbb".

    Source: CSS Color Module, hexadecimal notation.

    >>> print_shade(np.array([1.0, 0.0, 0.5019]))
    '#ff0080'
    """
    return "#" + "".join(f"{math.floor(part * 255 + 0.5):02x}" for part in shade)


def linear_rgb(shade: Triple) -> Triple:
    """Undo the encoding of sRGB.

    Args:
        shade: Encoded red, green and blue, 0 to 1.

    Returns:
        Linear red, green and blue, 0 to 1.

    Source: IEC 61966-2-1.

    >>> linear_rgb(np.array([0.0, 0.5, 1.0])).round(4).tolist()
    [0.0, 0.214, 1.0]
    """
    return np.where(shade <= 0.04045, shade / 12.92, ((shade + 0.055) / 1.055) ** 2.4)


def encoded_rgb(linear: Triple) -> Triple:
    """Encode linear light as sRGB.

    Args:
        linear: Linear red, green and blue; cut off at 0 and 1.

    Returns:
        Encoded red, green and blue, 0 to 1.

    Source: IEC 61966-2-1.

    >>> encoded_rgb(np.array([0.0, 0.214041, 2.0])).round(4).tolist()
    [0.0, 0.5, 1.0]
    """
    light = np.clip(linear, 0.0, 1.0)
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)


def lab_of(shade: Triple) -> Triple:
    """Return the CIE L*a*b* coordinates of a shade.

    Args:
        shade: Encoded red, green and blue, 0 to 1.

    Returns:
        L* (0 to 100), a*, b*, for the white of D65.

    Source: CIE 15.

    >>> lab_of(np.array([1.0, 1.0, 1.0])).round(6).tolist()
    [100.0, 0.0, 0.0]
    """
    share = _TO_XYZ @ linear_rgb(shade) / _WHITE
    edge = 6 / 29
    x, y, z = np.where(share > edge**3, np.cbrt(share), share / (3 * edge**2) + 4 / 29)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)]) + 0.0


def contrast_ratio(one: Triple, other: Triple) -> float:
    """Return the contrast of two shades.

    Args:
        one: Encoded red, green and blue, 0 to 1.
        other: The same.

    Returns:
        1 to 21.

    Source: WCAG 2.2, contrast ratio.

    >>> round(contrast_ratio(np.zeros(3), np.ones(3)), 6)
    21.0
    """
    lights = sorted(float(_LUMINANCE @ linear_rgb(shade)) for shade in (one, other))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def seen_by(shade: Triple, eyes: str) -> Triple:
    """Return a shade as these eyes see it.

    Args:
        shade: Encoded red, green and blue, 0 to 1.
        eyes: One of EYES.

    Returns:
        Encoded red, green and blue, 0 to 1.

    Source: Machado, Oliveira and Fernandes 2009, severity 1.0.

    >>> print_shade(seen_by(np.array([1.0, 0.0, 0.0]), "red-blind"))
    '#6d5f00'
    """
    if eyes == FULL_COLOUR:
        return shade
    return encoded_rgb(np.array(_SIMULATIONS[eyes]) @ linear_rgb(shade))


def blend_shades(one: Triple, other: Triple, share: float) -> Triple:
    """Return the shade that a row worked in two colours shows from afar.

    Args:
        one: Encoded red, green and blue, 0 to 1.
        other: The same.
        share: Share of the first, 0 to 1.

    Returns:
        Encoded red, green and blue, 0 to 1.

    Source: derived: light adds up.

    >>> print_shade(blend_shades(np.zeros(3), np.ones(3), 0.5))
    '#bcbcbc'
    """
    return encoded_rgb(share * linear_rgb(one) + (1 - share) * linear_rgb(other))


def judge_neighbours(one: Triple, other: Triple) -> NeighbourVerdict:
    """Judge whether two neighbouring shades can be told apart.

    Args:
        one: Encoded red, green and blue, 0 to 1.
        other: The same.

    Returns:
        Differences in L* and by CIEDE2000 for each kind of eyes.

    Source: CIE 15, CIEDE2000; the least step in lightness is our own rule.

    >>> judge_neighbours(np.zeros(3), np.ones(3)).enough
    True
    """
    seen = {eyes: (lab_of(seen_by(one, eyes)), lab_of(seen_by(other, eyes))) for eyes in EYES}
    steps = {eyes: abs(float(a[0] - b[0])) for eyes, (a, b) in seen.items()}
    return NeighbourVerdict(steps, {eyes: colour_difference(a, b) for eyes, (a, b) in seen.items()})


def colour_difference(lab1: Triple, lab2: Triple) -> float:
    """Return the difference of two colours.

    Args:
        lab1: L*, a*, b*.
        lab2: The same.

    Returns:
        CIEDE2000 difference, 0 or more (kL = kC = kH = 1).

    Source: Sharma, Wu and Dalal, The CIEDE2000 Color-Difference Formula, 2005.

    >>> round(colour_difference(np.array([50, 2.6772, -79.7751]), np.array([50, 0, -82.7485])), 4)
    2.0425
    """
    light1, chroma1, hue1, light2, chroma2, hue2 = _stretched(lab1, lab2)
    mean_light, mean_chroma = (light1 + light2) / 2, (chroma1 + chroma2) / 2
    turn, mean_hue = _hues(hue1, hue2, grey=chroma1 * chroma2 == 0)
    hue_step = 2 * math.sqrt(chroma1 * chroma2) * math.sin(math.radians(turn) / 2)
    off_50 = (mean_light - 50) ** 2
    light = (light2 - light1) / (1 + 0.015 * off_50 / math.sqrt(20 + off_50))
    chroma = (chroma2 - chroma1) / (1 + 0.045 * mean_chroma)
    hue = hue_step / (1 + 0.015 * mean_chroma * _hue_weight(mean_hue))
    rotation = -math.sin(math.radians(60 * math.exp(-(((mean_hue - 275) / 25) ** 2))))
    rotation *= 2 * _saturation(mean_chroma)
    return math.sqrt(light**2 + chroma**2 + hue**2 + rotation * chroma * hue)


def _stretched(lab1: Triple, lab2: Triple) -> tuple[float, float, float, float, float, float]:
    """Return lightness, chroma and hue (degrees) of both colours, a* stretched near grey."""
    mean = (math.hypot(lab1[1], lab1[2]) + math.hypot(lab2[1], lab2[2])) / 2
    stretch = 1 + 0.5 * (1 - _saturation(mean))
    parts: list[float] = []
    for light, a, b in (map(float, lab1), map(float, lab2)):
        parts += [light, math.hypot(a * stretch, b), math.degrees(math.atan2(b, a * stretch)) % 360]
    return parts[0], parts[1], parts[2], parts[3], parts[4], parts[5]


def _saturation(chroma: float) -> float:
    """Return the term of CIEDE2000 that grows from 0 to 1 with chroma."""
    return math.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _hues(hue1: float, hue2: float, *, grey: bool) -> tuple[float, float]:
    """Return the turn from one hue to the other and the hue half-way, in degrees."""
    if grey:
        return 0.0, hue1 + hue2
    turn = hue2 - hue1
    total = hue1 + hue2
    if abs(turn) <= 180:
        return turn, total / 2
    return turn - math.copysign(360, turn), (total + (360 if total < 360 else -360)) / 2


def _hue_weight(hue: float) -> float:
    """Return the weight T of CIEDE2000 at a hue in degrees."""
    terms = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    return 1 + sum(weight * math.cos(math.radians(times * hue + off)) for weight, times, off in terms)
