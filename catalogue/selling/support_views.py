"""Pages of yarn support: designers alone see who gave it."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Pattern, SupportPromise, Yarn, YarnSupport
from catalogue.selling.saving import save_row
from catalogue.selling.support import add_promise, delete_support, erase_giver, support_list
from catalogue.selling.support_forms import PromiseForm, YarnSupportForm
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved

MOST_PROMISES = 30


@require_safe
@designer_required
def yarn_supports(request: HttpRequest) -> HttpResponse:
    """All yarn that was given, what still has an open promise first."""
    return render(request, "catalogue/selling/supports.html", {"pattern": None, "supports": support_list()})


@form_page
@designer_required
def yarn_support_new(request: HttpRequest) -> HttpResponse:
    """Yarn that was given; the yarn and pattern one comes from are chosen already."""
    form = YarnSupportForm(request.POST or None, instance=YarnSupport(**_come_from(request)))
    if request.method == "POST" and form.is_valid():
        found = form.save()
        messages.success(request, "It is saved. Add what you promised for it.")
        return redirect("yarn_support", pk=found.pk)
    page = {"pattern": None, "form": form}
    return render(request, "catalogue/selling/support_new.html", page, status=400 if form.errors else 200)


@form_page
@designer_required
def yarn_support(request: HttpRequest, pk: int) -> HttpResponse:
    """One gift of yarn, and what was promised for it."""
    found = get_object_or_404(YarnSupport, pk=pk)
    form = YarnSupportForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        try:
            save_row(form)
        except Moved as other:
            return _support_page(request, found, form, PromiseForm(), other.entries)
        messages.success(request, "It is saved.")
        return redirect("yarn_support", pk=pk)
    return _support_page(request, found, form, PromiseForm())


@require_POST
@designer_required
def promise_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add what was promised."""
    found, form = get_object_or_404(YarnSupport, pk=pk), PromiseForm(request.POST)
    if form.is_valid():
        if found.promises.count() < MOST_PROMISES:
            add_promise(found=found, promise=form.save(commit=False))
            messages.success(request, "The promise is added.")
            return redirect("yarn_support", pk=pk)
        form.add_error(
            None, f"There are {MOST_PROMISES} promises already: delete one that you no longer need first."
        )
    return _support_page(request, found, YarnSupportForm(instance=found), form)


@require_POST
@designer_required
def promise_done(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a promise as done, or as open after all."""
    found = get_object_or_404(SupportPromise, pk=pk)
    found.done_on = None if found.done_on else timezone.localdate()
    found.save(update_fields=["done_on"])
    messages.success(request, f"“{found}” is {'done' if found.done_on else 'open again'}.")
    return redirect("yarn_support", pk=found.support_id)


@require_POST
@designer_required
def promise_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a promise out."""
    found = get_object_or_404(SupportPromise, pk=pk)
    found.delete()
    messages.success(request, f"“{found}” is deleted.")
    return redirect("yarn_support", pk=found.support_id)


@require_POST
@designer_required
def giver_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget who gave it."""
    erase_giver(get_object_or_404(YarnSupport, pk=pk))
    messages.success(request, "The giver’s name is erased, with the note. What was given and promised stays.")
    return redirect("yarn_support", pk=pk)


@require_POST
@designer_required
def yarn_support_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete it with its promises."""
    delete_support(get_object_or_404(YarnSupport, pk=pk))
    messages.success(request, "It is deleted with its promises.")
    return redirect("yarn_supports")


def _come_from(request: HttpRequest) -> dict[str, Any]:
    """The yarn and the pattern that the address names, where there are such."""
    yarn, slug = request.GET.get("yarn", ""), request.GET.get("pattern", "")
    is_number = yarn.isascii() and yarn.isdigit() and len(yarn) < 10
    return {
        "yarn": Yarn.objects.filter(pk=int(yarn)).first() if is_number else None,
        "pattern": Pattern.objects.filter(slug=slug.replace("\x00", "")).first() if slug else None,
    }


def _support_page(
    request: HttpRequest,
    found: YarnSupport,
    form: YarnSupportForm,
    promise_form: PromiseForm,
    moved: Sequence[EntryChange] = (),
) -> HttpResponse:
    """The page of a gift, with what was typed."""
    promise_form.helper.form_action = reverse("promise_add", args=[found.pk])
    page = {
        "pattern": None,
        "support": YarnSupport.objects.select_related("pattern", "yarn").get(pk=found.pk),
        "form": form,
        "moved": moved,
        "promise_form": promise_form,
        "promises": found.promises.order_by(F("done_on").desc(nulls_first=True), "due_on"),
        "today": timezone.localdate(),
    }
    status = 409 if moved else 400 if form.errors or promise_form.errors else 200
    return render(request, "catalogue/selling/support.html", page, status=status)
