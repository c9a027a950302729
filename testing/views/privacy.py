"""What is held about a tester: seen, taken along, erased."""

from django.contrib.auth import logout
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.roles import signed_in_required
from testing.forms.privacy import UnitsForm
from testing.people import choose_units
from testing.privacy import data_file, erase_person, held_about
from testing.views.requests import SignedInRequest


@require_safe
@signed_in_required
def my_data(request: SignedInRequest) -> HttpResponse:
    """What we hold about you."""
    page = {"held": held_about(request.user), "units": UnitsForm(initial={"units": request.user.units})}
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
