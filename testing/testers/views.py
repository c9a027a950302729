"""Testers across calls, for the designer alone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Person
from catalogue.studio.roles import designer_required
from testing.access.long_lists import page_of
from testing.access.requests import known_testers
from testing.access.selectors import open_calls
from testing.testers.forms import AskForm, NoteAboutForm
from testing.testers.testers import AskRefused, ask_again, find_testers, keep_note, records_of_testers

LONGEST_WORDS = 200


@require_safe
@designer_required
def testers(request: HttpRequest) -> HttpResponse:
    """Everybody who took a place: what they made and how reliably; found by words, page by page."""
    words = request.GET.get("words", "")[:LONGEST_WORDS].replace("\x00", "")
    size = request.GET.get("size", "")[:LONGEST_WORDS].replace("\x00", "")
    people = page_of(find_testers(words, size), request.GET.get("page", ""))
    asked = request.GET.urlencode()
    page = {
        "pattern": None,
        "words": words,
        "size": size,
        "people": people,
        "rows": [
            (record, NoteAboutForm(person=record.person, asked=asked, initial={"text": record.note}))
            for record in records_of_testers(people)
        ],
        "calls": list(open_calls().defer("version__record")),
    }
    return render(request, "testing/testers.html", page)


@require_POST
@designer_required
def tester_note(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a note."""
    person: Person = get_object_or_404(known_testers(), pk=pk)
    form = NoteAboutForm(request.POST, person=person)
    if form.is_valid():
        keep_note(person=person, text=form.cleaned_data["text"])
        messages.success(request, "The note is saved.")
    else:
        messages.error(request, "A note has at most 2,000 characters: please shorten it.")
    return _to_testers(request, person)


@require_POST
@designer_required
def tester_ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask somebody whether they would like to apply for another call."""
    person: Person = get_object_or_404(known_testers(), pk=pk)
    form = AskForm(request.POST, calls=open_calls())
    try:
        if form.is_valid():
            ask_again(person=person, call=form.cleaned_data["call"])
            messages.success(request, f"The e-mail to {person} is on its way.")
        else:
            messages.error(request, "Choose a call that is open for applications.")
    except AskRefused as refused:
        messages.error(request, str(refused))
    return _to_testers(request, person)


def _to_testers(request: HttpRequest, person: Person) -> HttpResponse:
    """Back to somebody on the page of testers, with what was asked for there."""
    asked = request.GET.urlencode()
    return redirect(f"{reverse('testers')}{'?' if asked else ''}{asked}#tester-{person.pk}")
