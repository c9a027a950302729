"""What is held about a person, given out and erased."""

import io
import json
import zipfile
from collections.abc import Iterable
from functools import partial
from typing import Any

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.contrib.sessions.models import Session
from django.core.files.storage import default_storage
from django.core.serializers.json import DjangoJSONEncoder
from django.db import transaction
from django.db.models import Model, Q, QuerySet
from django.utils import timezone

from catalogue.erasures import mark_erased, mark_of, marks
from catalogue.forgetting import forget_address, forget_letters_about
from catalogue.freed_pages import empty_write_ahead_log
from catalogue.models import Holder, Invitation, Letter, Person
from catalogue.photos import remove_files
from catalogue.roles import is_studio
from testing.belongings import belongings_of
from testing.dropouts import fill_place
from testing.models import (
    Application,
    Assessment,
    Entry,
    Placement,
    Result,
    ResultPhoto,
    TesterNote,
)


def applications_about(person: Person) -> QuerySet[Application]:
    """The applications made from a person's address, or that led to their places."""
    return (
        Application.objects.filter(Q(email__iexact=person.email) | Q(placement__person=person))
        .select_related("call__pattern", "placement")
        .distinct()
    )


def held_about(person: Person) -> dict[str, Any]:
    """All that is held about a person, ready for JSON."""
    return {
        "account": {
            "email": person.email,
            "name": person.name,
            "units": person.units,
            "joined_at": person.joined_at.isoformat(),
            "last_signed_in_at": person.last_login.isoformat() if person.last_login else None,
            "roles": sorted(group.name for group in person.groups.all()),
            "signs_in_with": [one.get_type_display() for one in Authenticator.objects.filter(user=person)],
            "addresses": [one.email for one in EmailAddress.objects.filter(user=person)],
        },
        "note_of_the_designer": _note(person),
        "applications": [_application(application) for application in applications_about(person)],
        "results": [_result(result) for result in _results_about(person)],
        "hears_of_corrections_to": [
            {"pattern": holder.pattern.title, "state": holder.get_state_display()}
            for holder in Holder.objects.filter(email__iexact=person.email).select_related("pattern")
        ],
        "letters_on_their_way": [
            {"subject": letter.subject, "text": letter.text, "posted_at": letter.posted_at.isoformat()}
            for letter in Letter.objects.filter(to__iexact=person.email)
        ],
        "elsewhere": belongings_of(person),
    }


def data_file(person: Person) -> bytes:
    """A ZIP of data.json and the person's own pictures."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "data.json", json.dumps(held_about(person), ensure_ascii=False, indent=2, cls=DjangoJSONEncoder)
        )
        for photo in ResultPhoto.objects.filter(result__in=_results_about(person)):
            largest = max((one for one in photo.files if one["format"] == "jpg"), key=_width)
            with default_storage.open(largest["name"]) as picture:
                archive.writestr(f"photos/{photo.pk}.jpg", picture.read())
    return target.getvalue()


@transaction.atomic
def erase_person(*, person: Person) -> None:
    """Erase all traces of a tester but the anonymous figures of their garments; staff keep their account."""
    mark_erased(mark_of("person", person.pk, person.joined_at))
    transaction.on_commit(empty_write_ahead_log)
    for application in applications_about(person):
        erase_application(application=application)
    TesterNote.objects.filter(person=person).delete()
    if not is_studio(person):
        _end_sessions(person)
        forget_address(person.email)
        for model in (Holder, Invitation):
            model.objects.filter(email__iexact=person.email).delete()
        person.delete()


@transaction.atomic
def erase_application(*, application: Application) -> None:
    """Erase an application with its place, words and pictures; size, gauge and measurements stay."""
    mark_erased(mark_of("application", application.pk, application.created_at))
    transaction.on_commit(empty_write_ahead_log)
    placement = Placement.objects.filter(application=application).select_related("call").first()
    for result in Result.objects.filter(placement__application=application):
        _make_anonymous(result)
    Assessment.objects.filter(call=application.call_id).delete()  # it may name testers; it is made anew
    was_held = application.state in ("offered", "accepted", "making")
    Placement.objects.filter(application=application).delete()
    forget_letters_about(application)
    application.delete()
    _forget_unless_known(application.email)
    if placement and was_held and placement.ended_at is None:
        fill_place(call=placement.call, size=placement.size)


def erase_again() -> int:
    """Erase what people had erased after a backup that was put back; return how many that were."""
    known = marks()
    applications = [
        one for one in Application.objects.all() if mark_of("application", one.pk, one.created_at) in known
    ]
    for application in applications:
        erase_application(application=application)
    people = [one for one in Person.objects.all() if mark_of("person", one.pk, one.joined_at) in known]
    for person in people:
        erase_person(person=person)
    return len(applications) + len(people)


def erase_overdue() -> int:
    """Erase what is past the day stated in the consent; return how many applications that were."""
    today = timezone.localdate()
    overdue = Application.objects.filter(call__erase_on__lte=today)
    people = list(Person.objects.filter(placements__application__in=overdue).distinct())
    count = len(overdue)
    for application in overdue:
        erase_application(application=application)
    for person in people:
        if not applications_about(person).exists():
            erase_person(person=person)
    return count


def _forget_unless_known(address: str) -> None:
    """Forget an address with all its letters, unless it is held for something else too."""
    known: tuple[type[Model], ...] = (Application, Person, Holder, Invitation)
    if not any(model._default_manager.filter(email__iexact=address).exists() for model in known):  # noqa: SLF001
        forget_address(address)


def _make_anonymous(result: Result) -> None:
    """Keep the figures of the garment; an empty result goes."""
    files = [one for photo in result.photos.all() for one in photo.files]
    transaction.on_commit(partial(remove_files, files))
    result.photos.all().delete()
    result.remarks.all().delete()
    result.entries.exclude(part__in=Entry.ANONYMOUS).delete()
    if not result.entries.exists():
        result.delete()


def _end_sessions(person: Person) -> None:
    """End every session of a person, so that nothing of theirs stays there."""
    for session in Session.objects.filter(expire_date__gt=timezone.now()).iterator():
        if session.get_decoded().get("_auth_user_id") == str(person.pk):
            session.delete()


def _results_about(person: Person) -> QuerySet[Result]:
    """The results of a person, also of places that were given back."""
    return Result.objects.filter(placement__person=person).select_related("call__pattern", "version")


def _width(one: dict[str, Any]) -> int:
    """The width of a stored form of a picture."""
    return int(one["width_px"])


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
        "place": _place(getattr(application, "placement", None)),
    }


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
        "remarks": [
            {"place": remark.place, "text": remark.text, "at": remark.created_at.isoformat()}
            for remark in result.remarks.all()
        ],
        "photos": [
            {"file": f"photos/{photo.pk}.jpg", "shows": photo.alt, "at": photo.added_at.isoformat()}
            for photo in result.photos.all()
        ],
    }


def _entries(entries: Iterable[Entry]) -> Iterable[dict[str, Any]]:
    """The entries as typed and as meant."""
    for entry in entries:
        yield {"part": entry.part, "of": entry.name, "as_typed": entry.typed, "means": entry.meant}
