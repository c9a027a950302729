"""What is held about somebody without an account: found by their address for designers, and erased."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from catalogue.selling.outsiders import erase_outsider, held_about_outsider, remove_files_of_outsider
from catalogue.selling.support_forms import AddressForm
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required

PAGE = "catalogue/selling/held.html"


@form_page
@designer_required
def held_by_address(request: HttpRequest) -> HttpResponse:
    """What is held under an address; it is sent, so that it stands in no log of addresses."""
    form = AddressForm(request.POST or None)
    asked = form.cleaned_data["email"] if request.method == "POST" and form.is_valid() else ""
    page = {
        "pattern": None,
        "form": form,
        "asked": asked,
        "held": held_about_outsider(asked) if asked else [],
    }
    return render(request, PAGE, page, status=400 if form.errors else 200)


@require_POST
@designer_required
def held_erase(request: HttpRequest) -> HttpResponse:
    """Erase who gave yarn or asked under an address."""
    form = AddressForm(request.POST)
    if not form.is_valid():
        return render(request, PAGE, {"pattern": None, "form": form, "asked": ""}, status=400)
    email = form.cleaned_data["email"]
    try:
        remove_files_of_outsider(email)
    except FilesOutOfReach as problem:
        messages.error(request, f"Nothing is erased yet: {problem}")
    else:
        erase_outsider(email)
        messages.success(request, "It is erased. What was given, promised and answered stays without a name.")
    return redirect("held_by_address")
