"""Pages of the studio's special stitches."""

from collections.abc import Sequence
from typing import Any, cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.patterns import patterns_for, read_core
from catalogue.drawings.special_stitches import SpecialStitch as ShownStitch
from catalogue.drawings.special_stitches import special_stitch
from catalogue.drawings.stitch_charts import Look
from catalogue.models import SpecialStitch, StitchPicture, StitchState
from catalogue.photos.forms import PhotosForm
from catalogue.special_stitches.forms import StitchForm
from catalogue.special_stitches.stitches import (
    StitchInUse,
    add_pictures,
    delete_picture,
    delete_stitch,
    move_up,
    newest_state,
    newest_states,
    patterns_using,
    save_stitch,
    stitch_glance,
)
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import studio_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import PrintForm, Terms

SCREEN_CELL_MM = 7.0


@require_safe
@studio_required
def special_stitches(request: HttpRequest) -> HttpResponse:
    """All special stitches of the studio, and the patterns that have them."""
    using = patterns_using()
    shown = [{"state": one, "using": using.get(one.stitch.code, [])} for one in newest_states()]
    return render(request, "catalogue/special_stitches/list.html", {"pattern": None, "shown": shown})


@form_page
@studio_required
def special_stitch_new(request: HttpRequest) -> HttpResponse:
    """A new special stitch."""
    form = StitchForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        kept = save_stitch(stitch=None, by=person_of(request), **form.typed())
        asking = patterns_for(request.user).filter(slug=request.POST.get("pattern", "")[:200]).first()
        if asking and read_core(asking).craft == kept.craft:
            messages.success(
                request, f"“{kept}” is saved. Add it to the pattern below. Open it to add pictures."
            )
            return redirect("pattern_stitches", slug=asking.slug)
        messages.success(request, f"“{kept}” is saved. Add its pictures here.")
        return redirect("special_stitch", pk=kept.stitch.pk)
    return _form_page(request, form)


@form_page
@studio_required
def special_stitch_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """One special stitch: its words, its chart, its pictures."""
    stitch = get_object_or_404(SpecialStitch, pk=pk)
    form = StitchForm(request.POST or None, state=newest_state(stitch))
    if request.method == "POST" and form.is_valid():
        seen = form.cleaned_data["seen"]
        try:
            kept = save_stitch(stitch=stitch, by=person_of(request), seen=seen, **form.typed())
        except Moved as other:
            form = StitchForm(request.POST, state=newest_state(stitch))
            form.carry(written_glance(stitch_glance(newest_state(stitch))))
            return _form_page(request, form, status=409, moved=other.entries)
        messages.success(request, f"“{kept}” is saved. Patterns keep the words that they took over.")
        return redirect("special_stitch", pk=pk)
    return _form_page(request, form)


@require_POST
@studio_required
def special_stitch_preview(request: HttpRequest) -> HttpResponse:
    """What is typed as it prints; nothing is stored."""
    sent = request.POST.get("stitch", "")
    known = (
        SpecialStitch.objects.filter(pk=int(sent)).first() if sent.isdecimal() and len(sent) < 10 else None
    )
    form = StitchForm(request.POST, state=newest_state(known) if known else None)
    form.is_valid()
    if getattr(request, "htmx", False):
        return render(request, "catalogue/special_stitches/_preview.html", _shown_page(form))
    return _form_page(request, form, status=200)


@require_POST
@studio_required
def special_stitch_pictures(request: HttpRequest, pk: int) -> HttpResponse:
    """Add pictures to a special stitch."""
    stitch = get_object_or_404(SpecialStitch, pk=pk)
    form = PhotosForm(request.POST, request.FILES)
    if form.is_valid():
        pictures, caption = form.cleaned_data["photos"], form.cleaned_data["caption"]
        try:
            add_pictures(stitch=stitch, pictures=pictures, caption=caption, by=person_of(request))
        except FilesOutOfReach as problem:
            form.add_error("pictures", str(problem))
        else:
            messages.success(request, "The pictures are added.")
            return redirect("special_stitch", pk=pk)
    return _form_page(request, StitchForm(state=newest_state(stitch)), form)


@require_POST
@studio_required
def stitch_picture_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a picture before the one before it."""
    return _with_picture(request, pk, is_moved=True)


@require_POST
@studio_required
def stitch_picture_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a picture out of a special stitch."""
    return _with_picture(request, pk, is_moved=False)


def _with_picture(request: HttpRequest, pk: int, *, is_moved: bool) -> HttpResponse:
    """Move a picture up or take it out, if it still is one of the newest state."""
    picture = get_object_or_404(StitchPicture.objects.select_related("state__stitch"), pk=pk)
    stitch = picture.state.stitch
    if picture.state.number != stitch.number:
        messages.error(request, "Somebody changed the pictures meanwhile: look at them, then try again.")
    elif is_moved:
        move_up(picture, by=person_of(request))
        messages.success(request, "The picture is moved up.")
    else:
        delete_picture(picture, by=person_of(request))
        messages.success(request, "The picture is deleted. Patterns that have it keep it.")
    return redirect("special_stitch", pk=stitch.pk)


@require_POST
@studio_required
def special_stitch_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a special stitch that no pattern has."""
    stitch = get_object_or_404(SpecialStitch, pk=pk)
    state = newest_state(stitch)
    try:
        delete_stitch(stitch)
    except StitchInUse as use:
        messages.error(request, str(use))
        return redirect("special_stitch", pk=pk)
    messages.success(request, f"“{state}” is deleted.")
    return redirect("special_stitches")


def shown_stitch(core: PatternFile, units: str, pictures: Any = ()) -> ShownStitch:
    """The only special stitch of a pattern as it prints."""
    edition = PrintForm("in" if units == "in" else "cm", cast("Terms", core.home_terms), None)
    look = Look(facts_of(core, grade(core)), edition, {}, SCREEN_CELL_MM)
    return special_stitch(core.special_stitches[0], look, pictures)


def _shown_page(form: StitchForm) -> dict[str, Any]:
    """The form and the stitch as it prints, unless what was typed can't be read."""
    pictures = form.state.pictures.all() if form.state else ()
    is_readable = form.core is not None and not form.errors
    shown = shown_stitch(form.core, "cm", pictures) if form.core is not None and is_readable else None
    return {"form": form, "shown": shown}


def _form_page(
    request: HttpRequest,
    form: StitchForm,
    picture_form: PhotosForm | None = None,
    status: int = 0,
    moved: Sequence[EntryChange] = (),
) -> HttpResponse:
    """The page of a special stitch, with what was typed."""
    state = form.state
    page: dict[str, Any] = {"pattern": None, "state": state, "moved": moved, **_shown_page(form)}
    page["heading"] = "New special stitch" if state is None else state.label
    page["save_address"] = reverse("special_stitch_new")
    page["for_pattern"] = (request.POST or request.GET).get("pattern", "")
    if state is not None:
        page |= {
            "save_address": reverse("special_stitch", args=[state.stitch.pk]),
            "picture_form": picture_form or PhotosForm(),
            "pictures": state.pictures.all(),
            "using": patterns_using().get(state.stitch.code, []),
            "earlier": StitchState.objects.filter(stitch=state.stitch, number__lt=state.number)
            .select_related("by")
            .order_by("-number"),
        }
    wrong = bool(form.errors or (picture_form and picture_form.errors))
    return render(
        request, "catalogue/special_stitches/form.html", page, status=status or (400 if wrong else 200)
    )
