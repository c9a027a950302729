"""From a remark or a result to an erratum; no tester's name goes into it."""

from dataclasses import asdict, dataclass

from django.db import transaction

from catalogue.errata import ErratumRefused, report_erratum
from catalogue.models import Erratum
from testing.models import Remark, Result, TestCall


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
def correct_from_remark(*, remark: Remark, correction: Correction) -> Erratum:
    """File an erratum that a remark led to."""
    erratum = _report(remark.result, correction, "remark", f"A tester's remark, size {remark.result.size}")
    Remark.objects.filter(pk=remark.pk).update(erratum=erratum)
    return erratum


@transaction.atomic
def correct_from_result(*, result: Result, correction: Correction) -> Erratum:
    """File an erratum that a measured garment led to."""
    return _report(result, correction, "result", f"A tester's result, size {result.size}")


@transaction.atomic
def correct_from_verdict(*, call: TestCall, correction: Correction, rests_on: int) -> Erratum:
    """File an erratum that the results of a call led to together."""
    if call.version is None:
        raise ErratumRefused("There is no version that could have an erratum.")
    return report_erratum(
        pattern=call.pattern,
        found_by=f"{rests_on} testers' results",
        found_in=call.version,
        **asdict(correction),
    )


def _report(result: Result, correction: Correction, source: str, found_by: str) -> Erratum:
    """Hand the erratum to the catalogue."""
    return report_erratum(
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
