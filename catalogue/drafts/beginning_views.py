"""Beginning a pattern: a construction to begin from, or an empty sheet."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.edits import standing_sheet
from catalogue.drafts.forms import NewPatternForm
from catalogue.drafts.patterns import SlugTaken, load_file
from catalogue.drafts.saving import signed_in_person, tell_notes, with_findings_link
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required
from grading.beginnings.constructions import constructions
from grading.beginnings.forms import BeginningForm
from grading.core.formula.errors import PatternFileError
from grading.grid.refusals import refusal_in_words


@studio_required
@require_safe
def beginnings(request: HttpRequest) -> HttpResponse:
    """All constructions to begin from, and the empty sheet."""
    return _beginnings_page(request, NewPatternForm(initial={"home_units": signed_in_person(request).units}))


@studio_required
@form_page
def beginning(request: HttpRequest, key: str) -> HttpResponse:
    """Begin a pattern from a construction."""
    construction = constructions().get(key)
    if construction is None:
        raise Http404
    units = signed_in_person(request).units
    form = BeginningForm(request.POST or None, construction=construction, units=units)
    context = {"pattern": None, "construction": construction, "form": form}
    if request.method != "POST":
        return render(request, "catalogue/beginnings/form.html", context)
    slug = stored_slug(request, form, "title", form.document) if form.is_valid() else None
    if slug:
        return redirect("sheet", slug)
    return render(request, "catalogue/beginnings/form.html", context, status=400)


@studio_required
@require_POST
def desk_new(request: HttpRequest) -> HttpResponse:
    """Begin a pattern that has sizes and nothing else."""
    form = NewPatternForm(request.POST)
    if form.is_valid():
        slug = stored_slug(request, form, "title", form.document)
        if slug:
            return redirect("sheet", slug)
    return _beginnings_page(request, form, status=400)


def stored_slug(
    request: HttpRequest, form: Form, field: str, document: Callable[[], Any], *, replace: bool = False
) -> str | None:
    """Store a pattern and return its slug, or put the reason at a field."""
    typed = document()
    try:
        loaded = load_file(document=typed, by=signed_in_person(request), replace=replace)
    except PatternFileError as error:
        form.add_error(field, refusal_in_words(error, typed))
        return None
    except SlugTaken as taken:
        form.add_error(field, str(taken))
        return None
    slug = loaded.pattern.slug
    if loaded.before is None:
        messages.success(request, f"“{loaded.pattern.title}” is created.")
    else:
        says = f"The draft of “{loaded.pattern.title}” is replaced. {loaded.difference.own_sentence}"
        messages.success(request, with_findings_link(says, slug, loaded.difference))
        tell_notes(request, loaded.before, standing_sheet(loaded.pattern))
    return slug


def _beginnings_page(request: HttpRequest, new: NewPatternForm, status: int = 200) -> HttpResponse:
    """The page of all beginnings."""
    context = {"pattern": None, "constructions": constructions(), "new": new}
    return render(request, "catalogue/beginnings/list.html", context, status=status)
