"""A tester's own remarks: made on a step, changed, deleted."""

import re

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from testing.access.requests import SignedInRequest, own_place_or_404, sent
from testing.asked.figures import NO_STEP, placement_figures
from testing.asked.step_helps import step_helps
from testing.models import Remark
from testing.results.forms import RemarkChangeForm, RemarkForm
from testing.results.results import add_remark, change_remark, delete_remark
from testing.results.views import question_page


@form_page
@signed_in_required
def making_remark(request: SignedInRequest, pk: int) -> HttpResponse:
    """A remark on a step of the version in hand."""
    placement, step = own_place_or_404(request, pk), request.GET.get("step", "")
    form = RemarkForm(
        sent(request),
        steps=placement_figures(placement).steps_by_section(placement.size),
        helps=step_helps(placement),
        initial={"place": _place_at(step)},
        stuck_at=request.GET.get("help", ""),
    )
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        stuck_at = told.get("help", "")
        add_remark(placement=placement, place=told["place"], text=told["text"], help_code=stuck_at)
        messages.success(request, "Thank you: your remark has reached the studio.")
        return redirect("making", pk=pk)
    return question_page(request, placement, "testing/ask_remark.html", form, step=step)


def _place_at(spot: str) -> str:
    """The place of a step that an address names: "0.2" is sections[0].steps[2]; "" where it names none."""
    found = re.fullmatch(r"(\d{1,4})\.(\d{1,4})", spot, re.ASCII)
    return f"sections[{found[1]}].steps[{found[2]}]" if found else ""


@form_page
@signed_in_required
def making_remark_change(request: SignedInRequest, pk: int, remark: int) -> HttpResponse:
    """Other words of a remark, or none."""
    placement = own_place_or_404(request, pk)
    mine = Remark.objects.filter(result__placement=placement).select_related("help")
    found = get_object_or_404(mine, pk=remark)
    form = RemarkChangeForm(sent(request), initial={"text": found.text})
    if request.method == "POST" and form.is_valid():
        if change_remark(remark=found, text=form.cleaned_data["text"]):
            messages.success(request, "Sent.")
            return redirect("making", pk=pk)
        form.add_error("text", "The studio has made a correction from this remark: send another one instead.")
    steps = dict(placement_figures(placement).steps(placement.size, in_full=True))
    page = {"placement": placement, "call": placement.call, "remark": found, "form": form}
    page["step"] = steps.get(found.place, NO_STEP)
    return render(request, "testing/remark_change.html", page)


@require_POST
@signed_in_required
def making_remark_delete(request: SignedInRequest, pk: int, remark: int) -> HttpResponse:
    """Take a remark back."""
    placement = own_place_or_404(request, pk)
    if found := Remark.objects.filter(result__placement=placement, pk=remark).first():
        delete_remark(remark=found)
        messages.success(request, "The remark is deleted.")
    return redirect("making", pk=pk)
