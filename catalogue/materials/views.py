"""The studio's yarns, shades and tools, and the yarns that a pattern uses."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.edits import StaleRevision
from catalogue.drafts.patterns import read_core
from catalogue.drafts.requests import pattern_or_404
from catalogue.materials.ball_changes import ball_changes
from catalogue.materials.ended_yarns import ended_words
from catalogue.materials.tool_forms import ToolLengthsForm
from catalogue.materials.tool_lengths import store_lengths
from catalogue.materials.yarn_filling import fill_yarns, unlike_sheet
from catalogue.materials.yarn_forms import PatternYarnsForm, ShadeForm, YarnForm
from catalogue.materials.yarns import YarnInUse, choose_yarns, delete_shade, delete_yarn, figure_differences
from catalogue.models import Pattern, PatternYarn, Yarn, YarnShade
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import is_pattern_editor, studio_required


@studio_required
@require_safe
def yarns(request: HttpRequest) -> HttpResponse:
    """All yarns with their shades."""
    found = Yarn.objects.order_by("name").prefetch_related("shades")
    return render(request, "catalogue/yarns/list.html", {"pattern": None, "yarns": found})


@form_page
@studio_required
def yarn_new(request: HttpRequest) -> HttpResponse:
    """A new yarn."""
    form = YarnForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return redirect("studio_yarn", pk=form.save().pk)
    context = {"pattern": None, "form": form, "heading": "New yarn", "back": None}
    return render(request, "catalogue/yarns/form.html", context, status=400 if form.errors else 200)


@form_page
@studio_required
def studio_yarn(request: HttpRequest, pk: int) -> HttpResponse:
    """One yarn: its figures and its shades."""
    yarn = get_object_or_404(Yarn, pk=pk)
    form = YarnForm(request.POST or None, yarn=yarn)
    if request.method == "POST" and form.is_valid():
        old_put_up_g = yarn.put_up_g
        messages.success(request, f"{form.save().name} is saved.")
        for says in ball_changes(yarn, old_put_up_g):
            messages.info(request, says)
        return redirect("studio_yarn", pk=pk)
    return _yarn_page(request, yarn, form, _shade_form(yarn))


@require_POST
@studio_required
def shade_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a shade to a yarn."""
    yarn = get_object_or_404(Yarn, pk=pk)
    form = _shade_form(yarn, request)
    if form.is_valid():
        messages.success(request, f"{form.save().name} is added.")
        return redirect("studio_yarn", pk=pk)
    return _yarn_page(request, yarn, YarnForm(yarn=yarn), form)


@form_page
@studio_required
def shade(request: HttpRequest, pk: int) -> HttpResponse:
    """Name and colour of a shade."""
    found = get_object_or_404(YarnShade.objects.select_related("yarn"), pk=pk)
    form = ShadeForm(request.POST or None, yarn=found.yarn, shade=found)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("studio_yarn", pk=found.yarn.pk)
    context = {"pattern": None, "form": form, "heading": f"Shade of {found.yarn.name}", "back": found.yarn}
    return render(request, "catalogue/yarns/form.html", context, status=400 if form.errors else 200)


@require_POST
@studio_required
def shade_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a shade that no pattern uses."""
    found = get_object_or_404(YarnShade.objects.select_related("yarn"), pk=pk)
    try:
        delete_shade(shade=found)
        messages.success(request, f"{found.name} is deleted.")
    except YarnInUse as use:
        messages.error(request, str(use))
    return redirect("studio_yarn", pk=found.yarn.pk)


@require_POST
@studio_required
def yarn_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a yarn that no pattern uses."""
    yarn = get_object_or_404(Yarn, pk=pk)
    try:
        delete_yarn(yarn=yarn)
    except YarnInUse as use:
        messages.error(request, str(use))
        return redirect("studio_yarn", pk=pk)
    messages.success(request, f"{yarn.name} is deleted.")
    return redirect("yarns")


def _filled(request: HttpRequest, pattern: Pattern, form: PatternYarnsForm) -> list[str]:
    """Fill the sheet where it leaves a chosen yarn open, unless somebody edits it at this moment."""
    if is_pattern_editor(request.user):
        return []
    try:
        return fill_yarns(pattern=pattern, chosen=form.choices(), by=person_of(request))
    except StaleRevision as stale:
        messages.warning(request, str(stale))
        return []


@form_page
@studio_required
def pattern_yarns(request: HttpRequest, slug: str) -> HttpResponse:
    """Which yarn and shade plays each colour of a pattern."""
    pattern = pattern_or_404(request, slug)
    core = read_core(pattern)
    chosen = list(PatternYarn.objects.filter(pattern=pattern).select_related("yarn__substitute", "shade"))
    form = PatternYarnsForm(request.POST or None, roles=core.yarns, chosen=chosen)
    if request.method == "POST" and form.is_valid():
        choose_yarns(pattern=pattern, chosen=form.choices())
        filled = _filled(request, pattern, form)
        messages.success(request, " ".join(["The choice is saved.", *filled]))
        for says in unlike_sheet(read_core(pattern).yarns, form.choices()):
            messages.warning(request, says)
        return redirect("stripe_plan" if core.stripes else "yarn_page", slug)
    ended = [says for one in chosen if (says := ended_words(one.yarn))]
    notes = [*figure_differences(core.yarns, chosen), *dict.fromkeys(ended)]
    context = {"pattern": pattern, "tab": "yarn", "form": form, "roles": core.yarns, "any": bool(form.known),
               "notes": notes}  # fmt: skip
    return render(request, "catalogue/yarns/choose.html", context, status=400 if form.errors else 200)


@form_page
@studio_required
def tool_lengths(request: HttpRequest) -> HttpResponse:
    """Lengths of hooks and needles on sale, from which the tools of a pattern are named."""
    form = ToolLengthsForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        store_lengths(lists=form.cleaned_data)
        messages.success(request, "The lengths are saved; versions published from now on name them.")
        return redirect("tool_lengths")
    context = {"pattern": None, "form": form}
    return render(request, "catalogue/yarns/tools.html", context, status=400 if form.errors else 200)


def _shade_form(yarn: Yarn, request: HttpRequest | None = None) -> ShadeForm:
    """The form that adds a shade, below the form of its yarn."""
    form = ShadeForm(request.POST if request else None, yarn=yarn, prefix="shade")
    form.helper.form_action = reverse("shade_add", args=[yarn.pk])
    return form


def _yarn_page(request: HttpRequest, yarn: Yarn, form: YarnForm, shade_form: ShadeForm) -> HttpResponse:
    """The page of a yarn, with what was typed."""
    shades = yarn.shades.order_by("name")
    context = {"pattern": None, "yarn": yarn, "form": form, "shade_form": shade_form, "shades": shades}
    status = 400 if form.errors or shade_form.errors else 200
    return render(request, "catalogue/yarns/yarn.html", context, status=status)
