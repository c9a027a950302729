"""Errata on the desk: a new one, one erratum with the versions that hold it, and what is decided."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.errata.correcting import correct_afterwards
from catalogue.errata.errata import (
    ErratumRefused,
    Mistake,
    change_erratum,
    confirm_erratum,
    erratum_glance,
    judge_erratum,
    report_erratum,
    standing_by_version,
)
from catalogue.errata.forms import (
    ConfirmForm,
    CorrectedForm,
    ErratumChangeForm,
    ErratumForm,
    GuardForm,
    MergeForm,
)
from catalogue.errata.guards import add_guard, judge_draft, judge_version, remove_guard
from catalogue.errata.merging import likely_same, merge_errata
from catalogue.errata.openings import openings_of
from catalogue.errata.quoting import says_around, says_there
from catalogue.holders.notices import notices_about
from catalogue.models import Erratum, Guard, Pattern, Version
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import may_publish, studio_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from catalogue.versions.records import Record, read_record
from catalogue.versions.spots import erratum_spots
from catalogue.versions.standings import found_places

TAB = "versions"
MOST_SAID = 1_000


@form_page
@studio_required
def erratum_new(request: HttpRequest, slug: str) -> HttpResponse:
    """Write down a mistake that somebody has met in a version."""
    pattern = pattern_or_404(request, slug)
    known = list(pattern.versions.filter(state="published").order_by("-major", "-minor"))
    if not known:
        messages.info(
            request, "An erratum belongs to a version: publish one first, or correct the draft itself."
        )
        return redirect("versions", slug=slug)
    form = _erratum_form(request, pattern, known)
    if form.is_bound and form.is_valid():
        try:
            found = report_erratum(Mistake(pattern=pattern, by=person_of(request), **form.cleaned_data))
        except ErratumRefused as refusal:
            form.add_error("place", str(refusal))
        else:
            return redirect("erratum", slug=slug, pk=found.pk)
    page = {"pattern": pattern, "tab": TAB, "form": form, **_said_there(request, known)}
    return render(request, "catalogue/errata/new.html", page, status=400 if form.errors else 200)


@require_safe
@studio_required
def erratum(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """One erratum."""
    return _erratum_page(request, _erratum_or_404(request, slug, pk))


@form_page
@studio_required
def erratum_change(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """What an erratum says, its gravity, and by when it is to be settled."""
    found = _erratum_or_404(request, slug, pk)
    form, moved = ErratumChangeForm(request.POST or None, erratum=found), []
    if request.method == "POST" and form.is_valid():
        changes = {name: typed for name, typed in form.cleaned_data.items() if name != "seen"}
        seen = form.cleaned_data["seen"]
        try:
            change_erratum(erratum=found, changes=changes, by=person_of(request), seen=seen)
        except Moved as other:
            moved = other.entries
        else:
            return redirect("erratum", slug=slug, pk=pk)
    if not form.errors:  # what was typed wrongly still belongs to what was seen before
        form.carry(written_glance(erratum_glance(found)))
    page = {"pattern": found.pattern, "tab": TAB, "erratum": found, "form": form, "moved": moved}
    status = 409 if moved else 400 if form.errors else 200
    return render(request, "catalogue/errata/change.html", page, status=status)


@form_page
@studio_required
def erratum_confirm(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It is a mistake: what makers read of it is looked at first, as it is public at once."""
    found = _erratum_or_404(request, slug, pk)
    form, moved = ConfirmForm(request.POST or None, erratum=found), []
    is_of_table = request.GET.get("from") == "table"
    if request.method == "POST" and form.is_valid():
        changes = {name: form.cleaned_data[name] for name in ("gravity", "should_say")}
        try:
            confirm_erratum(
                erratum=found, changes=changes, by=person_of(request), seen=form.cleaned_data["seen"]
            )
        except Moved as other:
            moved = other.entries
        except ErratumRefused as refusal:
            messages.error(request, str(refusal))
            return redirect("erratum", slug=slug, pk=pk)
        else:
            messages.success(request, "The erratum is confirmed.")
            return redirect("errata", slug=slug) if is_of_table else redirect("erratum", slug=slug, pk=pk)
    if not form.errors:
        form.carry(written_glance(erratum_glance(found)))
    page = {
        "pattern": found.pattern,
        "tab": TAB,
        "erratum": found,
        "place": found_places([found])[0],
        "is_public": found.pattern.versions.filter(kind="release", state="published").exists(),
        "is_of_table": is_of_table,
        "seen": form["seen"].value() or "",
        "form": form,
        "moved": moved,
    }
    status = 409 if moved else 400 if form.errors else 200
    return render(request, "catalogue/errata/confirm.html", page, status=status)


@require_POST
@studio_required
def erratum_dismiss(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It is none; then back to where it was decided."""
    found = _erratum_or_404(request, slug, pk)
    try:
        judge_erratum(erratum=found, is_mistake=False, by=person_of(request), seen=sent_glance(request))
        messages.success(request, "It is marked as no mistake.")
    except Moved as moved:
        return _erratum_page(request, found, moved=moved.entries)
    except ErratumRefused as refusal:
        messages.error(request, str(refusal))
    if request.POST.get("from") == "table":
        return redirect("errata", slug=slug)
    return redirect("erratum", slug=slug, pk=pk)


@require_POST
@studio_required
def erratum_correct(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It was corrected in a version."""
    found = _erratum_or_404(request, slug, pk)
    form = CorrectedForm(request.POST, erratum=found)
    if form.is_valid():
        version = form.cleaned_data["version"]
        try:
            drafted = correct_afterwards(
                erratum=found, version=version, by=person_of(request), seen=sent_glance(request)
            )
        except Moved as moved:
            return _erratum_page(request, found, form=form, moved=moved.entries)
        except ErratumRefused as refusal:
            form.add_error("version", str(refusal))
        else:
            more = " A notice to holders is drafted." if drafted else ""
            messages.success(request, f"The erratum is corrected in version {version.number}.{more}")
            return redirect("erratum", slug=slug, pk=pk)
    return _erratum_page(request, found, form=form)


@require_POST
@studio_required
def erratum_merge(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """It is the same as another."""
    found = _erratum_or_404(request, slug, pk)
    form = _merge_form(found, request)
    if form.is_valid():
        try:
            into, by = form.cleaned_data["into"], person_of(request)
            merge_errata(erratum=found, into=into, by=by, seen=sent_glance(request))
        except Moved as moved:
            return _erratum_page(request, found, merge_form=form, moved=moved.entries)
        except ErratumRefused as refusal:
            form.add_error("into", str(refusal))
        else:
            return redirect("erratum", slug=slug, pk=form.cleaned_data["into"].pk)
    return _erratum_page(request, found, merge_form=form)


@require_POST
@studio_required
def guard_add(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Keep a check with an erratum."""
    found = _erratum_or_404(request, slug, pk)
    form = GuardForm(request.POST)
    if form.is_valid():
        holds, says = form.cleaned_data["holds"], form.cleaned_data["guard_says"]
        try:
            guard = add_guard(erratum=found, holds=holds, says=says, by=person_of(request))
        except ErratumRefused as refusal:
            form.add_error("holds", str(refusal))
        else:
            _warn_of_idle_guard(request, guard)
            return redirect("erratum", slug=slug, pk=pk)
    return _erratum_page(request, found, guard_form=form)


@require_POST
@studio_required
def guard_delete(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take a guard away."""
    pattern = pattern_or_404(request, slug)
    guard = get_object_or_404(Guard.objects.select_related("erratum"), erratum__pattern=pattern, pk=pk)
    remove_guard(guard=guard, by=person_of(request))
    return redirect("erratum", slug=slug, pk=guard.erratum_id)


def _warn_of_idle_guard(request: HttpRequest, guard: Guard) -> None:
    """Say when a guard would not have noticed the mistake that it guards against."""
    found_in = guard.erratum.found_in
    if found_in and all(one.holds for one in judge_version(found_in, [guard])):
        messages.warning(
            request,
            f"The guard is true in version {found_in.number} too, so it would not have found this mistake: "
            "check what it says.",
        )


def _erratum_page(
    request: HttpRequest,
    found: Erratum,
    *,
    form: CorrectedForm | None = None,
    merge_form: MergeForm | None = None,
    guard_form: GuardForm | None = None,
    moved: Sequence[EntryChange] = (),
) -> HttpResponse:
    """One erratum with the versions that hold it, its guards and its history."""
    refused = any(one is not None and one.errors for one in (form, merge_form, guard_form))
    by_version = standing_by_version(found)  # first: with it the place is known as well
    form = form or CorrectedForm(erratum=found)
    form.leave_out(version for version, standing in by_version if standing == "in it")
    page = {
        "pattern": found.pattern,
        "tab": TAB,
        "erratum": found,
        "place": found_places([found])[0],
        "standings": by_version,
        "notices": notices_about(found),
        "may_publish": may_publish(request.user),
        "form": form,
        "merge_form": merge_form or _merge_form(found),
        "guard_form": guard_form or GuardForm(),
        "likely": likely_same(found),
        "openings": openings_of(found) if found.state == "confirmed" else [],
        "guards": judge_draft(found.pattern, list(found.guards.all())),
        "sightings": found.sightings.select_related("version"),
        "events": found.events.select_related("by"),
        "seen": written_glance(erratum_glance(found)),
        "moved": moved,
    }
    status = 409 if moved else 400 if refused else 200
    return render(request, "catalogue/errata/erratum.html", page, status=status)


def _merge_form(found: Erratum, request: HttpRequest | None = None) -> MergeForm:
    """The form that names the other erratum."""
    others = found.pattern.errata.exclude(pk=found.pk).exclude(state="merged").select_related("found_in")
    likely = next((one.pk for one in likely_same(found)), None)
    return MergeForm(request.POST if request else None, others=others, initial={"into": likely})


def _erratum_or_404(request: HttpRequest, slug: str, pk: int) -> Erratum:
    """An erratum of a pattern that the person may work on."""
    pattern = pattern_or_404(request, slug)
    known = pattern.errata.select_related("pattern__sheet", "found_in", "corrected_in", "merged_into")
    return get_object_or_404(known, pk=pk)


def _erratum_form(request: HttpRequest, pattern: Pattern, known: list[Version]) -> ErratumForm:
    """The form for the version that is asked for, with what it says at the place filled in."""
    is_sent = request.method == "POST" and "show" not in request.POST
    asked, place = _asked_for(request, known)
    record = read_record(asked.record)
    typed = {name: request.POST[name] for name in request.POST if name in ErratumForm.base_fields}
    said, says = _quoted(request, place, record)[:MOST_SAID], typed.get("says", "").strip()
    initial = {
        "found_by": str(person_of(request) or ""),
        **typed,
        "found_in": asked,
        "place": place,
        "sizes": request.POST.getlist("sizes"),
        "says": says if says and says in said else said,
    }
    return ErratumForm(
        request.POST if is_sent else None,
        initial=initial,
        versions=pattern.versions.filter(state="published").order_by("-major", "-minor"),
        places=erratum_spots(record),
        sizes=record["results"]["sizes"],
    )


def _asked_for(request: HttpRequest, known: list[Version]) -> tuple[Version, str]:
    """The version and the place in it: as chosen, else as the link says; the newest where neither does."""
    chosen, linked = request.POST.get("found_in", ""), request.GET.get("version", "")
    asked = next(
        (one for one in known if chosen == str(one.pk) or (not chosen and one.number == linked)), known[0]
    )
    return asked, request.POST.get("place", "") or request.GET.get("place", "")


def _said_there(request: HttpRequest, known: list[Version]) -> dict[str, str]:
    """What the version says at the place that was asked for."""
    asked, place = _asked_for(request, known)
    record = read_record(asked.record)
    return {
        "quoted_from": asked.number,
        "quoted": _quoted(request, place, record),
        **says_around(place, record),
    }


def _quoted(request: HttpRequest, place: str, record: Record) -> str:
    """What a version says at a place: for the size that is ticked where it is one, else for all."""
    ticked = request.POST.getlist("sizes")
    return says_there(place, record, ticked[0] if len(ticked) == 1 else "")
