"""A sampler of stitch patterns for each craft: lace, a two-colour chart, shells, posts, a Tunisian ground."""

from tests.builders import sample
from tests.catalogue.builders import make_pattern

LACE = {
    "name": "trellis",
    "label": "Trellis",
    "introduction": "A lace ground that leans both ways.",
    "multiple": 6,
    "plus": 3,
    "rows": [
        "K2, *yo, ssk, k1, k2tog, yo, k1; repeat from * to last st, k1.",
        "Purl.",
        "K2, *k1, yo, sl 1, k2tog, psso, yo, k2; repeat from * to last st, k1.",
        "As row 2.",
        "K2, *p1, k1 tbl; repeat from * to last st, k1.",
        "K1, slip the next st to the other side and back, p to end.",
    ],
    "over": ["neck_stitches"],
    "left_over": "Work the stitches beyond the last repeat in stocking stitch.",
}
CABLE = {
    "name": "cable",
    "label": "Cable",
    "rounds": True,
    "multiple": 10,
    "rows": ["*P2, k6, p2; repeat from * to end.", "*P2, c6f, p2; repeat from * to end.", "As round 1."],
}
DIAMONDS = {
    "name": "diamonds",
    "label": "Diamonds",
    "multiple": 8,
    "plus": 3,
    "grid": [
        "A|AAABAAAA|AA",
        "A|AABABAAA|AA",
        "A|ABABABAA|AA",
        "A|AABABAAA|AA",
        "A|AAABAAAA|AA",
        "A|BAAAAABA|AA",
    ],
}
WIDE = {
    "name": "wide",
    "label": "Wide border",
    "rounds": True,
    "multiple": 60,
    "grid": ["AB" * 30, "AABB" * 15, "BA" * 30],
}
SHELLS = {
    "name": "shells",
    "label": "Shells",
    "multiple": 6,
    "plus": 1,
    "rows": [
        "Ch 1, sc in first st, *sk 2 sts, 5 dc in next st, sk 2 sts, sc in next st; rep from * to end.",
        (
            "Ch 3 (counts as 1 dc), 2 dc in first st, *sk 2 sts, sc in next st, sk 2 sts, 5 dc in next st; "
            "rep from * to last 6 sts, sk 2 sts, sc in next st, sk 2 sts, 3 dc in last st, turn."
        ),
    ],
}
TEXTURE = {
    "name": "texture",
    "label": "Texture",
    "multiple": 6,
    "plus": 2,
    "rows": [
        (
            "Sc in first st, *FPdc around next 2 sts, BPdc around next 2 sts, hdc in next st, tr in next st; "
            "rep from * to last st, sc in last st."
        ),
        "Ch 1, sc in blo of each st across, turn.",
        (
            "Sc in first st, *sc2tog, 2 sc in next st, bobble in next st, popcorn in next st, sc in next st; "
            "rep from * to last st, sc in last st."
        ),
        (
            "Dc in first st, *dc2tog, ch 1, 2 dc in next st, dtr in next st, sk next st, hdc2tog in next st; "
            "rep from * to last st, dc in last st."
        ),
    ],
}
HONEYCOMB = {
    "name": "honeycomb",
    "label": "Honeycomb",
    "multiple": 2,
    "plus": 1,
    "rows": [
        "*Tss in next st, tps in next st; repeat from * to end. Return.",
        "*Tps in next st, tss in next st; repeat from * to end. Return.",
    ],
}
OWN = {"c6f": "cable 6, front: slip 3 sts to a cable needle in front, k3, then k3 from the cable needle"}
OF_SAMPLE = {
    "cinderfell_raglan": [LACE, CABLE, DIAMONDS, WIDE],
    "brackenmere_pullover": [SHELLS, TEXTURE],
    "thistledrift_waistcoat": [HONEYCOMB],
}


def make_sampler(name="cinderfell_raglan"):
    """A sample with stitch patterns, the first of them named by a step, and two colours."""
    patterns, of = OF_SAMPLE[name], sample(name)
    step = f"Swatch: cast on 21 sts and work 12 rows in {{{patterns[0]['name']}}}."
    yarns = [{"colour": "A", "label": "Ground"}, {"colour": "B", "label": "Motif"}]
    return make_pattern(
        name,
        sections=[*of["sections"], {"title": "Swatches", "steps": [step]}],
        stitch_patterns=[*of.get("stitch_patterns", []), *patterns],
        **({"yarns": yarns, "abbreviations": OWN} if name == "cinderfell_raglan" else {}),
    )
