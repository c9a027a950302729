"""Notices to holders: looked at, sent, watched."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.holders.forms import NoticeForm
from catalogue.holders.notices import (
    NoticeLetter,
    drop_notice,
    end_notice,
    is_stalled,
    join_drafts,
    letters_of,
    notice_glance,
    notice_progress,
    other_drafts,
    recipients,
    refused_letters,
    set_right_all,
    untold_holders,
)
from catalogue.holders.sending import resume_notice, start_notice, tell_newcomers
from catalogue.models import Holder, Notice
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.requests import person_of
from catalogue.studio.roles import is_designer, publisher_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance

SHOWN = 50
MOST_DRAFTS = 3  # others that are told of; all are put together
MOST_LISTED = 500  # of a long list of holders; all are on the page Holders


@require_safe
@publisher_required
def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """A notice: its letters as drafted, or how far it is."""
    return _notice_page(request, _notice_or_404(pk), NoticeForm())


@require_POST
@publisher_required
def notice_preview(request: HttpRequest, pk: int) -> HttpResponse:
    """The letters with words of the studio's own; nothing is stored."""
    return _notice_page(request, _notice_or_404(pk), NoticeForm(request.POST))


@require_POST
@publisher_required
def notice_send(request: HttpRequest, pk: int) -> HttpResponse:
    """Have it sent."""
    found, form = _notice_or_404(pk), NoticeForm(request.POST)
    if not form.is_valid():
        return _notice_page(request, found, form)
    try:
        is_first = start_notice(notice=found, by=person_of(request), **form.cleaned_data)
    except Moved as moved:
        return _notice_page(request, found, form, moved.entries)
    if not is_first:
        messages.info(request, "This notice was sent or dropped already.")
    return redirect("notice", pk=pk)


@require_POST
@publisher_required
def notice_resume(request: HttpRequest, pk: int) -> HttpResponse:  # noqa: ARG001 the shape of a view
    """Go on with one that stands still."""
    resume_notice(notice=_notice_or_404(pk))
    return redirect("notice", pk=pk)


@require_POST
@publisher_required
def notice_end(request: HttpRequest, pk: int) -> HttpResponse:  # noqa: ARG001 the shape of a view
    """Leave those out whose letter does not go."""
    end_notice(notice=_notice_or_404(pk))
    return redirect("notice", pk=pk)


@require_POST
@publisher_required
def notice_right(request: HttpRequest, pk: int) -> HttpResponse:
    """Set everybody right whose letter was refused."""
    count = set_right_all(notice=_notice_or_404(pk))
    messages.success(request, f"Set right: {count} holder{'' if count == 1 else 's'}.")
    return redirect("notice", pk=pk)


@require_POST
@publisher_required
def notice_newcomers(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell those who became holders since it was sent."""
    if not tell_newcomers(notice=_notice_or_404(pk)):
        messages.info(request, "This notice is being sent already.")
    return redirect("notice", pk=pk)


@require_POST
@publisher_required
def notice_join(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the drafts for holders of its pattern into one, whose letters are then looked at."""
    found = _notice_or_404(pk)
    if not other_drafts(found):
        messages.info(request, "There is no other draft to put together with this one.")
        return redirect("notice", pk=pk)
    newest = join_drafts(notice=found)
    messages.success(request, "The drafts are one now. Look at each e-mail, then send.")
    return redirect("notice", pk=newest.pk)


@require_POST
@publisher_required
def notice_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell nobody."""
    found = _notice_or_404(pk)
    try:
        drop_notice(notice=found, seen=sent_glance(request))
    except Moved as moved:
        return _notice_page(request, found, NoticeForm(), moved.entries)
    return redirect("notice", pk=pk)


def _notice_page(
    request: HttpRequest, found: Notice, form: NoticeForm, moved: Sequence[EntryChange] = ()
) -> HttpResponse:
    """A notice with its letters and its progress."""
    words = form.cleaned_data["words"] if form.is_bound and form.is_valid() else found.words
    letters, seen = _kept_letters(found), ""
    if found.state == "draft":
        plain = letters_of(found, words="")
        letters = letters_of(found, words) if words else plain
        seen = written_glance(notice_glance(found, plain))
    page = {
        "pattern": None,
        "notice": found,
        "form": form,
        "letters": letters,
        "holders": sum(one.holders for one in letters),
        "others": _with_both(other_drafts(found), letters),
        "recipients": _shown_recipients(request, found, letters),
        "progress": notice_progress(found),
        "is_stalled": is_stalled(found),
        "refused": refused_letters(found)[:SHOWN],
        "newcomers": untold_holders(found).count() if found.state == "sent" else 0,
        "seen": seen,
        "moved": moved,
    }
    form.carry(seen)
    refused = form.is_bound and not form.is_valid()
    status = 409 if moved else 400 if refused else 200
    return render(request, "catalogue/holders/notice.html", page, status=status)


def _with_both(others: Sequence[Notice], letters: Sequence[NoticeLetter]) -> list[tuple[Notice, int]]:
    """Other drafts for holders of the pattern, each with how many holders would get an e-mail of both."""
    holders = {one.number: one.holders for one in letters}
    numbers = {other: [one.number for one in letters_of(other)] for other in others[:MOST_DRAFTS]}
    return [(other, sum(holders.get(one, 0) for one in of)) for other, of in numbers.items()]


def _shown_recipients(
    request: HttpRequest, found: Notice, letters: Sequence[NoticeLetter]
) -> list[tuple[str, int, list[Holder]]]:
    """Who gets each letter of a draft, for designers: version, how many, and the first of them."""
    if found.state != "draft" or not is_designer(request.user):
        return []
    listed = recipients(found, [one.number for one in letters])
    return [(number, len(of), of[:MOST_LISTED]) for number, of in listed.items() if of]


def _kept_letters(found: Notice) -> list[NoticeLetter]:
    """The letters as they were sent."""
    return [NoticeLetter(number, *written[:3]) for number, written in found.letters.items()]


def _notice_or_404(pk: int) -> Notice:
    """A notice."""
    return get_object_or_404(Notice.objects.select_related("version__pattern"), pk=pk)
