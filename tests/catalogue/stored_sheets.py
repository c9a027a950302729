"""What is stored of a sheet, compared with everything worked out afresh from its document."""

import numpy as np

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded
from grading.core.grade.grade import RESULTS, grade
from grading.core.pattern.file import read_pattern
from grading.models import StoredResult
from grading.sheets.documents import same_as_typed
from grading.sheets.fingerprints import result_fingerprints, sheet_fingerprint
from grading.sheets.recalculation import RESULT_PARTS, stored_graded
from tests.catalogue.desk_work import fresh

NOT_STORED = ("pick_up_plans", "pieces")


def assert_stored_is_right(pattern, document, what=""):
    """The document is stored as typed, and its results, findings and yarn are those of a full grading."""
    stored = pattern_document(fresh(pattern))
    assert same_as_typed(stored, document), what
    sheet = fresh(pattern).sheet
    afresh = grade(read_pattern(stored, trusted=True))
    wanted, found = afresh.as_json(), stored_graded(sheet)
    for part in wanted:
        assert found[part] == wanted[part], f"{part} after {what}"
    kept = graded(fresh(pattern))
    for part in (*RESULTS, *NOT_STORED):
        assert same_results(getattr(kept, part), getattr(afresh, part)), f"{part} kept after {what}"
    assert sheet.fingerprint == sheet_fingerprint(stored)
    marks = StoredResult.objects.filter(sheet=sheet).values_list("part", "name", "fingerprint")
    fingerprints = {key: mark for key, mark in result_fingerprints(stored).items() if key[0] in RESULT_PARTS}
    assert {(part, name): mark for part, name, mark in marks} == fingerprints


def same_results(one, other):
    """Whether two results by name are the same, null being the same as null."""
    if isinstance(one, dict):
        return list(one) == list(other) and all(same_results(one[name], other[name]) for name in one)
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other, equal_nan=True)
    if hasattr(one, "as_json"):
        return one.as_json() == other.as_json()
    return one == other
