"""Sentences that people read are short, and their words are easy."""

from functools import cache
from pathlib import Path
from statistics import median

import pyphen
import pytest
from django.conf import settings

from tests.site.shown_sentences import Shown, shown_sentences

ROOT = Path(settings.BASE_DIR)
MOST_WORDS = 25
HIGHEST_GRADE = 12
HIGHEST_MEDIAN = 7
# The formula below is made for running text: of a label of a few words it says nothing.
LEAST_WORDS = 6
EXCEPTED = {
    # Printed as a caution since the first wording, and read to its end by whoever needs it.
    (
        "Never put a cord in a hood or at a neck, never make ties longer than the pattern says, "
        "and leave them out for small children."
    ),
}
_SYLLABLES = pyphen.Pyphen(lang="en_US")


@cache
def sentences() -> list[Shown]:
    return [one for one in shown_sentences(ROOT) if len(one.words) >= LEAST_WORDS]


@cache
def syllables(word: str) -> int:
    return len(_SYLLABLES.positions(word.lower())) + 1


def grade(shown: Shown) -> float:
    """The years at school that a sentence asks for.

    Source: J. P. Kincaid and others, Derivation of New Readability Formulas, Research Branch Report 8-75,
    1975. Syllables are the parts in which a word may be broken at the end of a line: a few too low.
    """
    words = shown.words
    return 0.39 * len(words) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def test_sentences_of_every_kind_are_read():
    places = {one.place.partition("/")[0] for one in sentences()}
    assert places == {"templates", "catalogue", "testing", "grading", "README.md"}
    assert len(sentences()) > 3500


def test_every_sentence_is_short():
    long = {
        one.says: one.place for one in sentences() if len(one.words) > MOST_WORDS and one.says not in EXCEPTED
    }
    assert long == {}


def test_no_sentence_is_hard():
    hard = {
        one.says: one.place for one in sentences() if grade(one) > HIGHEST_GRADE and one.says not in EXCEPTED
    }
    assert hard == {}


def test_half_of_all_sentences_are_easy():
    assert median(map(grade, sentences())) <= HIGHEST_MEDIAN


def test_what_is_excepted_is_still_there():
    assert {one.says for one in sentences()} >= EXCEPTED


@pytest.mark.parametrize(
    ("says", "years"),
    # By the formula, with syllables counted by hand: 6 words of 6; 6 words of 13 (3, 2, 2, 2, 2, 2 parts).
    [("The cat sat on the mat.", -1.45), ("Measurements after washing follow every pattern.", 12.3)],
)
def test_the_grade_follows_the_formula(says, years):
    assert grade(Shown("here", says)) == pytest.approx(years, abs=0.05)
