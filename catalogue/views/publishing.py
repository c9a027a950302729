"""Publishing on the desk: preflight and the form, progress, trying again, taking back, one more edition."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.choices import home_choices
from catalogue.documents import pattern_document
from catalogue.edition_forms import EditionForm, PublishForm
from catalogue.errata import ErratumRefused, open_errata
from catalogue.errata_tables import erratum_words
from catalogue.models import Pattern, Version
from catalogue.preflight import Obstacle, PreflightStop
from catalogue.publishing import request_edition, start_publication, try_again, withdraw_version
from catalogue.records import read_record
from catalogue.roles import publisher_required, studio_required
from catalogue.versions import NumberTaken, preflight, studio_version, suggest_number
from catalogue.views.pages import form_page, pattern_or_404, person_of

TAB = "versions"
KINDS = {"test": "a test version", "release": "a release"}


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
def version_progress(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """How far the editions of a version are: the piece of its page that is looked at again and again."""
    version = version_or_404(pattern_or_404(request, slug), number)
    answer = render(request, "catalogue/versions/_progress.html", {"progress": progress_of(version)})
    if not progress_of(version)["waiting"]:
        answer["HX-Refresh"] = "true"
    return answer


@require_POST
@publisher_required
def version_again(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """Make what failed once more."""
    try_again(version=version_or_404(pattern_or_404(request, slug), number))
    messages.success(request, "What failed is being made once more.")
    return redirect("version", slug=slug, number=number)


@require_POST
@publisher_required
def version_withdraw(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """Take back a version that was never published."""
    version = version_or_404(pattern_or_404(request, slug), number)
    withdraw_version(version=version)
    if Version.objects.filter(pk=version.pk).exists():
        messages.error(request, f"Version {number} is published: nothing of it changes any more.")
        return redirect("version", slug=slug, number=number)
    messages.success(request, f"Version {number} was taken back; its number is free again.")
    return redirect("versions", slug=slug)


@form_page
@publisher_required
def edition_add(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """One more edition of a version."""
    pattern = pattern_or_404(request, slug)
    version = version_or_404(pattern, number)
    record = read_record(version.record)
    form = EditionForm(request.POST or None, record=record, initial=home_choices(record))
    if request.method == "POST" and form.is_valid():
        request_edition(version=version, choices=form.choices())
        return redirect("version", slug=slug, number=number)
    page = {"pattern": pattern, "tab": TAB, "version": version, "form": form}
    return render(request, "catalogue/versions/edition.html", page)


def version_or_404(pattern: Pattern, number: str) -> Version:
    """A version of a pattern by its number, in whatever state."""
    found = studio_version(pattern, number)
    if found is None:
        raise Http404
    return found


def progress_of(version: Version) -> dict[str, Any]:
    """How many editions are made, wait and failed."""
    editions = list(version.editions.all())
    failed = [one for one in editions if one.state == "failed"]
    return {
        "version": version,
        "editions": editions,
        "made": sum(one.state == "made" for one in editions),
        "all": len(editions),
        "waiting": any(one.state == "waiting" for one in editions),
        "failed": failed,
    }


def _publish(request: HttpRequest, pattern: Pattern, kind: Any, form: PublishForm) -> HttpResponse:
    """Publish, or say what is in the way with everything still in the form."""
    obstacles: list[Obstacle] | None = None
    chosen = form.cleaned_data.get("corrects", [])
    try:
        new = start_publication(
            pattern=pattern,
            kind=kind,
            number=form.cleaned_data["number"].strip(),
            note=form.cleaned_data["note"],
            by=person_of(request),
            corrects=[one for one in open_errata(pattern) if str(one.pk) in chosen],
            editions=form.editions(),
        )
    except NumberTaken as taken:
        form.add_error("number", str(taken))
    except PreflightStop as stop:
        obstacles = stop.obstacles
        form.add_error(None, "Nothing was published: see what stands in the way.")
    except ErratumRefused as refusal:
        form.add_error(None, f"Nothing was published. {refusal}")
    else:
        return redirect("version", slug=pattern.slug, number=new.number)
    return _publish_page(
        request, pattern, kind, form, preflight(pattern, kind) if obstacles is None else obstacles
    )


def _publish_form(request: HttpRequest, pattern: Pattern, kind: Any) -> PublishForm:
    """The form with a number suggested, the open errata and the editions to choose from."""
    return PublishForm(
        request.POST or None,
        initial={"number": suggest_number(pattern, kind)},
        pattern=pattern_document(pattern),
        errata=[(one.pk, erratum_words(one)) for one in open_errata(pattern)],
        button=f"Publish {KINDS[kind]}",
    )


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
    }
    return render(request, "catalogue/versions/publish.html", page)
