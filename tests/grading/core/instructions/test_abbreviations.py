"""The list of abbreviations holds exactly those that a text uses."""

from typing import Any

import pytest

from grading.core.instructions.abbreviations import abbreviations_used
from grading.core.instructions.terms import Craft
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


def test_meanings_are_in_the_terms_of_the_text() -> None:
    assert abbreviations_used("1 dc, htr2tog, FPtr, ss", "UK", "crochet", {}) == [
        ("dc", "double crochet"),
        ("FPtr", "front post treble"),
        ("htr2tog", "half treble 2 together"),
        ("ss", "slip stitch"),
    ]


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
