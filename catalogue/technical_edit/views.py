"""The technical edit on the desk: queries, answers, sign-off, what changed since."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.drafts.patterns import graded
from catalogue.drafts.requests import pattern_or_404
from catalogue.models import Pattern
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import editor_required, is_editor, studio_required
from catalogue.technical_edit.forms import AnswerForm, QueryForm, SignOffForm
from catalogue.technical_edit.technical_edits import (
    SignOffRefused,
    answer_query,
    ask,
    beside_sign_off,
    last_sign_off,
    open_queries,
    sign_off,
    state_record,
)
from catalogue.technical_edit.work_lists import SHOWN, mark_read, query_about, row_choices, work_list
from catalogue.versions.draft_glances import DraftMoved, Since, draft_glance, since_page
from catalogue.versions.printed_changes import number_rows
from catalogue.versions.records import canonical, read_record
from catalogue.versions.spots import spot_words, spots_of

TAB = "versions"


@form_page
@studio_required
def technical_edit(request: HttpRequest, slug: str) -> HttpResponse:
    """The round that is open: its queries, a form for a new one, the last sign-off."""
    pattern = pattern_or_404(request, slug)
    form = _query_form(request, pattern, _state(pattern), typed=request.POST or None)
    if request.method == "POST" and form.is_valid():
        place, about = query_about(pattern, form.cleaned_data)
        ask(pattern=pattern, place=place, asks=form.cleaned_data["asks"], by=person_of(request), about=about)
        messages.success(request, "The query is written down.")
        return redirect("technical_edit", slug=slug)
    return _page(request, pattern, form=form)


@require_POST
@editor_required
def edit_read(request: HttpRequest, slug: str, section: int, step: int) -> HttpResponse:
    """Tick the sizes of a step that were read."""
    pattern, person = pattern_or_404(request, slug), person_of(request)
    sent = [one.rpartition("|") for one in request.POST.getlist("cell")]
    seen = {size: digest for size, _, digest in sent}
    if person and not mark_read(pattern=pattern, by=person, section=section, step=step, seen=seen):
        messages.error(request, "Something of this step was changed meanwhile: read it again.")
    show = request.POST.get("show", "")
    asked = f"?show={show}" if show in SHOWN and show else ""
    return redirect(f"{reverse('technical_edit', args=[slug])}{asked}#s{section}-{step}")


def _query_form(
    request: HttpRequest, pattern: Pattern, state: dict[str, Any], typed: QueryDict | None = None
) -> QueryForm:
    """The form of a query, about what the address names."""
    initial = {name: request.GET[name][:200] for name in ("place", "size", "row") if name in request.GET}
    return QueryForm(
        typed,
        initial=initial,
        places=spots_of(state),
        sizes=graded(pattern).sizes,
        rows=row_choices(pattern),
    )


@form_page
@studio_required
def query_answer(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Answer a query of the open round."""
    pattern = pattern_or_404(request, slug)
    query = get_object_or_404(open_queries(pattern), pk=pk)
    form = AnswerForm(request.POST or None, initial={"answer": query.answer})
    if request.method == "POST" and form.is_valid():
        if not answer_query(query=query, answer=form.cleaned_data["answer"], by=person_of(request)):
            messages.error(request, "The round was signed off meanwhile: ask the query anew.")
        return redirect("technical_edit", slug=slug)
    page = {
        "pattern": pattern,
        "tab": TAB,
        "query": query,
        "place": spot_words(query.place, _state(pattern)),
        "form": form,
    }
    return render(request, "catalogue/technical_edit/answer.html", page)


@form_page
@editor_required
def edit_sign_off(request: HttpRequest, slug: str) -> HttpResponse:
    """The editor's signature."""
    pattern = pattern_or_404(request, slug)
    form = SignOffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            sign_off(pattern=pattern, by=person_of(request), **form.cleaned_data)
        except DraftMoved as moved:
            return _page(request, pattern, signing=form, since=moved.since)
        except SignOffRefused as refusal:
            messages.error(request, str(refusal))
        else:
            messages.success(request, "The technical edit is signed off.")
            return redirect("technical_edit", slug=slug)
    return _page(request, pattern, signing=form if request.method == "POST" else None)


def _page(
    request: HttpRequest,
    pattern: Pattern,
    form: QueryForm | None = None,
    signing: SignOffForm | None = None,
    since: Since | None = None,
) -> HttpResponse:
    """Everything about the technical edit of a pattern; the signature is under what this page shows."""
    read = state_record(pattern)
    state, signed = read_record(canonical(read)), last_sign_off(pattern, read)
    show = request.GET.get("show", "")
    signing = signing or SignOffForm()
    signing.carry(draft_glance(pattern, read, beside_sign_off(pattern)))
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form or _query_form(request, pattern, state),
        "steps": work_list(pattern, person_of(request), show),
        "sizes": graded(pattern).sizes,
        "show": show,
        "shown": SHOWN,
        "signing": signing,
        **since_page(since),
        "queries": [(one, spot_words(one.place, state)) for one in open_queries(pattern)],
        "signed": signed,
        "changes": signed.changes if signed else None,
        "number_rows": number_rows(signed.changes, "both") if signed else [],
        "may_sign": is_editor(request.user),
        "earlier": pattern.technical_edits.select_related("by").prefetch_related("queries").order_by("-pk"),
    }
    return render(request, "catalogue/technical_edit/page.html", page, status=409 if since else 200)


def _state(pattern: Pattern) -> dict[str, Any]:
    """The pattern as it stands, as a record is read."""
    return read_record(canonical(state_record(pattern)))
