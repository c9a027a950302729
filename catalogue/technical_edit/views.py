"""The technical edit on the desk: queries, answers, sign-off, what changed since."""

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_POST

from catalogue.drafts.patterns import graded
from catalogue.drafts.requests import pattern_or_404
from catalogue.instructions.row_accounts import rows_read as rows_of
from catalogue.models import EditQuery, Pattern, Person
from catalogue.studio.requests import form_page, person_of, whole_number
from catalogue.studio.roles import designer_required, editor_required, is_editor, may_publish, studio_required
from catalogue.technical_edit.forms import AnswerForm, QueryForm, SignOffForm, WithdrawForm
from catalogue.technical_edit.left_open import left_open
from catalogue.technical_edit.query_rows import place_of_row, query_about, row_choices, step_anchor
from catalogue.technical_edit.settled import settled_of
from catalogue.technical_edit.signature_requests import asked_signatures
from catalogue.technical_edit.technical_edits import (
    CellsUnread,
    Reading,
    SignOffRefused,
    answer_query,
    ask,
    beside_sign_off,
    last_sign_off,
    last_signed,
    open_queries,
    settle_query,
    sign_off,
    state_of,
    state_record,
    whole_record,
    withdraw_sign_off,
    withdrawn_last,
)
from catalogue.technical_edit.unopened import Unopened, all_of, unopened
from catalogue.technical_edit.work_lists import (
    SHOWN,
    Progress,
    WorkStep,
    mark_read,
    read_seen,
    reading_progress,
    seen_cells,
    step_words,
    work_list,
    work_list_of_one_size,
)
from catalogue.versions.draft_glances import DraftMoved, draft_glance, since_page
from catalogue.versions.printed_changes import number_rows
from catalogue.versions.records import Record, canonical, read_record
from catalogue.versions.spots import spot_words, spots_of
from catalogue.versions.versions import current_release
from grading.grid.grid import place_label
from grading.sheets.documents import entries_of

TAB = "versions"
FIELDS_BESIDE = 10  # what the form of the work list sends beside its ticks, and some to spare


@form_page
@studio_required
def technical_edit(request: HttpRequest, slug: str) -> HttpResponse:
    """The round that is open: its queries, a form for a new one, the last sign-off."""
    pattern = pattern_or_404(request, slug)
    read = state_record(pattern)
    form = _query_form(request, pattern, read_record(canonical(read)), typed=request.POST or None)
    if request.method == "POST" and form.is_valid():
        place, about = query_about(pattern, form.cleaned_data)
        ask(pattern=pattern, place=place, asks=form.cleaned_data["asks"], by=person_of(request), about=about)
        messages.success(request, "The query is added.")
        return _back_to(slug, request.GET, step_anchor(place) or "queries")
    return _page(request, pattern, form, read)


@require_POST
@editor_required
def edit_read(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep all ticks of the work list as it was shown; “I read this size” and “I read this line” add theirs.

    Where they would tick steps that nobody unfolded, that is asked first. “Ask” goes on to a query.
    """
    pattern, person = pattern_or_404(request, slug), person_of(request)
    shown = read_seen(request.POST.get("seen", ""))
    ticked = {(key, size) for key, _, size in (one.partition("|") for one in request.POST.getlist("cell"))}
    added = all_of(shown, request.POST.get("all_size"), request.POST.get("all_step")) - ticked
    if person and added:
        left = unopened(pattern, person, shown, added, request.POST.getlist("opened"))
        sure = request.POST.get("sure", "")
        if left.cells and sure not in ("all", "opened"):
            return _ask_unopened(request, pattern, left)
        ticked |= added if sure != "opened" else added - left.cells
    if person is None or not shown:
        messages.error(request, "Nothing was saved: open the work list again, then tick what you have read.")
    elif mark_read(pattern=pattern, by=person, shown=shown, ticked=ticked):
        progress = reading_progress(pattern, person)
        messages.success(
            request, f"Your ticks are saved: {progress.read} of {progress.total} cells are read."
        )
    else:
        messages.error(request, "Some cells were changed meanwhile and are not ticked: read them again.")
    if place := request.POST.get("ask"):
        return _back_to(slug, request.POST, "ask", place=place)
    return _back_to(slug, request.POST, "work-list")


def _back_to(slug: str, sent: QueryDict, anchor: str, **more: str) -> HttpResponse:
    """Back to the page, with the steps and the size that were shown."""
    asked = {name: sent[name] for name in ("show", "size") if sent.get(name)} | more
    query = f"?{urlencode(asked)}" if asked else ""
    return redirect(f"{reverse('technical_edit', args=[slug])}{query}#{anchor}")


def _query_form(
    request: HttpRequest, pattern: Pattern, state: dict[str, Any], typed: QueryDict | None = None
) -> QueryForm:
    """The form of a query, about what the address names; a row says where it is."""
    initial: dict[str, Any] = {
        name: request.GET[name][:200] for name in ("place", "size", "row") if name in request.GET
    }
    if place := place_of_row(pattern, initial.get("row", "")):
        initial["place"] = place
    again = whole_number(request.GET.get("again", ""), otherwise=0)
    if former := open_queries(pattern).filter(pk=again).first() if again else None:
        initial |= {"again": former.pk, "is_blocking": former.is_blocking}
    return QueryForm(
        typed,
        initial=initial,
        places=[*spots_of(state), *_checks(state)],
        sizes=graded(pattern).sizes,
        rows=row_choices(pattern, initial.get("place", "")),
    )


def _checks(state: Record) -> list[tuple[str, Any]]:
    """The checks of a pattern as places of a query, in a group of their own."""
    document = state["pattern"]
    names = [f"checks.{name}" for name, _ in entries_of(document, "checks")]
    return [("Checks", [(one, place_label(document, one)) for one in names])] if names else []


@form_page
@designer_required
def query_answer(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Answer a query of the open round: the designer is asked, so nobody else answers."""
    pattern = pattern_or_404(request, slug)
    query = get_object_or_404(open_queries(pattern), pk=pk)
    form = AnswerForm(request.POST or None, initial={"answer": query.answer})
    if request.method == "POST" and form.is_valid():
        if not answer_query(query=query, answer=form.cleaned_data["answer"], by=person_of(request)):
            messages.error(request, "The round was signed off meanwhile: add the query again.")
        else:
            messages.success(request, "The answer is saved. The person who asked finds it among their tasks.")
        return _back_to(slug, request.GET, "queries")
    page = {
        "pattern": pattern,
        "tab": TAB,
        "query": query,
        "place": spot_words(query.place, _state(pattern)),
        "step": step_words(pattern, query.place, query.size),
        "form": form,
    }
    return render(request, "catalogue/technical_edit/answer.html", page)


@require_POST
@editor_required
def query_settle(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take the answer to a query as enough."""
    if settle_query(pattern=pattern_or_404(request, slug), pk=pk):
        messages.success(request, "The query is settled.")
    else:
        messages.error(request, "Nothing was changed: the query is settled already, or waits for an answer.")
    return _back_to(slug, request.POST, "queries")


@form_page
@editor_required
def edit_sign_off(request: HttpRequest, slug: str) -> HttpResponse:
    """The editor's signature: first what is still open, then the act; asked again while cells are unread."""
    pattern, person = pattern_or_404(request, slug), person_of(request)
    queries = list(open_queries(pattern))
    own = [one for one in queries if one.is_blocking and one.is_self_answered]
    form = SignOffForm(request.POST or None, asks_own=bool(own))
    since = None
    if request.method == "POST" and form.is_valid():
        progress, typed = reading_progress(pattern, person), {**form.cleaned_data}
        reading = Reading(progress.unread, typed.pop("unread") == progress.unread)
        try:
            sign_off(pattern=pattern, by=person, reading=reading, **typed)
        except CellsUnread:
            return _ask_again(request, pattern, form, progress)
        except DraftMoved as moved:
            since = moved.since
        except SignOffRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The technical edit is signed off.")
            return redirect("technical_edit", slug=slug)
    record = whole_record(pattern, getattr(request, "studio", None))
    signed = last_sign_off(pattern, record)
    form.carry(draft_glance(pattern, state_of(record), beside_sign_off(queries)))
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "open": left_open(pattern, record, person, queries),
        "signed": signed if signed and signed.is_fresh else None,
        **since_page(since),
    }
    return render(request, "catalogue/technical_edit/sign.html", page, status=409 if since else 200)


def _ask_unopened(request: HttpRequest, pattern: Pattern, left: Unopened) -> HttpResponse:
    """The page that asks whether to tick what was not opened, with all that was ticked by hand."""
    page = {
        "pattern": pattern,
        "tab": TAB,
        "left": left,
        "count": len(left.cells),
        "size": request.POST.get("all_size", ""),
        "sent": [
            (name, value)
            for name, values in request.POST.lists()
            for value in values
            if name not in ("csrfmiddlewaretoken", "sure")
        ],
    }
    return render(request, "catalogue/technical_edit/unopened.html", page)


def _ask_again(request: HttpRequest, pattern: Pattern, form: SignOffForm, progress: Progress) -> HttpResponse:
    """The page that asks whether to sign with cells unread, with all that was typed."""
    page = {
        "pattern": pattern,
        "tab": TAB,
        "typed": [(name, form.data.get(name, "")) for name in form.fields if name != "unread"],
        "progress": progress,
    }
    return render(request, "catalogue/technical_edit/sign_unread.html", page)


@form_page
@editor_required
def edit_withdraw(request: HttpRequest, slug: str) -> HttpResponse:
    """Take the last signature back, with a reason."""
    pattern = pattern_or_404(request, slug)
    signed = last_signed(pattern)
    form = WithdrawForm(request.POST or None, initial={"seen": signed.pk if signed else None})
    if request.method == "POST" and form.is_valid():
        if withdraw_sign_off(pattern=pattern, by=person_of(request), **form.cleaned_data):
            messages.success(
                request, "The sign-off is withdrawn. The designer sees why on the list of patterns."
            )
        else:
            messages.error(
                request, "Nothing was withdrawn: the sign-off that you saw is no longer the newest."
            )
        return redirect("technical_edit", slug=slug)
    page = {"pattern": pattern, "tab": TAB, "form": form, "signed": signed}
    return render(request, "catalogue/technical_edit/withdraw.html", page)


def _page(request: HttpRequest, pattern: Pattern, form: QueryForm, read: Record) -> HttpResponse:
    """Everything about the technical edit of a pattern, whose state was read."""
    state, signed = read_record(canonical(read)), last_sign_off(pattern, read)
    person, sizes = person_of(request), graded(pattern).sizes
    asked = list(asked_signatures(pattern))
    show, size = request.GET.get("show", ""), request.GET.get("size", "")
    listed = _sendable(pattern, person, show, size if size in sizes else "")
    steps, size = listed.steps, listed.size
    rounds = pattern.technical_edits.select_related("by", "withdrawn_by").defer("record").order_by("-pk")
    rounds = rounds.prefetch_related("queries__asked_by", "queries__answered_by")
    rows_read, rows_total = rows_of(graded(pattern))
    page = {
        "pattern": pattern,
        "tab": TAB,
        "form": form,
        "rows_read": rows_read,
        "rows_total": rows_total,
        "rows_unread": rows_total - rows_read,
        "asked_step": step_words(pattern, str(form["place"].value() or ""), str(form["size"].value() or "")),
        "asking": request.method == "POST" or any(name in request.GET for name in ("place", "row")),
        "steps": steps,
        "listed": listed,
        "seen": seen_cells(steps),
        "progress": reading_progress(pattern, person),
        "sizes": [size] if size else sizes,
        "all_sizes": sizes,
        "size": size,
        "show": show,
        "shown": SHOWN,
        "queries": _with_places(open_queries(pattern), state),
        "untested": import_string(settings.UNTESTED_SIZES)(pattern, sizes),
        "signed": signed,
        "withdrawn": withdrawn_last(pattern),
        "release": current_release(pattern),
        "changes": signed.changes if signed else None,
        "number_rows": number_rows(signed.changes, "both") if signed else [],
        "settled": settled_of(state["pattern"], graded(pattern)),
        "may_sign": is_editor(request.user),
        "may_publish": may_publish(request.user),
        "found_page": reverse(settings.IN_TEST_PAGE, args=[pattern.slug]),
        "asked": asked,
        "asked_of_others": [one.editor for one in asked]
        if person not in [one.editor for one in asked]
        else [],
        "earlier": [(one, _with_places(one.queries.all(), state)) for one in rounds],
    }
    return render(request, "catalogue/technical_edit/page.html", page)


def _with_places(queries: Iterable[EditQuery], state: Record) -> list[tuple[EditQuery, str]]:
    """Queries, each with its place in words as the pattern calls it now."""
    return [(one, spot_words(one.place, state)) for one in queries]


@dataclass(frozen=True)
class _Listed:
    """The steps of a work list that one form can send, of all sizes or of the one that is named."""

    steps: list[WorkStep]
    size: str
    is_one_size: bool
    left_out: int


def _sendable(pattern: Pattern, person: Person | None, show: str, size: str) -> _Listed:
    """The steps that are asked for; fewer of them where one form can't send all their ticks."""
    most = (settings.DATA_UPLOAD_MAX_NUMBER_FIELDS or sys.maxsize) - FIELDS_BESIDE
    steps = work_list(pattern, person, show, size)
    is_one_size = not size and sum(len(step.cells) for step in steps) > most
    if is_one_size:
        size, steps = work_list_of_one_size(pattern, person, show)
    count = len(steps)
    if sum(len(step.cells) for step in steps) > most:
        steps = steps[:most]
    return _Listed(steps, size, is_one_size, count - len(steps))


def _state(pattern: Pattern) -> dict[str, Any]:
    """The pattern as it stands, as a record is read."""
    return read_record(canonical(state_record(pattern)))
