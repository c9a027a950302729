"""Notices to holders: looked at, sent, watched."""

from collections.abc import Sequence

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.holders.forms import NoticeForm
from catalogue.holders.joined_drafts import below_each_other, join_drafts, other_drafts, that_took_over
from catalogue.holders.notice_letters import NoticeLetter
from catalogue.holders.notice_names import named_notices, not_told, told_before
from catalogue.holders.notices import (
    drop_notice,
    end_notice,
    is_stalled,
    letters_of,
    notice_glance,
    notice_progress,
    recipients,
    refused_letters,
    releases_of,
    set_right_all,
    undecided,
    untold_holders,
)
from catalogue.holders.sending import resume_notice, start_notice, tell_newcomers
from catalogue.models import Holder, Notice
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.requests import person_of
from catalogue.studio.roles import is_designer, publisher_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from grading.core.printing.wording import listed

SHOWN = 50
MOST_DRAFTS = 3  # others that are told of; all are put together
MOST_LISTED = 500  # of a long list of holders; all are on the page Holders


@require_safe
@publisher_required
def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """A notice: its letters as drafted, or how far it is; a draft's old page leads on to where it was put."""
    if found := _notice(pk):
        return _notice_page(request, found, _form_of(found))
    into = that_took_over(pk)
    if into is None:
        raise Http404
    messages.info(request, "The draft that you asked for was merged into this one.")
    return redirect("notice", pk=into.pk)


@require_POST
@publisher_required
def notice_preview(request: HttpRequest, pk: int) -> HttpResponse:
    """The letters with words of the studio's own, which the draft keeps."""
    found, form = _notice(pk), NoticeForm(request.POST)
    if found is None:
        return _joined_page(request, pk, form)
    if form.is_valid():
        undecided(found).update(words=form.cleaned_data["words"])
    return _notice_page(request, found, form)


@require_POST
@publisher_required
def notice_send(request: HttpRequest, pk: int) -> HttpResponse:
    """Have it sent."""
    found, form = _notice(pk), NoticeForm(request.POST)
    if found is None:
        return _joined_page(request, pk, form)
    if not form.is_valid():
        return _notice_page(request, found, form)
    try:
        is_first = start_notice(
            notice=found, by=person_of(request), spares_told="untold" in request.POST, **form.cleaned_data
        )
    except Moved as moved:
        return _notice_page(request, found, form, moved.entries)
    return redirect("notice", pk=pk) if is_first else _decided_page(request, pk, form)


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
    found, form = _notice(pk), NoticeForm(request.POST)
    if found is None:
        return _joined_page(request, pk, form)
    if not form.is_valid():
        return _notice_page(request, found, form)
    words = form.cleaned_data["words"] if "words" in request.POST else found.words
    newest = join_drafts(notice=found, words=words)
    if newest is None:
        return _decided_page(request, pk, form)
    messages.success(request, "The two drafts are merged. Look at each e-mail, then send.")
    return redirect("notice", pk=newest.pk)


@require_POST
@publisher_required
def notice_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell nobody."""
    found = _notice(pk)
    if found is None:
        return _joined_page(request, pk, NoticeForm(request.POST))
    try:
        drop_notice(notice=found, seen=sent_glance(request))
    except Moved as moved:
        return _notice_page(request, found, _form_of(found), moved.entries)
    return redirect("notice", pk=pk)


def _notice_page(
    request: HttpRequest,
    found: Notice,
    form: NoticeForm,
    moved: Sequence[EntryChange] = (),
    *,
    status: int = 200,
) -> HttpResponse:
    """A notice with its letters and its progress."""
    words = form.cleaned_data["words"] if form.is_bound and form.is_valid() else found.words
    prefetch_related_objects([found], "also")  # several ask for them
    letters, seen = _kept_letters(found), ""
    if found.state == "draft":
        plain = letters_of(found, words="")
        letters = letters_of(found, words) if words else plain
        seen = written_glance(notice_glance(found, plain))
    named, releases = named_notices([found])[0], releases_of(found)
    newest = next((one.newest for one in letters), "")
    holders = sum(one.holders for one in letters)
    told = len(told_before(found, named.errata)) if found.state == "draft" else 0
    page = {
        "pattern": None,
        "notice": found,
        "about": named.about,
        "title": f"{found.version.pattern.title}: corrections out in {listed(releases)}",
        "newest": newest if newest != found.version.number else "",
        "form": form,
        "letters": letters,
        "holders": holders,
        "others": _with_both(other_drafts(found), letters),
        "recipients": _shown_recipients(request, found, letters),
        "not_to": not_told(found),
        "told_before": told,
        "untold": max(0, holders - told),
        "progress": notice_progress(found) if found.letters else {},
        "is_stalled": is_stalled(found),
        "refused": [] if found.state == "draft" else refused_letters(found)[:SHOWN],
        "newcomers": untold_holders(found).count() if found.state == "sent" else 0,
        "seen": seen,
        "moved": moved,
    }
    form.carry(seen)
    refused = form.is_bound and not form.is_valid()
    status = 409 if moved else 400 if refused else status
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


def _form_of(found: Notice) -> NoticeForm:
    """The form of a notice with the words that it has."""
    return NoticeForm(initial={"words": found.words})


def _decided_page(request: HttpRequest, pk: int, form: NoticeForm) -> HttpResponse:
    """What comes of a draft that was decided on between look and lock, or all others; words stay as typed."""
    found = _notice(pk)
    if found is None:
        return _joined_page(request, pk, form)
    if found.state == "draft":
        messages.info(request, "There is no other draft any more: send or discard this one.")
        return _notice_page(request, found, form)
    messages.info(request, _with_words("This notice was sent or discarded already.", form))
    return redirect("notice", pk=pk)


def _joined_page(request: HttpRequest, pk: int, form: NoticeForm) -> HttpResponse:
    """What comes of a draft that was put into another one meanwhile: that one, with the words as typed."""
    found, says = that_took_over(pk), "This draft was merged with another one meanwhile."
    if found and found.state == "draft":
        messages.warning(request, f"{says} See every e-mail of both here, then send or discard.")
        typed = {"words": below_each_other([found.words, form.data.get("words", "")])}
        return _notice_page(request, found, NoticeForm(typed), status=409)
    messages.warning(request, _with_words(f"{says} Its page shows what was done.", form))
    return redirect("notice", pk=found.pk) if found else redirect("holders")


def _with_words(says: str, form: NoticeForm) -> str:
    """A sentence with the words that were typed, where no field can show them any more."""
    words = form.data.get("words", "").strip()
    return f"{says} You had typed: “{words}”" if words else says


def _notice(pk: int) -> Notice | None:
    """A notice; None where it was put into another one."""
    return Notice.objects.filter(pk=pk).select_related("version__pattern").first()


def _notice_or_404(pk: int) -> Notice:
    """A notice."""
    return get_object_or_404(Notice.objects.select_related("version__pattern"), pk=pk)
