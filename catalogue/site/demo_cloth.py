"""Knitted and crocheted cloth, lit stitch by stitch: how light each point of a piece is, and its colour."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float32]

# Stitches differ in light as hand-made ones do; the table is gone through again and again.
_LOTS = np.random.default_rng(7).normal(0, 1, (61, 67)).astype(np.float32)
UNEVEN = 0.045
RIDGES = 2.0


@dataclass(frozen=True)
class Cloth:
    """A fabric: craft, stitches and rows to the mm, colours from the first row up, each for so many rows.

    `runs` says how its rows lie in a piece: up, sideways, or in a V from the middle of the upper edge. Edges,
    so many mm from below, may have a colour of their own, and are of rib or of rows; above them lie so many
    mm of single purl stitches. Bands at other edges are so broad, of rib where the lower edges are, or plain.
    """

    craft: str
    stitches_per_mm: float
    rows_per_mm: float
    colours: tuple[tuple[str, int], ...]
    runs: str = "up"
    is_garter: bool = False
    rib_mm: float = 0.0
    edge_colour: str = ""
    is_ribbed: bool = True
    seeds_mm: float = 0.0
    band_mm: float = 24.0
    has_plain_bands: bool = False


def coloured(cloth: Cloth, x: Numbers, y: Numbers) -> Numbers:
    """The colour of points of a piece, in mm from its lower left corner; shape (…, 3), 0 to 255."""
    along, up = _along_rows(cloth, x, y)
    stitch, row = along * cloth.stitches_per_mm, up * cloth.rows_per_mm
    is_edge = y < cloth.rib_mm
    if cloth.edge_colour and cloth.runs == "up":  # stripes begin above the edge
        row = row - np.float32(cloth.rib_mm * cloth.rows_per_mm)
    light = _light(cloth, stitch, row)
    if cloth.seeds_mm:
        light = np.where(y < cloth.rib_mm + cloth.seeds_mm, _seeds(light, stitch, row), light)
    if cloth.rib_mm and cloth.is_ribbed:
        light = np.where(is_edge, _rib(x * cloth.stitches_per_mm, y * cloth.rows_per_mm), light)
    places = np.floor(row).astype(int), np.floor(stitch).astype(int)
    light *= 1 + UNEVEN * _LOTS[places[0] % _LOTS.shape[0], places[1] % _LOTS.shape[1]]
    colours = _row_colours(cloth)
    of_points = colours[places[0] % len(colours)]
    if cloth.edge_colour:
        of_points = np.where(is_edge[..., None], _triple(cloth.edge_colour), of_points)
    return np.asarray(of_points * light[..., None])


def _along_rows(cloth: Cloth, x: Numbers, y: Numbers) -> tuple[Numbers, Numbers]:
    """Where points lie along a row and across the rows, in mm."""
    if cloth.runs == "sideways":
        return y, x
    if cloth.runs == "v":  # y is counted down from the upper edge, x from its middle
        half = np.float32(np.sqrt(0.5))
        return (np.abs(x) - y) * half, (np.abs(x) + y) * half
    return x, y


def _light(cloth: Cloth, stitch: Numbers, row: Numbers) -> Numbers:
    """How light the face of the cloth is, about 0.5 to 1.1."""
    aside = np.abs(stitch % 1 - 0.5) * 2
    if cloth.is_garter:  # a ridge of bumps for two rows
        bump = np.sin(np.pi * (row / RIDGES % 1))
        return np.asarray(0.5 + 0.5 * bump * (0.8 + 0.2 * np.cos(2 * np.pi * stitch)))
    if cloth.craft == "knitting":  # two legs of a V
        slant = np.sqrt(np.abs(np.sin(np.pi * ((row - 0.55 * aside) % 1))))
        return np.asarray(0.55 + 0.5 * np.sqrt(np.abs(np.sin(np.pi * aside))) * slant)
    if cloth.craft == "tunisian":  # upright bars before the strands behind them
        bars = np.clip(1.25 - 1.6 * aside, 0, 1)
        return np.asarray(0.6 + 0.45 * np.maximum(bars, 0.55 * np.sin(np.pi * (row % 1))))
    stitch = stitch + 0.5 * (np.floor(row) % 2) + 0.2 * (row % 1)  # a row's posts stand between those below
    ridge = np.clip((row % 1 - 0.66) * 6, 0, 1)  # posts, and the chains on top of a row
    posts = np.sqrt(np.abs(np.sin(np.pi * (stitch % 1)) * np.sin(np.pi * np.clip(row % 1 * 1.4, 0, 1))))
    chains = ridge * (0.75 + 0.25 * np.cos(4 * np.pi * stitch))
    return np.asarray(0.55 + 0.45 * np.maximum(posts * (1 - ridge), chains))


def _rib(stitch: Numbers, row: Numbers) -> Numbers:
    """How light rib is: columns that stand out and lie back."""
    columns = np.abs(np.sin(np.pi * (stitch / RIDGES % 1)))
    return np.asarray(0.42 + 0.58 * columns**0.7 * (0.88 + 0.12 * np.sin(2 * np.pi * row)))


def _seeds(light: Numbers, stitch: Numbers, row: Numbers) -> Numbers:
    """The light with a bump in every fourth stitch of every second row, each row's between those below."""
    in_row, in_stitch = np.floor(row).astype(int) % 4, np.floor(stitch).astype(int) % 4
    is_bump = ((in_row == 0) & (in_stitch == 3)) | ((in_row == 2) & (in_stitch == 1))
    bump = 0.6 + 0.7 * np.abs(np.sin(np.pi * (row % 1)) * np.sin(np.pi * (stitch % 1)))
    return np.asarray(np.where(is_bump, bump, 0.92 * light))


def _triple(colour: str) -> Numbers:
    """A colour as typed, 0 to 255."""
    return np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float32)


def _row_colours(cloth: Cloth) -> Numbers:
    """The colour of each row of the repeat, shape (rows, 3), 0 to 255."""
    triples = [_triple(colour) for colour, _ in cloth.colours]
    return np.repeat(np.array(triples), [count for _, count in cloth.colours], axis=0)
