"""Recalculation: one path, only what changed is written, and what changed is said."""

import copy
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from grading.core.grade.grade import grade
from grading.core.instructions.print_changes import PrintChange
from grading.core.pattern.file import read_pattern
from grading.models import Finding, Sheet, StoredResult, YarnNeed
from grading.sheets.differences import ChangedValue, Difference, difference_between
from grading.sheets.documents import store_sheet
from grading.sheets.fingerprints import result_fingerprints, sheet_fingerprint
from grading.sheets.recalculation import graded_json, recalculate, stored_graded
from tests.builders import sample

SAMPLES = ["brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat"]


def calculated(document: dict[str, Any]) -> Sheet:
    sheet = Sheet.objects.create()
    store_sheet(sheet=sheet, document=document)
    recalculate(sheet=sheet, document=document)
    return sheet


def changed(document: dict[str, Any], name: str, **entry: Any) -> dict[str, Any]:
    other = copy.deepcopy(document)
    for value in other["values"]:
        if value["name"] == name:
            value.update(entry)
    return other


@pytest.mark.django_db
@pytest.mark.parametrize("name", SAMPLES)
def test_what_is_stored_is_what_was_worked_out(name):
    document = sample(name)
    stored = stored_graded(calculated(document))
    assert stored == grade(read_pattern(document)).as_json()
    assert YarnNeed.objects.exists()


@pytest.mark.django_db
def test_the_same_document_again_writes_no_result():
    document = sample("brackenmere_pullover")
    sheet = calculated(document)
    with CaptureQueriesContext(connection) as queries:
        difference = recalculate(sheet=sheet, document=document)
    written = [one["sql"] for one in queries if one["sql"].split()[0] in {"INSERT", "UPDATE", "DELETE"}]
    assert [sql for sql in written if "grading_sheet" not in sql] == []
    assert difference.sentence == "no number changed."


@pytest.mark.django_db
def test_only_rows_that_hang_on_the_change_are_written():
    document = sample("cinderfell_raglan")
    sheet = calculated(document)
    before = dict(StoredResult.objects.filter(part="values").values_list("name", "fingerprint"))
    recalculate(sheet=sheet, document=changed(document, "wrist_round", label="Another label"))
    after = dict(StoredResult.objects.filter(part="values").values_list("name", "fingerprint"))
    assert {name for name in after if after[name] != before[name]} == {"wrist_round"}


@pytest.mark.django_db
def test_the_difference_names_values_sizes_and_checks():
    document = sample("brackenmere_pullover")
    sheet = calculated(document)
    steps = {
        "base_size": "M",
        "base": "12 cm",
        "step": ["0 cm"] * 3 + ["-1 cm", "-1 cm"] + ["0 cm"] * 2 + ["40 cm"],
    }
    difference = recalculate(sheet=sheet, document=changed(document, "ease", steps=steps))
    assert {one.sizes for one in difference.values} == {("5X",)}
    assert difference.sizes == ("5X",)
    assert difference.sentence.startswith(f"{difference.numbers} numbers in 1 size (")


@pytest.mark.django_db
def test_a_failing_check_is_said_with_its_sizes():
    document = sample("brackenmere_pullover")
    document["checks"].append(
        {"name": "narrow", "holds": "chest <= 120 cm", "says": "Too wide.", "weight": "warn"}
    )
    sheet = calculated(document)
    wider = changed(document, "ease", steps={"base_size": "M", "base": "20 cm", "step": ["0 cm"] * 8})
    failing = {one.name: one.sizes for one in recalculate(sheet=sheet, document=wider).now_fails}
    assert failing["narrow"]


@pytest.mark.django_db
def test_a_wrong_formula_blanks_only_what_hangs_on_it():
    document = sample("brackenmere_pullover")
    sheet = calculated(document)
    recalculate(sheet=sheet, document=changed(document, "chest_target", formula="bust +* 2"))
    stored = stored_graded(sheet)
    assert [one["where"] for one in Finding.objects.filter(sheet=sheet, weight="stop").values()] == [
        "values.chest_target"
    ]
    assert set(stored["values"]["chest_target"]["worked"]) == {None}
    assert None not in stored["values"]["armhole_rows"]["worked"]


@pytest.mark.django_db
def test_stale_results_are_worked_out_afresh():
    document = sample("thistledrift_waistcoat")
    sheet = calculated(document)
    other = changed(document, "armhole_curve_rows", list=[4, 6, 6, 8, 8, 10, 10])
    assert graded_json(sheet=sheet, document=other) == grade(read_pattern(other)).as_json()
    assert sheet_fingerprint(document) != sheet_fingerprint(other)


@pytest.mark.django_db
def test_recalculating_takes_few_queries(django_assert_max_num_queries):
    document = sample("cinderfell_raglan")
    sheet = calculated(document)
    with django_assert_max_num_queries(16):
        recalculate(sheet=sheet, document=changed(document, "arm_ease", label="Ease"))


def test_a_fingerprint_hangs_on_everything_that_is_referred_to():
    document = sample("brackenmere_pullover")
    before = result_fingerprints(document)
    after = result_fingerprints(changed(document, "ease", label="Another"))
    moved = {name for part, name in before if before[part, name] != after[part, name] and part == "values"}
    assert {"ease", "chest_target", "back_stitches", "chest"} <= moved
    assert "cuff_stitches" not in moved


@pytest.mark.django_db
@pytest.mark.parametrize("between", ["\n", "\t", "\r\n"])
def test_a_result_follows_what_its_formula_names_in_the_next_line(between):
    document = sample("brackenmere_pullover")
    over_lines = {"name": "over_lines", "label": "x", "kind": "length", "formula": f"1 cm +{between}ease"}
    document["values"].append(over_lines)
    sheet = calculated(document)
    other = changed(document, "ease", steps={"base_size": "M", "base": "20 cm", "step": ["0 cm"] * 8})
    recalculate(sheet=sheet, document=other)
    assert set(stored_graded(sheet)["values"]["over_lines"]["worked"]) == {210.0}


def test_a_circle_has_fingerprints_too():
    document = sample("brackenmere_pullover")
    circle = [{"name": name, "label": name, "kind": "length", "formula": f"{other} + 1 cm"}
              for name, other in (("one", "two"), ("two", "three"), ("three", "one"))]  # fmt: skip
    made = result_fingerprints({**document, "values": document["values"] + circle})
    assert len({made["values", name] for name in ("one", "two", "three")}) == 3


def test_a_long_chain_needs_no_recursion():
    first = {"name": "v0", "label": "v", "kind": "count", "list": [1]}
    others = [{**first, "name": f"v{i}", "formula": f"v{i - 1}"} for i in range(1, 3000)]
    chain = [first, *others]
    assert len(result_fingerprints({"sizes": ["M"], "values": chain[::-1]})) == 3000


def test_what_prints_otherwise_is_said_with_its_sizes():
    every = ("S", "M", "L")
    some = (PrintChange("44", "40", ("S", "M")), PrintChange("48", "40", ("L",)), PrintChange("", "9", every))
    said = Difference(printed=some, all_sizes=every).sentence
    assert said == "printed: 44 → 40 (sizes S, M), 48 → 40 (size L), 9 is new (all sizes)."
    more = (PrintChange("7", "", every), *some)
    assert Difference(printed=more, all_sizes=every).sentence.startswith(
        "printed: 7 is gone (all sizes), 44 → 40"
    )
    assert Difference(printed=more, all_sizes=every).own_sentence.endswith("48 → 40 (size L) and 1 more.")
    line = ChangedValue("rows", ("S",), (44.0,), (40.0,))
    of_lines = Difference(
        values=(line,), printed=more[:1] + some[:2] * 2, all_sizes=every, labels={"rows": "Rows"}
    )
    assert of_lines.sentence == "1 number in 1 size (“Rows”); printed: 5 numbers in the steps, sizes S to L."
    one = (PrintChange("44", "40", ("S",)),)
    assert Difference(printed=one, all_sizes=("S",)).sentence == "printed: 44 → 40."


def test_an_option_on_which_no_yarn_hangs_changes_no_yarn():
    document = sample("brackenmere_pullover")
    option = {"name": "trim", "label": "Trim", "choices": ["with", "without"], "default": "with"}
    with_option = {**document, "options": [*document["options"], option]}
    first = document["yarn_sections"][0]
    hanging = {**first, "when": {"trim": "with"}}
    with_part = {**with_option, "yarn_sections": [hanging, *document["yarn_sections"][1:]]}
    plain, opted, parted = (grade(read_pattern(one)).as_json() for one in (document, with_option, with_part))
    assert len(opted["yarn"]) == 2 * len(plain["yarn"])
    assert not difference_between(plain, opted).yarn_changed
    assert not difference_between(opted, plain).yarn_changed
    assert difference_between(plain, parted).yarn_changed
