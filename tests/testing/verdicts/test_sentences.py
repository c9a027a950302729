"""A verdict's sentence says what the evidence is, and never more."""

import pytest
from django.template.loader import render_to_string

from testing.verdicts.sentences import MakerTally, verdict_sentence
from testing.verdicts.shown_verdicts import Shown, ShownVerdict
from testing.verdicts.yarn_words import YarnInShort

NO_YARN = YarnInShort("", is_lacking=False)
SIZES = ["S", "M", "L", "XL", "2X", "3X", "4X"]


def said(verdict="holds", sizes=(), error=0.0, probability=0.99, **tally):
    makers = dict.fromkeys(SIZES, (0, 0)) | tally.pop("makers", {})
    found = {
        "verdict": verdict,
        "sizes": list(sizes),
        "error": [error if size in sizes else 0.0 for size in SIZES],
        "results": [sum(makers[size]) for size in SIZES],
        "is_width": True,
        "probability": probability,
    }
    beyond, within = zip(*(makers[size] for size in SIZES), strict=True)
    return verdict_sentence("Hem", found, SIZES, "cm", MakerTally(beyond, within, **tally))


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        (
            "No error seen in Hem: 2 makers each of L and 2X; 5 sizes untested.",
            {"makers": {"L": (0, 2), "2X": (0, 2)}},
        ),
        (
            (
                "No clear error in Hem: 2 makers each of L and 2X; but both makers of 2X are beyond "
                "the tolerance; 5 sizes untested. "
                "Ask who is off in 2X to measure again, or ask one more maker there."
            ),
            {"makers": {"L": (0, 2), "2X": (2, 0)}},
        ),
        (
            (
                "No error seen in Hem: 1 maker of S, 3 makers of M; but 1 of 3 makers of M is beyond "
                "the tolerance; 5 sizes untested; 2 doubtful entries not counted. "
                "Ask who is off in M to measure again, or ask one more maker there."
            ),
            {"makers": {"S": (0, 1), "M": (1, 2)}, "doubtful": 2},
        ),
        (
            (
                "Hem is 3.6 cm too narrow in XL: 1 maker of XL; 5 sizes untested; "
                "not sure, ask a second maker in XL."
            ),
            {"verdict": "sizes", "sizes": ["XL"], "error": -36, "makers": {"XL": (1, 0), "S": (0, 3)}},
        ),
        (
            "Hem is 3.6 cm too narrow in XL: 2 makers of XL; 5 sizes untested; sure.",
            {"verdict": "sizes", "sizes": ["XL"], "error": -36, "makers": {"XL": (2, 0), "S": (0, 3)}},
        ),
        (
            (
                "Hem is 3.6 cm too narrow on average in XL: 2 of 3 makers are beyond the tolerance; "
                "but 1 of 3 makers of XL is within the tolerance; "
                "but the only maker of S is beyond the tolerance too; "
                "5 sizes untested; likely."
            ),
            {
                "verdict": "sizes",
                "sizes": ["XL"],
                "error": -36,
                "probability": 0.8,
                "makers": {"XL": (2, 1), "S": (1, 0)},
            },
        ),
        (
            (
                "Hem is 2.0 cm too wide in every size measured: 1 maker each of S, M and L; "
                "4 sizes untested; not sure, ask a second maker in S, M and L."
            ),
            {
                "verdict": "shift",
                "sizes": SIZES,
                "error": 20,
                "makers": {"S": (1, 0), "M": (1, 0), "L": (1, 0)},
            },
        ),
        (
            (
                "Hem is 2.0 cm too wide in 4X: no maker of these sizes; 7 sizes untested; "
                "not sure, nobody has made these sizes."
            ),
            {"verdict": "sizes", "sizes": ["4X"], "error": 20},
        ),
        ("Hem is undecided: 1 maker of M.", {"verdict": "undecided", "makers": {"M": (1, 0)}}),
    ],
)
def test_a_sentence_names_makers_untested_sizes_and_what_speaks_against_it(sentence, told):
    assert said(**told) == sentence


def test_makers_stand_by_size_where_each_size_is_told_its_own_amount():
    found = {
        "verdict": "sizes", "sizes": ["M", "L"], "error": [0.0, -12.0, -36.0], "is_width": True,
        "probability": 0.99,
    }  # fmt: skip
    sentence = verdict_sentence("Hem", found, ["S", "M", "L"], "cm", MakerTally((0, 2, 2), (2, 1, 0)))
    assert sentence == (
        "Hem is 1.2 cm too narrow in M and 3.6 cm too narrow in L: 3 makers of M, 2 makers of L; "
        "but 1 of 3 makers of M is within the tolerance; sure."
    )


@pytest.mark.parametrize("verdict", ["shift", "slope", "sizes"])
@pytest.mark.parametrize("affected", [SIZES, ["M"], ["M", "XL"]])
def test_one_maker_a_size_is_never_sure(verdict, affected):
    sentence = said(
        verdict=verdict, sizes=affected, error=30, probability=1.0, makers=dict.fromkeys(SIZES, (1, 0))
    )
    assert "; sure." not in sentence
    assert "not sure, ask a second" in sentence


def test_what_holds_against_a_maker_stands_open():
    kinds = {"chest": ("holds", True), "hem": ("holds", False), "neck": ("shift", True)}
    kinds["arm"] = ("undecided", True)
    verdicts = [
        ShownVerdict(name, name, kind, "", "", "", "", [], [], is_contradicted=against)
        for name, (kind, against) in kinds.items()
    ]
    shown = Shown(SIZES, verdicts, [], [], [], [], [], [], "", NO_YARN)
    assert [one.name for one in shown.contradicted] == ["chest"]
    assert [one.name for one in shown.sound] == ["hem"]
    assert ([one.name for one in shown.wrong], shown.lacking) == (["neck"], 1)


@pytest.mark.parametrize("is_contradicted", [True, False])
def test_nothing_is_in_doubt_only_where_nothing_is_to_be_measured_again(is_contradicted):
    verdict = ShownVerdict("hem", "Hem", "holds", "", "", "", "", [], [], is_contradicted=is_contradicted)
    shown = Shown(SIZES, [verdict], [], [], [], [], [], [], "", NO_YARN)
    page = render_to_string("testing/_doubts.html", {"shown": shown})
    assert ("Nothing is in doubt." in page) is not is_contradicted
    assert ("What to measure again is told below." in page) is is_contradicted


@pytest.mark.parametrize(
    ("is_mean", "word"), [(True, "same error on average"), (False, "same error in every size")]
)
def test_the_same_error_is_in_every_size_only_where_no_maker_is_within(is_mean, word):
    verdict = ShownVerdict(
        "hem", "Hem", "shift", "", "", "", "", [], [], is_contradicted=True, is_mean=is_mean
    )
    assert verdict.word == word
