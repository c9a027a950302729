"""Pattern files in and out of the database: the same JSON comes back."""

import copy
import json
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import StaleRevision, edit_document
from catalogue.drafts.entry_changes import apply_changes, changes_to
from catalogue.drafts.patterns import SlugTaken, graded, load_pattern, read_core
from catalogue.models import Pattern, PatternEdit
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.models import Sheet, StoredResult
from grading.sheets.documents import same_as_typed
from tests.builders import sample
from tests.catalogue.desk_work import fresh, load, small_document

SAMPLES = ["brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat"]
LABELS = st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), min_size=1, max_size=12).filter(
    str.strip
)


@st.composite
def mutated(draw: st.DrawFn) -> dict[str, Any]:
    """A sample with entries taken out, doubled under another name, reordered, relabelled."""
    document = sample(draw(st.sampled_from(SAMPLES)))
    for part in draw(
        st.sets(st.sampled_from(["checks", "shapings", "yarn_sections", "sections", "stripes", "notions"]))
    ):
        document.pop(part, None)
    if draw(st.booleans()):
        document["values"] = draw(st.permutations(document["values"]))
    place = draw(st.integers(0, len(document["values"]) - 1))
    document["values"][place]["label"] = draw(LABELS)
    numbers = [draw(st.sampled_from([1, 1.0, 0.5, None, "2"]))] * len(document["sizes"])
    document["values"].insert(
        place, {"name": "added", "label": draw(LABELS), "kind": "ratio", "list": numbers}
    )
    document["abbreviations"] = draw(st.dictionaries(LABELS, LABELS, max_size=4))
    keys = draw(st.permutations(list(document)))
    return {key: document[key] for key in keys}


@pytest.mark.django_db
@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_comes_out_as_it_went_in(name):
    pattern = load(name)
    assert same_as_typed(pattern_document(fresh(pattern)), sample(name))


@pytest.mark.django_db
@given(first=mutated(), second=mutated())
@settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_any_pattern_file_comes_out_as_it_went_in_also_after_an_edit(first, second):
    pattern = load_pattern(document={**first, "title": "Mutable"}, by=None, replace=True)
    assert same_as_typed(pattern_document(fresh(pattern)), {**first, "title": "Mutable"})
    edit_document(pattern=pattern, revision=fresh(pattern).sheet.revision, document=second, by=None)
    assert same_as_typed(pattern_document(fresh(pattern)), second)


@given(first=mutated(), second=mutated())
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_patch_leads_from_one_document_to_the_other(first, second):
    assert same_as_typed(apply_changes(json.loads(json.dumps(changes_to(first, second))), second), first)


def test_a_patch_holds_only_what_differs():
    before = small_document()
    after = copy.deepcopy(before)
    after["values"][3]["label"] = "Other"
    patch = changes_to(after, before)
    assert list(patch["parts"]) == ["values"]
    assert list(patch["parts"]["values"]["entries"]) == ["edge"]
    assert patch["whole"] == {}


@pytest.mark.django_db
def test_a_taken_address_is_refused_unless_the_draft_is_replaced():
    pattern = load()
    with pytest.raises(SlugTaken, match="“marlstone-vest” already"):
        load()
    replaced = load_pattern(document=small_document(summary="Another."), by=None, replace=True)
    assert replaced.pk == pattern.pk
    assert pattern_document(fresh(pattern))["summary"] == "Another."
    assert PatternEdit.objects.filter(pattern=pattern).count() == 1


@pytest.mark.django_db
def test_a_file_that_does_not_fit_stores_nothing():
    document = small_document(values=[{"name": "a", "label": "A", "kind": "length", "list": [1, 2, 3]}])
    with pytest.raises(PatternFileError):
        load_pattern(document=document, by=None)
    assert not Pattern.objects.exists()
    assert not Sheet.objects.exists()


@pytest.mark.django_db
def test_the_core_reads_what_is_stored():
    pattern = load("puffinbay_child")
    assert read_core(fresh(pattern)) == read_pattern(sample("puffinbay_child"))
    stored = StoredResult.objects.get(sheet=pattern.sheet, part="values", name="ease").figures
    assert graded(fresh(pattern)).as_json()["values"]["ease"] == stored


@pytest.mark.django_db
def test_a_stale_edit_stores_nothing():
    pattern = load()
    edit_document(pattern=pattern, revision=1, document=small_document(summary="First."), by=None)
    with pytest.raises(StaleRevision) as stale:
        edit_document(pattern=pattern, revision=1, document=small_document(summary="Second."), by=None)
    assert [edit.revision for edit in stale.value.edits] == [2]
    assert pattern_document(fresh(pattern))["summary"] == "First."


@pytest.mark.django_db
def test_commands_load_and_export_the_same_file(tmp_path, capsys):
    there, back = tmp_path / "in.json", tmp_path / "out.json"
    there.write_text(json.dumps(sample("puffinbay_child")), encoding="utf-8")
    call_command("loadpattern", there)
    call_command("exportpattern", "puffinbay-childs-jacket", "--out", back)
    assert json.loads(back.read_text(encoding="utf-8")) == json.loads(there.read_text(encoding="utf-8"))
    call_command("exportpattern", "puffinbay-childs-jacket")
    assert json.loads(capsys.readouterr().out.split("\n", 1)[1]) == sample("puffinbay_child")
    with pytest.raises(CommandError, match="already"):
        call_command("loadpattern", there)
    call_command("loadpattern", there, "--replace")
    with pytest.raises(CommandError, match="no pattern"):
        call_command("exportpattern", "nothing")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"{", "$: This is not JSON"),
        (b"\xff\xfe", "not UTF-8"),
        (b"[]", "$: "),
        (json.dumps(small_document(craft="felting")).encode(), "$.craft: "),
        (json.dumps(small_document(extra=1)).encode(), "“extra”"),
    ],
)
def test_a_bad_file_ends_with_status_2_path_and_reason(tmp_path, capsys, content, says):
    path = tmp_path / "bad.json"
    path.write_bytes(content)
    with pytest.raises(SystemExit) as end:
        call_command("loadpattern", path)
    assert end.value.code == 2
    assert says in capsys.readouterr().err
    assert not Pattern.objects.exists()
