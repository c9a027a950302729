"""The studio's own settings and its e-mails."""

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from catalogue.models import Studio
from catalogue.roles import designer_required
from catalogue.site.forms import StudioForm
from catalogue.site.mail_folder import FolderBackend, list_mails, read_mail


@require_http_methods(["GET", "HEAD", "POST"])
@designer_required
def studio_settings(request: HttpRequest) -> HttpResponse:
    """Name, sender, address, time zone and units."""
    form = StudioForm(request.POST or None, instance=Studio.objects.first())
    if form.is_valid():
        form.save()
        messages.success(request, "The settings are kept.")
        return redirect("studio_settings")
    return render(request, "site/studio_settings.html", {"form": form, "pattern": None})


@require_safe
@designer_required
def mails(request: HttpRequest) -> HttpResponse:
    """E-mails that landed in the folder."""
    is_folder = settings.EMAIL_BACKEND.endswith(FolderBackend.__name__)
    return render(
        request, "site/mails.html", {"mails": list_mails(), "is_folder": is_folder, "pattern": None}
    )


@require_safe
@designer_required
def mail(request: HttpRequest, name: str) -> HttpResponse:
    """One e-mail of the folder."""
    found = read_mail(name)
    if found is None:
        raise Http404
    return render(request, "site/mail.html", {"mail": found, "pattern": None})
