"""Known mistakes: reported, judged, corrected, each with its history; and who holds them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from catalogue.drafts.edits import standing_sheet
from catalogue.drafts.guard_findings import note_broken_guards
from catalogue.errata.changed_words import change_words
from catalogue.models import Erratum, ErratumEvent, ErratumSighting, MakerQuestion, Pattern, Person, Version
from catalogue.studio.limits import JUST_NOW
from catalogue.versions.glances import Seen, check_glance
from catalogue.versions.held_errata import hold_erratum
from catalogue.versions.records import Record, frozen_record, read_record
from catalogue.versions.spots import (
    ApplyingErratum,
    Presence,
    compare_spot,
    is_same_spot,
    missing_part,
    reading_order,
    spot_now,
    spot_words,
    spot_words_now,
)
from catalogue.versions.standings import is_said_corrected, spots, standings

OPEN_STATES = ("reported", "confirmed")
# Days until a mistake should be settled, by how grave it is; our own choice, changed for each erratum.
DAYS_TO_SETTLE = {"blocking": 2, "wrong": 7, "misleading": 14, "cosmetic": 30}


class ErratumRefused(ValueError):
    """Something that can't be done to an erratum; its text is one sentence, `place` where it is."""

    def __init__(self, says: str, place: str = "") -> None:
        super().__init__(says)
        self.place = place


@dataclass(frozen=True)
class Mistake:
    """A mistake as somebody met it; `place` is a spot of the pattern, no sizes are all sizes."""

    pattern: Pattern
    place: str
    sizes: Sequence[str] = ()
    says: str = ""
    should_say: str = ""
    why: str = ""
    kind: str = "mistake"
    gravity: str = "wrong"
    source: str = "studio"
    found_by: str = ""
    found_in: Version | None = None
    question: MakerQuestion | None = None
    by: Person | None = None


@transaction.atomic
def report_erratum(mistake: Mistake) -> Erratum:
    """Write down a mistake that somebody has met; one that says the same as a known one is told with it.

    A maker's question that it was made of leads to it.
    """
    found = _report(mistake)
    if mistake.question:
        lead_question_to(mistake.question, found)
    return found


@transaction.atomic
def lead_question_to(question: MakerQuestion, found: Erratum | None) -> None:
    """Say which erratum was made of a question; one that it led to before is kept, for it may quote it."""
    before = question.erratum
    if before == found:
        return
    if before is not None:
        question.earlier_errata.add(before)
    question.erratum = found
    question.save(update_fields=["erratum"])


def _report(mistake: Mistake) -> Erratum:
    """A new erratum, or the known one that says the same."""
    found_in = mistake.found_in
    if found_in is not None:
        _check_place(found_in, mistake.place, mistake.sizes)
    if sent := _sent_just_now(mistake):
        return sent
    if known := _same_as(mistake.pattern, mistake.place, mistake.says):
        add_sighting(
            erratum=known,
            version=found_in,
            found_by=mistake.found_by,
            note=mistake.why,
            sizes=mistake.sizes,
            by=mistake.by,
        )
        return known
    found = Erratum.objects.create(
        pattern=mistake.pattern,
        place=mistake.place,
        sizes=list(mistake.sizes),
        says=mistake.says,
        should_say=mistake.should_say,
        why=mistake.why,
        kind=mistake.kind,
        gravity=mistake.gravity,
        source=mistake.source,
        found_by=mistake.found_by,
        found_in=found_in,
        due_on=due_date(mistake.gravity),
    )
    note_event(found, mistake.by, f"Reported{f', found in {found_in.number}' if found_in else ''}.")
    return found


def erratum_glance(erratum: Erratum) -> Seen:
    """What a page shows of an erratum while somebody decides about it."""
    return {
        "State": erratum.get_state_display(),
        "Sizes": ", ".join(erratum.sizes) or "all",
        "It says": erratum.says,
        "It should say": erratum.should_say,
        "Why": erratum.why,
        "Kind": erratum.get_kind_display(),
        "Severity": erratum.get_gravity_display(),
        "How it was found": erratum.get_source_display(),
        "Found by": erratum.found_by,
        "Found in": erratum.found_in.number if erratum.found_in else "",
        "Settle it by": str(erratum.due_on or ""),
    }


def due_date(gravity: str) -> date:
    """By when a mistake of this gravity should be settled."""
    return timezone.localdate() + timedelta(days=DAYS_TO_SETTLE[gravity])


def note_event(erratum: Erratum, by: Person | None, says: str) -> None:
    """Keep what was done to an erratum."""
    ErratumEvent.objects.create(erratum=erratum, by=by, says=says[:500])


@transaction.atomic
def add_sighting(
    *,
    erratum: Erratum,
    version: Version | None,
    found_by: str,
    note: str = "",
    sizes: Sequence[str] | None = None,
    by: Person | None = None,
) -> ErratumSighting:
    """Write down that somebody else has met the same mistake, perhaps in other sizes or an older version."""
    hold_erratum(erratum)
    seen = ErratumSighting.objects.create(erratum=erratum, version=version, found_by=found_by, note=note)
    if sizes is not None and erratum.sizes:
        erratum.sizes = list(dict.fromkeys([*erratum.sizes, *sizes])) if sizes else []
    if version and erratum.found_in and _was_found_before(erratum, version):
        erratum.found_in = version
    erratum.save(update_fields=("sizes", "found_in"))
    note_event(erratum, by, f"Met again{f' in {version.number}' if version else ''}.")
    return seen


def _was_found_before(erratum: Erratum, version: Version) -> bool:
    """Whether an older version has the mistake at the same place, so that it can be told from there."""
    found = erratum.found_in
    if found is None or version.order >= found.order:
        return False
    return is_same_spot(erratum, read_record(found.record), read_record(version.record))


def _sent_just_now(mistake: Mistake) -> Erratum | None:
    """The erratum that the very same report led to a moment ago: its button was pressed twice.

    Reports without a word can't be told apart.
    """
    if not (mistake.says or mistake.should_say or mistake.why):
        return None
    Pattern.objects.select_for_update().get(pk=mistake.pattern.pk)
    since, found_in = timezone.now() - JUST_NOW, mistake.found_in
    same = ("place", "says", "should_say", "why", "kind", "gravity", "source", "found_by", "found_in")
    told = {name: getattr(mistake, name) for name in same}
    open_ones = mistake.pattern.errata.filter(state__in=OPEN_STATES, created_at__gt=since)
    made = open_ones.filter(**told, sizes=list(mistake.sizes)).first()
    known = None if made else _same_as(mistake.pattern, mistake.place, mistake.says)
    if known is None:
        return made
    again = {"version": found_in, "found_by": mistake.found_by, "note": mistake.why, "seen_at__gt": since}
    return known if known.sightings.filter(**again).exists() else None


@transaction.atomic
def judge_erratum(
    *, erratum: Erratum, is_mistake: bool, by: Person | None = None, seen: str | None = None
) -> None:
    """Confirm a reported mistake, or say that it is none; a corrected one stays as it is."""
    hold_erratum(erratum)
    check_glance(seen, erratum_glance(erratum))
    if erratum.state == "corrected":
        raise ErratumRefused(
            f"This erratum was corrected in version {erratum.corrected_in}: it stays corrected."
        )
    erratum.state = "confirmed" if is_mistake else "dismissed"
    erratum.merged_into = None
    erratum.save(update_fields=("state", "merged_into"))
    note_guards(erratum)
    note_event(erratum, by, "Confirmed." if is_mistake else "Judged to be no mistake.")


def note_guards(erratum: Erratum) -> None:
    """Its guards count from now on, or no longer."""
    note_broken_guards(erratum.pattern, lambda: standing_sheet(erratum.pattern))


@transaction.atomic
def confirm_erratum(
    *, erratum: Erratum, changes: dict[str, Any], by: Person | None, seen: str | None = None
) -> None:
    """Confirm a mistake with what makers read of it from now on: its severity and what it should say."""
    change_erratum(erratum=erratum, changes=changes, by=by, seen=seen)
    judge_erratum(erratum=erratum, is_mistake=True, by=by)


@transaction.atomic
def change_erratum(
    *, erratum: Erratum, changes: dict[str, Any], by: Person | None, seen: str | None = None
) -> None:
    """Change what an erratum says; its history names what changed."""
    hold_erratum(erratum)
    check_glance(seen, erratum_glance(erratum))
    changed = [name for name, content in changes.items() if getattr(erratum, name) != content]
    words = "; ".join(change_words(erratum, name, changes[name]) for name in changed)
    for name in changed:
        setattr(erratum, name, changes[name])
    if changed:
        erratum.save(update_fields=changed)
        note_event(erratum, by, f"Changed: {words}.")


def correct_erratum(
    *, erratum: Erratum, version: Version, by: Person | None = None, seen: str | None = None
) -> None:
    """Say in which version a mistake was corrected, unless that version's record still shows it."""
    with transaction.atomic():
        hold_erratum(erratum)
        check_glance(seen, erratum_glance(erratum))
        if says := why_not_corrected(erratum, version, read_record(version.record)):
            raise ErratumRefused(says)
        erratum.state, erratum.corrected_in = "corrected", version
        erratum.save(update_fields=("state", "corrected_in"))
        note_guards(erratum)
        note_event(erratum, by, f"Corrected in version {version.number}.")


def why_not_corrected(erratum: Erratum, version: Version, record: Record) -> str | None:
    """Why a version can't be the one that corrects an erratum; None when it can."""
    if version.pattern_id != erratum.pattern_id:
        return "This version is of another pattern: choose a version of the same one."
    if erratum.state in ("dismissed", "merged"):
        was = "judged to be no mistake" if erratum.state == "dismissed" else "merged into another erratum"
        return f"This was {was}: confirm it first."
    if erratum.corrected_in and erratum.corrected_in != version:
        return f"This was corrected in version {erratum.corrected_in.number} already: it stays corrected."
    if erratum.found_in and version.order <= erratum.found_in.order:
        return f"The mistake was found in version {erratum.found_in.number}: a later version corrects it."
    if standing_in(erratum, record) == "in it":
        still = f"Version {version.number} {_still_wrong(erratum, record)}"
        if version.state == "published":  # it stays as it is
            return f"{still}. Correct it in the draft and publish a new version."
        return f"{still}: correct it there first."
    return None


def _still_wrong(erratum: Erratum, record: Record) -> str:
    """What is wrong in a version that was to correct a mistake."""
    _, words = erratum_spot(erratum, record)
    return (
        f"still lacks the step in {words}" if erratum.is_missing_step else f"still says the same at {words}"
    )


def erratum_spot(erratum: Erratum, record: Record) -> tuple[str, str]:
    """Where a mistake is in a record, and in words; all of its part where its step can't be found again."""
    if erratum.found_in is None:
        return erratum.place, spot_words(erratum.place, record)
    found = frozen_record(erratum.found_in.record)
    parts = ("special_stitches", "stitch_patterns")
    part = next((one for one in parts if erratum.place.startswith(one)), "sections")
    return spot_now(erratum, found, record) or part, spot_words_now(erratum, found, record)


def open_errata(pattern: Pattern) -> list[Erratum]:
    """Mistakes of a pattern that are not yet corrected or dismissed."""
    return list(pattern.errata.filter(state__in=OPEN_STATES).select_related("found_in"))


def errata_of_version(version: Version, versions: Sequence[Version] | None = None) -> list[ApplyingErratum]:
    """The confirmed mistakes that apply to a version, whether or not a later one corrects them.

    `versions` are all versions of its pattern where they are at hand, without their records.
    """
    known = version.pattern.errata.filter(state__in=("confirmed", "corrected"))
    errata = list(known) if versions is not None else list(without_records(known))
    if versions is not None:
        _put_versions(errata, versions)
    pairs = [(erratum, version) for erratum in errata if not is_said_corrected(erratum, version)]
    applying = [
        ApplyingErratum(erratum, place, standing)
        for (erratum, _), (standing, place) in zip(pairs, spots(pairs), strict=True)
        if standing != "not in it"
    ]
    return sorted(applying, key=lambda one: reading_order(one.erratum))


def _put_versions(errata: Iterable[Erratum], versions: Iterable[Version]) -> None:
    """Give errata their versions: the same object for all that name one, which is quicker than a join."""
    known = {version.pk: version for version in versions}
    for erratum in errata:
        erratum.found_in = known[erratum.found_in_id] if erratum.found_in_id else None
        erratum.corrected_in = known[erratum.corrected_in_id] if erratum.corrected_in_id else None


def without_records(errata: QuerySet[Erratum]) -> QuerySet[Erratum]:
    """Errata with their versions, without the records of these, which are large."""
    return errata.select_related("found_in", "corrected_in").defer("found_in__record", "corrected_in__record")


def standing_by_version(erratum: Erratum) -> list[tuple[Version, Presence]]:
    """Each version of the pattern with whether its record holds the mistake."""
    published = erratum.pattern.versions.filter(state="published").order_by("major", "minor")
    versions = list(published.defer("record"))
    return list(zip(versions, standings([(erratum, version) for version in versions]), strict=True))


def standing_in(erratum: Erratum, record: Record) -> Presence:
    """Whether a record holds the mistake: compared with the record that it was found in."""
    if erratum.found_in is None:
        return "can't tell"
    return compare_spot(erratum, frozen_record(erratum.found_in.record), record)


def _same_as(pattern: Pattern, place: str, says: str) -> Erratum | None:
    """An open erratum at the same place that quotes the same words."""
    words = says.casefold().split()
    if not words:
        return None
    known = pattern.errata.filter(place=place, state__in=OPEN_STATES).select_related("found_in")
    return next((one for one in known if one.says.casefold().split() == words), None)


def _check_place(version: Version, place: str, sizes: Sequence[str]) -> None:
    """Refuse a place or size that the version does not have."""
    missing = missing_part(place, sizes, read_record(version.record))
    if missing:
        what = "from its sizes" if missing.startswith("size ") else "a place that it has"
        raise ErratumRefused(f"Version {version.number} has no {missing}: choose {what}.")
