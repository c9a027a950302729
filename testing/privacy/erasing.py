"""Erasing: personal data on request and on its day, so that it is either done or said to be undone.

Pictures and letters go first, then the rows, with marks that keep a restored backup from bringing them back.
Where files can't be removed, the rows stay, and whoever asked is told: nothing is called erased whose files
are still there. A wish that can't be fulfilled at once is kept and tried again.
"""

from collections.abc import Sequence

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from catalogue.errata.quotes import remove_sheets, unquote
from catalogue.models import Holder, Invitation, Person
from catalogue.photos.intake import remove_files
from catalogue.selling.outsiders import (
    erase_outsider,
    erase_outsiders_again,
    remove_files_of_outsider,
)
from catalogue.studio.chores import ChoreWaits, do_each
from catalogue.studio.clock import doubt_clock, studio_day
from catalogue.studio.erasures import mark_erased, mark_of, marks
from catalogue.studio.forgetting import (
    forget_address,
    forget_letters_about,
    remove_files_about,
    remove_files_to,
)
from catalogue.studio.freed_pages import sweep_after_edit
from catalogue.studio.roles import is_on_desk
from catalogue.studio.sign_ins import end_sessions
from testing.models import Application, Assessment, Entry, Placement, Remark, Result, ResultPhoto, TesterNote
from testing.places.dropouts import give_on
from testing.privacy.privacy import applications_about


def erase_person(*, person: Person) -> None:
    """Erase all traces of a tester but the anonymous figures of their garments; staff keep their account.

    Raises:
        FilesOutOfReach: Pictures or letters can't be removed; account and applications are still there.
    """
    applications = list(applications_about(person))
    remove_files_of_outsider(person.email)
    _erase_files(applications, person)
    with transaction.atomic():
        erase_outsider(person.email)
        mark_erased(mark_of("person", person.pk, person.joined_at))
        sweep_after_edit()
        for application in applications:
            mark_erased(_mark(application))
            _erase_rows(application)
        TesterNote.objects.filter(person=person).delete()
        if is_on_desk(person):
            Person.objects.filter(pk=person.pk).update(erase_asked_at=None)
        else:
            _erase_account(person, is_asked=True)


def erase_application(*, application: Application) -> None:
    """Erase an application with its place, words and pictures; size, gauge and measurements stay.

    Raises:
        FilesOutOfReach: Pictures or letters can't be removed; the application is still there.
    """
    _erase_files([application], None)
    with transaction.atomic():
        mark_erased(_mark(application))
        sweep_after_edit()
        _erase_rows(application)


def wish_erased(*, whom: Person | Application) -> None:
    """Keep the wish of somebody whose data could not be erased at once."""
    if whom.erase_asked_at is None:
        whom.erase_asked_at = timezone.now()
        whom.save(update_fields=["erase_asked_at"])


def erase_as_wished() -> int:
    """Erase what could not be erased when it was asked for; return how many wishes that were."""
    applications = Application.objects.filter(erase_asked_at__isnull=False)
    people = Person.objects.filter(erase_asked_at__isnull=False)
    wishes: list[Person | Application] = [*applications, *people]
    return do_each(wishes, _erase_one)


def erase_again() -> int:
    """Erase what people had erased after a backup that was put back; return how many that were."""
    known = marks()
    applications = [one for one in Application.objects.all() if _mark(one) in known]
    for application in applications:
        erase_application(application=application)
    people = [one for one in Person.objects.all() if mark_of("person", one.pk, one.joined_at) in known]
    for person in people:
        erase_person(person=person)
    return len(applications) + len(people) + erase_outsiders_again()


def erase_overdue() -> int:
    """Erase what is past the day stated in the consent; return how many applications that were.

    No marks are left: in a restored backup the day has come too, and what a wrong clock erased comes back.

    Raises:
        ChoreWaits: The day may not have come; the clock can't be believed.
    """
    doubt = doubt_clock(known=Application.objects.aggregate(newest=Max("created_at"))["newest"])
    overdue = Application.objects.filter(call__erase_on__lte=studio_day())
    if doubt and overdue.exists():
        raise ChoreWaits(doubt)
    return do_each(list(overdue), _erase_due)


def _erase_due(application: Application) -> int:
    """Erase an application whose day has come, with the account where nothing else is left of the person.

    Who holds a pattern goes on hearing of its corrections.
    """
    if not Application.objects.filter(pk=application.pk).exists():
        return 0
    person = Person.objects.filter(placements__application=application).first()
    if person and applications_about(person).exclude(pk=application.pk).exists():
        person = None
    _erase_files([application], person, is_asked=False)
    with transaction.atomic():
        sweep_after_edit()
        _erase_rows(application)
        if person:
            TesterNote.objects.filter(person=person).delete()
        if person and not is_on_desk(person):
            _erase_account(person, is_asked=False)
    return 1


def _erase_one(whom: Person | Application) -> int:
    """Erase a person or an application, unless that was done meanwhile."""
    if isinstance(whom, Person):
        is_there = Person.objects.filter(pk=whom.pk).exists()
        if is_there:
            erase_person(person=whom)
    else:
        is_there = Application.objects.filter(pk=whom.pk).exists()
        if is_there:
            erase_application(application=whom)
    return int(is_there)


def _mark(application: Application) -> str:
    """The mark of an application."""
    return mark_of("application", application.pk, application.created_at)


def _erase_files(
    applications: Sequence[Application], person: Person | None, *, is_asked: bool = True
) -> None:
    """Remove the pictures of applications, and the files of letters about them and to whom is erased."""
    if Remark.objects.filter(result__placement__application__in=applications, erratum__isnull=False).exists():
        remove_sheets()
    photos = ResultPhoto.objects.filter(result__placement__application__in=applications)
    remove_files(one for files in photos.values_list("files", flat=True) for one in files)
    for application in applications:
        remove_files_about(application)
    goes = person if person and not is_on_desk(person) else None
    addresses = {one.email for one in applications if not _stays_known(one.email, applications, goes)}
    for address in addresses | ({goes.email} if goes else set()):
        remove_files_to(address, is_held=not is_asked and _is_held(address))


def _stays_known(address: str, applications: Sequence[Application], person: Person | None) -> bool:
    """Whether an address is held for something else too than what is erased."""
    keys, own = [one.pk for one in applications], [person.pk] if person else []
    return (
        Application.objects.filter(email__iexact=address).exclude(pk__in=keys).exists()
        or Person.objects.filter(email__iexact=address).exclude(pk__in=own).exists()
        or _is_held(address)
    )


def _is_held(address: str) -> bool:
    """Whether an address is known otherwise than as a tester's."""
    return (
        Holder.objects.filter(email__iexact=address).exists()
        or Invitation.objects.filter(email__iexact=address).exists()
    )


def _erase_rows(application: Application) -> None:
    """Erase what the tables hold of an application."""
    placement = Placement.objects.filter(application=application).select_related("call").first()
    for result in Result.objects.filter(placement__application=application):
        _make_anonymous(result)
    Assessment.objects.filter(call=application.call_id).delete()  # it may name testers; it is made anew
    was_held = application.state in ("offered", "accepted", "making")
    Placement.objects.filter(application=application).delete()
    forget_letters_about(application)
    application.delete()
    if not _stays_known(application.email, [], None):
        forget_address(application.email)
    if placement and was_held and placement.ended_at is None:
        give_on(call=placement.call, size=placement.size)


def _erase_account(person: Person, *, is_asked: bool) -> None:
    """Erase an account; who asked for it wants no notices of corrections either."""
    end_sessions(person)
    forget_address(person.email, is_held=not is_asked and _is_held(person.email))
    if is_asked:
        for model in (Holder, Invitation):
            model.objects.filter(email__iexact=person.email).delete()
    person.delete()


def _make_anonymous(result: Result) -> None:
    """Keep the figures of the garment; an empty result goes, and so do a tester's words in errata."""
    for remark in result.remarks.select_related("erratum"):
        if remark.erratum:
            unquote(erratum=remark.erratum, words=remark.text, maker=f", size {result.size}")
    result.photos.all().delete()
    result.earlier_entries.all().delete()
    result.remarks.all().delete()
    result.entries.exclude(part__in=Entry.ANONYMOUS).delete()
    if not result.entries.exists():
        result.delete()
