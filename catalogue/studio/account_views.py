"""A person's own account."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from catalogue.models import Person
from catalogue.studio.forms import AccountForm
from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from catalogue.studio.sign_ins import KEPT, end_sessions, shown_sign_ins


@form_page
@signed_in_required
def my_account(request: HttpRequest) -> HttpResponse:
    """Name and units; the latest sign-ins; ways to sign in are a page of their own."""
    person = Person.objects.get(pk=request.user.pk or 0)
    form = AccountForm(request.POST or None, instance=person)
    if form.is_valid():
        form.save()
        messages.success(request, "Kept.")
        return redirect("my_account")
    page = {
        "form": form,
        "person": person,
        "sign_ins": shown_sign_ins(request, person),
        "kept_days": KEPT.days,
    }
    return render(request, "site/my_account.html", page)


@require_POST
@signed_in_required
def sign_out_elsewhere(request: HttpRequest) -> HttpResponse:
    """End all of one's sessions but this one."""
    person = Person.objects.get(pk=request.user.pk or 0)
    ended = end_sessions(person, but=request.session.session_key)
    if ended:
        messages.success(request, "You are signed out everywhere else.")
    else:
        messages.info(request, "You were not signed in anywhere else.")
    return redirect("my_account")
