"""Steps of the words: writing one beside the page as printed, drafts that keep themselves."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.drafts.edits import StaleRevision, edit_document
from catalogue.drafts.patterns import read_core
from catalogue.drafts.requests import pattern_or_404
from catalogue.instructions import sections as services
from catalogue.instructions.forms import StepForm
from catalogue.instructions.requests import GONE, NONE, TAB, entry_or_404, save_words
from catalogue.instructions.sections import sections_of
from catalogue.instructions.step_editor import (
    drop_draft,
    find_draft,
    keep_draft,
    preview_step,
    step_editor,
    typed_account,
)
from catalogue.instructions.step_shapings import shaping_form, write_at
from catalogue.instructions.typed_choices import NumberGone, write_reference
from catalogue.models import Pattern, Person
from catalogue.studio.requests import form_page, person_of, whole_number
from catalogue.studio.roles import studio_required
from grading.core.instructions.steps import LONGEST_STEP
from grading.sheets.differences import Difference

NEW = 0


@form_page
@studio_required
def step_add(request: HttpRequest, slug: str, section: int) -> HttpResponse:
    """Put a new step at the end of a section."""
    return _step(request, slug, section, NEW)


@form_page
@studio_required
def step(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """The words of a step."""
    if step == NEW:
        raise Http404
    return _step(request, slug, section, step)


@require_POST
@studio_required
def step_preview(request: HttpRequest, slug: str, section: int) -> HttpResponse:
    """How what is typed prints, and what is found in it; nothing is stored."""
    pattern = pattern_or_404(request, slug)
    text = _typed(request.POST.get("text", ""))
    shown = preview_step(pattern=pattern, section=section - 1, text=text, query=request.POST)
    number = whole_number(request.POST.get("step", ""), otherwise=NEW)
    shown["fill_address"] = reverse("step_fill", kwargs={"slug": slug, "section": section, "step": number})
    shown |= typed_account(pattern=pattern, section=section - 1, step=number - 1, text=text)
    return render(request, "catalogue/words/_typing.html", {**shown, "slug": slug})


@require_POST
@studio_required
def step_fill(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Write a value's name in place of a number in what is being typed, which is kept and not saved yet."""
    pattern = pattern_or_404(request, slug)
    typed = entry_or_404(sections_of(pattern), section)
    if step != NEW:
        entry_or_404(typed["steps"], step)
    data = request.POST.copy()
    try:
        data["text"] = write_reference(_typed(data.get("text", "")), data.get("number", ""), pattern)
        _keep(request, pattern, _place(section, step), data)
        messages.success(request, "It is in the text now: save the step to keep it.")
    except NumberGone:
        messages.error(request, GONE)
    return _page(request, pattern, StepForm(data, pattern=read_core(pattern)), heading=_heading(typed, step))


@require_POST
@studio_required
def step_shaping(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Make a shaping from what is typed beside a step, and write its reference into the text."""
    pattern = pattern_or_404(request, slug)
    typed = entry_or_404(sections_of(pattern), section)
    if step != NEW:
        entry_or_404(typed["steps"], step)
    data, shaping = request.POST.copy(), shaping_form(pattern, request.POST)
    try:
        if shaping.is_valid():
            revision = shaping.cleaned_data["revision"]
            edit_document(
                pattern=pattern, revision=revision, document=shaping.document, by=person_of(request)
            )
            text = _typed(data.get("text", ""))
            data["text"] = write_at(text, data.get("caret", ""), f"{{{shaping.new_name}}}")
            data["revision"] = str(pattern.sheet.revision)
            _keep(request, pattern, _place(section, step), data)
            messages.success(request, "The shaping is made and is in the text now: save the step to keep it.")
            shaping = shaping_form(pattern)
    except StaleRevision:
        messages.error(request, "Somebody else edited this pattern meanwhile: press the button again.")
        data["revision"] = str(pattern_or_404(request, slug).sheet.revision)
    return _page(
        request,
        pattern,
        StepForm(data, pattern=read_core(pattern)),
        heading=_heading(typed, step),
        shaping=shaping,
    )


@require_POST
@studio_required
def step_draft(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Keep what is being typed."""
    pattern = pattern_or_404(request, slug)
    if _keep(request, pattern, _place(section, step), request.POST):
        return HttpResponse(status=204)
    return HttpResponse(f"At most {LONGEST_STEP:,} characters fit here.", status=400)


def _keep(request: HttpRequest, pattern: Pattern, place: str, sent: QueryDict) -> bool:
    """Keep what was sent of a step as a draft; return whether it could be kept."""
    person = person_of(request)
    text, revision = _typed(sent.get("text", "")), whole_number(sent.get("revision", ""), otherwise=NONE)
    if person is None or revision == NONE or len(text) > LONGEST_STEP:
        return False
    keep_draft(pattern=pattern, by=person, place=place, revision=revision, text=text)
    return True


@require_POST
@studio_required
def step_draft_drop(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Throw a draft away."""
    pattern = pattern_or_404(request, slug)
    drop_draft(pattern=pattern, by=person_of(request), place=_place(section, step))
    messages.success(request, "Your unsaved text is deleted.")
    return redirect("words", slug=slug)


def _step(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """The form of a step, new or known."""
    pattern = pattern_or_404(request, slug)
    typed = entry_or_404(sections_of(pattern), section)
    text = "" if step == NEW else entry_or_404(typed["steps"], step)
    draft = find_draft(pattern=pattern, by=person_of(request), place=_place(section, step), text=text)
    shown = draft.text if draft and request.GET.get("draft") == "take" else text
    initial = {"revision": pattern.sheet.revision, "text": shown}
    form = StepForm(request.POST or None, pattern=read_core(pattern), initial=initial)
    if request.method == "POST" and form.is_valid():
        service = partial(_store_step, section=section, step=step, text=form.cleaned_data["text"])
        return save_words(request, pattern, form, service, _page, theirs=text)
    draft = None if shown != text else draft
    return _page(request, pattern, form, heading=_heading(typed, step), draft=draft)


def _heading(section: dict[str, Any], step: int) -> str:
    """What the page of a step is called."""
    return f"New step in “{section['title']}”" if step == NEW else f"{section['title']}, step {step}"


def _store_step(*, section: int, step: int, by: Person | None, **words: Any) -> Difference:
    """Store the words of a step, and throw its draft away."""
    if step == NEW:
        difference = services.add_step(section=section - 1, by=by, **words)
    else:
        difference = services.change_step(section=section - 1, step=step - 1, by=by, **words)
    drop_draft(pattern=words["pattern"], by=by, place=_place(section, step))
    return difference


def _page(
    request: HttpRequest,
    pattern: Pattern,
    form: StepForm,
    *,
    heading: str,
    status: int = 200,
    **beside: Any,
) -> HttpResponse:
    """The form of a step with the page as printed; `beside` it may stand `theirs`, `draft` and `shaping`."""
    text = _typed(str(form["text"].value() or ""))
    section, step = _numbers(request)
    parts = {"slug": pattern.slug, "section": section}
    query: QueryDict = request.POST if request.method == "POST" else request.GET
    form.helper.form_tag = False
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "heading": heading,
        "theirs": None,
        "draft": None,
        "draft_key": f"{pattern.pk} {_place(section, step)}",
        "draft_address": reverse("step_draft", kwargs={**parts, "step": step}),
        "draft_drop": reverse("step_draft_drop", kwargs={**parts, "step": step}),
        "preview_address": reverse("step_preview", kwargs=parts),
        "fill_address": reverse("step_fill", kwargs={**parts, "step": step}),
        "save_address": reverse("step_add", kwargs=parts)
        if step == NEW
        else reverse("step", kwargs={**parts, "step": step}),
        "step": step,
        "slug": pattern.slug,
        **typed_account(pattern=pattern, section=section - 1, step=step - 1, text=text),
        "shaping": shaping_form(pattern),
        "shaping_address": reverse("step_shaping", kwargs={**parts, "step": step}),
        **step_editor(pattern=pattern, section=section - 1, text=text, query=query),
        **beside,
    }
    return render(request, "catalogue/words/step.html", page, status=status)


def _numbers(request: HttpRequest) -> tuple[int, int]:
    """Section and step that the address names; a new step is number 0."""
    parts = request.resolver_match.kwargs if request.resolver_match else {}
    return parts.get("section", 0), parts.get("step", NEW)


def _place(section: int, step: int) -> str:
    """Where the draft of a step is kept."""
    return f"{section}.{step}"


def _typed(text: str) -> str:
    """Browsers send line ends of their own: a pattern file has plain ones."""
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "").rstrip()
