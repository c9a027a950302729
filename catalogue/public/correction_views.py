"""Corrections of a version: a page on which a maker picks their size once, and the same on paper."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.errata.errata import errata_of_version
from catalogue.models import Pattern, Version
from catalogue.models.selling import open_shops
from catalogue.public.corrections_sheets import corrections_sheet
from catalogue.public.size_corrections import told_corrections, whom_they_concern
from catalogue.public.views import UNITS, address_of, asked_units, current_or_404
from catalogue.versions.changes import differences
from catalogue.versions.moved_steps import follow, printed_rows
from catalogue.versions.records import Record, frozen_record
from catalogue.versions.versions import version_of_number


@require_safe
def corrections(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """What holders of a version must know: the current one, the corrections to theirs, what changed."""
    pattern, current = current_or_404(slug)
    held = _release_or_404(pattern, number)
    changes = differences(held, current) if held != current else None
    record, now = frozen_record(held.record), frozen_record(current.record)
    units, size = asked_units(request, record), asked_size(request, record)
    followed = follow(errata_of_version(held), held.record, current.record, units, size)
    told = told_corrections(followed)
    open_now = {one.erratum.pk for one in errata_of_version(current)}
    page = {
        "pattern": pattern,
        "title": record["title"],
        "address": address_of(request),
        "held": held,
        "current": current,
        "units": units,
        "unit_choices": UNITS,
        "size": size,
        "sizes": record["results"]["sizes"],
        "followed": followed,
        "corrections": told,
        "concerned": whom_they_concern(told, size),
        "mended": [one for one in told if one.corrected_in],
        "still_wrong": [
            one for one in told if one.is_for_size and one.moving.applying.erratum.pk in open_now
        ],
        "shops": open_shops(pattern),
        "changes": changes,
        "number_rows": printed_rows(changes.of_size(size), record, now, units) if changes else [],
    }
    return render(request, "catalogue/public/corrections.html", page)


@require_safe
def corrections_file(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """The corrections of a version as a page to print, for one size or all."""
    pattern, current = current_or_404(slug)
    held = _release_or_404(pattern, number)
    record = frozen_record(held.record)
    size = asked_size(request, record)
    content = corrections_sheet(held, current, units=asked_units(request, record), size=size)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{slug}-{number}-corrections.pdf"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "public, no-cache"
    return answer


def asked_size(request: HttpRequest, record: Record) -> str:
    """The size that the address asks for, if the version has it."""
    asked = request.GET.get("size", "")
    return asked if asked in record["results"]["sizes"] else ""


def _release_or_404(pattern: Pattern, number: str) -> Version:
    """A release by its number."""
    held = version_of_number(pattern, number)
    if held is None or held.kind != "release":
        raise Http404
    return held
