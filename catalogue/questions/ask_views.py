"""A maker's question by the form of a pattern: asked by anybody, answered by e-mail."""

import re
from typing import Any

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from catalogue.models import Pattern, Studio, Version
from catalogue.questions.asking import About, Asker, NotSent, send_question, typed_step
from catalogue.questions.forms import AskForm
from catalogue.studio.limits import count, is_sent_again
from catalogue.studio.requests import form_page
from catalogue.versions.records import Record, frozen_record
from catalogue.versions.spots import has_spot, spot_words
from catalogue.versions.versions import current_release, version_of_number

TOO_MANY = (
    "Too many questions were sent from your connection: wait an hour, then send this again. What you typed "
    "is still here."
)
# People don't see that field; where their browser has filled it in, they send the form once more.
BY_PROGRAM = "Nothing was sent: a program filled in a field that stays empty. Send it once more."
_STEP = re.compile(r"(\d{1,4})\.(\d{1,4})", re.ASCII)


@form_page
def ask_question(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask about a release: all of it, or the step that the address names."""
    pattern, version = _asked_about(slug, request.GET.get("version", ""))
    studio = Studio.objects.exclude(sender="").first()
    if studio is None:
        raise Http404
    record = frozen_record(version.record)
    place, size = _place(request.GET.get("step", ""), record), request.GET.get("size", "")
    sizes = record["results"]["sizes"]
    form = AskForm(request.POST or None, sizes=sizes, size=size if size in sizes else "", place=place)
    page: dict[str, Any] = {
        "pattern": pattern,
        "title": record["title"],
        "version": version,
        "where": spot_words(place, record) if place else "",
        "form": form,
    }
    status = 200
    if request.method == "POST":
        status = 400
        if form.is_valid():
            try:
                page["is_again"] = _send(request, form, studio=studio, version=version, place=place)
            except _Refused as refused:
                form.add_error(refused.field, str(refused))
                status = refused.status
            else:
                # Shown at once, in the answer to the form: what was asked is in no address and no cookie.
                sent = {"where": form.cleaned_data.get("where"), **form.cleaned_data, "step": page["where"]}
                return render(request, "catalogue/questions/asked.html", {**page, "sent": sent})
    return render(request, "catalogue/questions/ask.html", page, status=status)


class _Refused(ValueError):
    """Why a question was not sent, at which field, and the status of the answer."""

    def __init__(self, says: str, *, field: str | None = None, status: int = 400) -> None:
        super().__init__(says)
        self.field, self.status = field, status


@transaction.atomic
def _send(request: HttpRequest, form: AskForm, *, studio: Studio, version: Version, place: str) -> bool:
    """Send what was typed; True where the same has arrived a moment ago, and is not sent again.

    Raises:
        _Refused: It was not sent.
    """
    typed = form.cleaned_data
    if typed["leave_empty"]:
        raise _Refused(BY_PROGRAM)
    Pattern.objects.select_for_update().get(pk=version.pattern_id)  # two taps wait for each other
    if is_sent_again(request):
        return True
    if not count(request, "questions_of_client"):
        raise _Refused(TOO_MANY, status=429)
    asker = Asker(typed["email"], typed["name"])
    where = typed.get("where", "")
    if named := typed_step(where, frozen_record(version.record)):
        place, where = named, ""
    about = About(version, place, typed["size"], where)
    try:
        send_question(studio=studio, about=about, says=typed["question"], asker=asker)
    except NotSent as refused:
        raise _Refused(str(refused), field="question") from refused
    return False


def _asked_about(slug: str, number: str) -> tuple[Pattern, Version]:
    """A pattern that was published, and the release that is named or the current one."""
    pattern = get_object_or_404(Pattern, slug=slug)
    named = version_of_number(pattern, number) if number else None
    version = named if named and named.kind == "release" else current_release(pattern)
    if version is None:
        raise Http404
    return pattern, version


def _place(step: str, record: Record) -> str:
    """The place of a step that an address names as “1.3”; empty for the whole pattern."""
    found = _STEP.fullmatch(step)
    place = f"sections[{found[1]}].steps[{found[2]}]" if found else ""
    return place if place and has_spot(place, record) else ""
