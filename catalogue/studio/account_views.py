"""A person's own account."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from catalogue.models import Person
from catalogue.studio.forms import AccountForm
from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required


@form_page
@signed_in_required
def my_account(request: HttpRequest) -> HttpResponse:
    """Name and units; the ways to sign in are a page of their own."""
    person = Person.objects.get(pk=request.user.pk or 0)
    form = AccountForm(request.POST or None, instance=person)
    if form.is_valid():
        form.save()
        messages.success(request, "Kept.")
        return redirect("my_account")
    return render(request, "site/my_account.html", {"form": form, "person": person})
