"""Public pages: no cookie, units by query parameter, everything from frozen records."""

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalogue.changes import differences
from catalogue.errata import errata_of_version
from catalogue.models import Pattern, Version
from catalogue.photo_store import find_file
from catalogue.photos import MEDIA_TYPES
from catalogue.printed_changes import number_rows
from catalogue.published import filter_listed, newest_releases, public_page
from catalogue.records import read_record
from catalogue.versions import current_release, editions_for, version_of_number

CRAFTS = ("crochet", "tunisian", "knitting")
UNITS = {"cm": "centimetres", "in": "inches", "both": "both"}
FOREVER = "public, max-age=31536000, immutable"


@require_safe
def catalogue(request: HttpRequest) -> HttpResponse:
    """Published patterns, with one line of filters."""
    asked = {name: request.GET.get(name, "")[:80].replace("\x00", "") for name in ("craft", "size", "words")}
    listed = newest_releases()
    sizes = list(dict.fromkeys(size for one in listed for size in one.sizes))
    page = {
        "listed": filter_listed(listed, **asked),
        "asked": asked,
        "crafts": CRAFTS,
        "sizes": sizes,
        "any": bool(listed),
    }
    return render(request, "catalogue/public/list.html", page)


@require_safe
def pattern_page(request: HttpRequest, slug: str) -> HttpResponse:
    """One pattern: photos, sizes and finished measurements, yarn, current version, corrections."""
    pattern, current = _current_or_404(slug)
    record, units = read_record(current.record), _units(request, current)
    page = {
        "pattern": pattern,
        "version": current,
        "record": record,
        "units": units,
        "unit_choices": UNITS,
        "photos": pattern.photos.all(),
        "releases": pattern.versions.filter(kind="release", state="published").order_by("-major", "-minor"),
        "files": editions_for(request.user).filter(version=current),
        "applying": errata_of_version(current),
        **public_page(record, units),
    }
    return render(request, "catalogue/public/pattern.html", page)


@require_safe
def corrections(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """What holders of a version must know: the current one, the corrections to theirs, what changed."""
    pattern, current = _current_or_404(slug)
    held = version_of_number(pattern, number)
    if held is None or held.kind != "release":
        raise Http404
    changes = differences(held, current) if held != current else None
    units = _units(request, held)
    page = {
        "pattern": pattern,
        "held": held,
        "current": current,
        "units": units,
        "unit_choices": UNITS,
        "applying": errata_of_version(held),
        "changes": changes,
        "number_rows": number_rows(changes, units) if changes else [],
    }
    return render(request, "catalogue/public/corrections.html", page)


@require_safe
def photo_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """A file of a photo: for everybody once the pattern has a release, before that for the studio."""
    found = find_file(request.user, name)
    if found is None:
        raise Http404
    stored, is_public = found
    try:
        content = default_storage.open(stored["name"])
    except FileNotFoundError:
        raise Http404 from None
    answer = FileResponse(content, content_type=MEDIA_TYPES[stored["format"]], filename=name)
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = FOREVER if is_public else "private, no-store"
    return answer


def _current_or_404(slug: str) -> tuple[Pattern, Version]:
    """A published pattern with its current release."""
    pattern = get_object_or_404(Pattern, slug=slug)
    current = current_release(pattern)
    if current is None:
        raise Http404
    return pattern, current


def _units(request: HttpRequest, version: Version) -> str:
    """The units that the address asks for; else the pattern's own."""
    asked = request.GET.get("units", "")
    return asked if asked in UNITS else str(read_record(version.record)["pattern"]["home_units"])
