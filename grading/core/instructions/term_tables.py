"""Tables of the terms that differ between the US and the UK.

Source: the yarn council's table of US and UK terms for crochet; the knitting words and the
shorter or older forms are common practice, from memory.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Term:
    """One term in both languages; `abbreviation` marks those that take prefixes and `2tog`."""

    us: str
    uk: str
    abbreviation: bool = False


STITCHES = (
    Term("sc", "dc", abbreviation=True),
    Term("hdc", "htr", abbreviation=True),
    Term("dc", "tr", abbreviation=True),
    Term("tr", "dtr", abbreviation=True),
    Term("dtr", "trtr", abbreviation=True),
    Term("trtr", "qtr", abbreviation=True),
    Term("single crochet", "double crochet"),
    Term("half double crochet", "half treble"),
    Term("double crochet", "treble"),
    Term("treble", "double treble"),
    Term("double treble", "triple treble"),
    Term("triple treble", "quadruple treble"),
    Term("single crochets", "double crochets"),
    Term("half double crochets", "half trebles"),
    Term("double crochets", "trebles"),
    Term("trebles", "double trebles"),
    Term("double trebles", "triple trebles"),
    Term("triple trebles", "quadruple trebles"),
    Term("gauge", "tension"),
    Term("gauges", "tensions"),
)
CROCHET = (
    Term("sl st", "ss"),
    Term("skip", "miss"),
    Term("skips", "misses"),
    Term("skipped", "missed"),
    Term("skipping", "missing"),
    Term("yarn over", "yarn over hook"),
    Term("yo", "yoh"),
)
CROCHET_PLURALS = (Term("yos", "yohs"),)
KNITTING = (
    Term("bind off", "cast off"),
    Term("binds off", "casts off"),
    Term("binding off", "casting off"),
    Term("bind-off", "cast-off"),
    Term("stockinette stitch", "stocking stitch"),
    Term("seed stitch", "moss stitch"),
    Term("moss stitch", "double moss stitch"),
)
# Other forms of a term, read on one side only; the other side prints the usual form.
ALSO_US = (
    Term("half double", "half treble"),
    Term("half doubles", "half trebles"),
    Term("treble crochet", "double treble"),
    Term("treble crochets", "double trebles"),
    Term("triple crochet", "double treble"),
    Term("triple crochets", "double trebles"),
    Term("double treble crochet", "triple treble"),
    Term("double treble crochets", "triple trebles"),
    Term("triple treble crochet", "quadruple treble"),
    Term("triple treble crochets", "quadruple trebles"),
)
ALSO_UK = (
    Term("double crochet", "treble crochet"),
    Term("double crochets", "treble crochets"),
    Term("half double crochet", "half treble crochet"),
    Term("half double crochets", "half treble crochets"),
    Term("treble", "double treble crochet"),
    Term("trebles", "double treble crochets"),
    Term("double treble", "triple treble crochet"),
    Term("double trebles", "triple treble crochets"),
    Term("triple treble", "quadruple treble crochet"),
    Term("triple trebles", "quadruple treble crochets"),
)
ALSO_US_CROCHET = (
    Term("sl sts", "ss"),
    Term("slst", "ss"),
    Term("sk", "miss"),
    Term("yarn over hook", "yarn over hook"),
    Term("yoh", "yoh"),
)
ALSO_UK_CROCHET = (
    Term("yarn over", "yarn round hook"),
    Term("yo", "yrh"),
    Term("yarn over", "yarn over"),
    Term("yo", "yo"),
)
# In Tunisian work "trs" is the reverse stitch, so several trebles are written as one is.
ALSO_US_TUNISIAN = (Term("dcs", "tr", abbreviation=True),)
ALSO_UK_TUNISIAN = (Term("tr", "dtrs", abbreviation=True),)
ALSO_US_KNITTING = (
    Term("bound off", "cast off"),
    Term("stockinette", "stocking stitch"),
    Term("BO", "cast off"),
)

# Only one of the two languages knows these; in a text of the other they can't be told apart.
US_ONLY = ("sc", "hdc", "single crochet", "single crochets", "half double crochet")
UK_ONLY = ("htr", "qtr", "half treble", "half trebles", "half treble crochet", "quadruple treble")
US_ONLY_KNITTING = ("stockinette stitch", "stockinette", "bind off", "binding off")
UK_ONLY_KNITTING = ("stocking stitch", "cast off", "casting off")
