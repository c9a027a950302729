"""Size tables of the studio: published and own, copied, changed, pasted, deleted, used in patterns."""

from typing import Any, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import preview_edit
from catalogue.drafts.patterns import patterns_for
from catalogue.drafts.saving import save
from catalogue.models import Person
from catalogue.sheets.checked_tables import check_rows, compared_tables, figures_of, row_standings
from catalogue.studio.roles import studio_required, whole_studio_required
from grading.core.sizes.tables import RULES, SizeTable, gaps
from grading.entries.layouts import plain_layout
from grading.sizes.table_forms import SizeTableForm, UseTableForm, brought_layout, initial_of
from grading.sizes.table_reading import range_text, size_table_rows
from grading.sizes.tables import (
    NameTaken,
    delete_own_table,
    find_table,
    own_number,
    own_tables,
    published_tables,
    store_own_table,
)
from grading.tables.quoting import csv_text


def table_or_404(key: str) -> SizeTable:
    """A published table, or one of the studio's own."""
    table = find_table(key)
    if table is None:
        raise Http404
    return table


def own_or_404(key: str) -> SizeTable:
    """One of the studio's own tables: published ones are not changed."""
    if not own_number(key):
        raise Http404
    return table_or_404(key)


@studio_required
@require_safe
def size_tables(request: HttpRequest) -> HttpResponse:
    """All tables, the studio's own first."""
    every = published_tables()
    compared = compared_tables(every)
    unchecked = {key: one for key, one in every.items() if one.is_unchecked and key not in compared}
    context = {
        "pattern": None,
        "own": own_tables(),
        "unchecked": unchecked,
        "published": {key: one for key, one in every.items() if key not in unchecked},
        "compared": compared,
    }
    return render(request, "catalogue/size_tables/list.html", context)


@studio_required
@require_safe
def size_table(request: HttpRequest, key: str) -> HttpResponse:
    """One table with its source, its gaps, and what can be done with it."""
    table = table_or_404(key)
    standings = row_standings(key, table)
    is_own = own_number(key) > 0
    from_memory = 0 if is_own else sum(one.checked is None and not one.origin for one in standings)
    context = {
        "pattern": None,
        "key": key,
        "table": table,
        "is_own": is_own,
        "from_memory": from_memory,
        "rows": measurement_rows(table),
        "standings": standings,
        "figures": figures_of(table),
        "compared": sum(one.checked is not None for one in standings),
        "rules": RULES.values(),
        "gaps": [(one.label, found) for one in table.measurements if (found := gaps(table, one))],
        "patterns": patterns_for(request.user).order_by("title"),
    }
    return render(request, "catalogue/size_tables/table.html", context)


@studio_required
@require_POST
def size_table_compared(request: HttpRequest, key: str) -> HttpResponse:
    """Keep which rows somebody has compared with their own copy of the source."""
    table = table_or_404(key)
    names = set(request.POST.getlist("row"))
    if request.POST.get("figures") != figures_of(table):
        messages.error(request, "The table was changed since you opened it: compare its rows again.")
        return redirect("size_table", key)
    check_rows(key=key, table=table, names=names, by=cast("Person", request.user))
    messages.success(request, "Your ticks are saved, with your name and the day.")
    return redirect("size_table", key)


def measurement_rows(table: SizeTable) -> list[dict[str, Any]]:
    """One line per measurement, as text."""
    return [
        {"name": one.name, "label": one.label, "cells": [range_text(entry) or "–" for entry in one.entries]}
        for one in table.measurements
    ]


@studio_required
@require_safe
def size_table_file(_request: HttpRequest, key: str) -> HttpResponse:
    """A table as CSV."""
    content = csv_text(size_table_rows(table_or_404(key)))
    headers = {"Content-Disposition": f'attachment; filename="{key}.csv"'}
    return HttpResponse(content, content_type="text/csv; charset=utf-8", headers=headers)


@studio_required
@require_safe
def size_table_new(request: HttpRequest) -> HttpResponse:
    """Begin a table: empty, or as a copy of another."""
    key = request.GET.get("copy", "")
    initial = {"unit": "cm"}
    if key:
        table = table_or_404(key)
        initial = initial_of(table, name=f"{table.name}, own"[:80])
    return _table_form(request, SizeTableForm(initial=initial), "")


@studio_required
@require_POST
def size_table_new_check(request: HttpRequest) -> HttpResponse:
    """Look at a new table before it is stored."""
    return _check(request, "")


@studio_required
@require_POST
def size_table_new_store(request: HttpRequest) -> HttpResponse:
    """Store a new table that was looked at."""
    return _store(request, "")


@studio_required
@require_safe
def size_table_change(request: HttpRequest, key: str) -> HttpResponse:
    """Change one of the studio's own tables."""
    table = own_or_404(key)
    return _table_form(request, SizeTableForm(initial=initial_of(table, name=table.name)), key)


@studio_required
@require_POST
def size_table_check(request: HttpRequest, key: str) -> HttpResponse:
    """Look at a changed table before it is stored."""
    own_or_404(key)
    return _check(request, key)


@studio_required
@require_POST
def size_table_store(request: HttpRequest, key: str) -> HttpResponse:
    """Store a changed table that was looked at."""
    own_or_404(key)
    return _store(request, key)


@studio_required
@require_POST
def size_table_delete(request: HttpRequest, key: str) -> HttpResponse:
    """Delete one of the studio's own tables."""
    table = own_or_404(key)
    delete_own_table(number=own_number(key))
    messages.success(request, f"“{table.name}” is deleted; patterns that took numbers from it keep them.")
    return redirect("size_tables")


def _check(request: HttpRequest, key: str) -> HttpResponse:
    """The form with what was read below it."""
    form = SizeTableForm(request.POST, request.FILES)
    form.is_valid()
    form.looked_at()
    return _table_form(request, form, key, status=400 if form.errors else 200)


def _store(request: HttpRequest, key: str) -> HttpResponse:
    """Store what was looked at; anything else is looked at first."""
    form = SizeTableForm(request.POST, request.FILES)
    if not form.is_valid() or not form.is_confirmed:
        return _check(request, key)
    try:
        stored = store_own_table(table=form.table, number=own_number(key))
    except NameTaken as taken:
        form.add_error("name", str(taken))
        return _table_form(request, form, key, status=400)
    messages.success(request, f"“{form.table.name}” is stored.")
    return redirect("size_table", stored)


def _table_form(request: HttpRequest, form: SizeTableForm, key: str, status: int = 200) -> HttpResponse:
    """The form of a table, with a preview once it could be read."""
    names = (
        ("size_table_check", "size_table_store") if key else ("size_table_new_check", "size_table_new_store")
    )
    check_url, store_url = (reverse(name, args=[key] if key else []) for name in names)
    form.helper = brought_layout(form, check_url)
    is_read = form.is_bound and not form.errors
    context = {
        "pattern": None,
        "form": form,
        "key": key,
        "store": store_url,
        "confirm": is_read,
        "read": form.read_table,
        "table": form.table if is_read else None,
        "rows": measurement_rows(form.table) if is_read else [],
    }
    return render(request, "catalogue/size_tables/form.html", context, status=status)


@whole_studio_required
@require_safe
def pattern_tables(request: HttpRequest, slug: str) -> HttpResponse:
    """All tables, to take one into a pattern without leaving it."""
    pattern = open_draft(request.user, slug).pattern
    tables = {**own_tables(), **published_tables()}
    context = {"pattern": pattern, "tab": "sheet", "tables": tables}
    return render(request, "catalogue/size_tables/choose.html", context)


@whole_studio_required
@require_safe
def table_use(request: HttpRequest, key: str, slug: str) -> HttpResponse:
    """Choose which numbers of a table go into a pattern."""
    table, draft = table_or_404(key), open_draft(request.user, slug)
    form = UseTableForm(table=table, document=draft.document, revision=draft.revision)
    return render(request, "catalogue/size_tables/use.html", _use_context(draft, form, key))


@whole_studio_required
@require_POST
def table_use_check(request: HttpRequest, key: str, slug: str) -> HttpResponse:
    """Say what would change in the pattern; nothing is stored."""
    table, draft = table_or_404(key), open_draft(request.user, slug)
    form = UseTableForm(request.POST, table=table, document=draft.document, revision=draft.revision)
    context = _use_context(draft, form, key)
    if form.is_valid():
        context |= {
            "confirm": True,
            "difference": preview_edit(pattern=draft.pattern, document=form.document),
        }
        context |= {"unmatched": form.unmatched, "body": changed_body(draft.document, form.document)}
    return render(
        request, "catalogue/size_tables/use.html", context, status=200 if context["confirm"] else 400
    )


@whole_studio_required
@require_POST
def table_use_store(request: HttpRequest, key: str, slug: str) -> HttpResponse:
    """Write the numbers into the pattern."""
    table, draft = table_or_404(key), open_draft(request.user, slug)
    form = UseTableForm(request.POST, table=table, document=draft.document, revision=draft.revision)
    context = _use_context(draft, form, key)
    if form.is_valid():
        back = reverse("sheet", args=[slug])
        return save(request, draft, form, "catalogue/size_tables/use.html", context, back)
    return render(request, "catalogue/size_tables/use.html", context, status=400)


def _use_context(draft: Draft, form: UseTableForm, key: str) -> dict[str, Any]:
    """What the page prints."""
    form.helper = plain_layout(form, "Look at what would change")
    form.helper.form_action = reverse("table_use_check", args=[key, draft.pattern.slug])
    form.helper.form_id = "use-table"
    return {
        "pattern": draft.pattern,
        "tab": "sheet",
        "table": form.table,
        "key": key,
        "form": form,
        "confirm": False,
        "difference": None,
        "unmatched": [],
        "body": [],
        "their_edits": [],
    }


def changed_body(before: dict[str, Any], after: dict[str, Any]) -> list[dict[str, Any]]:
    """The body measurements that would be others: label, unit, and each number before and after."""
    known = before.get("body", {})
    old_sizes = before["sizes"]
    found = []
    for name, entry in after.get("body", {}).items():
        if known.get(name) == entry and old_sizes == after["sizes"]:
            continue
        was = dict(zip(old_sizes, known[name]["values"], strict=True)) if name in known else {}
        cells = [
            (size, _shown(was.get(size)), _shown(number))
            for size, number in zip(after["sizes"], entry["values"], strict=True)
        ]
        old_unit = known[name]["unit"] if name in known else entry["unit"]
        found.append({"label": entry["label"], "unit": entry["unit"], "old_unit": old_unit, "cells": cells})
    return found


def _shown(number: float | None) -> str:
    """A number as typed, or a dash."""
    return "–" if number is None else f"{number:g}"
