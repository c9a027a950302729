"""The key of a stitch chart: what it uses and nothing else."""

from dataclasses import dataclass

from catalogue.drawings.chart_signs import chains_of, fitting_type, strokes_of
from catalogue.drawings.nests import Frame, frame_of
from catalogue.drawings.stitch_charts import (
    GAP,
    ChartFill,
    ChartText,
    Ink,
    Look,
    cell_of,
    for_hand,
    printed_short,
)
from catalogue.drawings.stripe_bands import ink_on
from grading.core.pattern.pattern import PatternFile, StitchPatternEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.stitch_patterns.charts import chart_of, craft_of
from grading.core.stitch_patterns.recording import LOOP
from grading.core.stitch_patterns.symbols import NO_STITCH_SIGN, KeyLine, key_of, words_of_signs


@dataclass(frozen=True)
class KeyPicture:
    """A line of the key: a cell with its sign or abbreviation, or a colour, and what it means."""

    frame: Frame
    fills: tuple[ChartFill, ...]
    grid: str
    lines: str
    dots: str
    texts: tuple[ChartText, ...]
    says: str
    line_mm: float


def draw_key(entry: StitchPatternEntry, look: Look) -> tuple[KeyPicture, ...]:
    """The key of a chart: what it uses and nothing else."""
    chart = chart_of(entry, look.facts.pattern)
    if entry.grid:
        letters = dict.fromkeys(one.colour for row in chart.rows for one in row.cells)
        return tuple(_colour_line(letter, look) for letter in sorted(letters))
    craft, terms = craft_of(entry, look.facts.pattern), look.facts.home_terms
    lines = key_of(chart, craft, terms)
    repeats = [one for one in chart.rows for made in one.cells if len(made.names) > 1 and made.width == 1]
    cell = cell_of(entry, chart, look)
    counted = [] if not repeats else [_counted_chains(look, cell)]
    drawn = [line for line in lines if line.sign or line.short == LOOP.name]
    return (*(_key_line(line, look, cell) for line in drawn), *counted)


def without_sign(entry: StitchPatternEntry, look: Look) -> list[str]:
    """The stitches of a chart that the published lists have no sign for, as they are printed."""
    if entry.grid:
        return []
    lines = key_of(
        chart_of(entry, look.facts.pattern), craft_of(entry, look.facts.pattern), look.facts.home_terms
    )
    return [printed_short(line.short, look) for line in lines if line.short and line.short != LOOP.name]


def _colour_line(letter: str, look: Look) -> KeyPicture:
    """A colour of a grid with its yarn."""
    ink, (wide, high) = Ink(), (look.cell_mm, look.cell_mm)
    colour = look.colour(letter)
    ink.box(0, 0, wide, high, colour)
    ink.texts.append(
        ChartText(letter, wide / 2, high / 2, round(high * 0.58, 2), ink=ink_on(colour), on_colour=True)
    )
    shade = look.shades.get(letter)
    says = f"{shade['yarn']}, {shade['shade']}" if shade else _yarn_words(letter, look.facts.pattern)
    return _key_picture(ink, (wide, high), f"{letter}: {says}" if says else letter, look)


def _yarn_words(letter: str, pattern: PatternFile) -> str:
    """The yarn of a colour and its shade, by which alone the colours of one yarn differ."""
    yarn = next((one for one in pattern.yarns if one.colour == letter), None)
    if yarn is None:
        return ""
    is_told = yarn.shade and yarn.shade not in yarn.label and pattern.wording > WIDE_WORDING
    return f"{yarn.label}, {yarn.shade}" if is_told else yarn.label


def _key_line(line: KeyLine, look: Look, cell: tuple[float, float]) -> KeyPicture:
    """A sign or abbreviation with the stitches that it is for."""
    ink, (wide, high) = Ink(), cell
    ink.box(0, 0, wide * line.width, high, GAP if line.sign == NO_STITCH_SIGN else "")
    ink.draw(for_hand(strokes_of(line.sign, line.width), line.width, look), (0, 0), (wide, high))
    if not line.sign:
        text = printed_short(line.short, look)
        size = round(fitting_type(text, wide * line.width, high), 2)
        ink.texts.append(ChartText(text, wide * line.width / 2, high / 2, size))
    return _key_picture(ink, (wide * line.width, high), _key_words(line, look), look)


def _key_words(line: KeyLine, look: Look) -> str:
    """What a sign means, in the terms of the edition."""
    if line.sign == NO_STITCH_SIGN:
        return "no stitch: pass over this cell"
    if line.short == LOOP.name:
        return "the loop on the hook, which is the first stitch"
    return ", ".join(f"{printed_short(name, look)} {where}".strip() for name, where in line.stitches)


def _counted_chains(look: Look, cell: tuple[float, float]) -> KeyPicture:
    """Chains at the beginning of a row that count as a stitch."""
    ink, (wide, high) = Ink(), cell
    ink.box(0, 0, wide, high)
    ink.draw(chains_of(3), (0, 0), (wide, high))
    return _key_picture(ink, (wide, high), "chains that count as the first stitch of a row", look)


def _key_picture(ink: Ink, size: tuple[float, float], says: str, look: Look) -> KeyPicture:
    """A cell of the key."""
    return KeyPicture(
        frame=frame_of((-0.3, -0.3, size[0] + 0.3, size[1] + 0.3), says),
        fills=ink.all_fills(),
        grid=ink.grid,
        lines=ink.lines,
        dots=ink.dots,
        texts=tuple(ink.texts),
        says=says,
        line_mm=round(look.cell_mm * 0.075, 3),
    )


def sign_pens(look: Look) -> tuple[tuple[KeyPicture, str], ...]:
    """The signs of the pattern's craft, each with the words that a row has for it."""
    cell = (look.cell_mm, look.cell_mm)
    known = words_of_signs(look.facts.craft, look.facts.home_terms)
    return tuple((_key_line(line, look, cell), words) for line, words in known)
