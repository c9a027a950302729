"""The palette is legible in every theme, and the files that the look needs are there."""

import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from tests.check_values import check_values

STATIC = Path(__file__).resolve().parents[2] / "catalogue" / "site" / "static"
THEME = (STATIC / "site" / "theme.css").read_text("utf-8")
CLASSES = (STATIC / "site" / "evenrow.css").read_text("utf-8")
PRINT_FONTS = sorted((STATIC / "fonts" / "print").glob("*.ttf"))
CONTRASTS = {name: entry for name, entry in check_values("10-colour").items() if name.startswith("wcag ")}
THEMES = ["light", "dark", "print"]
WASHES = ["paper", "leaf", "accent-wash", "stop-wash", "warn-wash", "good-wash", "mark"]

# WCAG 2.2, 1.4.3: text 4.5 : 1.
TEXT_PAIRS = [
    *[("ink", ground) for ground in WASHES],
    *[("ink-soft", ground) for ground in ("paper", "leaf", "accent-wash")],
    *[("accent", ground) for ground in ("paper", "leaf", "accent-wash")],
    *[("stop", ground) for ground in ("paper", "leaf", "stop-wash")],
    ("warn", "warn-wash"),
    ("good", "good-wash"),
    ("on-accent", "accent"),
    ("paper", "ink"),
    ("paper", "stop"),
]
# WCAG 2.2, 1.4.11: edges of controls, focus rings and marks of a plot 3 : 1.
EDGE_PAIRS = [
    *[("edge", ground) for ground in ("paper", "leaf")],
    *[("accent", ground) for ground in WASHES],
    ("stop", "leaf"),
    ("stop", "stop-wash"),
    ("warn", "warn-wash"),
    ("good", "good-wash"),
    ("ink-soft", "leaf"),
    ("on-accent", "edge"),
]


def linear(channel: int) -> float:
    """Source: WCAG 2.2, definition of relative luminance (with the threshold 0.04045 of IEC 61966-2-1)."""
    share = channel / 255
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def luminance(colour: str) -> float:
    """Source: WCAG 2.2, definition of relative luminance."""
    red, green, blue = (linear(int(colour[start : start + 2], 16)) for start in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Source: WCAG 2.2, definition of contrast ratio."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def palette(theme: str) -> dict[str, str]:
    """Read the colours of one theme from the style sheet."""
    start = {
        "light": ":root {",
        "dark": "@media (prefers-color-scheme: dark) {\n  :root {",
        "print": "@media print {\n  :root {",
    }[theme]
    block = THEME.split(start, 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


@pytest.mark.parametrize("name", CONTRASTS)
def test_contrast_ratio_agrees_with_the_published_formula(name):
    _, one, _, other = name.split()
    assert contrast(one, other) == pytest.approx(CONTRASTS[name]["value"], abs=CONTRASTS[name]["tolerance"])


def test_every_theme_sets_every_colour():
    names = set(palette("light"))
    assert len(names) >= 17
    assert set(palette("dark")) == names
    assert set(palette("print")) == names


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("ink", "ground"), TEXT_PAIRS)
def test_text_can_be_read_on_its_ground(theme, ink, ground):
    colours = palette(theme)
    assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("line", "ground"), EDGE_PAIRS)
def test_edges_and_focus_rings_stand_out(theme, line, ground):
    colours = palette(theme)
    assert contrast(colours[line], colours[ground]) >= 3


def test_every_colour_of_the_classes_comes_from_the_palette():
    without_scan = re.sub(r"\.scan \{[^}]*\}", "", CLASSES)
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b|\brgb|\bhsl", without_scan)
    used = set(re.findall(r"var\(--([a-z-]+)\)", CLASSES)) - {"serif", "sans", "mono"}
    assert used <= set(palette("light"))


def test_focus_is_always_shown():
    assert re.search(r":focus-visible \{\s+outline: 3px solid var\(--accent\)", CLASSES)
    for rule in re.findall(r"([^{}]*)\{[^{}]*outline: none", CLASSES):
        assert rule.strip() == "main:focus", "only the skip link's target may hide its ring"


@pytest.mark.parametrize("sheet", sorted(STATIC.rglob("*.css")), ids=lambda path: path.name)
def test_style_sheets_ask_for_nothing_that_is_not_here(sheet):
    text = sheet.read_text("utf-8")
    assert "sourceMappingURL" not in text
    assert "@import" not in text
    for address in re.findall(r"""url\(["']?([^"')]+)""", text):
        assert address.startswith(("data:", "#")) or (sheet.parent / address).is_file(), address


def test_everything_from_outside_has_its_licence():
    assert (STATIC / "vendor" / "bootstrap" / "LICENSE").is_file()
    for name in ("OFL-Literata.txt", "OFL-SourceSans3.txt"):
        assert "SIL OPEN FONT LICENSE Version 1.1" in (STATIC / "fonts" / name).read_text("utf-8")


@pytest.mark.parametrize("path", PRINT_FONTS, ids=lambda path: path.stem)
def test_print_fonts_hold_the_trades_characters(path):
    with TTFont(path) as font:
        glyphs = font.getBestCmap()
    missing = [sign for sign in "½¼¾×−–—←→↑↓“”’″′°±≤≥†…" if ord(sign) not in glyphs]
    assert not missing


def substitutes(font, tag):
    """Pairs of glyph and replacement of one OpenType feature."""
    table = font["GSUB"].table
    lookups = {
        index
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == tag
        for index in record.Feature.LookupListIndex
    }
    pairs: dict[str, str] = {}
    for index in lookups:
        for subtable in table.LookupList.Lookup[index].SubTable:
            pairs.update(getattr(getattr(subtable, "ExtSubTable", subtable), "mapping", {}))
    return pairs


@pytest.mark.parametrize(
    "path",
    [*PRINT_FONTS, *sorted((STATIC / "fonts").glob("*-latin-[46]*.woff2"))],
    ids=lambda path: path.stem,
)
def test_figures_are_of_one_width_in_tables(path):
    with TTFont(path) as font:
        tabular = substitutes(font, "tnum")
        names = [font.getBestCmap()[ord(figure)] for figure in "0123456789"]
        widths = {font["hmtx"][tabular.get(name, name)][0] for name in names}
    assert max(widths) - min(widths) <= 1, "a thousandth of the type size may be lost in rounding"
