"""The studio's own settings and its e-mails."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Studio
from catalogue.studio.forms import StudioForm
from catalogue.studio.letters import KEPT, letters_in_state, send_again, unsent_letters
from catalogue.studio.mail_folder import lands_in_folder, list_mails, read_mail
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import designer_required

SHOWN = 100


@form_page
@designer_required
def studio_settings(request: HttpRequest) -> HttpResponse:
    """Name, sender, address, time zone and units."""
    form = StudioForm(request.POST or None, instance=Studio.objects.first())
    if form.is_valid():
        form.save()
        messages.success(request, "The settings are saved.")
        return redirect("studio_settings")
    return render(request, "site/studio_settings.html", {"form": form, "pattern": None})


@require_safe
@designer_required
def mails(request: HttpRequest) -> HttpResponse:
    """E-mails that could not be sent, those that wait, and those that landed in the folder."""
    failed, waiting = letters_in_state("failed"), letters_in_state("waiting")
    page = {
        "pattern": None,
        "mails": list_mails(),
        "is_folder": lands_in_folder(),
        "failed": failed[:SHOWN],
        "failed_count": failed.count(),
        "waiting": waiting[:SHOWN],
        "waiting_count": waiting.count(),
        "kept_days": KEPT.days,
    }
    return render(request, "site/mails.html", page)


@require_POST
@designer_required
def letters_again(request: HttpRequest) -> HttpResponse:
    """Try everything that could not be sent once more."""
    return _tried_again(request, send_again(letters=letters_in_state("failed")))


@require_POST
@designer_required
def letter_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Try one e-mail once more."""
    return _tried_again(request, send_again(letters=unsent_letters().filter(pk=pk)))


@require_POST
@designer_required
def letter_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete an e-mail that has not gone."""
    get_object_or_404(unsent_letters(), pk=pk).delete()
    messages.success(request, "The e-mail is deleted and does not go out.")
    return redirect("mails")


def _tried_again(request: HttpRequest, count: int) -> HttpResponse:
    """Say how many are on their way again."""
    if count:
        messages.success(request, f"On {'its' if count == 1 else 'their'} way again: {count}.")
    else:
        messages.info(request, "There was nothing to send again.")
    return redirect("mails")


@require_safe
@designer_required
def mail(request: HttpRequest, name: str) -> HttpResponse:
    """One e-mail of the folder."""
    found = read_mail(name)
    if found is None:
        raise Http404
    reader = person_of(request)
    page = {"mail": found, "pattern": None, "is_hidden": found.is_hidden_from(reader.email if reader else "")}
    return render(request, "site/mail.html", page)
