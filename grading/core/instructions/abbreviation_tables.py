"""Abbreviations of the trade in US terms, by craft, with what they mean.

Source: the yarn council's lists of abbreviations for crochet, Tunisian crochet and knitting; from
memory, the meanings in our own words.
"""

COMMON = {
    "alt": "alternate",
    "approx": "approximately",
    "beg": "begin, beginning",
    "bet": "between",
    "CC": "contrasting colour",
    "cont": "continue",
    "dec": "decrease",
    "foll": "follow, following",
    "inc": "increase",
    "lp": "loop",
    "MC": "main colour",
    "pat": "pattern",
    "patt": "pattern",
    "pm": "place marker",
    "prev": "previous",
    "rem": "remain, remaining",
    "rep": "repeat",
    "rnd": "round",
    "RS": "right side",
    "sm": "slip marker",
    "st": "stitch",
    "tbl": "through the back loop",
    "tog": "together",
    "WS": "wrong side",
}
# These take prefixes and "2tog" as well.
STITCH_BASES = {
    "sc": "single crochet",
    "hdc": "half double crochet",
    "dc": "double crochet",
    "tr": "treble",
    "dtr": "double treble",
    "trtr": "triple treble",
}
STITCH_PREFIXES = {"FP": "front post", "BP": "back post", "e": "extended", "t": "Tunisian"}
CROCHET = {
    **COMMON,
    "BL": "back loop",
    "BLO": "back loop only",
    "bo": "bobble",
    "BP": "back post",
    "ch": "chain",
    "ch-sp": "chain space",
    "CL": "cluster",
    "FL": "front loop",
    "FLO": "front loop only",
    "FP": "front post",
    "pc": "popcorn",
    "ps": "puff stitch",
    "sh": "shell",
    "sk": "skip",
    "sl st": "slip stitch",
    "sp": "space",
    "t-ch": "turning chain",
    "tch": "turning chain",
    "yo": "yarn over",
    "yoh": "yarn over hook",
}
TUNISIAN = {
    **CROCHET,
    "etss": "extended Tunisian simple stitch",
    "FwP": "forward pass",
    "RetP": "return pass",
    "tfs": "Tunisian full stitch",
    "tks": "Tunisian knit stitch",
    "tps": "Tunisian purl stitch",
    "trs": "Tunisian reverse stitch",
    "tsl st": "Tunisian slip stitch",
    "tss": "Tunisian simple stitch",
}
# Tunisian abbreviations that the first wording did not know.
TUNISIAN_SINCE = {
    "m1": "make 1: pick up a loop between two stitches",
    "tes": "Tunisian extended stitch",
    "tts": "Tunisian top stitch",
    "ttss": "twisted Tunisian simple stitch",
}
# How stitches are made that older wordings only named, or told in too few words.
_BAR = "lift the strand before the next stitch from the"
_LEFT = f"make 1, leaning left: {_BAR} front, knit it through the back loop"
_RIGHT = f"make 1, leaning right: {_BAR} back, knit it through the front loop"
_TOGETHER = "one by one as if to knit, knit them together through the back loops"
KNITTING_SINCE = {
    "M1L": _LEFT,
    "M1R": _RIGHT,
    "m1l": _LEFT,
    "m1r": _RIGHT,
    "ssk": f"slip 2 {_TOGETHER}",
    "sssk": f"slip 3 {_TOGETHER}",
}
KNITTING = {
    **COMMON,
    "BO": "bind off",
    "ch": "chain",
    "cn": "cable needle",
    "CO": "cast on",
    "dpn": "double-pointed needle",
    "g st": "garter stitch",
    "k": "knit",
    "k1b": "knit 1 in the row below",
    "kfb": "knit in the front and the back of the stitch",
    "kwise": "as if to knit",
    "LH": "left hand",
    "M1": "make 1",
    "M1L": "make 1, leaning left",
    "M1P": "make 1 purlwise",
    "M1R": "make 1, leaning right",
    "m1": "make 1",
    "m1l": "make 1, leaning left",
    "m1p": "make 1 purlwise",
    "m1r": "make 1, leaning right",
    "p": "purl",
    "pfb": "purl in the front and the back of the stitch",
    "psso": "pass the slipped stitch over",
    "pwise": "as if to purl",
    "rev St st": "reverse stockinette stitch",
    "RH": "right hand",
    "sk2p": "slip 1, knit 2 together, pass the slipped stitch over",
    "skp": "slip 1, knit 1, pass the slipped stitch over",
    "sl": "slip",
    "sl1k": "slip 1 as if to knit",
    "sl1p": "slip 1 as if to purl",
    "ssk": "slip 2 one by one as if to knit, knit them together",
    "sssk": "slip 3 one by one as if to knit, knit them together",
    "ssp": "slip 2 one by one as if to knit, purl them together through the back loops",
    "St st": "stockinette stitch",
    "w&t": "wrap and turn",
    "wyib": "with the yarn in back",
    "wyif": "with the yarn in front",
    "yo": "yarn over",
}
BY_CRAFT = {"crochet": CROCHET, "tunisian": TUNISIAN, "knitting": KNITTING}
