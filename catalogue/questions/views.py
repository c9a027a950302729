"""Pages of makers' questions: all of a pattern by place, one with its answer, and what was done about it."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.errata.errata import lead_question_to
from catalogue.models import MakerQuestion, Pattern, Version
from catalogue.questions.erasing import change_words, delete_question, erase_asker, remove_files_quoting
from catalogue.questions.forms import AnswerForm, OutcomeForm, QuestionForm, SameForm, ShowForm, WordsForm
from catalogue.questions.gains import asked_places
from catalogue.questions.pasted import telling_words
from catalogue.questions.questions import (
    QuestionRefused,
    answer_question,
    keep_question,
    lead_to,
    part_from_first,
    place_words,
)
from catalogue.questions.shown import LONGEST_QUESTION, hide_answer, show_answer
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required, is_designer, whole_studio_required
from catalogue.versions.records import frozen_record
from catalogue.versions.spots import numbered_step, spots_of

TAB = "selling"


@require_safe
@whole_studio_required
def questions(request: HttpRequest, slug: str) -> HttpResponse:
    """What makers asked, by place, the most asked first."""
    pattern = pattern_or_404(request, slug)
    page = {"pattern": pattern, "tab": TAB, "places": asked_places(pattern)}
    return render(request, "catalogue/questions/list.html", page)


@form_page
@whole_studio_required
def question_new(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep a question."""
    pattern = pattern_or_404(request, slug)
    version = _version_asked(request, pattern)
    if version is None:
        messages.info(request, "A question is about a version: publish one first.")
        return redirect("questions", slug=slug)
    form = QuestionForm(
        request.POST or None,
        pattern=pattern,
        spots=spots_of(frozen_record(version.record)),
        initial={"version": version.pk, "place": request.GET.get("place", "")},
        is_designer=is_designer(request.user),
    )
    if request.method == "POST" and form.is_valid():
        try:
            found = keep_question(pattern=pattern, **form.cleaned_data)
        except QuestionRefused as refusal:
            form.add_error("place", str(refusal))
        else:
            first = found.same_as
            answered = " It was answered before: copy the answer." if first and first.answer else ""
            messages.success(request, f"The question is saved.{_read_again(found)}{answered}")
            return redirect("question", slug=slug, pk=found.pk)
    page = {"pattern": pattern, "tab": TAB, "form": form}
    return render(request, "catalogue/questions/new.html", page, status=400 if form.errors else 200)


@require_safe
@whole_studio_required
def question(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """One question."""
    return _question_page(request, _question_or_404(request, slug, pk))


@require_POST
@whole_studio_required
def question_words(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Change the words that are kept of a question."""
    found, form = _question_or_404(request, slug, pk), WordsForm(request.POST)
    if not form.is_valid():
        return _question_page(request, found, words=form)
    says = form.cleaned_data["says"]
    if says == found.says or _without_words(request, found, lambda one: change_words(found=one, says=says)):
        found.says = says
        messages.success(request, f"The words are saved.{_read_again(found)}")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@whole_studio_required
def question_answer(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Answer a question, for all who ask the same."""
    found, form = _question_or_404(request, slug, pk), AnswerForm(request.POST)
    if not form.is_valid():
        return _question_page(request, found, answer=form)
    answer_question(question=found.same_as or found, answer=form.cleaned_data["answer"])
    messages.success(request, "The answer is saved. Copy it into your e-mail: Evenrow sends nothing here.")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@designer_required
def question_show(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Put a question and its answer on the page of its pattern."""
    found, form = _question_or_404(request, slug, pk), ShowForm(request.POST)
    if form.is_valid():
        try:
            show_answer(question=found.same_as or found, **form.cleaned_data)
        except QuestionRefused as refusal:
            form.add_error("shown_as", str(refusal))
        else:
            messages.success(request, "Question and answer are on the pattern’s page now.")
            return redirect("question", slug=slug, pk=pk)
    return _question_page(request, found, show=form)


@require_POST
@designer_required
def question_hide(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take a question and its answer off the page of its pattern."""
    found = _question_or_404(request, slug, pk)
    hide_answer(question=found.same_as or found)
    messages.success(request, "Question and answer are off the pattern’s page.")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@whole_studio_required
def question_outcome(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Say what was done about a question."""
    found = _question_or_404(request, slug, pk)
    form = OutcomeForm(request.POST, question=found)
    if not form.is_valid():
        return _question_page(request, found, outcome=form)
    lead_question_to(found, form.cleaned_data["erratum"])
    found.clearer_in = form.cleaned_data["clearer_in"]
    found.save(update_fields=["clearer_in"])
    messages.success(request, "It is saved. The list of questions shows whether it helped.")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@whole_studio_required
def question_same(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Say that a question is the same as another one."""
    found = _question_or_404(request, slug, pk)
    form = SameForm(request.POST, question=found)
    if not form.is_valid():
        return _question_page(request, found, same=form)
    lead_to(question=found, first=form.cleaned_data["same_as"])
    messages.success(request, "The two are merged into one question, with one answer.")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@whole_studio_required
def question_own(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Say that a question is one of its own after all."""
    part_from_first(_question_or_404(request, slug, pk))
    messages.success(request, "It is a separate question now. Check whether the answer still fits.")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@designer_required
def question_erase(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Forget who asked, and their words."""
    if _without_words(request, _question_or_404(request, slug, pk), erase_asker):
        messages.success(request, "Who asked and their words are erased. Place, day and answer stay.")
    return redirect("question", slug=slug, pk=pk)


@require_POST
@designer_required
def question_delete(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Delete a question."""
    if not _without_words(request, _question_or_404(request, slug, pk), delete_question):
        return redirect("question", slug=slug, pk=pk)
    messages.success(request, "The question is deleted.")
    return redirect("questions", slug=slug)


def _without_words(request: HttpRequest, found: MakerQuestion, done: Callable[[MakerQuestion], None]) -> bool:
    """Do what makes words of a question go, after the files that quote them; whether it could be done."""
    try:
        remove_files_quoting(found)
    except FilesOutOfReach as problem:
        messages.error(request, f"Nothing is changed yet: {problem}")
        return False
    done(found)
    return True


def _question_or_404(request: HttpRequest, slug: str, pk: int) -> MakerQuestion:
    """A question of a pattern that the person may work on."""
    known = MakerQuestion.objects.select_related("version", "pattern", "same_as", "erratum", "clearer_in")
    large = ("clearer_in__record",)
    return get_object_or_404(known.defer(*large), pattern=pattern_or_404(request, slug), pk=pk)


def _read_again(found: MakerQuestion) -> str:
    """What to look at in the kept words of a question."""
    told = telling_words(found.says, [found.pattern.title, place_words(found)])
    if not told:
        return " Check that the words don’t show who asked."
    named = ", ".join(f"“{one}”" for one in told)
    return f" Check that the words don’t show who asked. This looks like a name or a number: {named}."


def _version_asked(request: HttpRequest, pattern: Pattern) -> Version | None:
    """The version that is asked about: as chosen, else the newest release, else the newest of all."""
    published = pattern.versions.filter(state="published").order_by("-major", "-minor")
    chosen = request.POST.get("version", "")
    if chosen.isascii() and chosen.isdigit() and (known := published.filter(pk=int(chosen[:18])).first()):
        return known
    return published.filter(kind="release").first() or published.first()


def _question_page(request: HttpRequest, found: MakerQuestion, **typed: forms.Form) -> HttpResponse:
    """The page of a question, with what was typed."""
    first = found.same_as or found
    shown: dict[str, Any] = {
        "words": WordsForm(initial={"says": found.says}),
        "answer": AnswerForm(initial={"answer": first.answer}),
        "outcome": OutcomeForm(question=found),
        "same": SameForm(question=found),
        "show": ShowForm(initial={"shown_as": first.shown_as or first.says[:LONGEST_QUESTION]}),
        **typed,
    }
    for name, form in shown.items():
        form.helper.form_action = reverse(f"question_{name}", args=[found.pattern.slug, found.pk])
    page = {
        "pattern": found.pattern,
        "tab": TAB,
        "question": found,
        "first": first,
        "where": place_words(found),
        "is_step": numbered_step(found.place) is not None,
        "again": first.again.select_related("version").defer("version__record"),
        "others": bool(shown["same"].fields["same_as"].choices),
        **{f"{name}_form": form for name, form in shown.items()},
    }
    status = 400 if any(form.errors for form in shown.values()) else 200
    return render(request, "catalogue/questions/question.html", page, status=status)
