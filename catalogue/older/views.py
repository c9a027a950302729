"""Pages that bring an older pattern in: its text, then its lists."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.patterns import SlugTaken, load_pattern
from catalogue.drafts.saving import signed_in_person
from catalogue.models import Pattern
from catalogue.older.documents import older_document
from catalogue.older.forms import ListForm, OlderFileForm, OlderTextForm, list_forms
from catalogue.studio.roles import studio_required
from grading.core.formula.errors import PatternFileError
from grading.core.older.reading import OlderText
from grading.grid.refusals import refusal_in_words


@require_safe
@studio_required
def older_text(request: HttpRequest) -> HttpResponse:
    """Ask for the text."""
    form = OlderTextForm(initial={"home_units": signed_in_person(request).units})
    return render(request, "catalogue/older/text.html", {"form": form, "file_form": OlderFileForm()})


@require_POST
@studio_required
def older_lists(request: HttpRequest) -> HttpResponse:
    """Show what was read of the text, or make the pattern once its lists are decided."""
    # The Enter key presses the first button, which is the file's.
    if request.FILES or ("take" in request.POST and not request.POST.get("text")):
        return _file_text(request)
    form = OlderTextForm(request.POST)
    if not form.is_valid() or "again" in request.POST:
        shown = {"form": form, "file_form": OlderFileForm()}
        return render(request, "catalogue/older/text.html", shown, status=200 if form.is_valid() else 400)
    is_decided = "decided" in request.POST
    lists = list_forms(request.POST if is_decided else None, form.older)
    problem = ""
    if is_decided and all(valid for valid in [one.is_valid() for one in lists]):
        made = _create(request, form, lists)
        if isinstance(made, Pattern):
            return redirect("words", made.slug)
        problem = made
    context: dict[str, Any] = {
        "form": form,
        "older": form.older,
        "rows": _rows(form.older, lists),
        "problem": problem,
        "unread": _unread(form.older),
    }
    return render(request, "catalogue/older/lists.html", context, status=400 if is_decided else 200)


def _file_text(request: HttpRequest) -> HttpResponse:
    """Show the text of a file in the form, in place of what was typed there, or say why it has none."""
    file_form = OlderFileForm(request.POST, request.FILES)
    taken = file_form.is_valid()
    initial = request.POST.dict() | ({"text": file_form.text} if taken else {})
    context = {"form": OlderTextForm(initial=initial), "file_form": file_form, "taken": taken}
    return render(request, "catalogue/older/text.html", context, status=200 if taken else 400)


def _create(request: HttpRequest, form: OlderTextForm, lists: list[ListForm]) -> Pattern | str:
    """Make the draft, or say why it can't be made."""
    decided = ((place, one.decision()) for place, one in enumerate(lists))
    decisions = {place: decision for place, decision in decided if decision is not None}
    document = older_document(form.older, form.facts(), decisions)
    try:
        pattern = load_pattern(document=document, by=signed_in_person(request))
    except PatternFileError as error:
        return refusal_in_words(error, document)
    except SlugTaken as error:
        return str(error)
    steps = sum(len(section.steps) for section in form.older.sections)
    left = len(form.older.unread) + len(lists) - len(decisions)
    as_typed = f" {left} list{'s' if left != 1 else ''} stayed as typed." if left else ""
    messages.success(request, f"“{pattern.title}”: {len(decisions)} values and {steps} steps.{as_typed}")
    return pattern


def _rows(older: OlderText, lists: list[ListForm]) -> list[dict[str, Any]]:
    """Each list with its form and the words around it."""
    rows = []
    for one in lists:
        spot = one.candidate.spots[0]
        step = older.sections[spot.section].steps[spot.step]
        rows.append(
            {
                "form": one,
                "candidate": one.candidate,
                "section": older.sections[spot.section].title,
                "before": step[max(0, spot.start - 80) : spot.start],
                "marked": step[spot.start : spot.end],
                "after": step[spot.end : spot.end + 60],
                "more_spots": len(one.candidate.spots) - 1,
            }
        )
    return rows


def _unread(older: OlderText) -> list[dict[str, Any]]:
    """What stays as typed, with its section."""
    return [{"section": older.sections[one.section].title, "one": one} for one in older.unread]
