"""More about the garment, one question at a time: all of it may be left out."""

from collections.abc import Sequence
from typing import Any, TypeVar

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from testing.access.requests import (
    QuestionGone,
    SignedInRequest,
    asked_units,
    own_place_or_404,
    question_or_404,
    sent,
)
from testing.access.selectors import result_of
from testing.asked.figures import placement_figures
from testing.asked.fit import fit_areas
from testing.models import EarlierEntry, Entry, Placement
from testing.results.answers import entry_of, gauge_again
from testing.results.entry_glances import Asked
from testing.results.extras import counts_asked, extras_of
from testing.results.forms import GaugeForm
from testing.results.garment_forms import (
    AlteredForm,
    FitForm,
    MetresForm,
    OptionsForm,
    PhotoUsesForm,
    ToolForm,
    WorkedForm,
)
from testing.results.progress import entries_sent, next_after
from testing.results.results import drop_entry, save_entry
from testing.results.saving import PartForm, as_it_stands, is_part_kept, is_saved, shown_before

Part = TypeVar("Part")


@require_safe
@signed_in_required
def making_more(request: SignedInRequest, pk: int) -> HttpResponse:
    """What can be told of the garment beyond what is asked."""
    placement = own_place_or_404(request, pk)
    extras = extras_of(placement, placement_figures(placement))
    page = {"placement": placement, "call": placement.call, "extras": extras}
    return render(request, "testing/making_more.html", page)


@form_page
@signed_in_required
def making_garment_gauge(request: SignedInRequest, pk: int, fabric: str) -> HttpResponse:
    """Gauge of one fabric, counted on the finished garment."""
    placement = own_place_or_404(request, pk)
    figures = placement_figures(placement)
    asked = question_or_404(placement, figures.fabrics, fabric)
    initial = gauge_again(entry_of(placement, "garment_gauge", fabric), request.user.units)
    form = GaugeForm(sent(request), units=asked_units(request), fabric=asked, initial=initial)
    question = Asked("garment_gauge", fabric)
    if request.method == "POST" and form.is_valid() and is_saved(placement, form, question):
        return _go_on(request, placement)
    return _question(request, placement, "testing/ask_garment_gauge.html", form, question, fabric=asked)


@form_page
@signed_in_required
def making_worked(request: SignedInRequest, pk: int) -> HttpResponse:
    """Counts worked otherwise than the pattern says, one after another."""
    placement = own_place_or_404(request, pk)
    counts = counts_asked(placement_figures(placement), placement.size)
    form = WorkedForm(sent(request), counts=counts)
    if request.method == "POST" and form.is_valid():
        _save_worked(placement, form.cleaned_data["count"], form.cleaned_data["number"])
        return redirect(request.path)
    told = {entry.name: entry.meant["count"] for entry in _sent(placement, "worked")}
    before = _replaced(placement, "worked")
    worked = [
        (count, told.get(count.name), before.get(count.name, []))
        for count in counts
        if count.name in told or count.name in before
    ]
    return _question(request, placement, "testing/ask_worked.html", form, None, worked=worked)


@form_page
@signed_in_required
def making_altered(request: SignedInRequest, pk: int) -> HttpResponse:
    """Measurements altered on purpose."""
    placement = own_place_or_404(request, pk)
    measurements = _asked_or_404(placement, placement_figures(placement).measurements)
    ticked = {entry.name for entry in _sent(placement, "altered")}
    initial = {f"altered_{place}": value.name in ticked for place, value in enumerate(measurements)}
    form = AlteredForm(sent(request), measurements=measurements, initial=initial)
    return _answer(request, placement, "altered", form)


@form_page
@signed_in_required
def making_options(request: SignedInRequest, pk: int) -> HttpResponse:
    """Options chosen."""
    placement = own_place_or_404(request, pk)
    offered = _asked_or_404(placement, placement_figures(placement).pattern.options)
    told = _told(placement, "option", "choice")
    initial = {f"option_{place}": told.get(option.name, "") for place, option in enumerate(offered)}
    form = OptionsForm(sent(request), offered=offered, initial=initial)
    return _answer(request, placement, "option", form)


@form_page
@signed_in_required
def making_metres(request: SignedInRequest, pk: int) -> HttpResponse:
    """Metres in 100 g of the tester's own yarn."""
    placement = own_place_or_404(request, pk)
    yarns = _asked_or_404(placement, placement_figures(placement).yarns)
    told = _told(placement, "metres", "length")
    initial = {f"colour_{place}": told.get(yarn.colour, "") for place, yarn in enumerate(yarns)}
    form = MetresForm(sent(request), yarns=yarns, units=request.user.units, initial=initial)
    return _answer(request, placement, "metres", form)


@form_page
@signed_in_required
def making_fit(request: SignedInRequest, pk: int) -> HttpResponse:
    """How it fits, by area."""
    placement = own_place_or_404(request, pk)
    initial = _told(placement, "fit", "fit")
    for on in _told(placement, "fit", "on").values():
        initial["on"] = on
    areas = fit_areas(placement_figures(placement))
    return _answer(request, placement, "fit", FitForm(sent(request), areas=areas, initial=initial))


@form_page
@signed_in_required
def making_tool(request: SignedInRequest, pk: int) -> HttpResponse:
    """Hook or needle used."""
    placement = own_place_or_404(request, pk)
    initial = {"text": _told(placement, "tool", "text").get("", "")}
    return _answer(request, placement, "tool", ToolForm(sent(request), initial=initial))


@form_page
@signed_in_required
def making_photo_uses(request: SignedInRequest, pk: int) -> HttpResponse:
    """What the photos may be used for; taking it back works the same way."""
    placement = own_place_or_404(request, pk)
    initial: dict[str, Any] = {}
    for entry in _sent(placement, "photo_use"):
        initial |= {**entry.typed, entry.name: True}
    return _answer(request, placement, "photo_use", PhotoUsesForm(sent(request), initial=initial))


def _asked_or_404(placement: Placement, asked: Sequence[Part]) -> Sequence[Part]:
    """What a question asks about, if the pattern has any of it."""
    if not asked:
        raise QuestionGone(placement)
    return asked


def _save_worked(placement: Placement, name: str, number: Any) -> None:
    """Keep a count, or take it back where there is no number."""
    if number is None:
        drop_entry(placement=placement, part="worked", name=name)
        return
    typed, meant = {"count": number.typed}, {"count": number.number}
    save_entry(placement=placement, part="worked", name=name, typed=typed, meant=meant)


def _sent(placement: Placement, part: str) -> list[Entry]:
    """What was sent of a part."""
    return [entry for entry in entries_sent(placement) if entry.part == part]


def _replaced(placement: Placement, part: str) -> dict[str, list[EarlierEntry]]:
    """What was sent of a part and replaced or taken back since, by name, the oldest first."""
    result, found = result_of(placement), dict[str, list[EarlierEntry]]()
    for entry in result.earlier_entries.all() if result else ():
        if entry.part == part:
            found.setdefault(entry.name, []).append(entry)
    return found


def _told(placement: Placement, part: str, key: str) -> dict[str, str]:
    """What was typed before of a part, by name."""
    return {entry.name: str(entry.typed.get(key, "")) for entry in _sent(placement, part)}


def _answer(request: SignedInRequest, placement: Placement, part: str, form: PartForm) -> HttpResponse:
    """Keep all of one part as it stands on the page, or show its question."""
    question = Asked(part)
    if request.method == "POST" and form.is_valid() and is_part_kept(placement, form, question):
        return _go_on(request, placement)
    return _question(request, placement, f"testing/ask_{part}.html", form, question)


def _go_on(request: SignedInRequest, placement: Placement) -> HttpResponse:
    """After saving: the next question about the garment, or the list of them."""
    messages.success(request, "Sent.")
    fresh = own_place_or_404(request, placement.pk)
    url = next_after(extras_of(fresh, placement_figures(fresh)), request.path)
    return redirect(url) if url else redirect("making_more", pk=placement.pk)


def _question(
    request: SignedInRequest,
    placement: Placement,
    template: str,
    form: forms.Form | PartForm,
    asked: Asked | None,
    **more: Any,
) -> HttpResponse:
    """Show one question with what was sent to it before."""
    placement = as_it_stands(request, placement, form, asked)
    figures = placement_figures(placement)
    extras = extras_of(placement, figures)
    page = {"placement": placement, "call": placement.call, "form": form, "gauge_word": figures.gauge_word}
    page |= more
    page |= shown_before(placement, asked) | {"next_url": next_after(extras, request.path)}
    return render(request, template, page, status=409 if page["moved"] else 200)
