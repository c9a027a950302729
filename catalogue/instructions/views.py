"""The words page: sections and steps on the left, the page as printed on the right."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.edits import StaleRevision
from catalogue.drafts.patterns import read_core
from catalogue.drafts.requests import pattern_or_404
from catalogue.drafts.saving import with_findings_link
from catalogue.instructions import sections as services
from catalogue.instructions.forms import SectionForm
from catalogue.instructions.printed import words_page
from catalogue.instructions.requests import GONE, NONE, TAB, entry_or_404, save_words
from catalogue.instructions.sections import NoSuchPlace, sections_of
from catalogue.instructions.typed_choices import NumberGone
from catalogue.models import Pattern
from catalogue.studio.requests import form_page, person_of, whole_number
from catalogue.studio.roles import studio_required
from grading.sheets.differences import Difference

STALE = "Somebody else changed this pattern meanwhile, so nothing was done: look at it again."


@require_safe
@studio_required
def words(request: HttpRequest, slug: str) -> HttpResponse:
    """All sections and steps, typed and printed."""
    pattern = pattern_or_404(request, slug)
    page = {"pattern": pattern, "tab": TAB, **words_page(pattern, request.GET)}
    return render(request, "catalogue/words/words.html", page)


@form_page
@studio_required
def section_add(request: HttpRequest, slug: str) -> HttpResponse:
    """Put a new section at the end."""
    pattern = pattern_or_404(request, slug)
    initial = {"revision": pattern.sheet.revision}
    form = SectionForm(request.POST or None, initial=initial, options=read_core(pattern).options)
    if request.method == "POST" and form.is_valid():
        service = partial(services.add_section, title=form.cleaned_data["title"], when=form.when())
        return save_words(request, pattern, form, service, _form_page, theirs="")
    return _form_page(request, pattern, form, heading="New section")


@form_page
@studio_required
def section(request: HttpRequest, slug: str, section: int) -> HttpResponse:
    """A section's title and condition."""
    pattern = pattern_or_404(request, slug)
    typed = entry_or_404(sections_of(pattern), section)
    form = SectionForm(
        request.POST or None, initial=_section_initial(pattern, typed), options=read_core(pattern).options
    )
    if request.method == "POST" and form.is_valid():
        details = {"section": section - 1, "title": form.cleaned_data["title"], "when": form.when()}
        service = partial(services.change_section, **details)
        return save_words(request, pattern, form, service, _form_page, theirs=typed["title"])
    return _form_page(request, pattern, form, heading=f"Section “{typed['title']}”")


@require_POST
@studio_required
def section_delete(request: HttpRequest, slug: str, section: int) -> HttpResponse:
    """Take a section out."""
    return _act(request, slug, services.delete_section, section=section - 1)


@require_POST
@studio_required
def section_up(request: HttpRequest, slug: str, section: int) -> HttpResponse:
    """Move a section up."""
    return _act(request, slug, services.move_section, section=section - 1, direction="up")


@require_POST
@studio_required
def section_down(request: HttpRequest, slug: str, section: int) -> HttpResponse:
    """Move a section down."""
    return _act(request, slug, services.move_section, section=section - 1, direction="down")


@require_POST
@studio_required
def step_delete(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Take a step out."""
    return _act(request, slug, services.delete_step, section=section - 1, step=step - 1)


@require_POST
@studio_required
def step_number(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Write a value's name in place of a number typed in a step."""
    sent = request.POST.get("number", "")
    return _act(request, slug, services.write_value, section=section - 1, step=step - 1, sent=sent)


@require_POST
@studio_required
def step_up(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Move a step up."""
    return _act(request, slug, services.move_step, section=section - 1, step=step - 1, direction="up")


@require_POST
@studio_required
def step_down(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Move a step down."""
    return _act(request, slug, services.move_step, section=section - 1, step=step - 1, direction="down")


def _act(request: HttpRequest, slug: str, service: Callable[..., Difference], **details: Any) -> HttpResponse:
    """Do what a button asks for, unless somebody else was first."""
    pattern = pattern_or_404(request, slug)
    revision = whole_number(request.POST.get("revision", ""), otherwise=NONE)
    try:
        difference = service(pattern=pattern, revision=revision, by=person_of(request), **details)
        says = f"The instructions are changed. {difference.of_words}"
        messages.success(request, with_findings_link(says, pattern.slug, difference))
    except StaleRevision:
        messages.error(request, STALE)
    except NumberGone:
        messages.error(request, GONE)
    except NoSuchPlace:
        raise Http404 from None
    return redirect("words", slug=slug)


def _form_page(
    request: HttpRequest,
    pattern: Pattern,
    form: SectionForm,
    *,
    heading: str,
    theirs: str | None = None,
    status: int = 200,
) -> HttpResponse:
    """A form of the words."""
    page = {"pattern": pattern, "tab": TAB, "form": form, "heading": heading, "theirs": theirs}
    return render(request, "catalogue/words/form.html", page, status=status)


def _section_initial(pattern: Pattern, typed: dict[str, Any]) -> dict[str, Any]:
    """A section as its form shows it."""
    when = typed.get("when") or {}
    chosen = {f"when_{name}": [one] if isinstance(one, str) else one for name, one in when.items()}
    return {"revision": pattern.sheet.revision, "title": typed["title"], **chosen}
