"""Links to PDFs: given and withdrawn by the studio, asked for by buyers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from catalogue.holders.forms import AskPdfForm
from catalogue.holders.own_links import LINK_LASTS
from catalogue.holders.pdf_links import ask_for_pdf, give_pdf, withdraw_pdfs
from catalogue.holders.subscription_views import released_or_404
from catalogue.models import Holder, Version
from catalogue.studio.even_time import evenly_timed
from catalogue.studio.limits import count, refuse_letter
from catalogue.studio.requests import form_page
from catalogue.studio.roles import publisher_required
from catalogue.versions.versions import version_of_number


@require_POST
@publisher_required
def holder_pdf_give(request: HttpRequest, pk: int) -> HttpResponse:
    """A holder has bought this version: their link is sent."""
    holder = get_object_or_404(Holder.objects.select_related("pattern"), pk=pk)
    version = version_of_number(holder.pattern, request.POST.get("version", ""))
    if version is None or version.kind != "release":
        messages.error(request, "Nothing was sent: choose the release that they have.")
    elif _was_sent_just_now(request, holder, version):
        messages.info(
            request,
            f"Their link went to {holder.email} a moment ago, and was not sent again. Wait ten minutes if it "
            "got lost.",
        )
    elif why_not := give_pdf(holder=holder, version=version):
        messages.warning(request, f"{holder.email} has {version.number}. No link was sent: {why_not}.")
    else:
        messages.success(request, f"{holder.email} has {version.number}: their link is on its way.")
    return _back_to(holder)


@require_POST
@publisher_required
def holder_pdf_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """A holder's links are dead."""
    holder = get_object_or_404(Holder, pk=pk)
    withdraw_pdfs(holder=holder)
    messages.success(request, f"The links of {holder.email} no longer work. Downloaded PDFs stay with them.")
    return _back_to(holder)


@evenly_timed
@form_page
def ask_pdf(request: HttpRequest, slug: str) -> HttpResponse:
    """A buyer asks for their link; the answer is the same for every address."""
    pattern, title = released_or_404(slug)
    form = AskPdfForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status = 400
        if form.is_valid():
            says = refuse_letter(request, form.cleaned_data["email"])
            if not says:
                ask_for_pdf(pattern=pattern, email=form.cleaned_data["email"])
                return redirect("asked_pdf", slug=slug)
            form.add_error(None, says)
            status = 429
    shops = [] if pattern.retired_at else pattern.shop_links.exclude(state="dead")
    page = {"pattern": pattern, "title": title, "form": form, "days": LINK_LASTS.days, "shops": shops}
    return render(request, "catalogue/holders/ask_pdf.html", page, status=status)


@require_safe
def asked_pdf(request: HttpRequest, slug: str) -> HttpResponse:
    """What to do next."""
    pattern, title = released_or_404(slug)
    return render(request, "catalogue/holders/asked_pdf.html", {"pattern": pattern, "title": title})


def _was_sent_just_now(request: HttpRequest, holder: Holder, version: Version) -> bool:
    """Whether the link to a version that a holder has went out just now, as by pressing the button twice."""
    is_first = count(request, "pdf_link_of_holder", str(holder.pk), version.number) is not None
    return not is_first and holder.pdf_versions.filter(pk=version.pk).exists()


def _back_to(holder: Holder) -> HttpResponse:
    """Back to the holder among those that were looked for."""
    return redirect(f"{reverse('holders')}?{urlencode({'address': holder.email})}")
