"""Edits one after another: what is stored is always what working the whole pattern out afresh gives."""

import copy
import json
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document, edit_pattern, preview_edit, undo_last_edit
from catalogue.drafts.patterns import load_pattern
from catalogue.models import Pattern, PatternEdit
from catalogue.site.benches import sheets
from catalogue.site.benches.desk import measure_desk
from catalogue.site.benches.edit import measure_edits
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.sheets.documents import same_as_typed
from grading.sheets.kept_sheets import forget_kept_sheets
from grading.sheets.recalculation import stored_graded
from tests.builders import sample
from tests.catalogue.desk_work import fresh, load
from tests.catalogue.stored_sheets import assert_stored_is_right
from tests.pace import measured, slow_beside_others
from tests.present import present

SAMPLES = ["brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat"]
FORMULAS = ["bust + 1 cm", "bust +", "1 cm / 0", "nobody", "if bust > 1 m then 2 cm else 1 cm", "chest * 2"]
PARTS = ["values", "values", "values", "checks", "shapings", "curves", "pick_ups", "yarn_sections", "body"]


@st.composite
def edits(draw):
    """What to do to a document: change, take out, move, blank; by numbers that fit any document."""
    kind = draw(
        st.sampled_from(["formula", "list", "label", "out", "up", "gauge", "body", "word", "allowance"])
    )
    return kind, draw(st.sampled_from(PARTS)), draw(st.integers(0, 500)), draw(st.sampled_from(FORMULAS))


def edited(document, edit):
    kind, part, place, formula = edit
    made = copy.deepcopy(document)
    entries = made.get(part) or made["values"]
    values = made["values"]
    if kind in ("formula", "list"):
        value = values[place % len(values)]
        values[place % len(values)] = {
            key: value[key] for key in value if key not in ("list", "steps", "formula")
        }
        numbers = [None, *[1 + place % 7] * (len(made["sizes"]) - 1)]
        listed = (
            numbers
            if value["kind"] in ("stitches", "rows", "count", "ratio", "area")
            else [None] * len(numbers)
        )
        values[place % len(values)] |= {"formula": formula} if kind == "formula" else {"list": listed}
    elif kind == "label":
        values[place % len(values)]["label"] += " once more"
    elif kind == "out" and isinstance(entries, list) and len(entries) > 1:
        del entries[place % len(entries)]
    elif kind == "up" and isinstance(entries, list):
        entries.insert(0, entries.pop(place % len(entries)))
    elif kind == "gauge":
        next(iter(made["fabrics"].values()))["rows"] += 0.5
    elif kind == "body":
        bust = next(iter(made["body"].values()))["values"]
        bust[place % len(bust)] = None if place % 3 else 99
    elif kind == "word" and made.get("sections"):
        made["sections"][place % len(made["sections"])]["steps"].append("Turn {nobody}.")
    elif kind == "allowance":
        made["yarn_allowance"] = f"{place % 20} %"
    return made


@pytest.mark.django_db
@pytest.mark.parametrize("keeps", [True, False])
def test_after_any_edits_what_is_stored_is_what_working_out_afresh_gives(keeps, full):
    @settings(
        max_examples=200 if full else 12,
        deadline=None,
        suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    )
    @given(st.sampled_from(SAMPLES), st.lists(edits(), min_size=1, max_size=4))
    def check(name, changes):
        document = {**sample(name), "title": "Edited"}
        pattern = load_pattern(document=copy.deepcopy(document), by=None, replace=True)
        for change in changes:
            wanted = edited(document, change)
            if not keeps:
                forget_kept_sheets()
            revision = fresh(pattern).sheet.revision
            foreseen = preview_edit(pattern=fresh(pattern), document=copy.deepcopy(wanted))
            if not keeps:
                forget_kept_sheets()
            found = edit_document(pattern=pattern, revision=revision, document=copy.deepcopy(wanted), by=None)
            assert found == foreseen
            document = wanted
            assert_stored_is_right(pattern, document)

    check()


@pytest.mark.django_db
def test_an_entry_that_does_not_fit_is_refused_with_its_place_and_nothing_is_stored():
    pattern = load("brackenmere_pullover")
    before = pattern_document(fresh(pattern))
    for part, at, key, wrong in (
        ("values", 3, "kind", "colour"),
        ("values", 3, "label", "a\x00b"),
        ("checks", 0, "holds", 4),
        ("sections", 0, "steps", "none"),
    ):
        document = copy.deepcopy(before)
        document[part][at][key] = wrong
        with pytest.raises(PatternFileError) as refused:
            edit_document(pattern=pattern, revision=1, document=document, by=None)
        assert refused.value.path.startswith(f"$.{part}[{at}].{key}")
        with pytest.raises(PatternFileError) as from_file:
            read_pattern(copy.deepcopy(document))
        assert (refused.value.path, refused.value.reason) == (from_file.value.path, from_file.value.reason)
    assert_stored_is_right(pattern, before)
    assert fresh(pattern).sheet.revision == 1


@pytest.mark.django_db
def test_documents_that_are_no_pattern_files_are_refused_in_a_sentence():
    pattern = load("brackenmere_pullover")
    documents: list[dict[str, Any]] = [
        {}, {"values": 4}, {"values": [4]}, {"values": [{}]}, {"body": []}, {"sections": None},
    ]  # fmt: skip
    for document in documents:
        with pytest.raises(PatternFileError):
            edit_document(pattern=pattern, revision=1, document=document, by=None)
        with pytest.raises(PatternFileError):
            preview_edit(pattern=fresh(pattern), document=document)


@pytest.mark.django_db
def test_undoing_leads_back_row_by_row():
    pattern = load("cinderfell_raglan")
    before = pattern_document(fresh(pattern))
    edit_document(
        pattern=pattern, revision=1, document=edited(before, ("formula", "values", 4, "bust")), by=None
    )
    undo_last_edit(pattern=pattern, revision=2, by=None)
    assert_stored_is_right(pattern, before)


@pytest.mark.django_db
def test_an_edit_keeps_only_what_it_touched():
    pattern = load("cinderfell_raglan")
    document = edited(pattern_document(fresh(pattern)), ("label", "values", 4, ""))
    edit_document(pattern=pattern, revision=1, document=document, by=None)
    kept = PatternEdit.objects.get(pattern=pattern)
    name = document["values"][4]["name"]
    assert kept.after["parts"] == {"values": {"entries": {name: document["values"][4]}}}
    assert len(json.dumps(kept.after)) < 1500


@pytest.mark.django_db
def test_an_edit_that_changes_nothing_writes_nothing_but_the_sheets_own_row():
    pattern = load("cinderfell_raglan")
    with CaptureQueriesContext(connection) as queries:
        edit_pattern(pattern=pattern, revision=1, change=lambda document: document)
    written = [one["sql"] for one in queries if one["sql"].split()[0] in {"INSERT", "UPDATE", "DELETE"}]
    assert all(sql.startswith('UPDATE "grading_sheet"') for sql in written)
    assert not PatternEdit.objects.exists()


def large_pattern():
    """A pattern of 24 sizes and 400 values, each time another."""
    document = sheets.pattern_document(sizes=24, values=400)
    return load_pattern(document={**document, "title": f"Large {Pattern.objects.count()}"}, by=None)


@pytest.mark.django_db
def test_an_edit_of_a_large_sheet_takes_few_queries_and_writes_what_changed():
    answers = measured(lambda: measure_edits(large_pattern(), rounds=2))
    assert slow_beside_others(answers) == {}
    assert answers[0].notes["rows changed"] <= 30


@pytest.mark.django_db
def test_the_grid_of_a_large_sheet_is_answered_in_less_than_a_few_workings_out():
    document = sheets.pattern_document(sizes=24, values=400)
    answers = measured(lambda: measure_desk(large_pattern(), document, rounds=3))
    assert slow_beside_others(answers) == {}
    assert len(answers[0].ratios) == 6


@pytest.mark.django_db
@given(
    st.lists(st.decimals("0.000001", "99", places=6), min_size=3, max_size=3),
    st.decimals("1", "60", places=2),
    st.sampled_from(["4 in", "10 cm"]),
)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_export_of_inches_and_back_loses_nothing(inches, gauge, over):
    shown = [f"{number} in" for number in inches]
    value = {"name": "a", "label": "A", "kind": "length", "measured": None}
    del value["measured"]
    document = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Inches",
        "craft": "knitting",
        "home_units": "in",
        "home_terms": "US",
        "sizes": ["S", "M", "L"],
        "body": {"bust": {"label": "Bust", "unit": "in", "values": [float(number) for number in inches]}},
        "fabrics": {"main": {"label": "Main", "stitches": float(gauge), "rows": 28, "over": over}},
        "values": [
            {**value, "list": shown},
            {**value, "name": "b", "steps": {"base_size": "M", "base": shown[0], "step": shown[1:]}},
            {**value, "name": "c", "formula": f"bust + {shown[0]}",
             "round": {"to": "nearest", "multiple": "0.25 in", "plus": "0.125 in"}},
        ],
    }  # fmt: skip
    pattern = load_pattern(document=copy.deepcopy(document), by=None, replace=True)
    exported = json.loads(json.dumps(pattern_document(fresh(pattern))))
    assert same_as_typed(exported, document)
    assert grade(read_pattern(exported)).as_json() == grade(read_pattern(document)).as_json()
    listed = stored_graded(fresh(pattern).sheet)["values"]["a"]["worked"]
    assert [f"{number / 25.4:.6f} in" for number in listed] == shown


@pytest.mark.django_db
def test_an_edit_says_what_it_touched():
    pattern = load("brackenmere_pullover")

    def relabel(names):
        def change(document):
            values = [
                {**one, "label": f"{one['label']}, new"} if one["name"] in names else one
                for one in document["values"]
            ]
            return {**document, "values": values}

        edit_pattern(pattern=pattern, revision=pattern.sheet.revision, change=change)
        return present(PatternEdit.objects.first()).says.partition(" changed; ")[0]

    assert relabel({"ease"}) == "Ease at the bust, new"
    labels = [one["label"] for one in pattern_document(pattern)["values"][:5]]
    first = relabel({one["name"] for one in pattern_document(pattern)["values"][:5]})
    assert first == " · ".join([*(f"{label}, new" for label in labels[:3]), "2 more"])
