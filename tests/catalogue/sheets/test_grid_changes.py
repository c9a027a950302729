"""A batch of changes from the grid: previewed, saved whole, or refused at its cells."""

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.models import PatternEdit
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load, small_document, worked

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


WITH_YARN: dict[str, Any] = {
    "pick_ups": [{"name": "band", "along": "row ends", "count": "edge", "ratio": "3 per 4"}],
    "yarns": [{"colour": "A", "label": "Larkmoss Orrendale"}],
    "yarn_sections": [{"name": "Back", "fabric": "main", "worked": "back * edge", "colour": "A"}],
}


def cell(part, name, field, was, text):
    return {"part": part, "name": name, "field": field, "was": was, "text": text}


def send(client, pattern, to="grid_save", *, revision=1, **batch):
    url = reverse(to, args=[pattern.slug])
    return client.post(url, {"revision": revision, **batch}, content_type="application/json")


def entry(pattern, name, part="values"):
    entries = pattern_document(fresh(pattern))[part]
    return entries[name] if isinstance(entries, dict) else {one["name"]: one for one in entries}[name]


def test_a_preview_says_old_and_new_numbers_and_stores_nothing(client, designer):
    pattern = load()
    answer = send(client, pattern, "grid_preview", changes=[cell("values", "edge", "1", "4", "5")]).json()
    assert answer["sentence"] == "1 number in 1 size (“Edge, rows”); printed: 4 → 5 (size M)."
    (line,) = answer["lines"]
    assert (line["before"], line["cells"]) == (["4", "4", "6"], ["4", "5", "6"])
    assert answer["moves"] == ["Edge, rows prints in Back, step 2", "Back, step 2, M: 4 → 5"]
    assert answer["notes"] == []
    assert not PatternEdit.objects.exists()
    assert worked(pattern, "edge") == [4, 4, 6]


def test_a_computed_weight_stays_marked_in_the_grid_until_another_is_typed(client, designer):
    swatch = {"stitches": 20, "rows": 14, "weight": "12.6 g", "computed": True}
    fabrics = small_document()["fabrics"]
    pattern = load(fabrics={**fabrics, "main": {**fabrics["main"], "swatch": swatch}})
    told = f"{{}} stitches, {fabrics['main']['rows']} rows over 10 cm, swatch 20 × 14 weighs {{}} g"
    was = told.format(fabrics["main"]["stitches"], "12.6")
    for revision, gauge, weight, marked in ((1, 17, "12.6", True), (2, 17, "12.4", False)):
        text = told.format(gauge, weight)
        send(client, pattern, revision=revision, changes=[cell("fabrics", "main", "source", was, text)])
        swatch = entry(pattern, "main", "fabrics")["swatch"]
        assert (swatch["weight"], swatch.get("computed", False)) == (f"{weight} g", marked)
        was = text


def test_many_numbers_of_a_size_are_told_by_the_sentences_that_change(client, designer):
    step = "Turn. Ch {back} and work {edge} rows: {chest}. Bind off."
    pattern = load(sections=[{"title": "Back", "steps": [step]}])
    changes = [
        cell("values", "edge", "1", "4", "5"),
        cell("values", "chest", "source", "bust + ease", "bust + 20 cm"),
    ]
    told = send(client, pattern, "grid_preview", changes=changes).json()["moves"]
    assert "Back, step 1, M: “Ch 70 and work 4 rows: 100 cm.” → “Ch 78 and work 5 rows: 112 cm.”" in told


def test_a_number_typed_over_a_formula_makes_the_line_a_list(client, designer):
    pattern = load()
    answer = send(client, pattern, changes=[cell("values", "chest", "1", "100", "101,5")])
    assert answer.status_code == 200, answer.json()
    # The other sizes keep what the formula gave: bust 84 + ease 8, and 100 + 9.
    assert entry(pattern, "chest")["list"] == ["92 cm", "101.5 cm", "109 cm"]
    note = "Chest wanted: the formula bust + ease becomes a list. A list does not change with other lines."
    assert answer.json()["notes"] == [note]
    page = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    (said,) = re.findall(r"Saved\.[^<]*[^<\s]", page)
    assert said.startswith("Saved. 2 numbers in 1 size (“Chest wanted”")
    assert note in said
    assert "formula" not in entry(pattern, "chest")


def test_a_measurement_typed_over_its_counts_names_the_counts_to_change_instead(client, designer):
    half = {"name": "half", "label": "Half", "kind": "length", "formula": "edge / main.rows"}
    seam = {"name": "seam", "label": "Sleeve seam", "kind": "length", "formula": "2 * half"}
    pattern = load(values=[*small_document()["values"], half, seam])
    typed = [cell("values", "seam", "1", "10", "20")]
    answer = send(client, pattern, "grid_preview", changes=typed).json()
    (note,) = answer["notes"]
    assert note == (
        "Sleeve seam: the formula 2 * half becomes a list. "
        "The piece is worked by “Edge, rows”, which does not change: change that one instead."
    )
    (instead,) = answer["instead"]
    assert instead == {"name": "edge", "label": "Edge, rows", "over": "seam", "over_label": "Sleeve seam"}


def test_of_two_counts_behind_a_measurement_the_one_that_makes_most_of_it_is_to_be_changed(client, designer):
    rib = {"name": "rib_wide", "label": "Rib, stitches wide", "kind": "stitches", "list": [2, 2, 2]}
    formula = "rib_wide / main.stitches + edge / main.rows"
    seam = {"name": "seam", "label": "Sleeve seam", "kind": "length", "formula": formula}
    pattern = load(values=[*small_document()["values"], rib, seam])
    answer = send(client, pattern, "grid_preview", changes=[cell("values", "seam", "1", "6.43", "20")]).json()
    assert "and these do not change: change “Edge, rows” instead." in answer["notes"][0]
    assert [one["name"] for one in answer["instead"]] == ["edge"]


def test_steps_that_a_number_makes_a_list_are_named_before_anything_is_saved(client, designer):
    pattern = load()
    typed = [cell("values", "ease", "1", "8", "9")]
    answer = send(client, pattern, "grid_preview", changes=typed).json()
    assert answer["notes"] == [
        "Ease: its steps from size to size become a list. A list does not change with other lines."
    ]
    assert "steps" in entry(pattern, "ease")


def test_a_formula_typed_over_a_list_makes_the_line_a_formula(client, designer):
    pattern = load()
    send(client, pattern, changes=[cell("values", "edge", "source", "list", "6 rows")])
    assert entry(pattern, "edge") == {
        "name": "edge",
        "label": "Edge, rows",
        "kind": "rows",
        "formula": "6 rows",
    }
    assert worked(pattern, "edge") == [6, 6, 6]


def test_a_new_line_gets_its_name_from_its_label_and_its_kind_from_its_formula(client, designer):
    pattern = load()
    fields = {"label": "Half the chest", "source": "chest / 2 * main.stitches"}
    answer = send(client, pattern, added=[{"part": "values", "id": "+1", "fields": fields}])
    assert answer.json()["names"] == {"+1": "half_the_chest"}
    assert entry(pattern, "half_the_chest")["kind"] == "stitches"
    assert worked(pattern, "half_the_chest") == [64, 70, 76]


def test_body_fabrics_and_checks_are_changed_in_one_batch(client, designer):
    pattern = load()
    answer = send(
        client,
        pattern,
        changes=[
            cell("body", "bust", "0", "84", "33 in"),
            cell("fabrics", "main", "source", "14 stitches, 8 rows over 10 cm", "15 x 9 over 10 cm"),
            cell("checks", "wide_enough", "source", "chest >= bust", "chest > bust"),
        ],
        added=[{"part": "checks", "id": "+1", "fields": {"label": "Edge is low", "source": "edge < 9 rows"}}],
    )
    assert answer.status_code == 200, answer.json()
    document = pattern_document(fresh(pattern))
    assert document["body"]["bust"]["values"] == [83.82, 92, 100]
    assert document["fabrics"]["main"]["stitches"] == 15
    assert [one["holds"] for one in document["checks"]] == ["chest > bust", "edge < 9 rows"]


def test_lines_are_deleted_and_put_in_another_order(client, designer):
    pattern = load()
    send(
        client,
        pattern,
        deleted=[{"part": "values", "name": "edge"}],
        order={"values": ["back", "ease", "chest"]},
    )
    assert [one["name"] for one in pattern_document(fresh(pattern))["values"]] == ["back", "ease", "chest"]


def test_a_save_from_an_older_revision_keeps_what_others_saved(client, designer):
    pattern = load()
    send(client, pattern, changes=[cell("values", "edge", "0", "4", "2")])
    answer = send(client, pattern, revision=1, changes=[cell("values", "edge", "2", "6", "8")])
    assert answer.status_code == 200
    assert worked(pattern, "edge") == [2, 4, 8]


def test_both_versions_of_a_cell_in_conflict_are_shown(client, designer):
    pattern = load()
    send(client, pattern, changes=[cell("values", "edge", "0", "4", "2")])
    answer = send(client, pattern, revision=1, changes=[cell("values", "edge", "0", "4", "6")])
    assert answer.status_code == 409
    (conflict,) = answer.json()["conflicts"]
    assert (conflict["label"], conflict["yours"], conflict["theirs"]) == ("Edge, rows", "6", "2")
    assert worked(pattern, "edge") == [2, 4, 6]


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        (cell("values", "chest", "1", "100", "lots"), "1", "lots"),
        (cell("values", "edge", "0", "4", "4 cm"), "0", "whose kind is rows: such as 24"),
        (cell("values", "chest", "source", "bust + ease", "bust +"), "source", "ends where a number"),
        (cell("values", "chest", "kind", "length", "colour"), "kind", "Choose a kind"),
        (cell("values", "chest", "label", "Chest wanted", " "), "label", "Type a label"),
        (cell("values", "chest", "7", "", "4"), "label", "has no such cell"),
        (cell("values", "gone", "label", "", "x"), "label", "The line “gone” is gone"),
        (cell("body", "bust", "0", "84", "-3"), "0", "can’t be below 0"),
        (cell("body", "bust", "0", "84", "3 rows"), "0", "whose kind is length"),
        (cell("body", "bust", "source", "", "ease"), "source", "can’t have a formula"),
        (cell("fabrics", "main", "source", "14 stitches, 8 rows over 10 cm", "14"), "source", "22 stitches"),
        (cell("fabrics", "main", "0", "", "14"), "0", "one gauge for all sizes"),
        (cell("pick_ups", "band", "source", "3 per 4 along edge", "3 per 4"), "source", "how many stitches"),
        (
            cell("pick_ups", "band", "source", "3 per 4 along edge", "1 per 2 along ease"),
            "source",
            "not a line of",
        ),
        (cell("pick_ups", "band", "1", "3", "4"), "1", "A pick-up is calculated"),
        (cell("pick_ups", "band", "label", "band", "x"), "label", "Open the pick-up"),
        (cell("yarn_sections", "Back", "kind", "A, main", "wool"), "kind", "neither a colour nor a fabric"),
        (cell("yarn_sections", "Back", "0", "", "4"), "0", "Change its yarn on the Yarn page"),
        (cell("yarn_sections", "Back", "source", "back * edge", "back *"), "source", "ends where a number"),
        (cell("checks", "wide_enough", "0", "holds", "14"), "0", "A check has no numbers"),
        (cell("checks", "wide_enough", "label", "wide enough", "x"), "label", "A check keeps its name"),
    ],
)
def test_what_cannot_be_is_refused_at_its_cell_and_nothing_is_stored(client, designer, change, field, says):
    pattern = load(**WITH_YARN)
    good = cell("values", "edge", "2", "6", "8")
    answer = send(client, pattern, changes=[change, good])
    assert answer.status_code == 400
    (refused,) = answer.json()["refused"]
    assert (refused["field"], refused["name"]) == (field, change["name"])
    assert says in refused["says"]
    assert pattern_document(fresh(pattern)) == small_document(**WITH_YARN)


@pytest.mark.parametrize(
    "sent",
    [
        "", "[]", "{", "null", '{"revision": "1"}', '{"revision": true}', '{"revision": 1, "changes": 3}',
        '{"revision": 1, "changes": [3]}', '{"revision": 1, "changes": [{"part": "values"}]}',
        '{"revision": 1, "added": [{"part": "values", "id": "+1"}]}',
        '{"revision": 1, "added": [{"part": "values", "id": "+1", "fields": {"label": 4}}]}',
        '{"revision": 1, "deleted": [{"part": "sections", "name": "x"}]}',
        '{"revision": 1, "order": {"values": "x"}}', '{"revision": 1, "order": [1]}',
        "[" * 5000, '{"revision": 1, "deleted": [{"part": "values", "name": "\\u0000"}]}',
    ],
)  # fmt: skip
@pytest.mark.parametrize("to", ["grid_preview", "grid_save"])
def test_what_is_no_batch_is_refused_in_one_sentence(client, designer, to, sent):
    pattern = load()
    url = reverse(to, args=[pattern.slug])
    answer = client.post(url, sent, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["says"].endswith(".")


def test_a_new_line_without_a_label_is_refused_at_its_label(client, designer):
    pattern = load()
    answer = send(client, pattern, added=[{"part": "values", "id": "+1", "fields": {"0": "4"}}])
    assert answer.json()["refused"] == [
        {"part": "values", "name": "+1", "field": "label", "says": "Name this line first: type a label.",
         "column": 0}
    ]  # fmt: skip


def test_a_preview_takes_few_queries(client, designer):
    pattern = load()
    send(client, pattern, "grid_preview", changes=[cell("values", "edge", "1", "4", "5")])
    with CaptureQueriesContext(connection) as queries:
        send(client, pattern, "grid_preview", changes=[cell("values", "edge", "1", "4", "9")])
    assert len(queries) <= 15


def test_pick_ups_and_parts_of_yarn_are_lines_of_the_grid(client, designer):
    pattern = load(**WITH_YARN)
    added = [
        {"part": "pick_ups", "id": "+1", "fields": {"label": "Neck band", "source": "2 along edge"}},
        {"part": "yarn_sections", "id": "+2", "fields": {"label": "Band", "source": "neck_band * 6 rows"}},
        {"part": "yarn_sections", "id": "+3",
         "fields": {"label": "Belt", "kind": "B, main", "source": "back * 2 rows"}},
    ]  # fmt: skip
    change = cell("pick_ups", "band", "source", "3 per 4 along edge", "1 per 2 along back")
    answer = send(client, pattern, changes=[change], added=added)
    assert answer.status_code == 200, answer.json()
    assert answer.json()["notes"] == ["Yarn B is added: choose the yarn on the Yarn page."]
    assert entry(pattern, "band", "pick_ups") == {
        "name": "band", "along": "stitches", "count": "back", "ratio": "1 per 2",
    }  # fmt: skip
    assert entry(pattern, "neck_band", "pick_ups")["along"] == "row ends"
    parts = pattern_document(fresh(pattern))["yarn_sections"]
    assert [(one["name"], one["colour"], one["fabric"]) for one in parts] == [
        ("Back", "A", "main"), ("Band", "A", "main"), ("Belt", "B", "main"),
    ]  # fmt: skip
    page = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert "2 per 1 along edge" in page
    assert "Parts whose yarn is counted" in page


def test_a_fabric_takes_the_weight_of_its_square_or_of_another_swatch(client, designer):
    pattern = load()
    before = "14 stitches, 8 rows over 10 cm"
    send(client, pattern, changes=[cell("fabrics", "main", "source", before, f"{before}, 9,5 g")])
    swatch = entry(pattern, "main", "fabrics")["swatch"]
    assert swatch == {"stitches": 14, "rows": 8, "weight": "9.5 g"}
    before += ", swatch 14 × 8 weighs 9.5 g"
    typed = "15 x 8 over 10 cm, swatch 30 x 16 weighs 40 g"
    answer = send(client, pattern, revision=2, changes=[cell("fabrics", "main", "source", before, typed)])
    assert answer.status_code == 200, answer.json()
    assert entry(pattern, "main", "fabrics")["swatch"] == {"stitches": 30, "rows": 16, "weight": "40 g"}


def test_new_lines_that_name_one_another_get_their_kinds_in_any_order(client, designer):
    pattern = load()
    added = [
        {"part": "values", "id": "+1", "fields": {"label": "Half", "source": "whole / 2"}},
        {"part": "values", "id": "+2", "fields": {"label": "Whole", "source": "ruler * main.stitches"}},
        {"part": "values", "id": "+3", "fields": {"label": "Ruler", "source": "30 cm"}},
    ]
    answer = send(client, pattern, added=added)
    assert answer.status_code == 200, answer.json()
    names = [one["name"] for one in pattern_document(fresh(pattern))["values"]]
    assert names[-3:] == ["half", "whole", "ruler"]
    kinds = [entry(pattern, name)["kind"] for name in names[-3:]]
    assert kinds == ["stitches", "stitches", "length"]


def test_an_error_is_marked_at_its_place_in_the_grid(client, designer):
    pattern = load()
    change = cell("values", "chest", "source", "bust + ease", "bust + eaze")
    told = send(client, pattern, "grid_preview", changes=[change]).json()
    (found,) = [one for one in told["new_findings"] if one["name"] == "chest"]
    assert found["column"] == 8
    assert send(client, pattern, changes=[change]).status_code == 200
    page = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert "bust + <mark>eaze</mark>" in page


TWICE: dict[str, Any] = {
    **WITH_YARN,
    "yarn_sections": [
        {"name": "Back", "fabric": "main", "worked": "back * edge", "colour": "A"},
        {"name": "Hem", "fabric": "main", "worked": "back * 4 rows", "colour": "A"},
        {"name": "Back", "fabric": "main", "worked": "back * 2 rows", "colour": "A"},
    ],
}


def test_two_parts_of_one_name_both_stay_when_a_third_is_added(client, designer):
    pattern = load(**TWICE)
    new = {"part": "yarn_sections", "id": "+1", "fields": {"label": "Belt", "source": "back * 6 rows"}}
    answer = send(client, pattern, added=[new])
    assert answer.status_code == 200, answer.json()
    parts = pattern_document(fresh(pattern))["yarn_sections"]
    assert [one["name"] for one in parts] == ["Back", "Hem", "Back", "Belt"]
    assert parts[:3] == TWICE["yarn_sections"]


def test_which_of_two_parts_of_one_name_is_meant_is_asked(client, designer):
    pattern = load(**TWICE)
    answer = send(
        client, pattern, changes=[cell("yarn_sections", "Back", "source", "back * edge", "back * edge * 2")]
    )
    assert answer.status_code == 400
    assert "Two parts are called “Back”" in answer.json()["refused"][0]["says"]
    assert pattern_document(fresh(pattern))["yarn_sections"] == TWICE["yarn_sections"]


def test_a_part_does_not_take_the_name_of_another(client, designer):
    pattern = load(**{**TWICE, "yarn_sections": TWICE["yarn_sections"][:2]})
    answer = send(client, pattern, changes=[cell("yarn_sections", "Hem", "label", "Hem", "Back")])
    assert "There is a part “Back” already" in answer.json()["refused"][0]["says"]


def test_a_first_part_that_is_refused_is_no_error_of_ours(client, designer):
    new = {
        "part": "yarn_sections",
        "id": "+1",
        "fields": {"label": "Belt", "source": "back * 6 rows", "kind": "wool"},
    }
    answer = send(client, load(), "grid_preview", added=[new])
    assert "neither a colour nor a fabric" in answer.json()["refused"][0]["says"]


def test_a_swatch_is_taken_off_a_fabric(client, designer):
    swatch = {"stitches": 14, "rows": 8, "weight": "10 g"}
    fabric = {"label": "Plain", "stitches": 10, "rows": 10, "over": "10 cm", "swatch": swatch}
    pattern = load(fabrics={"main": fabric})
    page = client.get(reverse("sheet", args=[pattern.slug])).context["groups"]
    was = next(row.source for _, rows in page for row in rows if row.part == "fabrics")
    answer = send(
        client, pattern, changes=[cell("fabrics", "main", "source", was, "10 stitches, 10 rows over 10 cm")]
    )
    assert answer.status_code == 200, answer.json()
    assert "swatch" not in entry(pattern, "main", "fabrics")
