"""Where to lay the tape on the body: one numbered line for each measurement asked; pure.

The lines lie on the figure of the template `testing/_body.html`, in its units.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from grading.core.pattern.pattern import BodyEntry


@dataclass(frozen=True)
class Way:
    """The way of a tape: its path, where its number stands, whether it runs over the back, and in words."""

    path: str
    number_at: tuple[float, float]
    words: str
    is_back: bool = False


# Where to lay the tape, common practice; the names are those that patterns of ours use for a body.
WAYS = {
    "bust": Way("M 42 62 Q 60 68 78 62", (71, 61), "Round the fullest part of the chest, the tape level."),
    "waist": Way("M 46 86 Q 60 91 74 86", (68, 84), "Round the narrowest part, where you bend sideways."),
    "hip": Way("M 41 110 Q 60 116 79 110", (86, 119), "Round the fullest part of the seat, the tape level."),
    "upper_arm": Way(
        "M 32 64 Q 36 67 41 64", (24, 66), "Round the thickest part of the upper arm, the arm hanging."
    ),
    "wrist": Way("M 24 104 Q 27 106 30 104", (17, 106), "Round the wrist, over the bone."),
    "cross_back": Way(
        "M 37 47 L 83 47",
        (90, 49),
        "Across the back, from where one arm begins to where the other does.",
        is_back=True,
    ),
    "back_waist": Way(
        "M 60 30 L 60 86", (64, 79), "From the bone at the nape straight down to the waist.", is_back=True
    ),
    "armhole_depth": Way(
        "M 54 31 L 54 58",
        (49, 56),
        "From the nape down the back, to the height of the underarm.",
        is_back=True,
    ),
    "arm_length": Way(
        "M 78 60 L 84 84 L 91 106",
        (84, 104),
        "From the underarm to the wrist, along the inside of the arm.",
    ),
    "head": Way("M 51 15 Q 60 19 69 15", (75, 17), "Round the head, above the ears and eyebrows."),
}
WAYS["chest_girth"] = WAYS["bust"]


@dataclass(frozen=True)
class TapeLine:
    """One numbered line of the picture."""

    number: int
    name: str
    label: str
    way: Way


@dataclass(frozen=True)
class BodyPicture:
    """The figure with its lines, in the order in which they are asked."""

    lines: tuple[TapeLine, ...]

    @property
    def title(self) -> str:
        """The picture in words."""
        named = (f"{line.number} {line.label}: {line.way.words}" for line in self.lines)
        return "Where to lay the tape. " + " ".join(named)

    @property
    def has_back(self) -> bool:
        """Whether a line runs over the back."""
        return any(line.way.is_back for line in self.lines)


def body_picture(asked: Sequence[BodyEntry]) -> BodyPicture:
    """Number what is asked; a measurement whose way is not known has its label alone and no line."""
    known = [one for one in asked if one.name in WAYS]
    return BodyPicture(
        tuple(TapeLine(place, one.name, one.label, WAYS[one.name]) for place, one in enumerate(known, 1))
    )


def way_in_words(picture: BodyPicture, name: str) -> str:
    """Which line a measurement is, and how to measure it; empty where no way is known."""
    found = next((line for line in picture.lines if line.name == name), None)
    return f"Line {found.number} in the picture. {found.way.words}" if found else ""


def way_of_tape(name: str) -> str:
    """How to measure it, where there is no picture; empty where no way is known."""
    return WAYS[name].words if name in WAYS else ""
