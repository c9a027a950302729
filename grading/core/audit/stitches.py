"""Stitches: how many stitches beneath each takes and how many it leaves, by craft.

Source: the yarn council's lists of abbreviations for crochet, Tunisian work and knitting, from memory; what
they take and leave is common practice. US and UK names differ in height alone, which no count depends on.
"""

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Stitch:
    """A stitch by name; `takes` stitches beneath become `leaves` stitches."""

    name: str
    takes: int = 1
    leaves: int = 1


_DATA = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))
SLIPS: tuple[str, ...] = tuple(_DATA["slips"])
PREFIXES: tuple[str, ...] = tuple(_DATA["prefixes"])


def stitches_of(craft: str) -> dict[str, Stitch]:
    """The stitches of a craft by name; Tunisian work has those of crochet too.

    >>> stitches_of("knitting")["ssk"]
    Stitch(name='ssk', takes=2, leaves=1)
    """
    crafts = ("crochet", "tunisian") if craft == "tunisian" else (craft,)
    found: dict[str, Stitch] = {}
    for data in (_DATA[name] for name in crafts):
        found |= {name: Stitch(name) for name in data["plain"]}
        for change in data["changes"]:
            found |= {name: Stitch(name, change["takes"], change["leaves"]) for name in change["names"]}
    return found


TOGETHER = re.compile(r"([a-z]+?)(\d)tog(?:tbl)?")
CABLE = re.compile(r"[ct](\d{1,2})(?:[fblrp]{1,2})")
WHOLE = re.compile(
    r"[a-z]+?\dtog(?:tbl)?|[ct]\d{1,2}[fblr]p?|m1[a-z]{0,2}|s2kp?o?|sk2po?|sl2k1p|s[12]k[12]p|sl1k2p|[kp]1fb|k1b|sl1[kp]|sl1wyi[fb]"
    r"|p2sso|[kp]1tbl"
)


def is_whole_word(text: str) -> bool:
    """Whether letters and digits together are one stitch, like k2tog, c6f, m1l.

    >>> is_whole_word("sc2tog"), is_whole_word("k3p2")
    (True, False)
    """
    return WHOLE.fullmatch(text) is not None
