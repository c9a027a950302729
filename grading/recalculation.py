"""The one path by which results come about: whatever edits a sheet ends here, within its transaction."""

from collections.abc import Iterable, Iterator
from typing import Any

from grading.core.grade import grade
from grading.core.pattern_file import read_pattern
from grading.differences import Difference, Graded, difference_between
from grading.documents import Document
from grading.fingerprints import result_fingerprints, sheet_fingerprint
from grading.models import Finding, Sheet, StoredResult, YarnNeed

RESULT_PARTS = ("values", "checks", "shapings", "spreads", "curves", "pick_ups")


def recalculate(*, sheet: Sheet, document: Document) -> Difference:
    """Work the whole document out, store what changed, and say what that was.

    The document is the whole pattern file, words included, since findings may stand in the words.
    """
    old = stored_graded(sheet)
    new = grade(read_pattern(document)).as_json()
    difference = difference_between(old, new)
    _store_results(sheet, new, result_fingerprints(document))
    if old["findings"] != new["findings"]:
        _store_findings(sheet, new["findings"])
    if difference.yarn_changed:
        _store_yarn(sheet, new["yarn"])
    sheet.fingerprint = sheet_fingerprint(document)
    sheet.graded_sizes = new["sizes"]
    sheet.save(update_fields=("fingerprint", "graded_sizes"))
    return difference


def graded_json(*, sheet: Sheet, document: Document) -> Graded:
    """The stored results where they are of this very document, else worked out afresh."""
    if sheet.fingerprint == sheet_fingerprint(document):
        return stored_graded(sheet)
    return grade(read_pattern(document)).as_json()


def stored_graded(sheet: Sheet) -> Graded:
    """The stored results in the form of a graded sheet."""
    graded: Graded = {"sizes": sheet.graded_sizes, **{part: {} for part in RESULT_PARTS}}
    for result in StoredResult.objects.filter(sheet=sheet).order_by("pk"):
        graded[result.part][result.name] = result.figures
    graded["yarn"] = list(_stored_yarn(sheet))
    graded["findings"] = list(
        Finding.objects.filter(sheet=sheet)
        .order_by("position")
        .values("where", "size", "weight", "line", "column", "says")
    )
    return graded


def _store_results(sheet: Sheet, graded: Graded, fingerprints: dict[tuple[str, str], str]) -> None:
    """Write the rows whose fingerprint or figures differ, and only those."""
    stored = {(row.part, row.name): row for row in StoredResult.objects.filter(sheet=sheet)}
    wanted = {(part, name): figures for part in RESULT_PARTS for name, figures in graded[part].items()}
    gone = [row.pk for key, row in stored.items() if key not in wanted]
    if gone:
        StoredResult.objects.filter(pk__in=gone).delete()
    changed: list[StoredResult] = []
    added: list[StoredResult] = []
    for key, figures in wanted.items():
        row = stored.get(key) or StoredResult(sheet=sheet, part=key[0], name=key[1])
        if row.fingerprint == fingerprints[key] and row.figures == figures:
            continue
        row.fingerprint, row.figures = fingerprints[key], figures
        (changed if row.pk else added).append(row)
    if changed:
        StoredResult.objects.bulk_update(changed, ("figures", "fingerprint"), batch_size=100)
    if added:
        StoredResult.objects.bulk_create(added)


def _store_findings(sheet: Sheet, findings: Iterable[dict[str, Any]]) -> None:
    """Replace the findings."""
    Finding.objects.filter(sheet=sheet).delete()
    Finding.objects.bulk_create(
        [Finding(sheet=sheet, position=place, **found) for place, found in enumerate(findings)]
    )


def _store_yarn(sheet: Sheet, needs: Iterable[dict[str, Any]]) -> None:
    """Replace the yarn needs: one row per combination and colour."""
    YarnNeed.objects.filter(sheet=sheet).delete()
    YarnNeed.objects.bulk_create(
        [
            YarnNeed(
                sheet=sheet,
                position=place,
                options=need["options"],
                colour=colour,
                weight_g=amounts["weight"],
                length_m=amounts["length"],
                balls=amounts["balls"],
            )
            for place, need in enumerate(needs)
            for colour, amounts in need["colours"].items()
        ]
    )


def _stored_yarn(sheet: Sheet) -> Iterator[dict[str, Any]]:
    """The stored yarn needs, combination by combination."""
    needs: dict[int, dict[str, Any]] = {}
    for row in YarnNeed.objects.filter(sheet=sheet).order_by("position", "pk"):
        need = needs.setdefault(row.position, {"options": row.options, "colours": {}})
        need["colours"][row.colour] = {"weight": row.weight_g, "length": row.length_m, "balls": row.balls}
    yield from needs.values()
