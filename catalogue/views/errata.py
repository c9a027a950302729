"""Errata on the desk: a new one, one erratum with the versions that hold it, and what is decided."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.book_forms import CorrectedForm, ErratumForm
from catalogue.errata import (
    OTHER_PLACES,
    ErratumRefused,
    correct_erratum,
    judge_erratum,
    place_words,
    report_erratum,
    standing_by_version,
)
from catalogue.models import Erratum, Pattern, Version
from catalogue.records import Record, read_record
from catalogue.roles import studio_required
from catalogue.versions import version_of_number
from catalogue.views.pages import form_page, pattern_or_404, person_of

TAB = "versions"


@form_page
@studio_required
def erratum_new(request: HttpRequest, slug: str) -> HttpResponse:
    """Write down a mistake that somebody has met in a version."""
    pattern = pattern_or_404(request, slug)
    known = list(pattern.versions.filter(state="published").order_by("-major", "-minor"))
    if not known:
        messages.info(
            request, "An erratum belongs to a version: publish one first, or correct the draft itself."
        )
        return redirect("versions", slug=slug)
    form = _erratum_form(request, pattern, known)
    if request.method == "POST" and form.is_valid():
        try:
            found = report_erratum(pattern=pattern, **form.cleaned_data)
        except ErratumRefused as refusal:
            form.add_error("place", str(refusal))
        else:
            return redirect("erratum", slug=slug, pk=found.pk)
    page = {"pattern": pattern, "tab": TAB, "form": form}
    return render(request, "catalogue/errata/new.html", page)


@require_safe
@studio_required
def erratum(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """One erratum."""
    return _erratum_page(request, _erratum_or_404(request, slug, pk), None)


@require_POST
@studio_required
def erratum_confirm(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It is a mistake."""
    return _judge(request, slug, pk, is_mistake=True)


@require_POST
@studio_required
def erratum_dismiss(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It is none."""
    return _judge(request, slug, pk, is_mistake=False)


@require_POST
@studio_required
def erratum_correct(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It was corrected in a version."""
    found = _erratum_or_404(request, slug, pk)
    form = CorrectedForm(request.POST, versions=found.pattern.versions.filter(state="published"))
    if form.is_valid():
        try:
            correct_erratum(erratum=found, version=form.cleaned_data["version"])
        except ErratumRefused as refusal:
            form.add_error("version", str(refusal))
        else:
            messages.success(request, f"The erratum is corrected in version {found.corrected_in.number}.")  # type: ignore[union-attr]
            return redirect("erratum", slug=slug, pk=pk)
    return _erratum_page(request, found, form)


def _judge(request: HttpRequest, slug: str, pk: int, *, is_mistake: bool) -> HttpResponse:
    """Keep what was decided."""
    found = _erratum_or_404(request, slug, pk)
    try:
        judge_erratum(erratum=found, is_mistake=is_mistake)
        messages.success(request, "The erratum is confirmed." if is_mistake else "It is noted as no mistake.")
    except ErratumRefused as refusal:
        messages.error(request, str(refusal))
    return redirect("erratum", slug=slug, pk=pk)


def _erratum_page(request: HttpRequest, found: Erratum, form: CorrectedForm | None) -> HttpResponse:
    """One erratum with the versions that hold it."""
    record = read_record(found.found_in.record) if found.found_in else None
    page = {
        "pattern": found.pattern,
        "tab": TAB,
        "erratum": found,
        "place": place_words(found.place, record) if record else found.place,
        "standings": standing_by_version(found),
        "form": form or CorrectedForm(versions=found.pattern.versions.filter(state="published")),
        "sightings": found.sightings.all(),
    }
    return render(request, "catalogue/errata/erratum.html", page)


def _erratum_or_404(request: HttpRequest, slug: str, pk: int) -> Erratum:
    """An erratum of a pattern that the person may work on."""
    pattern = pattern_or_404(request, slug)
    known = pattern.errata.select_related("pattern__sheet", "found_in", "corrected_in")
    return get_object_or_404(known, pk=pk)


def _erratum_form(request: HttpRequest, pattern: Pattern, known: list[Version]) -> ErratumForm:
    """The form, with the places and sizes of the version that is asked for, else of the newest."""
    asked = version_of_number(pattern, request.GET.get("version", "")) or known[0]
    record = read_record(asked.record)
    initial = {
        "found_in": asked,
        "found_by": str(person_of(request) or ""),
        "place": request.GET.get("place", ""),
    }
    return ErratumForm(
        request.POST or None,
        initial=initial,
        versions=pattern.versions.filter(state="published").order_by("-major", "-minor"),
        places=places_of(record),
        sizes=record["results"]["sizes"],
    )


def places_of(record: Record) -> list[tuple[str, Any]]:
    """Every place of a version that a mistake can be at, in groups, in reading order."""
    steps = [
        (f"sections[{i}].steps[{j}]", place_words(f"sections[{i}].steps[{j}]", record))
        for i, section in enumerate(record["words"])
        for j in range(len(section["steps"]))
    ]
    values = [(f"values.{one['name']}", one["label"]) for one in record["pattern"].get("values", [])]
    others = [(place, place.capitalize()) for place in OTHER_PLACES]
    return [("Steps", steps), ("Values", values), ("Elsewhere", others)]
