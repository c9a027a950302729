"""The page of a yarn that is not made any more."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from catalogue.materials.ended_forms import EndedYarnForm
from catalogue.materials.ended_yarns import ended_words, touched_by
from catalogue.models import Yarn
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required


@form_page
@studio_required
def yarn_ended(request: HttpRequest, pk: int) -> HttpResponse:
    """Since when a yarn is not made, what to take in its place, and which patterns that touches."""
    yarn = get_object_or_404(Yarn.objects.select_related("substitute"), pk=pk)
    form = EndedYarnForm(request.POST or None, yarn=yarn)
    if request.method == "POST" and form.is_valid():
        form.store(yarn)
        messages.success(request, "It is saved. Makers read it on the pages of the patterns below.")
        return redirect("yarn_ended", pk=pk)
    page = {
        "pattern": None,
        "yarn": yarn,
        "form": form,
        "touched": touched_by(yarn),
        "says": ended_words(yarn),
    }
    return render(request, "catalogue/yarns/ended.html", page, status=400 if form.errors else 200)
