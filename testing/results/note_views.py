"""A tester's own notes: written, changed, deleted."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from testing.access.requests import SignedInRequest, own_place_or_404, sent
from testing.models import Entry
from testing.results.entry_glances import Asked
from testing.results.forms import NoteForm
from testing.results.notes import change_note, delete_note, save_note
from testing.results.views import question_page


@form_page
@signed_in_required
def making_note(request: SignedInRequest, pk: int) -> HttpResponse:
    """Anything else: each note stands with its day beside those before it."""
    placement = own_place_or_404(request, pk)
    form = NoteForm(sent(request))
    if request.method == "POST" and form.is_valid():
        save_note(placement=placement, text=form.cleaned_data["text"])
        messages.success(request, "Thank you: your note has reached the studio.")
        return redirect("making", pk=pk)
    return question_page(request, placement, "testing/ask_note.html", form, Asked("note"))


@form_page
@signed_in_required
def making_note_change(request: SignedInRequest, pk: int, note: int) -> HttpResponse:
    """Other words of a note, or none."""
    placement = own_place_or_404(request, pk)
    found = get_object_or_404(Entry, result__placement=placement, part="note", pk=note)
    form = NoteForm(sent(request), initial={"text": found.typed.get("text", "")})
    if request.method == "POST" and form.is_valid():
        change_note(note=found, text=form.cleaned_data["text"])
        messages.success(request, "Sent.")
        return redirect("making", pk=pk)
    page = {"placement": placement, "call": placement.call, "note": found, "form": form}
    return render(request, "testing/note_change.html", page)


@require_POST
@signed_in_required
def making_note_delete(request: SignedInRequest, pk: int, note: int) -> HttpResponse:
    """Take a note back."""
    placement = own_place_or_404(request, pk)
    if found := Entry.objects.filter(result__placement=placement, part="note", pk=note).first():
        delete_note(note=found)
        messages.success(request, "The note is deleted.")
    return redirect("making", pk=pk)
