"""Helps and special stitches of the demo: of the raglan and the hat, with close-ups of their cloth."""

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document
from catalogue.helps import helps
from catalogue.helps.marks import with_mark
from catalogue.models import Pattern, Person
from catalogue.photos.pictures import CleanPhoto, clean_picture
from catalogue.site.demo_close_ups import CloseUp, close_up
from catalogue.special_stitches.stitches import add_pictures, newest_state, save_stitch
from catalogue.special_stitches.taking import taken_over

RUST, OAT, GOLD = "#b4573f", "#d9c7a3", "#c9a24a"
VIDEO = "https://video.example/larkmoss/short-rows"


@dataclass(frozen=True)
class DemoHelp:
    """A help: its words, its close-ups with what each shows, and the section and step that name it."""

    title: str
    level: str
    text: str
    terms: tuple[str, ...]
    pictures: tuple[tuple[CloseUp, str], ...]
    at: tuple[int, int]
    video_s: tuple[int, int] | None = None


_BEFORE = CloseUp(
    11,
    marks=((OAT, lambda s, _: s == 5), (RUST, lambda s, r: (np.abs(s - 5) == 1) & (r == 5))),
    needle_row=7.5,
)
_RAGLAN = CloseUp(
    12,
    marks=(
        (OAT, lambda s, _: (s == 5) | (s == 6)),
        (RUST, lambda s, r: ((s == 4) | (s == 7)) & (r == 5)),
    ),
    needle_row=7.5,
)
_RAGLAN_AFTER = CloseUp(
    16,
    marks=(
        (RUST, lambda s, r: (np.abs(s - 7.5) <= 1.5 + (r - 3) // 2) & (np.abs(s - 7.5) >= 1) & (r >= 3)),
        (OAT, lambda s, _: (s == 7) | (s == 8)),
    ),
)
_SHORT = CloseUp(20, marks=((RUST, lambda s, r: (r >= 3) & (s >= 2 * (r - 3)) & (s < 20 - 2 * (r - 3))),))
_TURN = CloseUp(11, marks=((RUST, lambda s, r: (s >= 4) & (r == 6)), (OAT, lambda s, r: (s == 4) & (r == 6))),
                needle_row=7.5)  # fmt: skip
_TOGETHER = CloseUp(
    13, colour=GOLD, marks=((RUST, lambda s, r: ((s == 5) | (s == 6)) & (r >= 8)),), needle_row=9.5
)
_LINE = CloseUp(13, colour=GOLD, marks=((RUST, lambda s, r: (s == 6) & (r % 2 == 1)),), needle_row=9.5)

HELPS = {
    "cinderfell-raglan": (
        DemoHelp(
            "Short rows with a double stitch",
            "intermediate",
            "The back of the neck becomes higher when some rows end before the others.\n\n"
            "- Turn where the step says so, and bring the yarn to the front.\n"
            "- Slip the first stitch, and pull the yarn up and over the needle until both legs show.\n"
            "- When you come back, work both legs together as one stitch.",
            ("short rows", "double stitch"),
            (
                (_TURN, "The stitch at the turn, in oat, with the row that ends there, in rust"),
                (_SHORT, "Five short rows in rust: each ends two stitches before the one below"),
            ),
            (1, 1),
            (80, 245),
        ),
        DemoHelp(
            "Increases at the raglan lines",
            "easy",
            "Two stitches run along the line with the marker between them. A new stitch comes in on each "
            "side of these two.\n\n"
            "- Work to one stitch before the marker, and lift the strand before it: m1r.\n"
            "- Knit this stitch, slip the marker, and knit the next stitch.\n"
            "- Lift the strand behind it: m1l. After some rounds the new stitches make two wedges.",
            ("raglan",),
            (
                (_RAGLAN, "The two stitches at the marker in oat, in rust the new one on each side"),
                (_RAGLAN_AFTER, "After several increase rounds: two wedges in rust beside the two in oat"),
            ),
            (1, 2),
        ),
    ),
    "plovermire-hat": (
        DemoHelp(
            "Two stitches together before a marker",
            "easy",
            "The top closes along six lines that lean to the right.\n\n"
            "- Stop two stitches before the marker.\n"
            "- Put the needle through both from left to right, and knit them as one.\n"
            "- Count after each decrease round: there are six stitches fewer.",
            ("k2tog",),
            (
                (_TOGETHER, "Two stitches in rust on the needle, to be knitted as one"),
                (_LINE, "One line of decreases in rust, with a plain round between them"),
            ),
            (2, 1),
        ),
    ),
}  # fmt: skip
MAKE_LEFT = (
    "Lift the strand before the next st from the front with the left needle.\n"
    "Knit it through the back loop: it leans to the left."
)
MAKE_RIGHT = (
    "Lift the strand before the next st from the back with the left needle.\n"
    "Knit it through the front loop: it leans to the right."
)
# Name, abbreviation, method, and rows for a chart of six stitches: the raglan line, its marker in the middle.
# Chart and picture show both increases, so they stand after both.
STITCHES: dict[str, tuple[tuple[str, str, str, list[str]], ...]] = {
    "cinderfell-raglan": (
        ("Make 1 left", "m1l", MAKE_LEFT, []),
        ("Make 1 right", "m1r", MAKE_RIGHT, ["*K2, m1r, k2, m1l, k2; repeat from * to the end."]),
    ),
}


def explain(pattern: Pattern, *, by: Person) -> None:
    """Add the helps and special stitches of a pattern of the demo, where it has some."""
    document = pattern_document(pattern)
    for wanted in HELPS.get(pattern.slug, ()):
        section, step = wanted.at
        steps = document["sections"][section]["steps"]
        steps[step] = with_mark(steps[step], _add_help(wanted, document["craft"], by))
    for label, short, method, rows in STITCHES.get(pattern.slug, ()):
        words = {"label": label, "short": short, "craft": document["craft"], "terms": document["home_terms"]}
        stitch = save_stitch(stitch=None, by=by, method=method, rows=rows, multiple=6, **words).stitch
        if rows:
            pictures = _clean([(_BEFORE, "New stitches in rust on each side of stitches in oat")])
            add_pictures(stitch=stitch, pictures=pictures, caption="", by=by)
        document = taken_over(newest_state(stitch), document)
    edit_document(pattern=pattern, revision=pattern.sheet.revision, document=document, by=by)


def _add_help(wanted: DemoHelp, craft: str, by: Person) -> str:
    """Store a help with its pictures, and return its name in steps."""
    start, end = wanted.video_s or (None, None)
    kept = helps.save_help(
        found=None,
        by=by,
        title=wanted.title,
        craft=craft,
        level=wanted.level,
        text=wanted.text,
        terms=list(wanted.terms),
        link=VIDEO if wanted.video_s else "",
        link_from_s=start,
        link_to_s=end,
    )
    helps.add_pictures(found=kept, pictures=_clean(wanted.pictures), caption="")
    return kept.name


def _clean(pictures: Sequence[tuple[CloseUp, str]]) -> list[tuple[CleanPhoto, str]]:
    """Pictures as they are taken in, each with what it shows."""
    return [(clean_picture(_jpeg(close_up(shown))), alt) for shown, alt in pictures]


def _jpeg(picture: Image.Image) -> io.BytesIO:
    """A picture as a file."""
    target = io.BytesIO()
    picture.save(target, "JPEG", quality=90)
    target.seek(0)
    return target
