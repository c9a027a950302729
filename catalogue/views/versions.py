"""Versions and errata of a pattern: the list, preflight and publishing, one version, its files."""

from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalogue.book_forms import PublishForm
from catalogue.changes import differences
from catalogue.errata import ErratumRefused, errata_of_version, errata_table, open_errata
from catalogue.models import Edition, Pattern, Version
from catalogue.painting import EditionFailed
from catalogue.preflight import Obstacle, PreflightStop
from catalogue.published import number_rows
from catalogue.publishing import publish_version
from catalogue.records import read_record
from catalogue.roles import may_publish, publisher_required, studio_required
from catalogue.versions import (
    NumberTaken,
    editions_for,
    preflight,
    suggest_number,
    version_of_number,
)
from catalogue.views.pages import form_page, pattern_or_404, person_of

TAB = "versions"
KINDS = {"test": "a test version", "release": "a release"}


@require_safe
@studio_required
def versions(request: HttpRequest, slug: str) -> HttpResponse:
    """All versions and errata of a pattern."""
    pattern = pattern_or_404(request, slug)
    known = list(pattern.versions.order_by("-major", "-minor").prefetch_related("editions"))
    page = {
        "pattern": pattern,
        "tab": TAB,
        "versions": known,
        "may_publish": may_publish(request.user),
        "errata": errata_table(pattern, known),
        "photo_count": pattern.photos.count(),
    }
    return render(request, "catalogue/versions/versions.html", page)


@form_page
@publisher_required
def publish(request: HttpRequest, slug: str, kind: Any) -> HttpResponse:
    """Preflight, and the form that publishes."""
    pattern = pattern_or_404(request, slug)
    if kind not in KINDS:
        raise Http404
    form = _publish_form(request, pattern, kind)
    if request.method == "POST" and form.is_valid():
        return _publish(request, pattern, kind, form)
    return _publish_page(request, pattern, kind, form, preflight(pattern, kind))


@require_safe
@studio_required
def version(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """One version: facts, hash, files, what changed since an earlier one."""
    pattern = pattern_or_404(request, slug)
    shown = _version_or_404(pattern, number)
    earlier = [one for one in pattern.versions.all() if (one.major, one.minor) < (shown.major, shown.minor)]
    since = version_of_number(pattern, request.GET.get("since", "")) or (earlier[-1] if earlier else None)
    changes = differences(since, shown) if since and since in earlier else None
    page = {
        "pattern": pattern,
        "tab": TAB,
        "version": shown,
        "record": read_record(shown.record),
        "editions": shown.editions.all(),
        "earlier": earlier,
        "since": since,
        "changes": changes,
        "number_rows": number_rows(changes, "both") if changes else [],
        "applying": errata_of_version(shown),
    }
    return render(request, "catalogue/versions/version.html", page)


@require_safe
def edition_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The PDF of an edition, for those who may have it."""
    edition = get_object_or_404(editions_for(request.user), pk=pk)
    answer = FileResponse(
        edition.file.open("rb"),
        content_type="application/pdf",
        as_attachment=True,
        filename=_file_name(edition),
    )
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, no-cache"
    return answer


def _publish(request: HttpRequest, pattern: Pattern, kind: Any, form: PublishForm) -> HttpResponse:
    """Publish, or say what is in the way with everything still in the form."""
    obstacles: list[Obstacle] | None = None
    chosen = form.cleaned_data.get("corrects", [])
    try:
        new = publish_version(
            pattern=pattern,
            kind=kind,
            number=form.cleaned_data["number"].strip(),
            note=form.cleaned_data["note"],
            by=person_of(request),
            corrects=[one for one in open_errata(pattern) if str(one.pk) in chosen],
        )
    except NumberTaken as taken:
        form.add_error("number", str(taken))
    except PreflightStop as stop:
        obstacles = stop.obstacles
        form.add_error(None, "Nothing was published: see what stands in the way.")
    except (EditionFailed, ErratumRefused) as failure:
        form.add_error(None, f"Nothing was published. {failure}")
    else:
        messages.success(request, f"Version {new.number} is published.")
        return redirect("version", slug=pattern.slug, number=new.number)
    return _publish_page(
        request, pattern, kind, form, preflight(pattern, kind) if obstacles is None else obstacles
    )


def _publish_form(request: HttpRequest, pattern: Pattern, kind: Any) -> PublishForm:
    """The form with a number suggested and the open errata to choose from."""
    errata = [(one.pk, f"{one.place}: {one.should_say or one.says}") for one in open_errata(pattern)]
    initial = {"number": suggest_number(pattern, kind)}
    return PublishForm(request.POST or None, initial=initial, errata=errata, button=f"Publish {KINDS[kind]}")


def _publish_page(
    request: HttpRequest, pattern: Pattern, kind: str, form: PublishForm, obstacles: list[Obstacle]
) -> HttpResponse:
    """Preflight above the form."""
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "kind": KINDS[kind],
        "obstacles": obstacles,
        "stopped": any(one.weight == "stop" for one in obstacles),
        "now": timezone.now(),
    }
    return render(request, "catalogue/versions/publish.html", page)


def _version_or_404(pattern: Pattern, number: str) -> Version:
    """A version of a pattern by its number."""
    found = version_of_number(pattern, number)
    if found is None:
        raise Http404
    return found


def _file_name(edition: Edition) -> str:
    """The name that a download is offered under."""
    choices = edition.choices
    return (
        f"{edition.version.pattern.slug}-{edition.version.number}-{choices['terms']}-{choices['units']}.pdf"
    )
