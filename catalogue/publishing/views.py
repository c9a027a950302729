"""Publishing: what is in the way, the form, progress, trying again, taking back, one more edition."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.html import format_html
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.finding_spots import finding_page
from catalogue.drafts.requests import pattern_or_404
from catalogue.editions.choices import home_choices
from catalogue.errata.errata import ErratumRefused, open_errata
from catalogue.models import Erratum, Pattern, Version
from catalogue.publishing.forms import EditionForm, PublishForm
from catalogue.publishing.obstacles import PublishingStop, look_before_publishing
from catalogue.publishing.publishing import (
    Publication,
    request_edition,
    start_publication,
    try_again,
    withdraw_version,
)
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import publisher_required, studio_required
from catalogue.versions.draft_glances import (
    DraftMoved,
    Since,
    beside_version,
    draft_glance,
    since_glance,
    since_page,
)
from catalogue.versions.freezing import draft_document
from catalogue.versions.records import read_record
from catalogue.versions.versions import NumberTaken, studio_version, suggest_number
from grading.grid.grid import place_label

TAB = "versions"
KINDS = {"test": "a test version", "release": "a release"}


@form_page
@publisher_required
def publish(request: HttpRequest, slug: str, kind: Any) -> HttpResponse:
    """What stands in the way, and the form that publishes."""
    pattern = pattern_or_404(request, slug)
    if kind not in KINDS:
        raise Http404
    form = _publish_form(request, pattern, kind)
    if request.method == "POST" and form.is_valid():
        return _publish(request, pattern, kind, form)
    return _publish_page(request, pattern, kind, form)


@require_safe
@studio_required
def version_progress(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """How far the editions of a version are: the piece of its page that is looked at again and again."""
    version = version_or_404(pattern_or_404(request, slug), number)
    answer = render(request, "catalogue/versions/_progress.html", {"progress": publication_progress(version)})
    if not publication_progress(version)["waiting"]:
        answer["HX-Refresh"] = "true"
    return answer


@require_POST
@publisher_required
def version_again(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """Make what failed once more."""
    try_again(version=version_or_404(pattern_or_404(request, slug), number))
    messages.success(request, "The PDFs that failed are being made again.")
    return redirect("version", slug=slug, number=number)


@require_POST
@publisher_required
def version_withdraw(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """Take back a version that was never published."""
    version = version_or_404(pattern_or_404(request, slug), number)
    withdraw_version(version=version)
    if Version.objects.filter(pk=version.pk).exists():
        messages.error(request, f"Version {number} is published. It can’t be changed any more.")
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


def publication_progress(version: Version) -> dict[str, Any]:
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
    try:
        new = start_publication(
            Publication(
                pattern=pattern,
                kind=kind,
                number=form.cleaned_data["number"].strip(),
                note=form.cleaned_data["note"],
                by=person_of(request),
                corrects=_chosen_errata(request, form),
                editions=form.editions(),
                seen=form.cleaned_data["seen"],
            )
        )
    except NumberTaken as taken:
        form.add_error("number", str(taken))
    except DraftMoved as moved:
        return _publish_page(request, pattern, kind, form, moved.since)
    except PublishingStop:
        form.add_error(None, "Nothing was published: see below what stops it.")
    except ErratumRefused as refusal:
        form.add_error(None, _refused(pattern, refusal))
    else:
        return redirect("version", slug=pattern.slug, number=new.number)
    return _publish_page(request, pattern, kind, form)


def _refused(pattern: Pattern, refusal: ErratumRefused) -> str:
    """Why nothing was published, with a link to what is to be mended where a place is named."""
    says = f"Nothing was published. {refusal}"
    if not refusal.place:
        return says
    document = pattern_document(pattern)
    page = finding_page(pattern.slug, document, refusal.place)
    try:
        place = "the instructions" if refusal.place == "sections" else place_label(document, refusal.place)
    except IndexError:  # somebody has just taken the section away
        return says
    return format_html('{} <a href="{}">Correct {}</a>', says, page, place)


def _publish_form(request: HttpRequest, pattern: Pattern, kind: Any) -> PublishForm:
    """The form with a number suggested, the open errata and the editions to choose from."""
    return PublishForm(
        request.POST or None,
        initial={"number": suggest_number(pattern, kind)},
        pattern=draft_document(pattern),
        errata=open_errata(pattern),
        button=f"Publish {pattern.title} as {KINDS[kind]}",
    )


def _publish_page(
    request: HttpRequest, pattern: Pattern, kind: Any, form: PublishForm, since: Since | None = None
) -> HttpResponse:
    """What is in the way, above the form; what changed since it was opened, and a token of what is seen."""
    look = look_before_publishing(pattern, kind, number=form.initial["number"], errata=form.errata)
    if form.is_bound and since is None:
        beside = beside_version(look.record, _chosen_errata(request, form))
        since = since_glance(pattern, look.record, beside, form.data.get("seen", ""))
    offered = beside_version(look.record, form.errata)
    form.carry(draft_glance(pattern, look.record, offered))
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "kind": KINDS[kind],
        "obstacles": look.obstacles,
        "stopped": any(one.weight == "stop" for one in look.obstacles),
        **since_page(since),
    }
    return render(request, "catalogue/versions/publish.html", page, status=409 if since else 200)


def _chosen_errata(request: HttpRequest, form: PublishForm) -> list[Erratum]:
    """The open errata that the version is said to correct."""
    chosen = request.POST.getlist("corrects")
    return [one for one in form.errata if str(one.pk) in chosen]
