"""Who is in the studio."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.studio.forms import InviteForm
from catalogue.studio.pattern_editors import all_accesses
from catalogue.studio.people import (
    PersonRefused,
    invite,
    staff,
    switch_publishing,
    waiting_invitations,
    withdraw_invitation,
    withdraw_person,
)
from catalogue.studio.requests import person_of
from catalogue.studio.roles import designer_required, is_designer, may_publish


@require_safe
@designer_required
def people(request: HttpRequest) -> HttpResponse:
    """Designers, editors and those who are invited."""
    return _page(request, InviteForm())


@require_POST
@designer_required
def people_invite(request: HttpRequest) -> HttpResponse:
    """Invite a designer or an editor."""
    form = InviteForm(request.POST)
    if not form.is_valid():
        return _page(request, form)
    try:
        invite(**form.cleaned_data, by=person_of(request))
    except PersonRefused as error:
        form.add_error("email", str(error))
        return _page(request, form)
    messages.success(request, "The invitation is on its way.")
    return redirect("people")


@require_POST
@designer_required
def invitation_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Make an invitation useless."""
    withdraw_invitation(invitation=get_object_or_404(waiting_invitations(), pk=pk))
    messages.success(request, "The invitation is withdrawn.")
    return redirect("people")


@require_POST
@designer_required
def person_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take somebody out of the studio."""
    try:
        withdraw_person(person=get_object_or_404(staff(), pk=pk), by=request.user)  # type: ignore[arg-type]
    except PersonRefused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The person is no longer in the studio.")
    return redirect("people")


@require_POST
@designer_required
def person_publishing(request: HttpRequest, pk: int) -> HttpResponse:
    """Let an editor publish, or no longer."""
    person = get_object_or_404(staff(), pk=pk)
    switch_publishing(person=person, allowed=request.POST.get("allowed") == "yes")
    messages.success(request, f"Changed for {person}.")
    return redirect("people")


def _page(request: HttpRequest, form: InviteForm) -> HttpResponse:
    """The page with the form as it stands."""
    rows = [
        {"person": person, "is_designer": is_designer(person), "may_publish": may_publish(person)}
        for person in staff()
    ]
    context = {
        "form": form,
        "rows": rows,
        "accesses": all_accesses(),
        "invitations": waiting_invitations(),
        "pattern": None,
    }
    return render(request, "site/people.html", context, status=422 if form.errors else 200)
