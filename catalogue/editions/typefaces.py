"""Typefaces: which signs the house's fonts have, which font sets the rest, what stands for a sign of none.

A text of the house's signs alone needs nothing of this, and is set as it always was.
"""

import re
import unicodedata
from array import array
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from catalogue.editions.ingredients import FONTS, OWN, font_path

# In the order in which they are asked for a sign. "Sans" has Latin, Greek, Cyrillic and Devanagari.
SCRIPTS = (
    "Sans",
    "SansArabic",
    "SansHebrew",
    "SansArmenian",
    "SansGeorgian",
    "SansEthiopic",
    "SansThaana",
    "SansBengali",
    "SansGurmukhi",
    "SansGujarati",
    "SansOriya",
    "SansTamil",
    "SansTelugu",
    "SansKannada",
    "SansMalayalam",
    "SansSinhala",
    "SansThai",
    "SansLao",
    "SansMyanmar",
    "SansKhmer",
    "SansHangul",
    "SansHan",
    "Emoji",
    "SansSymbols2",
)
FOLDER = Path(__file__).parent / "fonts"
# Arabic marks of format that are drawn; the others join, part or turn what stands beside them.
_DRAWN_FORMATS = frozenset("\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u0890\u0891\u08e2")
_FACE_OR_FAMILY = re.compile(r'@font-face\s*\{[^}]*\}|"(?:Literata|Source Sans 3)"')


@dataclass(frozen=True)
class TextSetting:
    """What a text is set in beside the house's fonts, and the signs that something else stands for."""

    scripts: tuple[str, ...] = ()
    stand_ins: frozenset[str] = frozenset()

    @property
    def is_plain(self) -> bool:
        """Whether the house's fonts are all it takes."""
        return not self.scripts and not self.stand_ins

    def typed(self, text: str) -> str:
        """A text as it is set: signs that no font has are told in words."""
        if self.is_plain:
            return text
        composed = unicodedata.normalize("NFC", text)
        return composed.translate({ord(sign): stand_in(sign) for sign in self.stand_ins})

    def style(self, css: str) -> str:
        """A style with the fonts of the scripts behind those of the house."""
        if self.is_plain:
            return css
        families = ", ".join(f'"{family}"' for family in ("Source Sans 3", *map(_family, self.scripts)))
        named = _FACE_OR_FAMILY.sub(
            lambda found: found[0] if found[0].startswith("@") else f"{found[0]}, {families}", css
        )
        return "\n".join((*map(_face, self.scripts), named))

    def drawings(self, html: str) -> str:
        """A page whose drawings name the fonts of the scripts behind that of the house."""
        if self.is_plain:
            return html
        families = ", ".join(("Source Sans 3", *map(_family, self.scripts)))
        return html.replace('font-family="Source Sans 3"', f'font-family="{families}"')

    def files(self) -> Iterable[tuple[str, Path]]:
        """The fonts of the scripts by their addresses."""
        return ((_address(script), script_path(script)) for script in self.scripts)


def setting_of(text: str, refused: frozenset[str] = frozenset()) -> TextSetting:
    """What a text needs beside the house's fonts; refused are signs that a font had and did not draw."""
    if not _lacking(text) and not refused:
        return TextSetting()
    fonts = {sign: _script_of(sign) for sign in _lacking(unicodedata.normalize("NFC", text)) - refused}
    scripts = tuple(script for script in SCRIPTS if script in fonts.values())
    return TextSetting(scripts, refused | {sign for sign, script in fonts.items() if script is None})


def _lacking(text: str) -> set[str]:
    """The signs of a text that are drawn, and that the house's fonts have not."""
    return {sign for sign in set(text) - _house_signs() if not _is_silent(sign)}


def stand_in(sign: str) -> str:
    """What is printed for a sign that no font has: a picture by its name, a letter by its number."""
    is_picture = unicodedata.category(sign).startswith("S")
    name = unicodedata.name(sign, "").lower() if is_picture else ""
    return f"□({name or f'U+{ord(sign):04X}'})"


def read_signs() -> None:
    """Read which signs all fonts have, once for the process and those that it forks."""
    _house_signs()
    for script in SCRIPTS:
        _signs(script_path(script))


def script_path(script: str) -> Path:
    """The font of a script."""
    return FOLDER / f"Noto{script}-Regular.ttf"


def _is_silent(sign: str) -> bool:
    """Whether a sign is never drawn: ends of lines, joiners, turns of direction, choices of a form."""
    if unicodedata.category(sign) in ("Cc", "Zl", "Zp"):
        return True
    if unicodedata.category(sign) == "Cf":
        return sign not in _DRAWN_FORMATS
    return "\ufe00" <= sign <= "\ufe0f" or "\U000e0100" <= sign <= "\U000e01ef"


def _script_of(sign: str) -> str | None:
    """The first script whose font has a sign."""
    return next((script for script in SCRIPTS if _has(script_path(script), sign)), None)


@cache
def _house_signs() -> frozenset[str]:
    """The signs of the house's fonts together; what one of them lacks is set in another."""
    return frozenset(chr(number) for name in FONTS for number in _signs(font_path(name)))


@cache
def _signs(path: Path) -> "array[int]":
    """The numbers of a font's signs in their order, read once for the process and those that it forks.

    Sets of signs would take ten times the room.
    """
    from fontTools.ttLib import TTFont  # costs a moment to load, and most pages need none

    with TTFont(path, lazy=True) as font:
        return array("I", sorted(font.getBestCmap()))


def _has(path: Path, sign: str) -> bool:
    """Whether a font has a sign."""
    numbers = _signs(path)
    at = bisect_left(numbers, ord(sign))
    return at < len(numbers) and numbers[at] == ord(sign)


def _family(script: str) -> str:
    """The name of a script's font in styles: of our own, so that no font of the machine is taken for it."""
    return f"Evenrow {script}"


def _address(script: str) -> str:
    """The address of a script's font among the files of an edition."""
    return f"{OWN}font/{script_path(script).name}"


def _face(script: str) -> str:
    """The rule that names a script's font."""
    return f'@font-face {{ font-family: "{_family(script)}"; src: url("{_address(script)}"); }}'
