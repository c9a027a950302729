"""Pages of the studio's helps, and of those that a pattern names."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe
from django_tasks import task

from catalogue.drafts.drafts import open_draft
from catalogue.drafts.edits import StaleRevision
from catalogue.drafts.patterns import read_core
from catalogue.helps.forms import HelpForm
from catalogue.helps.helps import (
    HelpInUse,
    add_pictures,
    delete_help,
    delete_picture,
    help_glance,
    move_up,
    patterns_naming,
    save_help,
)
from catalogue.helps.link_checks import check_help, check_shop
from catalogue.helps.marks import helps_in, suggested_helps, with_mark
from catalogue.instructions.sections import NoSuchPlace, change_step
from catalogue.models import Help, HelpPicture, ShopLink
from catalogue.photos.forms import PhotosForm
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.public_address import public_address
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import studio_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.pattern import PatternFile


@studio_required
@require_safe
def helps(request: HttpRequest) -> HttpResponse:
    """All helps of the studio; those whose link is dead come first."""
    found = sorted(
        Help.objects.prefetch_related("pictures"),
        key=lambda one: (one.link_state != "dead", one.title.casefold()),
    )
    has_links = any(one.link for one in found) or ShopLink.objects.exists()
    page = {"pattern": None, "helps": found, "has_links": has_links}
    return render(request, "catalogue/helps/list.html", page)


@form_page
@studio_required
def help_new(request: HttpRequest) -> HttpResponse:
    """A new help."""
    form = HelpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        kept = save_help(found=None, by=person_of(request), **form.typed())
        messages.success(request, f"“{kept}” is saved. Add its pictures here.")
        return redirect("help_edit", pk=kept.pk)
    page = {"pattern": None, "form": form}
    return render(request, "catalogue/helps/new.html", page, status=400 if form.errors else 200)


@form_page
@studio_required
def help_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """One help: its words, its pictures, its link."""
    found = get_object_or_404(Help, pk=pk)
    form = HelpForm(request.POST or None, found=found)
    if request.method == "POST" and form.is_valid():
        try:
            kept = save_help(found=found, by=person_of(request), seen=sent_glance(request), **form.typed())
        except Moved as moved:
            found.refresh_from_db()
            form.carry(written_glance(help_glance(found)))
            return _help_page(request, found, form, PhotosForm(), moved.entries)
        except Help.DoesNotExist:
            raise Http404 from None
        says = f"“{kept}” is saved. Published versions keep the words they were made with."
        messages.success(request, says)
        return redirect("help_edit", pk=pk)
    return _help_page(request, found, form, PhotosForm())


@require_POST
@studio_required
def help_pictures(request: HttpRequest, pk: int) -> HttpResponse:
    """Add pictures to a help."""
    found = get_object_or_404(Help, pk=pk)
    form = PhotosForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            add_pictures(
                found=found, pictures=form.cleaned_data["photos"], caption=form.cleaned_data["caption"]
            )
        except FilesOutOfReach as problem:
            form.add_error("pictures", str(problem))
        else:
            messages.success(request, "The pictures are added.")
            return redirect("help_edit", pk=pk)
    return _help_page(request, found, HelpForm(found=found), form)


@require_POST
@studio_required
def help_picture_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a picture before the one before it."""
    picture = get_object_or_404(HelpPicture.objects.select_related("help"), pk=pk)
    move_up(picture)
    messages.success(request, "The picture is moved up.")
    return redirect("help_edit", pk=picture.help.pk)


@require_POST
@studio_required
def help_picture_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a picture out of a help."""
    picture = get_object_or_404(HelpPicture.objects.select_related("help"), pk=pk)
    owner = picture.help.pk
    delete_picture(picture)
    messages.success(request, "The picture is deleted. Versions that have it keep it.")
    return redirect("help_edit", pk=owner)


@require_POST
@studio_required
def help_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a help that nothing names."""
    found = get_object_or_404(Help, pk=pk)
    try:
        delete_help(found)
    except HelpInUse as use:
        messages.error(request, str(use))
        return redirect("help_edit", pk=pk)
    messages.success(request, f"“{found}” is deleted.")
    return redirect("helps")


@require_POST
@studio_required
def help_check(request: HttpRequest, pk: int) -> HttpResponse:
    """Check the link of a help now."""
    found = get_object_or_404(Help, pk=pk)
    if not found.link:
        messages.info(request, f"“{found}” has no link to check.")
        return redirect("help_edit", pk=pk)
    answer = check_help(found)
    tell = messages.error if answer.state == "dead" else messages.success
    tell(request, f"{found.link}: {answer.says}")
    return redirect("help_edit", pk=pk)


@require_POST
@studio_required
def helps_check(request: HttpRequest) -> HttpResponse:
    """Have the links of all helps and shops checked."""
    check_all_links.enqueue()
    messages.success(request, "The links are being checked. Come back in a minute to see the answers.")
    return redirect("helps")


@task()
def check_all_links() -> None:
    """Check the link of every help and of every shop; safe to run twice."""
    for found in Help.objects.exclude(link="").order_by("pk"):
        check_help(found)
    for shop in ShopLink.objects.order_by("pk"):
        check_shop(shop)


@dataclass(frozen=True)
class Place:
    """A step as people find it: its section's title and its number from 1."""

    section: int
    step: int
    title: str

    @classmethod
    def of(cls, core: PatternFile, section: int, step: int) -> "Place":
        """The place of a step, numbers from 0."""
        return cls(section + 1, step + 1, core.sections[section].title)


@require_safe
@studio_required
def pattern_helps(request: HttpRequest, slug: str) -> HttpResponse:
    """The helps that a pattern's steps name, and those that would explain a word of them."""
    draft = open_draft(request.user, slug)
    core = read_core(draft.pattern)
    named = [
        {"help": one, "places": [Place.of(core, *place) for place in one.places]} for one in helps_in(core)
    ]
    suggested = [
        {"help": one.found, "term": one.term, "place": Place.of(core, one.section, one.step)}
        for one in suggested_helps(core)
    ]
    page = {"pattern": draft.pattern, "tab": "words", "named": named, "suggested": suggested,
            "revision": draft.revision}  # fmt: skip
    return render(request, "catalogue/helps/pattern.html", page)


@require_POST
@studio_required
def pattern_help_put(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Put the mark of a help at the end of the step that uses its word first."""
    draft = open_draft(request.user, slug)
    found = get_object_or_404(Help, pk=pk)
    core = read_core(draft.pattern)
    spot = next((one for one in suggested_helps(core) if one.found == found), None)
    if spot is None:
        messages.info(
            request, f"No step needs “{found}” now: its word was removed, or a step names it already."
        )
        return redirect("pattern_helps", slug=slug)
    step = core.sections[spot.section].steps[spot.step]
    try:
        change_step(
            pattern=draft.pattern, revision=draft.revision, section=spot.section, step=spot.step,
            text=with_mark(step, found.name), by=person_of(request),
        )  # fmt: skip
    except PatternFileError as refusal:
        messages.error(request, f"The step can’t name it: {refusal}")
    except (StaleRevision, NoSuchPlace):
        messages.error(request, "Somebody changed the instructions just now: look at them, then try again.")
    else:
        where = Place.of(core, spot.section, spot.step)
        messages.success(request, f"{where.title}, step {where.step} now shows help “{found.title}”.")
    return redirect("pattern_helps", slug=slug)


def _help_page(
    request: HttpRequest,
    found: Help,
    form: HelpForm,
    picture_form: PhotosForm,
    moved: Sequence[EntryChange] = (),
) -> HttpResponse:
    """The page of a help, with what was typed, and what somebody else has saved meanwhile."""
    known = public_address()
    if not form.is_bound:
        form.carry(written_glance(help_glance(found)))
    page: dict[str, Any] = {
        "pattern": None,
        "help": found,
        "form": form,
        "picture_form": picture_form,
        "pictures": found.pictures.all(),
        "naming": patterns_naming(found),
        "changes": found.link_changes.select_related("by"),
        "moved": moved,
        "short": f"{known}{found.get_absolute_url()}" if known else "",
    }
    status = 400 if form.errors or picture_form.errors else 409 if moved else 200
    return render(request, "catalogue/helps/help.html", page, status=status)
