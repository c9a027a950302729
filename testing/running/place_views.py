"""Giving places and looking after testers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.roles import designer_required
from catalogue.versions.glances import Moved
from testing.access.requests import call_or_404
from testing.calls.calls import owed_to
from testing.places.dropouts import replace_place
from testing.places.forms import MoreTimeForm, PlaceForm
from testing.places.places import PlaceRefused, give_more_time, give_place, mark_given, put_on_waiting_list
from testing.running.tending import remind_now
from testing.running.views import call_page


@require_POST
@designer_required
def place_give(request: HttpRequest, slug: str, pk: int, application: int) -> HttpResponse:
    """Offer an applicant a size."""
    call = call_or_404(request, slug, pk)
    applicant = get_object_or_404(call.applications, pk=application)
    sizes = [quota.size for quota in call.quotas.all()]
    form = PlaceForm(request.POST, application=applicant, sizes=sizes)
    if not form.is_valid():
        messages.error(request, "Choose one of the call's sizes for the place.")
        return redirect("call", slug=slug, pk=pk)
    try:
        give_place(application=applicant, size=form.cleaned_data["size"], seen=sent_glance(request))
        messages.success(request, f"The offer to {applicant.name} is on its way.")
    except Moved as moved:
        return call_page(request, call_or_404(request, slug, pk), moved.entries)
    except PlaceRefused as refused:
        messages.error(request, str(refused))
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def place_waiting(request: HttpRequest, slug: str, pk: int, application: int) -> HttpResponse:
    """Keep an applicant on the waiting list."""
    call = call_or_404(request, slug, pk)
    applicant = get_object_or_404(call.applications, pk=application)
    put_on_waiting_list(application=applicant)
    messages.success(request, f"{applicant.name} is on the waiting list.")
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def place_replace(request: HttpRequest, slug: str, pk: int, placement: int) -> HttpResponse:
    """Free the place of somebody who is not heard of."""
    call = call_or_404(request, slug, pk)
    found = get_object_or_404(call.placements.filter(ended_at=None), pk=placement)
    try:
        replace_place(placement=found, seen=sent_glance(request))
    except Moved as moved:
        return call_page(request, call_or_404(request, slug, pk), moved.entries)
    messages.success(
        request, f"The place of size {found.size} is free, or goes to the next on the waiting list."
    )
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def place_more_time(request: HttpRequest, slug: str, pk: int, placement: int) -> HttpResponse:
    """Give one tester a later day."""
    call = call_or_404(request, slug, pk)
    found = get_object_or_404(call.placements.filter(ended_at=None), pk=placement)
    form = MoreTimeForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Enter the new last day as a date, such as 2027-03-31.")
        return redirect("call", slug=slug, pk=pk)
    try:
        give_more_time(placement=found, finish_by=form.cleaned_data["finish_by"])
    except PlaceRefused as refused:
        messages.error(request, str(refused))
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def place_remind(request: HttpRequest, slug: str, pk: int, placement: int) -> HttpResponse:
    """Remind a tester who is not done of the last day."""
    call = call_or_404(request, slug, pk)
    making = call.placements.filter(ended_at=None, accepted_at__isnull=False, result__done_at=None)
    found = get_object_or_404(making, pk=placement)
    name = found.application.name
    if remind_now(found):
        messages.success(request, f"A reminder goes to {name}.")
    else:
        messages.info(request, f"{name} was reminded today already.")
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def place_given(request: HttpRequest, slug: str, pk: int, placement: int) -> HttpResponse:
    """Note that the tester was given what was promised."""
    call = call_or_404(request, slug, pk)
    mark_given(placement=get_object_or_404(call.placements, pk=placement))
    messages.success(request, "Noted.")
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def places_given(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Note that all who were shown, and are still owed it, were given what was promised."""
    shown = request.POST.getlist("placement")
    owed = [one for one in owed_to(call_or_404(request, slug, pk)) if str(one.pk) in shown]
    for placement in owed:
        mark_given(placement=placement)
    noted = f"Noted for {len(owed)} tester{'' if len(owed) == 1 else 's'}."
    messages.success(request, noted if owed else "Nothing was left to note.")
    return redirect("call_end", slug=slug, pk=pk)
