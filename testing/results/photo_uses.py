"""What testers let the studio use their photos for, by use, until they take it back."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from catalogue.models import Pattern
from testing.models import Entry, ResultPhoto, TestCall

USES = {
    "page": "the pattern's page",
    "pdf": "the pattern's PDF",
    "social": "social media",
    "press": "the press",
}
CONSENT = (
    "The studio may use my photos of this garment for {use}, {until}. I can take this back at any time; "
    "a PDF that is already published keeps its pictures."
)


@dataclass(frozen=True)
class PhotoShown:
    """A tester's photo for the studio: who is named with it, and what it may be used for."""

    photo: ResultPhoto
    credit: str
    uses: list[tuple[str, str]]  # use and its words


def consent_words(use: str, until: dt.date | None) -> str:
    """What is agreed to, as it is recorded."""
    last = f"until {until.day} {until:%B %Y}" if until else "until I take it back"
    return CONSENT.format(use=USES[use], until=last)


def may_use(photo: ResultPhoto, use: str) -> bool:
    """Whether the tester's consent to this use holds today."""
    return use in _allowed(list(photo.result.entries.filter(part="photo_use")))


def photos_shown(call: TestCall) -> list[PhotoShown]:
    """The photos of a call with what each may be used for today."""
    return _shown(ResultPhoto.objects.filter(result__call=call))


def photos_on_page(pattern: Pattern) -> list[PhotoShown]:
    """The photos that testers let everybody see on the pattern's page today."""
    agreed = ResultPhoto.objects.filter(
        result__call__pattern=pattern, result__entries__part="photo_use", result__entries__name="page"
    )
    return [one for one in _shown(agreed) if "page" in dict(one.uses)]


def photos_for_page(pattern: Pattern) -> SafeString:
    """What the public page of a pattern shows of its testers' photos; nothing where there are none."""
    shown = photos_on_page(pattern)
    return render_to_string("testing/_shared_photos.html", {"shown": shown}) if shown else SafeString()


def _shown(photos: QuerySet[ResultPhoto]) -> list[PhotoShown]:
    """Photos with what each may be used for today."""
    shown = []
    uses_only = Prefetch("result__entries", Entry.objects.filter(part="photo_use"))
    for photo in photos.select_related("result").prefetch_related(uses_only):
        allowed = _allowed(list(photo.result.entries.all()))
        named = [entry.meant["credit"] for entry in allowed.values()]
        uses = [(use, words) for use, words in USES.items() if use in allowed]
        shown.append(PhotoShown(photo, named[0] if named else "", uses))
    return shown


def _allowed(consents: list[Entry]) -> dict[str, Entry]:
    """The consents that hold today, by use."""
    today = timezone.localdate().isoformat()
    return {
        entry.name: entry for entry in consents if not entry.meant["until"] or entry.meant["until"] >= today
    }
