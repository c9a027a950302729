"""What guards say of a draft: a mistake that is in it, or would come back, told as a finding at its line."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.utils import timezone

from catalogue.models import Guard, Pattern
from grading.core.formula.errors import PatternFileError
from grading.grid.statement_words import statement_words
from grading.sheets.differences import Difference, findings_between
from grading.sheets.documents import Document, entries_of, with_entries
from grading.sheets.kept_sheets import KeptSheet, work_out_after
from grading.sheets.naming import names_in

JUDGED_STATES = ("confirmed", "corrected")


def guard_findings(pattern: Pattern, standing: Callable[[], KeptSheet]) -> list[dict[str, Any]]:
    """What the guards of a pattern notice; it is worked out only where there is one."""
    guards = _guards(pattern)
    return _findings(guards, standing()) if guards else []


def with_guards(pattern: Pattern, difference: Difference, before: KeptSheet, after: KeptSheet) -> Difference:
    """A difference with what its guards notice anew, and no longer."""
    guards = _guards(pattern)
    if not guards:
        return difference
    come, gone = findings_between(_findings(guards, before), _findings(guards, after))
    return replace(
        difference,
        new_findings=(*difference.new_findings, *come),
        gone_findings=(*difference.gone_findings, *gone),
    )


def note_broken_guards(pattern: Pattern, standing: Callable[[], KeptSheet]) -> None:
    """Keep since when each guard of a pattern stops it; one that does not has no such time."""
    known = list(Guard.objects.filter(erratum__pattern=pattern).select_related("erratum").order_by("pk"))
    judged = [guard for guard in known if guard.erratum.state in JUDGED_STATES]
    broken = (
        {guard.pk for guards, _ in _failures(judged, standing()) for guard in guards} if judged else set()
    )
    for guard in known:
        is_broken = guard.pk in broken
        if is_broken != (guard.broken_since is not None):
            guard.broken_since = timezone.now() if is_broken else None
            guard.save(update_fields=["broken_since"])


def guarded_line(document: Document, holds: str) -> str:
    """Where what a guard holds is mended: the first line that it names; empty where it names none."""
    values = dict(entries_of(document, "values"))
    named = next((one for one in names_in("checks", {"holds": holds}) if one in values), None)
    return f"values.{named}" if named else ""


def mistake_stops(guard: Guard) -> str:
    """How a guard stops a pattern: a mistake that no version has corrected yet can't come back."""
    is_corrected = guard.erratum.state == "corrected"
    return "A corrected mistake would come back" if is_corrected else "A known mistake is in the pattern"


def _guards(pattern: Pattern) -> list[Guard]:
    """The guards of everything that was found to be a mistake."""
    known = Guard.objects.filter(erratum__pattern=pattern, erratum__state__in=JUDGED_STATES)
    return list(known.select_related("erratum").order_by("pk"))


def _findings(guards: list[Guard], sheet: KeptSheet) -> list[dict[str, Any]]:
    """What guards notice; each stands at the first line it names."""
    return [finding for _, finding in _failures(guards, sheet)]


def _failures(guards: list[Guard], sheet: KeptSheet) -> list[tuple[list[Guard], dict[str, Any]]]:
    """Work the guards out together as checks beside the pattern's own: each finding with whose it is."""
    checks = entries_of(sheet.document, "checks")
    start = "guard_" + "x" * sum(name.startswith("guard_") for name, _ in checks)
    named = {f"{start}{at}": guard for at, guard in enumerate(guards)}
    made: dict[str, dict[str, Any]] = {
        name: {
            "name": name,
            "holds": guard.holds,
            "says": f"{mistake_stops(guard)}: {guard.says.rstrip('.')} "
            f"(wanted: {statement_words(sheet.document, guard.holds)}).",
            "weight": "stop",
        }
        for name, guard in named.items()
    }
    document = {**sheet.document, "checks": with_entries("checks", [*checks, *made.items()])}
    try:
        found = work_out_after(sheet, document).graded.as_json()["findings"]
    except PatternFileError as error:
        says = f"The guards of mistakes can’t be worked out: {error.reason}"
        at = {"where": "checks", "size": None, "weight": "stop", "line": 1, "column": 1}
        return [(guards, {**at, "says": says})]
    places = {f"checks.{name}": guard for name, guard in named.items()}
    # A guard that fails stops; what is said of its words, such as of a length in its formula, is no finding.
    failed = (one for one in found if one["weight"] == "stop" and one["where"] in places)
    return [
        ([guard], {**one, "where": guarded_line(sheet.document, guard.holds) or "checks"})
        for one in failed
        for guard in [places[one["where"]]]
    ]
