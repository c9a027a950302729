"""The list of abbreviations holds exactly those that a text uses."""

from typing import Any

import pytest

from grading.core.instructions.abbreviation_tables import BY_CRAFT, STITCH_BASES, STITCH_PREFIXES
from grading.core.instructions.abbreviations import abbreviations_used
from grading.core.instructions.spelling import spelled
from grading.core.instructions.terms import Craft, terms_used, translate
from grading.core.printing.edition import Terms
from tests.check_values import check_value

LISTS: dict[str, Any] = check_value("4-terms", "abbreviations")


def shorts(text: str, craft: Craft = "crochet", terms: Any = "US") -> list[str]:
    """Return the abbreviations found in a text."""
    return [short for short, _ in abbreviations_used(text, terms, craft, {})]


# Source: 4-terms.json, abbreviations
@pytest.mark.parametrize(
    ("craft", "short"),
    [(craft, short) for craft in ("crochet", "tunisian", "knitting") for short in LISTS[craft]],
)
def test_each_abbreviation_of_the_councils_lists_is_known(craft: Craft, short: str) -> None:
    assert short in shorts(f"1 {short} 2", craft)


def test_only_what_is_used_is_listed_once_and_in_order() -> None:
    text = "Ch 3, 2 dc in next st; 1 Dc in the 1st sts. Fasten off."
    assert abbreviations_used(text, "US", "crochet", {}) == [
        ("ch", "chain"),
        ("dc", "double crochet"),
        ("st", "stitch"),
    ]


YOH, DRAWN, CLOSED = "yarn over hook", "draw up a loop in the next stitch", "draw through all loops"


def test_meanings_are_in_the_terms_of_the_text() -> None:
    assert abbreviations_used("1 dc, htr2tog, FPtr, ss", "UK", "crochet", {}) == [
        ("dc", "double crochet"),
        ("FPtr", "front post treble"),
        (
            "htr2tog",
            f"half treble 2 together: [{YOH}, draw up a loop in the next stitch] twice, {YOH}, {CLOSED}",
        ),
        ("ss", "slip stitch"),
    ]


def test_stitches_worked_together_and_made_between_others_say_how_since_the_third_wording() -> None:
    told = dict(abbreviations_used("dc3tog, FPdc2tog", "US", "crochet", {}))
    assert told["dc3tog"] == (
        "double crochet 3 together: [yarn over, draw up a loop in the next stitch, yarn over, draw through 2 "
        f"loops] 3 times, yarn over, {CLOSED}"
    )
    assert told["FPdc2tog"] == "front post double crochet 2 together"
    assert abbreviations_used("hdc2tog", "US", "crochet", {}, 2) == [
        ("hdc2tog", "half double crochet 2 together")
    ]
    assert dict(abbreviations_used("k1, m1l", "US", "knitting", {}))["m1l"].endswith("through the back loop")
    assert abbreviations_used("m1l", "US", "knitting", {}, 2) == [("m1l", "make 1, leaning left")]


def test_ordinals_and_words_are_no_abbreviations() -> None:
    assert shorts("The 1st and 21st rows of the stretch; once more. Tinctures, echo.") == []


def test_knitting_counts_and_capitals_are_read() -> None:
    text = "K5, p2, *k1, m1l, ssk, k3tog; rep from *. BO. Work in St st."
    assert shorts(text, "knitting") == ["BO", "k", "k3tog", "m1l", "p", "rep", "ssk", "St st"]


def test_tunisian_stitches_keep_the_capital_they_are_written_with() -> None:
    assert shorts("1 Tks, 1 Tps; work Tss", "tunisian") == ["Tks", "Tps", "Tss"]


def test_the_authors_own_meaning_wins() -> None:
    own = {"bo": "bobble of 5 dc", "Xst": "crossed stitch", "unused": "never"}
    assert abbreviations_used("1 bo, 2 Xst", "US", "crochet", own) == [
        ("bo", "bobble of 5 dc"),
        ("dc", "double crochet"),
        ("Xst", "crossed stitch"),
    ]


def test_colour_is_spelt_as_the_terms_have_it() -> None:
    assert abbreviations_used("MC", "US", "knitting", {}) == [("MC", "main color")]
    assert abbreviations_used("MC", "UK", "knitting", {}) == [("MC", "main colour")]


def test_the_authors_own_abbreviations_may_begin_a_sentence_and_have_several_words() -> None:
    own = {"puff": "3 hdc together", "beg dc": "ch 3", "cord": "never"}
    found = abbreviations_used("Puff in next st. Join, beg dc, 2 puffs.", "US", "crochet", own)
    assert found == [
        ("beg dc", "ch 3"),
        ("ch", "chain"),
        ("hdc", "half double crochet"),
        ("puff", "3 hdc together"),
        ("st", "stitch"),
    ]


WITHOUT_PLURAL = ("BO", "sk", "ss")  # what is done, and what is its own plural


def built_in(craft: Craft) -> list[str]:
    """Return every abbreviation that is built in, with the prefixes and counts that a stitch takes."""
    stitches = [*STITCH_BASES, *(f"{prefix}{base}" for prefix in STITCH_PREFIXES for base in STITCH_BASES)]
    return [*BY_CRAFT[craft], *stitches, *(f"{base}2tog" for base in STITCH_BASES)]


def meanings(text: str, craft: Craft, terms: Terms) -> list[str]:
    """Return the meanings of the abbreviations found in a text, in one spelling."""
    found = abbreviations_used(text, terms, craft, {})
    return [meaning.replace("colour", "color") for _, meaning in found]


@pytest.mark.parametrize("craft", ["crochet", "tunisian", "knitting"])
@pytest.mark.parametrize(("home", "wanted"), [("US", "UK"), ("UK", "US")])
def test_every_abbreviation_and_its_plural_mean_the_same_in_both_languages(
    craft: Craft, home: Terms, wanted: Terms
) -> None:
    for usual in built_in(craft):
        short = translate(usual, "US", home, craft)
        plural = short if short in WITHOUT_PLURAL else f"{short}s"
        for typed in (short, plural, f"{short[:1].upper()}{short[1:]}"):
            text = f"2 {typed} in"
            printed = translate(text, home, wanted, craft)
            there = [translate(one, home, wanted, craft) for one in meanings(text, craft, home)]
            there = sorted(spelled(one, "US") for one in there)
            written_out = [one for one in there if one in spelled(printed.lower(), "US")]
            assert written_out or sorted(meanings(printed, craft, wanted)) == there, (typed, printed)


@pytest.mark.parametrize("terms", ["US", "UK"])
def test_the_tunisian_reverse_stitch_stays_whole_and_lists_no_treble(terms: Terms) -> None:
    text = translate("Trs in each st, 2 trs.", "US", terms, "tunisian")
    assert text == "Trs in each st, 2 trs."
    found = {short.lower(): meaning for short, meaning in abbreviations_used(text, terms, "tunisian", {})}
    assert found == {"st": "stitch", "trs": "Tunisian reverse stitch"}
    assert terms_used(text, "US", "tunisian") == []


def test_several_trebles_of_tunisian_work_are_no_reverse_stitch() -> None:
    assert translate("2 dcs, 3 FPdcs, Dcs", "US", "UK", "tunisian") == "2 tr, 3 FPtr, Tr"
    assert translate("2 dcs, 2 trs, 2 FPtrs", "US", "UK", "crochet") == "2 trs, 2 dtrs, 2 FPdtrs"
    assert translate("2 FPtrs", "US", "UK", "tunisian") == "2 FPdtrs"
    assert translate("2 dtrs", "UK", "US", "tunisian") == "2 tr"


def test_tunisian_work_has_its_own_abbreviations_as_they_are_written():
    text = "TSS, Tks2tog, Ttss, m1, Tdc, 2 trs; etss."
    assert abbreviations_used(text, "US", "tunisian", {}) == [
        ("etss", "extended Tunisian simple stitch"),
        ("m1", "make 1: pick up a loop between two stitches"),
        ("Tdc", "Tunisian double crochet"),
        ("Tks2tog", "Tunisian knit stitch over 2 stitches together"),
        ("trs", "Tunisian reverse stitch"),
        ("TSS", "Tunisian simple stitch"),
        ("Ttss", "twisted Tunisian simple stitch"),
    ]
    uk = translate(text, "US", "UK", "tunisian")
    assert ("Ttr", "Tunisian treble") in abbreviations_used(uk, "UK", "tunisian", {})
    assert abbreviations_used("Tss2tog, m1, TSS", "US", "tunisian", {}, 1) == [
        ("Tss", "Tunisian simple stitch")
    ]
