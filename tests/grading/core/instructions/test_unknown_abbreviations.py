"""Abbreviations in no list are found with their place; whatever some list has, and plain English, is not."""

import pytest

from grading.core.instructions.unknown_abbreviations import unknown_abbreviations


def found(words, terms="US", craft="crochet", own=None, sizes=()):
    return [
        (at, says.split("”")[0][1:])
        for at, says in unknown_abbreviations(words, terms, craft, own or {}, sizes)
    ]


@pytest.mark.parametrize(
    ("craft", "terms", "words", "wanted"),
    [
        ("tunisian", "US", "2 Tds in the next st.", [(2, "Tds")]),
        ("crochet", "US", "1 fdc in each ch; 2 FDC, 3fsc.", [(2, "fdc"), (20, "FDC"), (26, "fsc")]),
        ("crochet", "US", "Kst2tog over the next 2 sts", [(0, "Kst2tog")]),
        ("knitting", "UK", "Kbf, then k3.", [(0, "Kbf")]),
        ("crochet", "US", "1 fdc, 1 fdc", [(2, "fdc")]),
        ("knitting", "UK", "k1, skpo, then JSSBO", [(4, "skpo"), (15, "JSSBO")]),
        ("knitting", "UK", "k2, k2togtbl, p3", [(4, "k2togtbl")]),
        ("crochet", "US", "sc2togblo over the next 2 sts, K1a2b", [(0, "sc2togblo"), (31, "K1a2b")]),
    ],
)
def test_an_abbreviation_in_no_list_is_found_once_at_its_place(craft, terms, words, wanted):
    assert found(words, terms, craft) == wanted


@pytest.mark.parametrize(
    ("craft", "terms", "words"),
    [
        ("crochet", "US", "Ch 3, dc2tog, FPdc, 2 hdc in ch-sp, sl st to 1st st. (12 sts, 3 chs)"),
        ("crochet", "UK", "2 htr, 1 dtr, htr2tog, ss, yrh on RS, then 3 dc"),
        ("tunisian", "US", "TSS, TKS, Tss2tog, 2 Tks2togs, Ttss, Tes, Tts, m1"),
        ("tunisian", "US", "Tss, Tks, Tps, 1 trs, RetP, tdc, 3 rnds in MC and CC"),
        ("knitting", "US", "K2tog, ssk, sl1k, psso, yo, M1L, k1tbl, p2; work in St st and DK"),
        ("knitting", "UK", "12 mm or 3 yds on the 2nd, 3rd and 14th rows; end. My rhythm. Why try?"),
        ("crochet", "US", "`fdc` stays"),
        ("knitting", "US", "Strand three threads through, splice, shrink, scrub; a schematic of spheres"),
        ("knitting", "US", "k1tbl, sl1wyif, sl2k1p, k3togs, 2x2 rib, 4ply, row 1a and k2tog tbl"),
    ],
)
def test_what_some_list_or_everyday_english_has_is_not_found(craft, terms, words):
    assert found(words, terms, craft) == []


def test_own_abbreviations_and_sizes_are_known():
    assert found("1 fdc in size XXS and SM-B", own={"fdc": "foundation dc"}, sizes=("XXS",)) == []
