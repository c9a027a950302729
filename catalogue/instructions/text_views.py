"""The instructions written as one text: shown, changed by buttons, previewed, read through, saved."""

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.drafts.edits import StaleRevision, standing_sheet
from catalogue.drafts.requests import pattern_or_404
from catalogue.drafts.saving import with_findings_link
from catalogue.instructions.requests import GONE, tell_stop
from catalogue.instructions.text_lines import MOST_LINES, TextLine, change_lines, read_lines
from catalogue.instructions.text_merging import MergedLine
from catalogue.instructions.text_pages import BLOCK_FIELDS, text_page
from catalogue.instructions.text_saving import TextRefused, merged_text, save_text, typed_now
from catalogue.instructions.text_words import typed_block
from catalogue.instructions.typed_choices import NumberGone, write_reference
from catalogue.models import Pattern
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import studio_required
from grading.core.formula.errors import PatternFileError

EDITION_FIELDS = ("size", "units", "terms", "hand")
TOO_LONG = (
    f"These instructions have more than {MOST_LINES} titles and steps, too many for one page: "
    "write them step by step here."
)


@form_page
@studio_required
def words_text(request: HttpRequest, slug: str) -> HttpResponse:
    """All sections and steps as one text, saved at once."""
    pattern = pattern_or_404(request, slug)
    if request.method == "POST":
        return _save(request, pattern, read_lines(request.POST))
    lines = typed_now(pattern)
    if len(lines) > MOST_LINES:
        messages.warning(request, TOO_LONG)
        return redirect("words", slug=slug)
    return _page(request, pattern, lines)


@require_POST
@studio_required
def words_text_change(request: HttpRequest, slug: str) -> HttpResponse:
    """The text as typed after a button: a line added, moved, taken out, or a number written as a name."""
    pattern = pattern_or_404(request, slug)
    sent = request.POST
    lines = read_lines(sent)
    lines = _with_reference(request, pattern, lines) if "number" in sent else lines
    core = standing_sheet(pattern).graded.pattern
    block = typed_block(core, *(sent.get(key, "") for key in BLOCK_FIELDS))
    lines, place = change_lines(lines, sent.get("act", ""), block)
    return _page(request, pattern, lines, focus=place)


@require_POST
@studio_required
def words_text_preview(request: HttpRequest, slug: str) -> HttpResponse:
    """What is typed as it prints, and what is found in it; nothing is stored."""
    pattern = pattern_or_404(request, slug)
    page = text_page(pattern, read_lines(request.POST), request.POST)
    return render(request, "catalogue/words/_text_answer.html", page)


@require_POST
@studio_required
def words_text_read(request: HttpRequest, slug: str) -> HttpResponse:
    """The whole text to be read through as printed; what is typed goes along."""
    pattern = pattern_or_404(request, slug)
    page = text_page(pattern, read_lines(request.POST), request.POST)
    return render(request, "catalogue/words/text_read.html", {**page, "revision": _revision(request.POST)})


def _save(request: HttpRequest, pattern: Pattern, lines: list[TextLine]) -> HttpResponse:
    """Save the text, or show it again with what hinders, or with what somebody else wrote."""
    revision, person = _revision(request.POST), person_of(request)
    try:
        try:
            difference = save_text(pattern=pattern, revision=revision, lines=lines, by=person)
        except StaleRevision:
            merged = merged_text(pattern, revision, lines)
            if merged is not None:
                return _merged_page(request, pattern, merged)
            now = pattern.sheet.revision
            difference = save_text(pattern=pattern, revision=now, lines=lines, by=person)
    except StaleRevision:
        messages.error(request, "Somebody else saved at the same moment: save again.")
        return _page(request, pattern, lines, status=409)
    except (TextRefused, PatternFileError):
        messages.error(request, "Nothing is saved yet: correct what is marked.")
        return _page(request, pattern, lines)
    says = f"The instructions are saved. {difference.of_words}"
    messages.success(request, with_findings_link(says, pattern.slug, difference))
    tell_stop(request, pattern)
    asked = {key: request.POST[key] for key in EDITION_FIELDS if request.POST.get(key)}
    return redirect(f"{reverse('words_text', args=[pattern.slug])}?{urlencode(asked)}")


def _merged_page(request: HttpRequest, pattern: Pattern, merged: Sequence[MergedLine]) -> HttpResponse:
    """Both texts put together, to be looked at and saved again."""
    messages.warning(
        request,
        "Somebody else saved first, so yours is not saved yet. Nothing is lost: both texts are merged below, "
        "and the other person’s lines are marked. Look at them and save again.",
    )
    lines = [one.line for one in merged]
    return _page(request, pattern, lines, merged=merged, status=409)


def _page(
    request: HttpRequest,
    pattern: Pattern,
    lines: Sequence[TextLine],
    *,
    merged: Sequence[MergedLine] = (),
    focus: int = -1,
    status: int = 200,
) -> HttpResponse:
    """The page to write on."""
    is_sent = request.method == "POST"
    page = {
        **text_page(pattern, lines, request.POST if is_sent else request.GET, merged),
        "revision": _revision(request.POST) if is_sent and not merged else pattern.sheet.revision,
        "focus": focus,
        "is_unsaved": is_sent,
        "last_edit": pattern.edits.filter(undone=False).select_related("by").first(),
    }
    return render(request, "catalogue/words/text.html", page, status=status)


def _with_reference(request: HttpRequest, pattern: Pattern, lines: list[TextLine]) -> list[TextLine]:
    """Write a value's name in place of a number, as a button sent it with the place of its line."""
    place, _, sent = request.POST["number"].partition("|")
    at = int(place) if place.isdecimal() and len(place) < 5 else len(lines)
    changed = list(lines)
    try:
        for line in lines[at : at + 1]:
            changed[at] = replace(line, text=write_reference(line.text, sent, pattern))
    except NumberGone:
        messages.error(request, GONE)
    return changed


def _revision(sent: QueryDict) -> int:
    """The revision that was seen; one that can't be read is older than all."""
    typed = sent.get("revision", "")
    return int(typed) if typed.isdecimal() and len(typed) < 10 else 0
