"""Stitches: how many stitches beneath each takes and how many it leaves, by craft.

Source: the yarn council's lists of abbreviations for crochet, Tunisian crochet and knitting, from memory; takes and
leaves are common practice. US and UK names differ in height alone, which no count depends on, so both stand together.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Stitch:
    """A stitch by name; `takes` stitches beneath become `leaves` stitches."""

    name: str
    takes: int = 1
    leaves: int = 1


CROCHET_BASES = (
    "sc", "hdc", "dc", "tr", "dtr", "trtr", "htr", "qtr", "ss", "esc", "ehdc", "edc", "etr", "exsc", "exdc",
    "single crochet", "half double crochet", "double crochet", "treble crochet", "treble", "half treble",
    "half treble crochet", "double treble", "double treble crochet", "triple crochet", "triple treble",
    "extended single crochet", "extended double crochet", "extended half double crochet", "half double",
    "rsc", "reverse sc", "reverse single crochet", "crab stitch", "crab st",
)  # fmt: skip
CROCHET_PREFIXES = (
    "fp",
    "bp",
    "fl",
    "bl",
    "flo",
    "blo",
    "front post",
    "back post",
    "spike",
    "linked",
    "standing",
)
TUNISIAN_BASES = (
    "tss", "tks", "tps", "tfs", "trs", "tes", "etss", "ttw", "tsc", "tdc", "thdc", "ttr", "thtr", "tts",
    "tunisian simple stitch", "tunisian knit stitch", "tunisian purl stitch", "tunisian full stitch",
    "tunisian reverse stitch", "tunisian simple st", "tunisian knit st", "tunisian purl st", "tunisian full st",
    "tunisian reverse st", "simple stitch", "simple st", "purl stitch", "knit stitch", "full stitch",
    "pick up a loop", "pull up a loop", "draw up a loop", "pick up 1 loop", "pick up loop", "pull up loop", "a loop", "loop",
    "pick up one loop", "draw up loop", "pu loop", "pick up lp", "pull up a lp", "pick up a lp", "tunisian extended stitch", "tunisian extended simple stitch", "tunisian extended simple st",
)  # fmt: skip
ONE_FOR_ONE = {
    "crochet": (
        "bobble",
        "bob",
        "popcorn",
        "pc",
        "puff",
        "puff st",
        "puff stitch",
        "bo",
        "dc bobble",
        "bead stitch",
    ),
    "tunisian": ("bobble", "popcorn", "puff st", "puff stitch"),
    "knitting": (),
}
CHANGES = {
    "crochet": {
        "inc": (1, 2), "increase": (1, 2), "sc inc": (1, 2), "dc inc": (1, 2), "hdc inc": (1, 2), "tr inc": (1, 2),
        "htr inc": (1, 2), "2 st inc": (1, 3), "double inc": (1, 3),
        "dec": (2, 1), "decrease": (2, 1), "invdec": (2, 1), "inv dec": (2, 1), "invisible dec": (2, 1),
        "invisible decrease": (2, 1), "sc dec": (2, 1), "dc dec": (2, 1), "hdc dec": (2, 1), "tr dec": (2, 1),
        "htr dec": (2, 1), "double dec": (3, 1),
        "picot": (0, 0), "picots": (0, 0),
    },
    "tunisian": {
        "yo": (0, 1), "yoh": (0, 1), "yrh": (0, 1), "yarn over": (0, 1), "yarn over hook": (0, 1),
        "yarn round hook": (0, 1), "m1": (0, 1), "m1l": (0, 1), "m1r": (0, 1), "make 1": (0, 1), "make one": (0, 1),
        "inc": (1, 2), "dec": (2, 1),
    },
    "knitting": {
        "k": (1, 1), "knit": (1, 1), "p": (1, 1), "purl": (1, 1), "k tbl": (1, 1), "p tbl": (1, 1), "ktbl": (1, 1),
        "ptbl": (1, 1), "k1b": (1, 1), "rib": (1, 1), "patt": (1, 1), "pat": (1, 1),
        "sl": (1, 1), "slip": (1, 1), "slp": (1, 1), "slk": (1, 1), "sl1k": (1, 1), "sl1p": (1, 1),
        "kfb": (1, 2), "pfb": (1, 2), "k1fb": (1, 2), "p1fb": (1, 2), "kf&b": (1, 2), "kfbf": (1, 3), "kpk": (1, 3),
        "kyok": (1, 3), "pyop": (1, 3), "k1f&b": (1, 2),
        "inc": (1, 2), "dec": (2, 1), "increase": (1, 2), "decrease": (2, 1),
        "yo": (0, 1), "yfwd": (0, 1), "yon": (0, 1), "yrn": (0, 1), "yfrn": (0, 1), "yarn over": (0, 1),
        "yf": (0, 1), "m1": (0, 1), "m1l": (0, 1), "m1r": (0, 1), "m1p": (0, 1), "m1lp": (0, 1), "m1rp": (0, 1),
        "m1pl": (0, 1), "m1pr": (0, 1), "m1a": (0, 1), "m1t": (0, 1), "make 1": (0, 1), "make one": (0, 1),
        "make one left": (0, 1), "make one right": (0, 1), "make 1 left": (0, 1), "make 1 right": (0, 1),
        "rli": (0, 1), "lli": (0, 1),
        "ssk": (2, 1), "ssp": (2, 1), "skp": (2, 1), "skpo": (2, 1), "sssk": (3, 1), "sk2p": (3, 1), "sk2po": (3, 1),
        "cdd": (3, 1), "s2kp": (3, 1), "s2kpo": (3, 1), "sl2k1p": (3, 1), "s2k": (3, 1), "k1b2": (1, 1),
        "psso": (0, -1), "p2sso": (0, -2),
    },
}  # fmt: skip
NAMES = {
    "crochet": (*CROCHET_BASES, *ONE_FOR_ONE["crochet"]),
    "tunisian": (*TUNISIAN_BASES, *CROCHET_BASES, *ONE_FOR_ONE["tunisian"]),
    "knitting": (),
}
SLIPS = ("sl st", "slst", "ss", "slip st", "slip stitch", "sl sts", "slip stitches", "slip sts", "tsl st")
PLURALS = ("s", "es")

TOGETHER = re.compile(r"([a-z]+?)(\d)tog(?:tbl)?")
CABLE = re.compile(r"[ct](\d{1,2})(?:[fblrp]{1,2})")
WHOLE = re.compile(
    r"[a-z]+?\dtog(?:tbl)?|[ct]\d{1,2}[fblr]p?|m1[a-z]{0,2}|s2kp?o?|sk2po?|sl2k1p|[kp]1fb|k1b|sl1[kp]|sl1wyi[fb]"
    r"|p2sso|[kp]1tbl"
)


def is_whole_word(text: str) -> bool:
    """Whether letters and digits together are one stitch, like k2tog, c6f, m1l.

    >>> is_whole_word("sc2tog"), is_whole_word("k3p2")
    (True, False)
    """
    return WHOLE.fullmatch(text) is not None
