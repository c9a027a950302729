"""US and UK terms are replaced whole, all at once, and back again without loss."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.instructions.terms import Craft, doubtful_terms, term_table, terms_used, translate
from tests.check_values import check_value

CRAFTS: tuple[Craft, ...] = ("crochet", "tunisian", "knitting")
CHECK_VALUES: dict[str, Any] = {
    name: check_value("4-terms", name) for name in ("us_uk", "uk_us", "only_one", "knitting")
}


def to_uk(text: str, craft: Craft = "crochet") -> str:
    """Put a US text into UK terms."""
    return translate(text, "US", "UK", craft)


def to_us(text: str, craft: Craft = "crochet") -> str:
    """Put a UK text into US terms."""
    return translate(text, "UK", "US", craft)


# Source: 4-terms.json, us_uk
@pytest.mark.parametrize(
    ("us", "uk"),
    [*CHECK_VALUES["us_uk"]["full"].items(), *CHECK_VALUES["us_uk"]["short"].items()],
)
def test_us_terms_become_uk_terms_as_in_the_councils_table(us: str, uk: str) -> None:
    assert to_uk(f"Work {us} here.") == f"Work {uk} here."


# Source: 4-terms.json, uk_us
@pytest.mark.parametrize(("uk", "us"), CHECK_VALUES["uk_us"]["short"].items())
def test_uk_terms_become_us_terms(uk: str, us: str) -> None:
    assert to_us(f"1 {uk} in next st") == f"1 {us} in next st"


# Source: 4-terms.json, knitting
@pytest.mark.parametrize(("us", "uk"), CHECK_VALUES["knitting"]["full"].items())
def test_knitting_terms_are_replaced_both_ways(us: str, uk: str) -> None:
    assert to_uk(us, "knitting") == uk
    assert to_us(uk, "knitting") == us


@pytest.mark.parametrize("craft", CRAFTS)
def test_every_pair_comes_back_unchanged(craft: Craft) -> None:
    for term in term_table(craft):
        assert to_uk(term.us, craft) == term.uk
        assert to_us(term.uk, craft) == term.us


@given(st.lists(st.sampled_from([term.us for term in term_table("crochet")]), max_size=12))
def test_us_to_uk_to_us_is_the_same_text(terms: list[str]) -> None:
    text = ", ".join(f"2 {term}" for term in terms)
    assert to_us(to_uk(text)) == text


def test_nothing_is_replaced_twice() -> None:
    assert to_uk("sc, hdc, dc, tr, dtr, trtr") == "dc, htr, tr, dtr, trtr, qtr"
    assert to_us(to_us("dc")) == "sc"
    assert to_us("double treble, treble, double crochet") == "treble, double crochet, single crochet"


@pytest.mark.parametrize(
    ("us", "uk"),
    [
        ("hdc2tog", "htr2tog"),
        ("dc3tog", "tr3tog"),
        ("FPdc, BPtr, FPhdc", "FPtr, BPdtr, FPhtr"),
        ("esc, edc, ehdc, etr", "edc, etr, ehtr, edtr"),
        ("Tdc, Tsc", "Ttr, Tdc"),
        ("2dc in next st, dc-sp", "2tr in next st, tr-sp"),
        ("dcs and single crochets", "trs and double crochets"),
        ("Sc evenly. DC.", "Dc evenly. TR."),
        ("Half double crochet in rows", "Half treble in rows"),
        ("front post half double", "front post half treble"),
        ("single\ncrochet", "double crochet"),
        ("treble crochet", "double treble"),
        ("skip 2 sts, sl st in next", "miss 2 sts, ss in next"),
    ],
)
def test_compounds_plurals_and_capitals_follow(us: str, uk: str) -> None:
    assert to_uk(us) == uk


@pytest.mark.parametrize(
    "text", ["desc, track, redcap, dct", "Tss and tsl st", "double stitch", "a single row", "etc."]
)
def test_other_words_are_left_alone(text: str) -> None:
    assert to_uk(text) == text


def test_uk_forms_in_full_are_known() -> None:
    assert to_us("half treble crochet, treble crochets") == "half double crochet, double crochets"
    assert to_us("yarn round hook, miss 1") == "yarn over, skip 1"


def test_knitting_forms_read_on_one_side_only() -> None:
    assert to_uk("BO 4 sts. BO all. Work in stockinette.", "knitting") == (
        "Cast off 4 sts. Cast off all. Work in stocking stitch."
    )
    assert to_us("cast off loosely", "crochet") == "cast off loosely"


def test_text_in_backticks_is_never_replaced() -> None:
    assert to_uk("1 dc in `dc`, ``1 `dc` `` dc") == "1 tr in `dc`, ``1 `dc` `` tr"
    assert to_uk("an open ` dc") == "an open ` tr"


def test_the_same_terms_change_nothing() -> None:
    assert translate("1 dc", "UK", "UK", "crochet") == "1 dc"


def test_terms_used_lists_each_term_once_with_the_other_languages_word() -> None:
    text = "1 Dc, 2 dc, hdc2tog, `sc`, skip 1, gauge"
    assert terms_used(text, "US", "crochet") == [
        ("dc", "tr"),
        ("gauge", "tension"),
        ("hdc", "htr"),
        ("skip", "miss"),
    ]
    assert terms_used("1 dc", "UK", "crochet") == [("dc", "sc")]


# Source: 4-terms.json, only_one
def test_terms_that_only_the_other_language_knows_are_doubtful() -> None:
    known = CHECK_VALUES["only_one"]
    for short in known["us_only"]:
        assert doubtful_terms(f"1 {short} in", "UK", "crochet")
        assert not doubtful_terms(f"1 {short} in", "US", "crochet")
    for short in known["uk_only"]:
        assert doubtful_terms(f"1 {short} in", "US", "crochet")
        assert not doubtful_terms(f"1 {short} in", "UK", "crochet")
    for short in known["ambiguous"]:
        assert not doubtful_terms(f"1 {short} in", "US", "crochet")
        assert not doubtful_terms(f"1 {short} in", "UK", "crochet")


def test_a_bare_single_or_double_is_doubtful_with_its_place() -> None:
    assert [place for place, _ in doubtful_terms("3 doubles in next st", "US", "crochet")] == [2]
    assert doubtful_terms("fold double in half; 3 `doubles in`", "US", "crochet") == []


def test_knitting_words_of_the_other_language_are_doubtful() -> None:
    assert doubtful_terms("Bind off.", "UK", "knitting")
    assert doubtful_terms("Cast off in stocking stitch.", "US", "knitting")
    assert doubtful_terms("Cast off.", "UK", "knitting") == []


@pytest.mark.parametrize(
    "link",
    [
        "https://larkmoss.example/dc?colour=grey&tr=2",
        "HTTP://x.example/hdc",
        "www.larkmoss.example/treble-color",
    ],
)
def test_web_addresses_are_left_alone(link: str) -> None:
    """An address that is changed leads nowhere. Records that were frozen before keep the words they print."""
    text = f"Dc in gray as on {link} then dc."
    assert translate(text, "US", "UK", "crochet") == f"Tr in grey as on {link} then tr."
    assert terms_used(f"See {link}", "US", "crochet") == []
    assert doubtful_terms(f"See {link}", "US", "crochet") == []
    assert doubtful_terms(f"See {link} and 2 htr", "US", "crochet")[0][0] == len(f"See {link} and 2 ")
    assert translate("On https://x.example/dc", "US", "UK", "crochet", 1) == "On https://x.example/tr"
    older = "On http://x.example/dc-gray and www.x.example/gray"
    assert translate(older, "US", "UK", "crochet", 2) == "On http://x.example/tr-gray and www.x.example/grey"


def test_long_runs_of_backticks_are_read_fast() -> None:
    text = "`" * 20_000
    assert to_uk(text) == text
