"""Stitch patterns to try: traditional ones, written in the trade's words."""

from typing import Any

from grading.core.pattern.pattern import PatternFile, StitchPatternEntry, YarnEntry

# Source: common practice. Old shale (feather and fan), a lace ground, a cable, moss stitch, shells.
WRITTEN = {
    "old shale": (
        "knitting",
        StitchPatternEntry(
            "shale",
            "Old shale",
            18,
            2,
            rows=(
                "K1, *[k2tog] 3 times, [yo, k1] 6 times, [k2tog] 3 times; repeat from * to last st, k1.",
                "Purl.",
                "Knit.",
                "Purl.",
            ),
        ),
    ),
    "lace": (
        "knitting",
        StitchPatternEntry(
            "lace",
            "Lace",
            6,
            3,
            rows=(
                "K2, *yo, ssk, k1, k2tog, yo, k1; repeat from * to last st, k1.",
                "P to end.",
                "K2, *k1, yo, sl 1, k2tog, psso, yo, k2; rep from * to last st, k1.",
                "As row 2.",
            ),
        ),
    ),
    "cable": (
        "knitting",
        StitchPatternEntry(
            "cable",
            "Cable",
            6,
            2,
            rows=(
                "P2, *k4, p2; rep from * to end.",
                "K2, *p4, k2; rep from * to end.",
                "P2, *c4f, p2; rep from * to end.",
                "Repeat row 2.",
            ),
        ),
    ),
    "moss in rounds": (
        "knitting",
        StitchPatternEntry(
            "moss",
            "Moss",
            2,
            rounds=True,
            rows=("*K1, p1; rep from * to end.", "*P1, k1; rep from * to end."),
        ),
    ),
    "twisted rib": (
        "knitting",
        StitchPatternEntry(
            "rib",
            "Twisted rib",
            2,
            1,
            rows=("K1 tbl, *p1, k1 tbl; rep from * to end.", "P1 tbl, *k1, p1 tbl; rep from * to end."),
        ),
    ),
    "shells": (
        "crochet",
        StitchPatternEntry(
            "shells",
            "Shells",
            6,
            1,
            rows=(
                "Sc in first st, *sk 2 sts, 5 dc in next st, sk 2 sts, sc in next st; rep from * to end.",
                (
                    "Ch 3 (counts as 1 dc), 2 dc in first st, *sk 2 sts, sc in next st, sk 2 sts, "
                    "5 dc in next st; rep from * to last 6 sts, sk 2 sts, sc in next st, sk 2 sts, "
                    "3 dc in last st, turn."
                ),
            ),
        ),
    ),
    "posts": (
        "crochet",
        StitchPatternEntry(
            "posts",
            "Basket",
            4,
            1,
            rows=(
                "Sc in first st, *FPdc around next 2 sts, BPdc around next 2 sts; rep from * to end.",
                "Ch 1, sc in blo of each st across, turn.",
                "Sc in first st, *sc2tog, 2 sc in next st, sc in next st; rep from * to end.",
            ),
        ),
    ),
    "honeycomb": (
        "tunisian",
        StitchPatternEntry(
            "honeycomb",
            "Honeycomb",
            2,
            1,
            rows=(
                "*Tss in next st, tps in next st; rep from * to end. Return.",
                "*Tps in next st, tss in next st; rep from * to end. Return.",
            ),
        ),
    ),
}


def file_of(craft: str, terms: str = "US", **parts: Any) -> PatternFile:
    """A pattern file with two colours."""
    yarns = (YarnEntry("A", "Ground"), YarnEntry("B", "Motif"))
    return PatternFile("Sampler", craft, "cm", terms, ("S", "M"), yarns=yarns, **parts)
