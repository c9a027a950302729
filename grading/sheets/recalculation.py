"""The one path by which results come about: whatever edits a sheet ends here, within its transaction."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from operator import is_
from typing import Any

from grading.core.instructions.facts import facts_of
from grading.core.instructions.print_changes import print_changes
from grading.core.yarn.needs import CombinedNeed
from grading.models import Finding, Sheet, StoredResult, YarnNeed
from grading.sheets.differences import Difference, GradedJson, difference_between
from grading.sheets.documents import Document
from grading.sheets.fingerprints import Key, sheet_fingerprint
from grading.sheets.kept_sheets import KeptSheet, kept_sheet, work_out_after, work_out_document

RESULT_PARTS = ("values", "checks", "shapings", "spreads", "curves", "pick_ups")


def recalculate(*, sheet: Sheet, document: Document) -> Difference:
    """Work a document out, store what changed, and say what that was.

    The document is the whole pattern file, words included, since findings may stand in the words.
    """
    before = kept_sheet(sheet.fingerprint)
    after = work_out_after(before, document) if before else work_out_document(document)
    return store_results(sheet=sheet, before=before, after=after)


def store_results(*, sheet: Sheet, before: KeptSheet | None, after: KeptSheet) -> Difference:
    """Store the results that changed, and say what that was; where `before` is not what is stored, look."""
    if before and before.fingerprint == sheet.fingerprint:
        old, new, changed, gone = _compared(before, after)
    else:
        old, new, changed, gone = _compared_with_stored(sheet, after)
    difference = _with_print(difference_between(old, new), before, after)
    _store_results(sheet, after, changed, gone)
    _store_findings(sheet, old["findings"], new["findings"])
    if old["yarn"] != new["yarn"]:
        _store_yarn(sheet, old["yarn"], new["yarn"])
    sheet.fingerprint, sheet.graded_sizes = after.fingerprint, list(after.graded.sizes)
    sheet.save(update_fields=("fingerprint", "graded_sizes"))
    return difference


def graded_json(*, sheet: Sheet, document: Document) -> GradedJson:
    """The stored results where they are of this very document, else worked out afresh."""
    if sheet.fingerprint == sheet_fingerprint(document):
        return stored_graded(sheet)
    return work_out_document(document).graded.as_json()


def compared(before: KeptSheet, after: KeptSheet) -> Difference:
    """What differs between two states of a sheet."""
    old, new, _, _ = _compared(before, after)
    return _with_print(difference_between(old, new), before, after)


def _with_print(difference: Difference, before: KeptSheet | None, after: KeptSheet) -> Difference:
    """Add labels, and which numbers print otherwise in the steps: none before anything was worked out."""
    labels = {value.name: value.label for value in after.graded.pattern.values}
    difference = replace(difference, labels=labels)
    if before is None:
        return difference
    old, new = before.fingerprints.whole, after.fingerprints.whole
    names = frozenset(
        name for part, name in old.keys() | new.keys() if old.get((part, name)) != new.get((part, name))
    )
    states = [facts_of(one.graded.pattern, one.graded) for one in (before, after)]
    printed = print_changes(states[0], states[1], names)
    return replace(difference, names=names, printed=tuple(printed), all_sizes=after.graded.sizes)


def stored_graded(sheet: Sheet) -> GradedJson:
    """The stored results in the form of a graded sheet."""
    graded: GradedJson = {"sizes": sheet.graded_sizes, **{part: {} for part in RESULT_PARTS}}
    for result in StoredResult.objects.filter(sheet=sheet).order_by("pk"):
        graded[result.part][result.name] = result.figures
    graded["yarn"] = list(_stored_yarn(sheet))
    graded["findings"] = list(
        Finding.objects.filter(sheet=sheet)
        .order_by("position")
        .values("where", "size", "weight", "line", "column", "says")
    )
    return graded


Compared = tuple[GradedJson, GradedJson, list[Key], list[Key]]


def _compared(before: KeptSheet, after: KeptSheet) -> Compared:
    """Both states as far as they differ, the results that changed, and those that are gone."""
    old, new = before.fingerprints.whole, after.fingerprints.whole
    changed = [key for key in new if key[0] in RESULT_PARTS and old.get(key) != new[key]]
    gone = [key for key in old if key[0] in RESULT_PARTS and key not in new]
    yarns = (before.graded.yarn, after.graded.yarn)
    if len(yarns[0]) == len(yarns[1]) and all(map(is_, *yarns)):
        yarns = ((), ())
    return (
        _state(before, yarns[0], [key for key in changed if key in old]),
        _state(after, yarns[1], changed),
        changed,
        gone,
    )


def _state(of: KeptSheet, yarn: Iterable[CombinedNeed], keys: Iterable[Key]) -> GradedJson:
    """Some results of a state as JSON, with its findings."""
    state: GradedJson = {"sizes": list(of.graded.sizes), **{part: {} for part in RESULT_PARTS}}
    for part, name in keys:
        state[part][name] = of.graded.result_json(part, name)
    findings = [finding.as_json() for finding in of.graded.findings]
    return {**state, "yarn": [need.as_json() for need in yarn], "findings": findings}


def _compared_with_stored(sheet: Sheet, after: KeptSheet) -> Compared:
    """What is stored and what was worked out, the results that changed, and those that are gone."""
    old, new = stored_graded(sheet), after.graded.as_json()
    rows = StoredResult.objects.filter(sheet=sheet).values_list("part", "name", "fingerprint")
    stored = {(part, name): fingerprint for part, name, fingerprint in rows}
    wanted = [(part, name) for part in RESULT_PARTS for name in new[part]]
    changed = [
        (part, name)
        for part, name in wanted
        if stored.get((part, name)) != after.fingerprints.whole[part, name]
        or old[part][name] != new[part][name]
    ]
    return old, new, changed, [key for key in stored if key not in set(wanted)]


def _store_results(sheet: Sheet, after: KeptSheet, changed: Iterable[Key], gone: Iterable[Key]) -> None:
    """Write the rows that changed, and only those."""
    for part, name in gone:
        StoredResult.objects.filter(sheet=sheet, part=part, name=name).delete()
    rows = [
        StoredResult(
            sheet=sheet,
            part=part,
            name=name,
            fingerprint=after.fingerprints.whole[part, name],
            figures=after.graded.result_json(part, name),
        )
        for part, name in changed
    ]
    if rows:
        StoredResult.objects.bulk_create(
            rows,
            update_conflicts=True,
            unique_fields=("sheet", "part", "name"),
            update_fields=("figures", "fingerprint"),
        )


def _store_findings(sheet: Sheet, old: list[dict[str, Any]], new: list[dict[str, Any]]) -> None:
    """Replace the findings from the first to the last that differs."""
    same = [one == other for one, other in zip(old, new, strict=False)]
    first = same.index(False) if False in same else len(same)
    if len(old) == len(new) == first:
        return
    after_last = len(new)
    if len(old) == len(new):
        after_last -= same[::-1].index(False)
    stored = Finding.objects.filter(sheet=sheet, position__gte=first)
    (stored.filter(position__lt=after_last) if len(old) == len(new) else stored).delete()
    Finding.objects.bulk_create(
        [Finding(sheet=sheet, position=place, **new[place]) for place in range(first, after_last)]
    )


def _store_yarn(sheet: Sheet, old: list[dict[str, Any]], new: list[dict[str, Any]]) -> None:
    """Write the yarn needs that changed, one row per combination and colour; all where there are others."""
    if [(one["options"], list(one["colours"])) for one in old] == [
        (one["options"], list(one["colours"])) for one in new
    ]:
        rows = YarnNeed.objects.filter(sheet=sheet).order_by("position", "pk")
        changed = [
            row for row, need in zip(rows, _yarn_rows(sheet, new), strict=True) if _take_over(row, need)
        ]
        YarnNeed.objects.bulk_update(changed, ("weight_g", "length_m", "balls"))
        return
    YarnNeed.objects.filter(sheet=sheet).delete()
    YarnNeed.objects.bulk_create(_yarn_rows(sheet, new))


def _take_over(row: YarnNeed, need: YarnNeed) -> bool:
    """Set a row's amounts; return whether they were others."""
    before = (row.weight_g, row.length_m, row.balls)
    row.weight_g, row.length_m, row.balls = need.weight_g, need.length_m, need.balls
    return before != (row.weight_g, row.length_m, row.balls)


def _yarn_rows(sheet: Sheet, needs: Iterable[dict[str, Any]]) -> list[YarnNeed]:
    """One row per combination and colour."""
    return [
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


def _stored_yarn(sheet: Sheet) -> Iterator[dict[str, Any]]:
    """The stored yarn needs, combination by combination."""
    needs: dict[int, dict[str, Any]] = {}
    for row in YarnNeed.objects.filter(sheet=sheet).order_by("position", "pk"):
        need = needs.setdefault(row.position, {"options": row.options, "colours": {}})
        need["colours"][row.colour] = {"weight": row.weight_g, "length": row.length_m, "balls": row.balls}
    yield from needs.values()
