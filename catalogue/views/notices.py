"""Notices to holders: looked at, sent, watched."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.holder_forms import NoticeForm
from catalogue.models import Notice
from catalogue.notices import (
    LEAVE_MARK,
    Letter,
    drop_notice,
    end_notice,
    letters_of,
    progress_of,
    refused_letters,
    resume_notice,
    set_right_all,
    start_notice,
    tell_newcomers,
    untold_holders,
)
from catalogue.roles import publisher_required
from catalogue.views.pages import person_of

SHOWN = 50


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
    if not start_notice(notice=found, words=form.cleaned_data["words"], by=person_of(request)):
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
def notice_drop(request: HttpRequest, pk: int) -> HttpResponse:  # noqa: ARG001 the shape of a view
    """Tell nobody."""
    drop_notice(notice=_notice_or_404(pk))
    return redirect("notice", pk=pk)


def _notice_page(request: HttpRequest, found: Notice, form: NoticeForm) -> HttpResponse:
    """A notice with its letters and its progress."""
    words = form.cleaned_data["words"] if form.is_bound and form.is_valid() else found.words
    letters = letters_of(found, words) if found.state == "draft" else _kept_letters(found)
    page = {
        "pattern": None,
        "notice": found,
        "form": form,
        "letters": [_without_mark(one) for one in letters],
        "holders": sum(one.holders for one in letters),
        "progress": progress_of(found),
        "refused": refused_letters(found)[:SHOWN],
        "newcomers": untold_holders(found).count() if found.state == "sent" else 0,
    }
    refused = form.is_bound and not form.is_valid()
    return render(request, "catalogue/holders/notice.html", page, status=400 if refused else 200)


def _kept_letters(found: Notice) -> list[Letter]:
    """The letters as they were sent."""
    return [Letter(number, *written[:3]) for number, written in found.letters.items()]


def _without_mark(letter: Letter) -> Letter:
    """A letter to look at: it says where each holder's own address stands."""
    return replace(letter, text=letter.text.replace(LEAVE_MARK, "(here each holder's own address)"))


def _notice_or_404(pk: int) -> Notice:
    """A notice."""
    return get_object_or_404(Notice.objects.select_related("version__pattern"), pk=pk)
