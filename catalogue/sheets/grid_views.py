"""Saving from the grid: one batch of changes is answered with what it would change, or saved."""

import json
from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_POST

from catalogue.drafts.drafts import open_pattern
from catalogue.drafts.edits import StaleRevision, edit_document, standing_sheet
from catalogue.drafts.guard_findings import with_guards
from catalogue.drafts.saving import signed_in_person, with_findings_link
from catalogue.models import Pattern
from catalogue.sheets.grid_batch import GRID_PARTS, Batch, UnreadableBatch, read_batch
from catalogue.sheets.grid_changes import Changed, change_document
from catalogue.sheets.moves import moves
from catalogue.studio.roles import studio_required
from grading.core.formula.errors import FormulaError, PatternFileError
from grading.grid.grid import GridRow, merged_findings, place_label, sheet_grid
from grading.sheets.differences import Difference
from grading.sheets.documents import Document, entries_of, with_entries
from grading.sheets.kept_sheets import KeptSheet, kept_sheet, work_out_after
from grading.sheets.recalculation import compared

MOST_FINDINGS, LARGEST_BATCH = 40, 2_000_000


@studio_required
@require_POST
def grid_preview(request: HttpRequest, slug: str) -> HttpResponse:
    """Say what a batch of changes would change; nothing is stored."""
    pattern = open_pattern(request.user, slug)
    try:
        batch = _batch(request)
        before = standing_sheet(pattern)
        made = change_document(before, batch, _units(request))
        after = work_out_after(before, made.document)
    except (UnreadableBatch, PatternFileError, FormulaError) as error:
        return _refusal(error)
    difference = with_guards(pattern, compared(before, after), before, after)
    answer = _answer(made, before, after, difference, _units(request))
    return JsonResponse({**answer, "revision": pattern.sheet.revision})


@studio_required
@require_POST
def grid_save(request: HttpRequest, slug: str) -> HttpResponse:
    """Save a batch whole, or say which of its cells hinder it; what others saved meanwhile stays."""
    pattern = open_pattern(request.user, slug)
    try:
        batch = _batch(request)
        before = standing_sheet(pattern)
        made = change_document(before, batch, _units(request))
        if made.refused or made.conflicts:
            return _hindered(pattern, made, before, _units(request))
        difference = edit_document(
            pattern=pattern,
            revision=pattern.sheet.revision,
            document=made.document,
            by=signed_in_person(request),
        )
    except StaleRevision:
        return JsonResponse({"says": "Somebody else saved at the same moment: save again."}, status=409)
    except (UnreadableBatch, PatternFileError, FormulaError) as error:
        return _refusal(error)
    after = kept_sheet(pattern.sheet.fingerprint) or work_out_after(before, made.document)
    answer = _answer(made, before, after, difference, _units(request))
    says = " ".join(["Saved.", difference.own_sentence, *made.notes])
    messages.success(request, with_findings_link(says, slug, difference))
    return JsonResponse({**answer, "revision": pattern.sheet.revision})


def _units(request: HttpRequest) -> str:
    """The units of the person."""
    return str(getattr(request.user, "units", "cm"))


def _batch(request: HttpRequest) -> Batch:
    """What was sent."""
    if len(request.body) > LARGEST_BATCH:
        raise UnreadableBatch("This batch is too large: save in parts.")
    try:
        return read_batch(json.loads(request.body))
    except (ValueError, RecursionError) as error:
        if isinstance(error, UnreadableBatch):
            raise
        raise UnreadableBatch("This is not a batch of changes: load the sheet again.") from error


def _refusal(error: Exception) -> JsonResponse:
    """One sentence for what cannot be saved as a whole."""
    says = error.reason if isinstance(error, PatternFileError) else str(error)
    return JsonResponse({"says": says}, status=400)


def _hindered(pattern: Pattern, made: Changed, now: KeptSheet, units: str) -> JsonResponse:
    """The cells that hinder a save; those in conflict with both versions."""
    status = 409 if made.conflicts else 400
    says = (
        "Somebody else changed the same cells: choose which to keep for each."
        if made.conflicts
        else "Nothing is saved yet: correct the marked cells."
    )
    rows = [
        grid_line(row) for _, many in sheet_grid(now.document, now.graded.as_json(), units) for row in many
    ]
    return JsonResponse(
        {"says": says, "refused": made.refused, "conflicts": made.conflicts, "rows": rows,
         "revision": pattern.sheet.revision},
        status=status,
    )  # fmt: skip


def grid_line(row: GridRow) -> dict[str, Any]:
    """A line of the grid as the browser gets it."""
    told = asdict(row)
    del told["findings"]
    return {**told, "cells": list(row.cells)}


def _answer(
    made: Changed, before: KeptSheet, after: KeptSheet, difference: Difference, units: str
) -> dict[str, Any]:
    """What changes: the sentence, the lines with their new cells, the findings that come and go."""
    lines = changed_lines(before, after, difference, units)
    return {
        "sentence": difference.own_sentence,
        "names": made.names,
        "refused": made.refused,
        "notes": made.notes,
        "instead": made.instead,
        "conflicts": made.conflicts,
        "lines": lines,
        "new_findings": _findings(after.document, list(difference.new_findings)),
        "gone_findings": _findings(before.document, list(difference.gone_findings)),
        "moves": moves(before, after, difference),
    }


def changed_lines(
    before: KeptSheet, after: KeptSheet, difference: Difference, units: str
) -> list[dict[str, Any]]:
    """The lines that differ as shown, each with its cells before."""
    touched = {"values": {one.name for one in difference.values},
               "checks": {one.name for one in (*difference.now_fails, *difference.now_holds)}}  # fmt: skip
    for part in GRID_PARTS:
        old = dict(entries_of(before.document, part))
        names = {name for name, entry in entries_of(after.document, part) if entry is not old.get(name)}
        touched[part] = touched.get(part, set()) | names
    was = {(row.part, row.name): row for row in _rows(before, touched, units)}
    lines = []
    for row in _rows(after, touched, units):
        old_row = was.get((row.part, row.name))
        if old_row != row:
            lines.append({**grid_line(row), "before": list(old_row.cells) if old_row else None})
    return lines


def _rows(of: KeptSheet, touched: dict[str, set[str]], units: str) -> list[GridRow]:
    """Some lines of a sheet."""
    document: Document = {"sizes": of.document["sizes"]}
    for part, names in touched.items():
        document[part] = with_entries(part, [one for one in entries_of(of.document, part) if one[0] in names])
    graded = {
        part: {
            name: of.graded.result_json(part, name)
            for name in touched[part] & getattr(of.graded, part).keys()
        }
        for part in ("values", "checks", "pick_ups")
    }
    return [row for _, many in sheet_grid(document, {**graded, "findings": []}, units) for row in many]


def _findings(document: Document, findings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Findings with where they stand, in words and as a line of the grid."""
    told = []
    for one in merged_findings(findings)[:MOST_FINDINGS]:
        part, _, name = one["where"].partition(".")
        told.append(
            {"where": one["where"], "place": place_label(document, one["where"]), "weight": one["weight"],
             "says": one["says"], "part": part, "name": name,
             "column": one["column"] if one["line"] == 1 else None}
        )  # fmt: skip
    return told
