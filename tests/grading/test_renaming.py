"""A line renamed everywhere: what names it names it anew, and nothing else is touched."""

from typing import Any

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.entries.renaming import renamed
from tests.builders import sample

NAMED: dict[str, Any] = {
    "sizes": ["S", "M"],
    "fabrics": {"main": {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm", "multiple": 4}},
    "values": [
        {"name": "back", "label": "Back, back", "kind": "stitches", "list": [80, 90], "note": "Of the back."},
        {"name": "back_width", "label": "Width", "kind": "length", "formula": "back / main.stitches"},
        {"name": "up", "label": "Up", "kind": "stitches", "formula": "back + up_to",
         "round": {"to": "up", "fabric": "main"}},
    ],
    "checks": [{"name": "wide", "holds": "back>0", "says": "The back is too narrow.", "weight": "stop"}],
    "shapings": [{"name": "side", "from": "back", "to": 40, "over": "rows_of_back", "each": "back",
                  "on_every": 1, "words": "decrease 1 st at the back"}],
    "pick_ups": [{"name": "neck", "along": "stitches", "count": "back", "ratio": "1 per 1",
                  "edge": "back_width"}],
    "yarn_sections": [{"name": "Back", "fabric": "main", "worked": "back * 10 rows", "stripes": "back",
                       "rows": "back", "when": {"back": "back"},
                       "by_choice": [{"option": "back", "choice": "back", "stripes": "back"}]}],
    "pieces": [{"name": "back_piece", "label": "Back",
                "outline": [["0 cm", "back / main.stitches"], ["1 cm", "1 cm"], ["2 cm", "0 cm"]],
                "dimensions": [{"value": "back", "from": 0, "to": 1}]}],
    "notions": [{"label": "back buttons", "count": "back"}],
    "sections": [{"title": "back", "steps": [
        "Work {back} sts, {{back}}, {side with back}, {back|back|backs}, then the back.",
        "Turn {back_width}."]}],
}  # fmt: skip


def test_a_line_is_renamed_wherever_it_is_named_and_nowhere_else():
    made, touched = renamed(NAMED, "values", "back", "rear")
    assert made["values"] == [
        NAMED["values"][0],
        {**NAMED["values"][1], "formula": "rear / main.stitches"},
        {**NAMED["values"][2], "formula": "rear + up_to"},
    ]
    assert made["checks"][0]["holds"] == "rear>0"
    assert made["checks"][0]["says"] == "The back is too narrow."
    assert made["shapings"][0] == {**NAMED["shapings"][0], "from": "rear", "each": "rear"}
    assert made["pick_ups"][0] == {**NAMED["pick_ups"][0], "count": "rear"}
    section = {**NAMED["yarn_sections"][0], "worked": "rear * 10 rows", "stripes": "rear", "rows": "rear",
               "by_choice": [{"option": "back", "choice": "back", "stripes": "rear"}]}  # fmt: skip
    assert made["yarn_sections"][0] == section
    assert made["pieces"][0]["outline"][0] == ["0 cm", "rear / main.stitches"]
    assert made["pieces"][0]["dimensions"] == [{"value": "rear", "from": 0, "to": 1}]
    assert made["notions"] == [{"label": "back buttons", "count": "rear"}]
    assert made["sections"][0]["steps"] == [
        "Work {rear} sts, {{back}}, {side with rear}, {rear|back|backs}, then the back.",
        "Turn {back_width}.",
    ]
    assert touched == ["Width", "Up", "wide", "side", "neck", "Back", "Back", "back, step 1"]


def test_a_fabric_is_renamed_with_its_parts_and_in_roundings():
    made, _ = renamed(NAMED, "fabrics", "main", "rib")
    assert made["values"][1]["formula"] == "back / rib.stitches"
    assert made["values"][2]["round"] == {"to": "up", "fabric": "rib"}
    assert made["fabrics"] == NAMED["fabrics"]


def test_a_line_called_like_a_way_to_round_leaves_the_rounding_alone():
    made, touched = renamed(NAMED, "values", "up", "raised")
    assert made["values"] == NAMED["values"]
    assert touched == []


def test_an_option_is_renamed_in_conditions_and_blocks():
    document = {
        **NAMED,
        "sections": [
            {"title": "Ties", "when": {"back": "tied"}, "steps": ["::: only back=tied\nTie back=x.\n:::"]}
        ],
    }
    made, touched = renamed(document, "options", "back", "closing")
    assert made["yarn_sections"][0]["when"] == {"closing": "back"}
    assert made["yarn_sections"][0]["by_choice"][0] == {
        "option": "closing", "choice": "back", "stripes": "back",
    }  # fmt: skip
    assert made["sections"] == [
        {"title": "Ties", "when": {"closing": "tied"}, "steps": ["::: only closing=tied\nTie back=x.\n:::"]}
    ]
    assert touched == ["Back", "Ties, step 1"]


def test_every_line_of_a_sample_can_be_renamed_without_a_number_or_finding_changing():
    document = sample("cinderfell_raglan")
    before = grade(read_pattern(document))
    for part in ("body", "fabrics", "values", "shapings"):
        listed = part not in ("body", "fabrics")
        for name in [one["name"] for one in document[part]] if listed else list(document[part]):
            document, _ = renamed(document, part, name, f"{name}_anew")
            if listed:
                document[part] = [
                    {**one, "name": f"{name}_anew"} if one["name"] == name else one for one in document[part]
                ]
            else:
                document[part] = {
                    (f"{name}_anew" if one == name else one): entry for one, entry in document[part].items()
                }
    after = grade(read_pattern(document))
    assert [one.worked.tolist() for one in after.values.values()] == [
        one.worked.tolist() for one in before.values.values()
    ]
    assert [(one.weight, one.size) for one in after.findings] == [
        (one.weight, one.size) for one in before.findings
    ]
