"""A buyer's own pages, opened by the link in their e-mail: choices for their size, and the PDF.

Only versions that the studio says they have are there; one that a newer corrects says so. Nobody on the way
may keep a page or a file: their addresses begin with one of `catalogue.site.keyed_addresses`.
"""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from catalogue.errata.errata import errata_of_version
from catalogue.holders.pdf_links import LinkExpired, held_versions, holder_of_pdf_key
from catalogue.models import Holder, Version
from catalogue.models.selling import open_shops
from catalogue.public.reading import reading_page
from catalogue.public.views import needs_page
from catalogue.public.your_size import TOO_MANY, not_made, size_file
from catalogue.studio.limits import count
from catalogue.versions.versions import current_release


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
        "since": _since(version, held),
    }
    return render(request, "catalogue/public/needs.html", page)


@require_safe
def holder_read(request: HttpRequest, key: str) -> HttpResponse:
    """A version that one has as a page to read, for size and options as chosen; helps open at the step."""
    try:
        _, held, version = _opened(request, key)
    except LinkExpired as expired:
        return _expired(request, expired)
    return reading_page(request, version, reverse("holder_pdf", args=[key]), _since(version, held))


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


def _since(version: Version, held: list[Version]) -> dict[str, Any]:
    """What is to be known of a version that one has: a newer release, if one has that, and corrections."""
    current = current_release(version.pattern)
    applying = errata_of_version(version)
    return {
        "newer": current if current and current.order > version.order else None,
        "has_newer": current in held,
        "shops": open_shops(version.pattern),
        "applying": applying,
        "is_corrected": any(one.erratum.corrected_in_id for one in applying),
    }


def _expired(request: HttpRequest, expired: LinkExpired) -> HttpResponse:
    """The link is too old: how to get another."""
    page = {"pattern": expired.pattern}
    return render(request, "catalogue/holders/pdf_link_expired.html", page, status=410)
