"""Choices of the maker stand in a pattern as makers say them."""

from dataclasses import dataclass
from typing import cast

import pytest

from grading.core.instructions.choice_words import choice_noun, choice_words
from grading.core.pattern.pattern import PatternFile


@dataclass(frozen=True)
class Option:
    name: str
    label: str


@dataclass(frozen=True)
class Pattern:
    options: tuple[Option, ...]


def pattern(*labels: str) -> PatternFile:
    return cast("PatternFile", Pattern(tuple(Option(label, label) for label in labels)))


@pytest.mark.parametrize(
    ("label", "choices", "told", "noun"),
    [
        ("Sleeves", ["long"], "with long sleeves", "long sleeves"),
        ("Sleeves", ["none"], "without sleeves", "no sleeves"),
        ("Sleeves", ["three-quarter"], "with three-quarter sleeves", "three-quarter sleeves"),
        ("Sleeves", ["to the elbow"], "with the sleeves to the elbow", "the sleeves to the elbow"),
        ("Pockets", ["yes"], "with pockets", "pockets"),
        ("Pockets", ["no"], "without pockets", "no pockets"),
        ("Pockets", ["two"], "with two pockets", "two pockets"),
        ("Pockets", ["one"], "with one pocket", "one pocket"),
        ("Pocket", ["one"], "with one pocket", "one pocket"),
        ("Belt", ["belt"], "with belt", "belt"),
        ("Brim", ["single", "rolled"], "with single or rolled brim", "single or rolled brim"),
        ("Colors", ["striped"], "in striped colors", "striped colors"),
        ("Neck", ["V"], "with V neck", "V neck"),
        ("Fastening", ["buttons and ties"], "with buttons and ties", "buttons and ties"),
        ("Fastening", ["buttons"], "with buttons", "buttons"),
        ("Worked", ["flat"], "worked flat", "worked flat"),
        ("With collar?", ["yes"], "with collar", "collar"),
        ("With pockets", ["with"], "with pockets", "pockets"),
        ("With pockets", ["off"], "without pockets", "no pockets"),
        ("Pocket", ["off"], "without pocket", "no pocket"),
        ("Pockets", ["true"], "with pockets", "pockets"),
        ("Pockets", ["No pockets"], "without pockets", "no pockets"),
        ("Sleeves", ["sleeveless"], "without sleeves", "no sleeves"),
        ("Without pockets", ["yes"], "without pockets", "no pockets"),
        ("Without pockets", ["no"], "with pockets", "pockets"),
        ("Without pockets", ["with"], "with pockets", "pockets"),
        ("A hood", ["yes"], "with hood", "hood"),
        ("Hood", ["a hood"], "with hood", "hood"),
        ("Which thumb?", ["left"], "with left thumb", "left thumb"),
        ("Worked", ["in rounds"], "worked in rounds", "worked in rounds"),
        ("Lined?", ["yes"], "lined", "lined"),
        ("Sleeves joined", ["no"], "sleeves not joined", "sleeves not joined"),
        ("Neck", ["boat neck"], "with boat neck", "boat neck"),
        ("Brim", ["Folded brim"], "with folded brim", "folded brim"),
        ("Stripes", ["one colour"], "in one colour", "one colour"),
        ("Colors", ["one"], "in one color", "one color"),
        ("Cut", ["plus"], "with plus cut", "plus cut"),
        ("Sleeve length", ["elbow length"], "sleeve length: elbow length", None),
        ("Hem", ["Rib stitch", "Moss stitch"], "hem: Rib stitch or Moss stitch", None),
        ("Pocket", ["two"], "pocket: two", None),
        ("?", ["yes"], "with ?", None),
        ("Sleeves", ["none", "short"], "without sleeves or with short sleeves", None),
    ],
)
def test_a_choice_is_said_as_makers_say_it(
    label: str, choices: list[str], told: str, noun: str | None
) -> None:
    assert choice_words([(label, choices)], pattern(label)) == told
    if noun:
        assert choice_noun(label, choices[0], pattern(label)) == noun or len(choices) > 1


def test_several_choices_stand_in_one_phrase() -> None:
    both = pattern("Sleeves", "Pockets", "Colours")
    assert choice_words([], both) == ""
    assert (
        choice_words([("Sleeves", ["long"]), ("Pockets", ["one"])], both)
        == "with long sleeves and one pocket"
    )
    assert (
        choice_words([("Colours", ["solid"]), ("Sleeves", ["none"]), ("Pockets", ["yes"])], both)
        == "in solid colours, without sleeves and with pockets"
    )
    said = choice_words([("Sleeves", ["long"]), ("Pockets", ["Rib stitch"])], both)
    assert said == "with long sleeves; pockets: Rib stitch"
