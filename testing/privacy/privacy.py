"""What is held about a person, given out."""

import datetime as dt
import io
import json
import zipfile
from collections.abc import Iterable
from typing import Any

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.core.files.storage import default_storage
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Q, QuerySet

from catalogue.editions.ingredients import photo_name
from catalogue.models import Holder, Letter, Person
from catalogue.selling.outsiders import held_about_outsider
from catalogue.studio.roles import roles_of
from testing.models import (
    Application,
    EarlierEntry,
    Entry,
    PhotoPiece,
    Placement,
    Result,
    ResultPhoto,
    TesterNote,
)
from testing.privacy.belongings import belongings_of


def applications_about(person: Person) -> QuerySet[Application]:
    """The applications made from a person's address, or that led to their places."""
    return (
        Application.objects.filter(Q(email__iexact=person.email) | Q(placement__person=person))
        .select_related("call__pattern", "placement")
        .distinct()
    )


def results_about(person: Person) -> QuerySet[Result]:
    """The results of a person, also of places that were given back, without the records of their versions."""
    found = Result.objects.filter(placement__person=person).select_related(
        "call__pattern", "version", "placement"
    )
    return found.defer("version__record")


def held_about(person: Person) -> dict[str, Any]:
    """All that is held about a person, ready for JSON."""
    return {
        "account": {
            "email": person.email,
            "name": person.name,
            "units": person.units,
            "joined_at": person.joined_at.isoformat(),
            "asked_to_be_erased_at": _moment(person.erase_asked_at),
            "last_signed_in_at": _moment(person.last_login),
            "roles": sorted(roles_of(person)),
            "signs_in_with": [one.get_type_display() for one in Authenticator.objects.filter(user=person)],
            "addresses": [one.email for one in EmailAddress.objects.filter(user=person)],
        },
        "note_of_the_designer": _note(person),
        "applications": [
            _application(application)
            for application in applications_about(person).prefetch_related("sent_mails")
        ],
        "results": [
            _result(result)
            for result in results_about(person).prefetch_related(
                "entries", "earlier_entries", "remarks__help", "photos"
            )
        ],
        "photos_not_whole_yet": [
            {"key": piece.key, "from_byte": piece.at, "bytes": piece.size_bytes}
            for piece in PhotoPiece.objects.filter(placement__person=person).defer("content")
        ],
        "hears_of_corrections_to": [
            {
                "pattern": holder.pattern.title,
                "state": holder.get_state_display(),
                "has_bought": [version.number for version in holder.pdf_versions.all()],
            }
            for holder in Holder.objects.filter(email__iexact=person.email)
            .select_related("pattern")
            .prefetch_related("pdf_versions")
        ],
        "given_or_asked": held_about_outsider(person.email),
        "letters_on_their_way": [
            {"subject": letter.subject, "text": letter.text, "posted_at": letter.posted_at.isoformat()}
            for letter in Letter.objects.filter(Q(to__iexact=person.email) | Q(reply_to__iexact=person.email))
        ],
        "elsewhere": belongings_of(person),
    }


def data_file(person: Person) -> bytes:
    """A ZIP of data.json and the person's own pictures; it says which of them are lost."""
    target, lost = io.BytesIO(), []
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for photo in ResultPhoto.objects.filter(result__in=results_about(person)):
            try:
                with default_storage.open(photo_name(photo.files)) as picture:
                    content = picture.read()
            except (
                FileNotFoundError
            ):  # lost, or just being erased with its row; the rest is theirs all the same
                lost.append(_picture_name(photo))
            else:
                archive.writestr(_picture_name(photo), content)
        held = {**held_about(person), "pictures_that_are_lost": lost}
        archive.writestr("data.json", json.dumps(held, ensure_ascii=False, indent=2, cls=DjangoJSONEncoder))
    return target.getvalue()


def _picture_name(photo: ResultPhoto) -> str:
    """What a picture is called among somebody's data."""
    return f"photos/{photo.pk}.jpg"


def _application(application: Application) -> dict[str, Any]:
    """An application and its place as JSON."""
    return {
        "pattern": application.call.pattern.title,
        "name": application.name,
        "email": application.email,
        "units": application.units,
        "body_as_typed": application.typed_body,
        "body_mm": application.body_mm,
        "sizes_in_order_of_wish": application.sizes,
        "yarn": application.yarn,
        "tool": application.tool,
        "experience": application.get_experience_display(),
        "what_would_help": application.access_needs,
        "consent": application.consent_text,
        "consented_at": application.consented_at.isoformat(),
        "may_be_asked_again": application.may_ask_again,
        "emails": [
            {"kind": sent.kind, "about": sent.occasion, "at": sent.queued_at.isoformat()}
            for sent in application.sent_mails.all()
        ],
        "applied_at": application.created_at.isoformat(),
        "state": application.get_state_display(),
        "erased_on": application.call.erase_on.isoformat(),
        "asked_to_be_erased_at": _moment(application.erase_asked_at),
        "place": _place(getattr(application, "placement", None)),
    }


def _moment(moment: dt.datetime | None) -> str | None:
    """A moment as JSON."""
    return moment.isoformat() if moment else None


def _note(person: Person) -> str | None:
    """What the designer noted about somebody."""
    return TesterNote.objects.filter(person=person).values_list("text", flat=True).first()


def _place(placement: Placement | None) -> dict[str, Any] | None:
    """A place as JSON."""
    if placement is None:
        return None
    days = {name: getattr(placement, name) for name in ("offered_at", "accepted_at", "ended_at", "given_at")}
    return {
        "size": placement.size,
        "reason": placement.reason,
        "options": placement.options,
        "asks_for_time_until": placement.asks_until.isoformat() if placement.asks_until else None,
        "asks_because": placement.asks_because,
        "agreement": placement.agreement,
        "finish_by": placement.finish_by.isoformat() if placement.finish_by else None,
        **{name: day.isoformat() if day else None for name, day in days.items()},
    }


def _result(result: Result) -> dict[str, Any]:
    """A result with its entries, remarks and pictures as JSON."""
    return {
        "pattern": result.call.pattern.title,
        "version": result.version.number,
        "size": result.size,
        "done_at": result.done_at.isoformat() if result.done_at else None,
        "entries": list(_entries(result.entries.all())),
        "earlier_entries": list(_entries(result.earlier_entries.all())),
        "remarks": [
            {
                "place": remark.place,
                "text": remark.text,
                "stuck_at_help": remark.help.title if remark.help else None,
                "at": remark.created_at.isoformat(),
            }
            for remark in result.remarks.all()
        ],
        "photos": [
            {"file": _picture_name(photo), "shows": photo.alt, "at": photo.added_at.isoformat()}
            for photo in result.photos.all()
        ],
    }


def _entries(entries: Iterable[Entry | EarlierEntry]) -> Iterable[dict[str, Any]]:
    """The entries as typed and as meant."""
    for entry in entries:
        yield {"part": entry.part, "of": entry.name, "as_typed": entry.typed, "means": entry.meant}
