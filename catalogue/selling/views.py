"""The page of a pattern for its seller, and its parts: facts, shops, rights, dates."""

from typing import Any

from django.contrib import messages
from django.db.models import F
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.helps.link_checks import check_shop
from catalogue.models import Listing, Pattern, SellingFacts, ShopLink, TargetDate
from catalogue.selling.dates import due_dates
from catalogue.selling.forms import (
    MOST_OF_A_KIND,
    PART_FORMS,
    PART_NAMES,
    SellingFactsForm,
    part_form,
    parts_of,
)
from catalogue.selling.saving import save_facts, save_part
from catalogue.selling.support import support_list
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required, is_designer, whole_studio_required
from catalogue.versions.frozen_rights import renew_rights, rights_on
from catalogue.versions.glances import Moved

TAB = "selling"


@require_safe
@whole_studio_required
def studio_dates(request: HttpRequest) -> HttpResponse:
    """What to do by when in all patterns, the next first."""
    found = due_dates(today=timezone.localdate(), with_support=is_designer(request.user))
    return render(request, "catalogue/selling/dates.html", {"pattern": None, "dates": found})


@require_safe
@whole_studio_required
def selling(request: HttpRequest, slug: str) -> HttpResponse:
    """All that the seller of a pattern keeps, each with the way to change it."""
    pattern = pattern_or_404(request, slug)
    page = {
        "pattern": pattern,
        "tab": TAB,
        "facts": SellingFacts.objects.filter(pattern=pattern).first() or SellingFacts(),
        "shops": parts_of(pattern, "shops"),
        "rights": parts_of(pattern, "rights"),
        "dates": parts_of(pattern, "dates").order_by(F("done_on").desc(nulls_first=True), "due_on"),
        "printed": rights_on(pattern, timezone.localdate()).get("notes", []),
        "supports": support_list(pattern=pattern) if is_designer(request.user) else [],
        "today": timezone.localdate(),
    }
    return render(request, "catalogue/selling/selling.html", page)


@form_page
@designer_required
def selling_facts(request: HttpRequest, slug: str) -> HttpResponse:
    """Techniques, seasons, tags, the text for shops and the use of finished items."""
    pattern = pattern_or_404(request, slug)
    found = SellingFacts.objects.filter(pattern=pattern).first()
    form = SellingFactsForm(request.POST or None, instance=found or SellingFacts(pattern=pattern))
    heading = "Facts for the catalogue and for shops"
    if request.method == "POST" and form.is_valid():
        try:
            save_facts(form, pattern)
        except Moved as other:
            return _form_page(request, pattern, form, heading, moved=other.entries)
        is_listed = Listing.objects.filter(pattern=pattern).exists()
        shown = (
            "the catalogue shows them now" if is_listed else "the catalogue shows them once it is published"
        )
        messages.success(request, f"The facts are saved; {shown}.")
        return redirect("selling", slug=slug)
    return _form_page(request, pattern, form, heading)


@form_page
@designer_required
def selling_part_new(request: HttpRequest, slug: str, kind: str) -> HttpResponse:
    """A new shop, rights note or target date."""
    pattern = pattern_or_404(request, slug)
    form = part_form(_known(kind), request.POST or None, None)
    form.instance.pattern = pattern
    if request.method == "POST" and form.is_valid():
        if parts_of(pattern, kind).count() >= MOST_OF_A_KIND:
            form.add_error(
                None,
                f"A pattern can have {MOST_OF_A_KIND} of these: delete one that you no longer need first.",
            )
        else:
            save_part(form, pattern)
            messages.success(request, f"“{form.instance}” is added.")
            return redirect("selling", slug=slug)
    return _form_page(request, pattern, form, f"New {PART_NAMES[kind]}")


@form_page
@designer_required
def selling_part(request: HttpRequest, slug: str, kind: str, pk: int) -> HttpResponse:
    """Change a shop, rights note or target date."""
    pattern = pattern_or_404(request, slug)
    found = get_object_or_404(parts_of(pattern, _known(kind)), pk=pk)
    form = part_form(kind, request.POST or None, found)
    more: dict[str, Any] = {"kind": kind, "found": found, "moved": []}
    if request.method == "POST" and form.is_valid():
        try:
            save_part(form, pattern)
        except Moved as other:
            more["moved"] = other.entries
        else:
            messages.success(request, f"“{found}” is saved.")
            return redirect("selling", slug=slug)
    found.refresh_from_db()  # the form may have put something into it that is not saved
    return _form_page(request, pattern, form, f"Change a {PART_NAMES[kind]}", **more)


@require_POST
@designer_required
def selling_part_delete(request: HttpRequest, slug: str, kind: str, pk: int) -> HttpResponse:
    """Delete a shop, rights note or target date."""
    pattern = pattern_or_404(request, slug)
    found = get_object_or_404(parts_of(pattern, _known(kind)), pk=pk)
    found.delete()
    renew_rights(pattern)
    kept = " Versions that already print it keep it." if kind == "rights" else ""
    messages.success(request, f"“{found}” is deleted.{kept}")
    return redirect("selling", slug=slug)


@require_POST
@designer_required
def shop_check(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Check the link of a shop now."""
    found = get_object_or_404(ShopLink, pattern=pattern_or_404(request, slug), pk=pk)
    answer = check_shop(found)
    tell = messages.error if answer.state == "dead" else messages.success
    tell(request, f"{found.address}: {answer.says}")
    return redirect("selling", slug=slug)


@require_POST
@designer_required
def date_done(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Mark a target date as done, or as not done after all."""
    found = get_object_or_404(TargetDate, pattern=pattern_or_404(request, slug), pk=pk)
    found.done_on = None if found.done_on else timezone.localdate()
    found.save(update_fields=["done_on"])
    messages.success(request, f"“{found}” is {'done' if found.done_on else 'open again'}.")
    return redirect("selling", slug=slug)


def _known(kind: str) -> str:
    """A kind of part that there is."""
    if kind not in PART_FORMS:
        raise Http404
    return kind


def _form_page(request: HttpRequest, pattern: Pattern, form: Any, heading: str, **more: Any) -> HttpResponse:
    """A form of the seller's page, with what was typed."""
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "heading": heading,
        "kind": "",
        "found": None,
        "moved": [],
        **more,
    }
    status = 409 if page["moved"] else 400 if form.errors else 200
    return render(request, "catalogue/selling/form.html", page, status=status)
