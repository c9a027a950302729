"""What pages of the instructions have in common: entries by their number, and words saved or given back."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import StaleRevision
from catalogue.drafts.saving import with_findings_link
from catalogue.instructions.forms import SectionForm, StepForm
from catalogue.instructions.sections import NoSuchPlace
from catalogue.models import Pattern
from catalogue.studio.requests import person_of
from grading.core.formula.errors import PatternFileError
from grading.grid.grid import place_label
from grading.models import Finding
from grading.sheets.differences import Difference

TAB = "words"
NONE = -1  # a revision that no sheet has
GONE = "That number is no longer in the step, so nothing was changed: look at the step again."


def entry_or_404(entries: list[Any], number: int) -> Any:
    """An entry by its number from 1."""
    if not 1 <= number <= len(entries):
        raise Http404
    return entries[number - 1]


def save_words(
    request: HttpRequest,
    pattern: Pattern,
    form: SectionForm | StepForm,
    service: Callable[..., Difference],
    page: Callable[..., HttpResponse],
    *,
    theirs: str,
) -> HttpResponse:
    """Save a form's words, or give them back on their page beside what somebody else has saved."""
    try:
        difference = service(pattern=pattern, revision=form.cleaned_data["revision"], by=person_of(request))
    except (StaleRevision, NoSuchPlace):
        form.data = request.POST.copy()
        form.data["revision"] = str(pattern.sheet.revision)
        return page(request, pattern, form, heading="Somebody else was first", theirs=theirs, status=409)
    except PatternFileError as refusal:
        form.add_error(None, refusal.reason)
        return page(request, pattern, form, heading="Not saved yet")
    says = f"The instructions are saved. {difference.of_words}"
    messages.success(request, with_findings_link(says, pattern.slug, difference))
    tell_stop(request, pattern)
    return redirect("words", slug=pattern.slug)


def tell_stop(request: HttpRequest, pattern: Pattern) -> None:
    """Say beside “saved” that the instructions hold a Stop, and where."""
    stops = Finding.objects.filter(sheet=pattern.sheet_id, weight="stop", where__startswith="sections")
    found = list(stops.order_by("pk"))
    if found:
        more = f" There are {len(found) - 1} more." if len(found) > 1 else ""
        place = place_label(pattern_document(pattern), found[0].where)
        messages.warning(request, f"Saved with a Stop at {place}: {found[0].says}{more}")
