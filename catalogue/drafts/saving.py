"""What every page does that edits a pattern: save, say what changed, or show that another edit came first."""

from typing import Any, Protocol

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import StaleRevision, edit_document, standing_sheet
from catalogue.drafts.saved_notes import saved_notes
from catalogue.models import Person
from grading.core.pattern.parts import label_of
from grading.sheets.differences import Difference
from grading.sheets.documents import PARTS, Document, entries_of
from grading.sheets.kept_sheets import KeptSheet


class EditForm(Protocol):
    """A form that holds the document as it shall be, once it is valid."""

    document: Document
    cleaned_data: dict[str, Any]
    data: Any


def signed_in_person(request: HttpRequest) -> Person:
    """The person signed in; views call it behind a gate."""
    if not isinstance(request.user, Person):
        raise TypeError("Only people who are signed in get here.")
    return request.user


def save(
    request: HttpRequest, draft: Draft, form: EditForm, template: str, context: dict[str, Any], back: str
) -> HttpResponse:
    """Store what a valid form stands for and go back, or answer 409 with both edits and what was typed."""
    revision, before = form.cleaned_data["revision"], draft.standing
    try:
        difference = edit_document(
            pattern=draft.pattern, revision=revision, document=form.document, by=signed_in_person(request)
        )
    except StaleRevision as stale:
        return stale_page(request, draft, form, template, {**context, "their_edits": stale.edits})
    says = _saved(form, difference, draft.document)
    messages.success(request, with_findings_link(says, draft.pattern.slug, difference))
    for note in getattr(form, "said_when_saved", list)():
        messages.warning(request, note)
    tell_notes(request, before, standing_sheet(draft.pattern))
    return redirect(back)


def tell_notes(request: HttpRequest, before: KeptSheet, after: KeptSheet) -> None:
    """Say what is worth a look after an edit."""
    for note in saved_notes(before, after, getattr(request.user, "units", "cm")):
        messages.warning(request, note)


def _saved(form: EditForm, difference: Difference, before: Document) -> str:
    """What was saved: entries that are new by their names, then what changed in the numbers."""
    after, own = form.document, getattr(form, "renamed_says", "") or getattr(form, "saved_says", "")
    if own:
        return str(own)
    parts = [part for part in PARTS if part != "sizes" and after.get(part) is not before.get(part)]
    known = {part: {name for name, _ in entries_of(before, part)} for part in parts}
    new = [
        str(label_of({"name": name, **entry}))
        for part in parts
        for name, entry in entries_of(after, part)
        if name not in known[part]
    ]
    if not new:
        return difference.own_sentence
    named = new[0] if len(new) == 1 else f"{len(new)} entries"
    added = f"{named} {'is' if len(new) == 1 else 'are'} added."
    if difference.is_quiet:
        return f"{added} Nothing else changes yet." if "options" in parts else added
    return f"{added} {difference.own_sentence}"


def with_findings_link(says: str, slug: str, difference: Difference) -> str:
    """What is said after an edit; where findings are new, with the place that lists all of them."""
    if not difference.new_findings:
        return says
    return format_html('{} <a href="{}#findings">See all findings</a>', says, reverse("sheet", args=[slug]))


def stale_page(
    request: HttpRequest, draft: Draft, form: EditForm, template: str, context: dict[str, Any]
) -> HttpResponse:
    """Show the form again with what was typed, what the others did, and a token for saving on top of it."""
    now = open_draft(request.user, draft.pattern.slug)
    typed = form.data.copy()
    typed["revision"] = now.revision
    form.data = typed
    return render(request, template, {**context, "now": now}, status=409)


def errors_of(form: Form) -> list[str]:
    """All errors of a form as sentences with the label of their field."""
    return [
        format_html("{}: {}", form.fields[name].label, says)
        if name in form.fields and form.fields[name].label
        else format_html("{}", says)
        for name, sayings in form.errors.items()
        for says in sayings
    ]
