"""The studio's pages of holders: who they are, typed in or brought as a table, and what came back."""

from collections.abc import Sequence

from django.contrib import messages
from django.db.models import Count, Prefetch, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from catalogue.holders.bounces import BounceUnread, note_bounce
from catalogue.holders.forms import EXAMPLE, BounceForm, HolderForm, HoldersForm
from catalogue.holders.holders import NewHolder, erase_holder, set_right, store_holders, unsubscribe
from catalogue.holders.notice_names import NamedNotice, named_notices
from catalogue.holders.notices import untold_holders
from catalogue.holders.pdf_links import store_buyers
from catalogue.holders.tables import table_lines
from catalogue.models import Holder, Notice, Version
from catalogue.studio.requests import form_page
from catalogue.studio.roles import publisher_required

SHOWN = 50
MOST_PROBLEMS = 20


@form_page
@publisher_required
def holders(request: HttpRequest) -> HttpResponse:
    """How many hold what, a search by address, and one more."""
    form = HolderForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        _store(request, [form.holder()], "typed", has_pdf=form.cleaned_data["has_pdf"])
        return redirect("holders")
    asked = request.GET.get("address", "")[:100].replace("\x00", "")
    counted = Holder.objects.values("pattern__title", "version__major", "version__minor", "state")
    page = {
        "pattern": None,
        "form": form,
        "asked": asked,
        "found": _holders_like(asked) if asked else [],
        "counts": counted.annotate(number=Count("pk")).order_by("pattern__title", "version", "state"),
        "states": dict(Holder.STATES),
        "notices": _notices(),
    }
    return render(request, "catalogue/holders/holders.html", page, status=400 if form.errors else 200)


def _holders_like(asked: str) -> QuerySet[Holder]:
    """Holders whose address has this in it, with what they have bought and could have bought."""
    releases = Version.objects.filter(kind="release", state="published").defer("record")
    known = Holder.objects.filter(email__icontains=asked).select_related("pattern", "version")
    known = known.defer("version__record")
    versions = (
        Prefetch("pdf_versions", releases, to_attr="bought"),
        Prefetch("pattern__versions", releases.order_by("major", "minor"), to_attr="releases"),
    )
    return known.prefetch_related(*versions)[:SHOWN]


def _notices() -> list[tuple[NamedNotice, int]]:
    """The last notices, each with how many became holders after it was sent."""
    last = (
        Notice.objects.select_related("version__pattern")
        .defer("version__record")
        .order_by("-drafted_at")[:SHOWN]
    )
    return [
        (one, untold_holders(one.notice).count() if one.notice.state == "sent" else 0)
        for one in named_notices(list(last))
    ]


@require_safe
@publisher_required
def holders_import(request: HttpRequest) -> HttpResponse:
    """Bring a table of holders."""
    return _import_page(request, HoldersForm())


@require_POST
@publisher_required
def holders_check(request: HttpRequest) -> HttpResponse:
    """Look at a table; nothing is stored."""
    form = HoldersForm(request.POST, request.FILES)
    form.is_valid()
    shown = HoldersForm(initial={"text": form.cleaned_data["text"]}) if form.found else form
    return _import_page(request, shown, form)


@require_POST
@publisher_required
def holders_store(request: HttpRequest) -> HttpResponse:
    """Store the rows that can be read."""
    form = HoldersForm(request.POST)
    if not form.is_valid() or form.found is None:
        return _import_page(request, form)
    _store(request, form.found.holders, "imported", has_pdf="has_pdf" in request.POST)
    return redirect("holders")


@require_POST
@publisher_required
def holder_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget an address."""
    erase_holder(holder=get_object_or_404(Holder, pk=pk))
    messages.success(request, "The address is erased.")
    return redirect("holders")


@require_POST
@publisher_required
def holder_right(request: HttpRequest, pk: int) -> HttpResponse:
    """An address that was taken for dead does work."""
    holder = get_object_or_404(Holder, pk=pk)
    set_right(holders=Holder.objects.filter(pk=pk))
    messages.success(request, f"{holder.email} gets notices again.")
    return redirect(f"{reverse('holders')}?{urlencode({'address': holder.email})}")


@require_POST
@publisher_required
def holder_leave(request: HttpRequest, pk: int) -> HttpResponse:
    """Unsubscribe a holder who asked for it in a letter."""
    unsubscribe(holder=get_object_or_404(Holder, pk=pk))
    messages.success(request, "The address gets no more notices about this pattern.")
    return redirect("holders")


@form_page
@publisher_required
def bounces(request: HttpRequest) -> HttpResponse:
    """Note what a returned e-mail tells."""
    form = BounceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            messages.success(request, note_bounce(form.cleaned_data["text"]))
        except BounceUnread as unread:
            form.add_error("text", str(unread))
        else:
            return redirect("bounces")
    page = {"pattern": None, "form": form}
    return render(request, "catalogue/holders/bounces.html", page, status=400 if form.errors else 200)


def _import_page(request: HttpRequest, form: HoldersForm, read: HoldersForm | None = None) -> HttpResponse:
    """The form, below what was read of the table."""
    found = read.found if read else None
    page = {
        "pattern": None,
        "form": form,
        "found": found,
        "text": read.cleaned_data["text"] if read and found else "",
        "problems": list(table_lines(found.problems, MOST_PROBLEMS)) if found else [],
        "example": EXAMPLE,
    }
    return render(request, "catalogue/holders/import.html", page, status=400 if form.errors else 200)


def _store(request: HttpRequest, holders: Sequence[NewHolder], source: str, *, has_pdf: bool) -> None:
    """Store holders, as buyers of the PDF or without that; say what was stored."""
    if has_pdf:
        stored, unnamed = store_buyers(holders=holders, source=source)
    else:
        stored, unnamed = store_holders(holders=holders, source=source), 0
    messages.success(request, _stored_words(stored.new, stored.changed, stored.silent))
    if unnamed:
        says = f"{unnamed} without a version: they get no link until you say which version they bought."
        messages.warning(request, says)


def _stored_words(new: int, changed: int, silent: int) -> str:
    """What was stored, in a sentence."""
    words = [f"{new} new", f"{changed} with a newer version"]
    if silent:
        words.append(f"{silent} who get no notices, because they unsubscribed or their address came back")
    return f"Holders stored: {', '.join(words)}."
