"""What is held about a tester: seen, taken along, erased."""

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.roles import signed_in_required
from testing.forms.privacy import UnitsForm
from testing.people import ask_no_more, choose_units
from testing.privacy import data_file, erase_person, held_about
from testing.views.requests import SignedInRequest


@require_safe
@signed_in_required
def my_data(request: SignedInRequest) -> HttpResponse:
    """What we hold about you."""
    held = held_about(request.user)
    may_be_asked = any(one["may_be_asked_again"] for one in held["applications"])
    units = UnitsForm(initial={"units": request.user.units})
    page = {"held": held, "units": units, "may_be_asked": may_be_asked}
    return render(request, "testing/my_data.html", page)


@require_safe
@signed_in_required
def my_data_file(request: SignedInRequest) -> HttpResponse:
    """All of it as a file."""
    answer = HttpResponse(data_file(request.user), content_type="application/zip")
    answer["Content-Disposition"] = 'attachment; filename="my-data.zip"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_POST
@signed_in_required
def my_data_erase(request: SignedInRequest) -> HttpResponse:
    """Erase all of it."""
    person = request.user
    logout(request)
    erase_person(person=person)
    return render(request, "testing/erased.html")


@require_POST
@signed_in_required
def my_units(request: SignedInRequest) -> HttpResponse:
    """Measure in centimetres or inches from now on."""
    form = UnitsForm(request.POST)
    if form.is_valid():
        choose_units(person=request.user, units=form.cleaned_data["units"])
    return redirect("my_data")


@require_POST
@signed_in_required
def my_asking(request: SignedInRequest) -> HttpResponse:
    """Not be asked for later calls any more."""
    ask_no_more(person=request.user)
    return redirect("my_data")


@require_safe
def privacy(request: HttpRequest) -> HttpResponse:
    """What the studio holds about testers, in plain words."""
    return render(request, "testing/privacy.html")
