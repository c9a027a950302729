"""From a remark or a result to an erratum; no tester's name goes into it."""

from dataclasses import asdict, dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from catalogue.errata.errata import ErratumRefused, Mistake, report_erratum
from catalogue.models import Erratum
from catalogue.versions.glances import Seen, check_glance
from testing.assessment.assessing import standing_found
from testing.models import Remark, Result, TestCall
from testing.verdicts.sentences import VERDICT_WORDS


@dataclass(frozen=True)
class Correction:
    """What an erratum says."""

    place: str
    sizes: list[str]
    says: str
    should_say: str
    why: str
    gravity: str


@transaction.atomic
def correct_from_remark(*, remark: Remark, correction: Correction, seen: str | None = None) -> Erratum:
    """File an erratum that a remark led to.

    Raises:
        ErratumRefused: The version has no such place.
        Moved: The tester works from another version than the one whose place was chosen.
    """
    result = _held(remark.result)
    check_glance(seen, result_glance(result))
    erratum = _report(result, correction, "remark", f"A tester's remark, size {result.size}")
    Remark.objects.filter(pk=remark.pk).update(erratum=erratum)
    return erratum


@transaction.atomic
def settle_remark(*, remark: Remark, seen: str) -> bool:
    """Say that a remark needs no erratum; False where it is not what was seen, or has an erratum."""
    held = Remark.objects.select_for_update().get(pk=remark.pk)
    if held.text.split() != seen.split() or held.is_dealt_with:
        return False
    held.settled_at = timezone.now()
    held.save(update_fields=["settled_at"])
    return True


def reopen_remark(*, remark: Remark) -> None:
    """A remark is to be looked at again."""
    Remark.objects.filter(pk=remark.pk).update(settled_at=None)


@transaction.atomic
def correct_from_result(
    *, result: Result, name: str, correction: Correction, seen: str | None = None
) -> Erratum:
    """File an erratum that a measured garment led to; `name` is the measurement.

    Raises:
        ErratumRefused: The version has no such place.
        Moved: The tester has measured anew, or works from another version.
    """
    result = _held(result)
    check_glance(seen, result_glance(result, name))
    return _report(result, correction, "result", f"A tester's result, size {result.size}")


@transaction.atomic
def correct_from_verdict(
    *, call: TestCall, name: str, correction: Correction, seen: str | None = None
) -> Erratum:
    """File an erratum that the results of a call led to together; `name` is the measurement.

    Raises:
        ErratumRefused: There is no verdict or no version, or it has no such place.
        Moved: The verdict, or the version that is handed out, is not the one that was seen.
    """
    held = TestCall.objects.select_for_update(of=("self",)).select_related("version__pattern", "pattern")
    call = held.get(pk=call.pk)
    verdict = standing_found(call)["measurements"].get(name)
    if verdict is None or call.version is None:
        raise ErratumRefused("There is no verdict on a version that could have an erratum.")
    check_glance(seen, verdict_glance(call, verdict))
    return report_erratum(
        Mistake(
            pattern=call.pattern,
            found_by=f"{verdict['rests_on']} testers' results",
            found_in=call.version,
            **asdict(correction),
        )
    )


def result_glance(result: Result, name: str = "") -> Seen:
    """The version whose places an erratum from a result names, and what was measured."""
    entry = result.entries.filter(part="measured", name=name).first() if name else None
    return {"Test version": result.version.number, "Measured, mm": entry.meant["mm"] if entry else None}


def verdict_glance(call: TestCall, verdict: dict[str, Any]) -> Seen:
    """The version whose places an erratum of a call names, and the verdict that it is filed for."""
    return {
        "Test version": call.version.number if call.version else "",
        "Verdict": VERDICT_WORDS[verdict["verdict"]],
        "Results": verdict["rests_on"],
        "Sizes": ", ".join(verdict["sizes"]),
        "Off in mm, size by size": ", ".join(map(str, verdict["error"])),
    }


def _held(result: Result) -> Result:
    """A result as it stands, kept so until all is done."""
    TestCall.objects.select_for_update().get(pk=result.call_id)
    held = Result.objects.select_for_update(of=("self",)).select_related("version__pattern")
    return held.get(pk=result.pk)


def _report(result: Result, correction: Correction, source: str, found_by: str) -> Erratum:
    """Hand the erratum to the catalogue."""
    return report_erratum(
        Mistake(
            pattern=result.version.pattern,
            place=correction.place,
            sizes=correction.sizes,
            says=correction.says,
            should_say=correction.should_say,
            why=correction.why,
            gravity=correction.gravity,
            source=source,
            found_by=found_by,
            found_in=result.version,
        )
    )
