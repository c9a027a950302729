"""A buyer's own pages, opened by the link in their e-mail: choices for their size, and the PDF.

Only versions that the studio says they have are there; one that a newer corrects says so. Nobody on the way
may keep a page or a file: their addresses begin with one of `catalogue.site.keyed_addresses`.
"""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from catalogue.holders.pdf_links import LinkExpired, held_versions, holder_of_pdf_key
from catalogue.models import Holder, Version
from catalogue.public.reading import reading_page
from catalogue.public.since import since_of
from catalogue.public.views import needs_page
from catalogue.public.your_size import TOO_MANY, not_made, size_file
from catalogue.studio.limits import count


@require_safe
def holder_pdf(request: HttpRequest, key: str) -> HttpResponse:
    """Choose size, options, shades, units, terms, print and paper of a version that one has."""
    try:
        _, held, version = _opened(request, key)
    except LinkExpired as expired:
        return _expired(request, expired)
    page = {
        **needs_page(request, version),
        "address": "",  # of the holder alone: it is printed nowhere
        "pdf_url": reverse("holder_pdf_file", args=[key]),
        "read_url": reverse("holder_read", args=[key]),
        "held": held,
        "since": since_of(version, held),
    }
    return render(request, "catalogue/public/needs.html", page)


@require_safe
def holder_read(request: HttpRequest, key: str) -> HttpResponse:
    """A version that one has as a page to read, for size and options as chosen; helps open at the step."""
    try:
        _, held, version = _opened(request, key)
    except LinkExpired as expired:
        return _expired(request, expired)
    return reading_page(request, version, reverse("holder_pdf", args=[key]), held)


@require_safe
def holder_pdf_file(request: HttpRequest, key: str) -> HttpResponse:
    """The PDF of a version that one has, as chosen."""
    try:
        holder, _, version = _opened(request, key)
    except LinkExpired as expired:
        return _expired(request, expired)
    back = f"{reverse('holder_pdf', args=[key])}?{request.GET.urlencode()}"
    if not (count(request, "editions_of_client") and count(request, "editions_of_holder", str(holder.pk))):
        return not_made(request, back, TOO_MANY, 429)
    return size_file(request, version, back)


def _opened(request: HttpRequest, key: str) -> tuple[Holder, list[Version], Version]:
    """Whose link it is, what they have, and which of it is asked for: the newest where none is named.

    Raises:
        Http404: It opens nothing, or not this version.
        LinkExpired: It is too old.
    """
    holder = holder_of_pdf_key(key)
    held = list(held_versions(holder)) if holder else []
    asked = request.GET.get("version", "")
    version = next((one for one in held if asked in ("", one.number)), None)
    if holder is None or version is None:
        raise Http404
    return holder, held, version


def _expired(request: HttpRequest, expired: LinkExpired) -> HttpResponse:
    """The link is too old: how to get another."""
    page = {"pattern": expired.pattern}
    return render(request, "catalogue/holders/pdf_link_expired.html", page, status=410)
