"""Short words in capitals that nothing explains are found; plain English written large is not."""

import re

import pytest

from grading.core.grade.grade import grade
from grading.core.instructions.unknown_abbreviations import unknown_abbreviations
from grading.core.instructions.unknown_capitals import unknown_capitals
from grading.core.pattern.file import read_pattern
from tests.builders import sample
from tests.present import present


def said(words):
    return [says for _, says in unknown_capitals(words, "US", "knitting", {})]


@pytest.mark.parametrize("short", ["YO", "INC", "DEC", "REP", "PSSO", "WYIF"])
def test_what_the_list_has_in_small_letters_is_told_to_be_written_so(short):
    says = f"The list of abbreviations has “{short.lower()}” in small letters: write it so, "
    assert said(f"Then {short}.") == [f"{says}and the list explains it."]


def test_what_is_known_without_a_vowel_is_told_to_be_written_small_too():
    (told,) = unknown_abbreviations("Join, PM.", "US", "knitting", {})
    assert told[1].startswith("The list of abbreviations has “pm” in small letters")
    (told,) = unknown_abbreviations("Join, PQM.", "US", "knitting", {})
    assert told[1].startswith("“PQM” is in no list of abbreviations")


def found(words, craft="knitting", own=None, known=()):
    listed = unknown_capitals(words, "US", craft, own or {}, frozenset(known))
    return [(at, present(re.match(r"[A-Z]+", words[at:]))[0]) for at, _ in listed]


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("Knit to BOR, then SM.", [(8, "BOR"), (18, "SM")]),
        ("Work to EOR; BOR again, BOR.", [(8, "EOR"), (13, "BOR")]),
        ("Work to BOR, ALSO knit.", [(8, "BOR")]),
        ("KNIT TO BOR, THEN TURN.", [(8, "BOR")]),
        ("Join MUL, FLO AND knit.", [(5, "MUL"), (10, "FLO")]),
    ],
)
def test_a_short_word_in_capitals_is_found_once_at_its_place(words, wanted):
    assert found(words) == wanted


def test_pm_in_capitals_is_found_as_what_has_no_vowel():
    assert [at for at, _ in unknown_abbreviations("Join, PM.", "US", "knitting", {})] == [6]


@pytest.mark.parametrize(
    "words",
    [
        "DO NOT turn. Work BOTH sides, ONLY once.",
        "PLEASE READ ALL OF IT, THEN BEGIN.",
        "Part II and part IV, in US terms.",
        "`BOR` stays",
        "Use SM-B.",
        "K2tog, yo, ssk; RS and WS.",
    ],
)
def test_plain_words_written_large_are_not_found(words):
    assert found(words) == []


def test_what_is_explained_listed_or_a_size_is_known():
    assert found("Knit to BOR.", own={"BOR": "beginning of round"}) == []
    assert found("Knit to BOR in size ONE.", known=("BOR", "ONE")) == []


def findings(*steps):
    document = {**sample("puffinbay_child"), "sections": [{"title": "Body", "steps": list(steps)}]}
    return [
        (one["where"], one["weight"], one["line"], one["column"])
        for one in grade(read_pattern(document)).as_json()["findings"]
        if "“BOR”" in one["says"]
    ]


def test_it_is_a_finding_of_its_step_unless_another_step_explains_it():
    assert findings("Cast on.", "Work to BOR.") == [("sections[0].steps[1]", "warn", 1, 9)]
    assert findings("Place a marker for the beginning of round (BOR).", "Work to BOR.") == []
