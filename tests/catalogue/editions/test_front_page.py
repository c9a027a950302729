"""The front page at a glance: skill, yarn weight, gauge, tools, sizes and ease; and which size to choose."""

import math
from dataclasses import replace

import pytest

from catalogue.editions.glance import SKILLS, glance, skill_level
from catalogue.editions.size_choice import choosing_words, ease_words, size_pair
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import length_range
from tests.builders import sample
from tests.present import present

NEWEST = 2


def facts_with(name="brackenmere_pullover", **changes):
    pattern = read_pattern({**sample(name), **changes})
    return facts_of(pattern, grade(pattern))


def glance_of(facts, edition=None):
    edition = edition or PrintForm()
    sizes = facts.pattern.sizes
    kept = list(range(len(sizes))) if edition.sizes is None else [sizes.index(edition.sizes)]
    return glance(facts, edition, kept, size_pair(facts, edition))


def told(shown):
    return {row.term: row.text for half in shown.halves for row in half}


def test_a_sample_says_all_that_a_maker_asks_first():
    shown = glance_of(facts_with())
    assert shown.skill.name == "Easy"
    assert [weight.number for weight in shown.weights] == [3]
    assert shown.weight_words == "3 Light"
    assert told(shown) == {
        "Gauge": "Half double crochet, 14 stitches and 10 rows over 10 cm (4 in)",
        "Hooks": "5 mm (US H-8), 4.5 mm (US 7)",
        "Terms": "US crochet terms",
        "To fit": "bust girth 73.5 to 155 cm",
        "Finished": "chest 85.5 to 165.5 cm",
        "Ease": "9.5 to 13 cm",
    }
    assert shown.construction.startswith("Worked from the hem up")


def test_another_edition_says_it_in_its_own_terms_and_units():
    shown = glance_of(facts_with(), PrintForm("in", "UK", "M"))
    assert told(shown) == {
        "Tension": "Half treble, 14 stitches and 10 rows over 4 in (10 cm)",
        "Hooks": "5 mm, 4.5 mm",
        "Terms": "UK crochet terms",
        "To fit": "bust girth 37 in",
        "Finished": "chest 41½ in",
        "Ease": "4½ in",
    }
    assert shown.skill.words == "may include simple stitch patterns, colour work and/or shaping"


@pytest.mark.parametrize(
    ("skill", "reached"), [("basic", 1), ("easy", 2), ("intermediate", 3), ("complex", 4)]
)
def test_the_four_steps_of_skill(skill, reached):
    level = present(skill_level(skill, PrintForm()))
    assert [step.is_reached for step in level.steps] == [True] * reached + [False] * (4 - reached)
    assert level.title == f"Step {reached} of 4"
    assert level.words == SKILLS[skill]


def test_what_a_pattern_does_not_say_is_left_out():
    document = sample("brackenmere_pullover")
    for key in ("skill", "construction"):
        document.pop(key)
    pattern = read_pattern(
        {**document, "body": {}, "checks": [], "yarns": [{"colour": "A", "label": "Yarn A"}]}
    )
    shown = glance_of(facts_of(pattern, grade(pattern)))
    assert (shown.skill, shown.weights, shown.weight_words, shown.construction) == (None, (), "", "")
    assert set(told(shown)) == {"Gauge", "Hooks", "Terms"}


def test_a_weight_that_is_not_told_is_named_by_its_length_and_has_no_number_when_there_are_two():
    yarns = [{"colour": "A", "label": "Yarn A", "length_per_100g": "220 m"}]
    shown = glance_of(facts_with(yarns=yarns))
    assert (shown.weights, shown.weight_words) == ((), "3 Light or 4 Medium")


def test_the_pair_is_the_one_that_the_pattern_compares():
    document = sample("brackenmere_pullover")
    sleeve = next(one for one in document["values"] if one["name"] == "upper_sleeve")
    sleeve["measured"]["compares_to"] = "upper_arm"
    pair = present(size_pair(facts_with(values=document["values"]), PrintForm()))
    assert (pair.body.name, pair.finished.name) == ("upper_arm", "upper_sleeve")
    usual = present(size_pair(facts_with(), PrintForm()))
    assert (usual.body.name, usual.finished.name) == ("bust", "chest")


@pytest.mark.parametrize(("units", "step"), [("cm", 5.0), ("in", 6.35)])
def test_the_ease_is_the_difference_of_what_is_printed(units, step):
    """Worked from the printed numbers, as a reader does: 97 less 84 is 13, though both were rounded."""
    pair = present(size_pair(facts_with(), PrintForm(units)))
    for body, finished, ease in zip(pair.body_mm, pair.finished_mm, pair.ease_mm, strict=True):
        printed = [math.floor(mm / step + 0.5 + 1e-9) * step for mm in (body, finished)]
        assert ease == pytest.approx(printed[1] - printed[0])


def test_how_to_choose_a_size():
    facts = facts_with()
    pair = present(size_pair(facts, PrintForm()))
    assert choosing_words(pair, facts, PrintForm(), range(9)) == (
        "Take your own measurement (bust girth) and add the ease of this garment, 9.5 to 13 cm. Choose "
        "the size whose finished measurement (chest) is nearest to the sum. Between two sizes, the smaller "
        "one fits closer and the larger one looser."
    )
    assert choosing_words(pair, facts, PrintForm("cm", "US", "M"), [2]) == (
        "This size fits a bust girth of 94 cm, with 11.5 cm of ease."
    )


def test_nobody_is_asked_to_choose_among_one_size():
    facts = facts_with()
    pair = present(size_pair(facts, PrintForm()))
    assert choosing_words(pair, facts, PrintForm(), [2]) == (
        "This size fits a bust girth of 94 cm, with 11.5 cm of ease."
    )


def test_a_range_has_one_number_where_both_ends_are_alike_and_a_dash_for_none():
    both = PrintForm("both", "UK")
    assert length_range([500.0, 501.0], both, NEWEST) == "50 cm (19¾ in)"
    assert length_range([500.0, 501.0], PrintForm("both"), NEWEST) == "19¾ in (50 cm)"
    assert length_range([-20.0, 30.0], PrintForm(), NEWEST) == "\u22122 to 3 cm"
    assert length_range([math.nan], both, NEWEST) == "–"


@pytest.mark.parametrize(
    ("body", "label", "finds"),
    [
        ("Hip girth", "Hip, finished", True),
        ("Waist girth", "Hip, finished", False),
        ("Underbust", "Bust", True),  # the underbust is another girth than the bust
        ("Under bust", "Chest", True),
        ("What is wide", "Hat, round the brim", False),
    ],
)
def test_girths_go_together_by_whole_words_of_the_same_place(body, label, finds):
    measured = {"how": "Round.", "tolerance": "1 cm", "around": True}
    girth = {"name": "girth", "label": label, "kind": "length", "formula": "90 cm", "measured": measured}
    bodies = {"first": {"label": body, "unit": "cm", "values": [60 + 4 * at for at in range(9)]}}
    if "under" in body.lower():
        bodies["bust"] = sample("brackenmere_pullover")["body"]["bust"]
    parts = ("checks", "shapings", "curves", "pick_ups", "pieces", "joins", "sections", "yarn_sections")
    facts = facts_with(body=bodies, values=[girth], **{part: [] for part in parts})
    pair = size_pair(facts, PrintForm())
    assert (pair is not None) is finds
    if pair is not None and "under" in body.lower():
        assert pair.body.name == "bust"


def pair_with(eases):
    """Whom a garment fits whose ease is so many mm in each size."""
    facts = facts_with()
    found = present(size_pair(facts, PrintForm()))
    bodies = tuple(500.0 for _ in eases)
    return facts, replace(found, body_mm=bodies, finished_mm=tuple(500.0 + ease for ease in eases))


@pytest.mark.parametrize(
    ("eases", "words"),
    [
        ((-40.0, -10.0), "finished measurement (chest) is 1 to 4 cm less than yours."),
        ((-40.0, math.nan), "finished measurement (chest) is 4 cm less than yours."),
        ((-40.0, 0.0), "finished measurement (chest) is up to 4 cm less than yours."),
        ((-10.0, 20.0), "finished measurement (chest) is up to 1 cm less or up to 2 cm more than yours."),
        ((10.0, 20.0), "add the ease of this garment, 1 to 2 cm."),
    ],
)
def test_a_garment_that_is_smaller_than_the_body_is_chosen_without_a_sign(eases, words):
    facts, pair = pair_with(eases)
    told = choosing_words(pair, facts, PrintForm(), range(len(eases)))
    assert words in told
    assert "−" not in told


def test_the_ease_of_a_garment_that_stretches_is_told_as_what_it_is_less():
    facts, pair = pair_with((-40.0, -10.0))
    assert ease_words(pair, PrintForm(), [0, 1], 3) == "1 to 4 cm less than the body"
    hat = replace(pair, body=replace(pair.body, name="head", label="Head girth"))
    assert ease_words(hat, PrintForm(), [0, 1], 3) == "1 to 4 cm less than the head"
    assert ease_words(pair, PrintForm(), [0, 1], 2) == "−4 to −1 cm"
    assert choosing_words(pair, facts, PrintForm(sizes=facts.pattern.sizes[0]), [0]) == (
        "This size fits a bust girth of 50 cm. It measures 4 cm less, and stretches to fit."
    )
