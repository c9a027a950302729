"""Pages of the swatch diary."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.saving import errors_of, save
from catalogue.photos.swatch_forms import SwatchForm
from catalogue.photos.swatches import add_swatch, delete_swatch, is_gauge_of, with_gauge_of
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required
from grading.entries.revision_forms import RevisionForm
from grading.sheets.documents import entries_of


@form_page
@studio_required
def swatches(request: HttpRequest, slug: str) -> HttpResponse:
    """The swatches of each fabric, the newest first, and the form that adds one."""
    draft = open_draft(request.user, slug)
    known = draft.pattern.swatches.count()
    form = SwatchForm(request.POST or None, request.FILES or None, document=draft.document, known=known)
    if request.method == "POST" and form.is_valid():
        typed = {key: one for key, one in form.cleaned_data.items() if key != "revision"}
        try:
            add_swatch(pattern=draft.pattern, picture=typed.pop("picture"), **typed)
        except FilesOutOfReach as problem:
            form.add_error("picture", str(problem))
        else:
            messages.success(request, "The swatch is saved in the diary.")
            return redirect("swatches", slug=slug)
    page = {"pattern": draft.pattern, "tab": "sheet", "form": form, "fabrics": _by_fabric(draft),
            "revision": draft.revision}  # fmt: skip
    return render(request, "catalogue/photos/swatches.html", page)


def _by_fabric(draft: Draft) -> list[dict[str, Any]]:
    """Each fabric with its swatches; the newest that has the gauge of the sheet is the one in force."""
    made: dict[str, list[Any]] = {}
    for swatch in draft.pattern.swatches.all():
        made.setdefault(swatch.fabric, []).append(swatch)
    fabrics = entries_of(draft.document, "fabrics")
    named = [
        {
            "label": entry["label"],
            "entry": entry,
            "swatches": made.get(name, []),
            "in_force": next((one.pk for one in made.get(name, []) if is_gauge_of(entry, one)), None),
        }
        for name, entry in fabrics
    ]
    gone = [name for name in made if name not in dict(fabrics)]
    return named + [{"label": name, "entry": None, "swatches": made[name], "in_force": None} for name in gone]


@require_POST
@studio_required
def swatch_use(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Give a fabric the gauge of a swatch."""
    draft = open_draft(request.user, slug)
    swatch = get_object_or_404(draft.pattern.swatches, pk=pk)
    if swatch.fabric not in dict(entries_of(draft.document, "fabrics")):
        raise Http404
    form = RevisionForm(request.POST)
    form.document = with_gauge_of(draft.document, swatch)
    back = reverse("swatches", args=[slug])
    context = {"pattern": draft.pattern, "tab": "sheet", "back": back, "their_edits": [], "errors": []}
    if form.is_valid():
        return save(request, draft, form, "catalogue/sheet_stale.html", context, back)
    return render(request, "catalogue/sheet_stale.html", {**context, "errors": errors_of(form)}, status=400)


@require_POST
@studio_required
def swatch_delete(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take a swatch out of the diary; the sheet keeps its gauge."""
    draft = open_draft(request.user, slug)
    delete_swatch(get_object_or_404(draft.pattern.swatches, pk=pk))
    messages.success(request, "The swatch is deleted from the diary.")
    return redirect("swatches", slug=slug)
