"""What guards say of a draft: a corrected mistake that would come back, told as a finding at its line."""

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


def note_broken_guards(pattern: Pattern, sheet: KeptSheet) -> None:
    """Keep since when each guard of a pattern is broken; one that holds again has no such time."""
    for guard in _guards(pattern):
        is_broken = bool(_findings([guard], sheet))
        if is_broken != (guard.broken_since is not None):
            guard.broken_since = timezone.now() if is_broken else None
            guard.save(update_fields=["broken_since"])


def guarded_line(document: Document, holds: str) -> str:
    """Where what a guard holds is mended: the first line that it names; empty where it names none."""
    values = dict(entries_of(document, "values"))
    named = next((one for one in names_in("checks", {"holds": holds}) if one in values), None)
    return f"values.{named}" if named else ""


def _guards(pattern: Pattern) -> list[Guard]:
    """The guards of everything that was found to be a mistake."""
    known = Guard.objects.filter(erratum__pattern=pattern, erratum__state__in=JUDGED_STATES)
    return list(known.order_by("pk"))


def _findings(guards: list[Guard], sheet: KeptSheet) -> list[dict[str, Any]]:
    """Work the guards out as checks beside the pattern's own; each stands at the first line it names."""
    checks = entries_of(sheet.document, "checks")
    start = "guard_" + "x" * sum(name.startswith("guard_") for name, _ in checks)
    made: dict[str, dict[str, Any]] = {
        f"{start}{at}": {
            "name": f"{start}{at}",
            "holds": guard.holds,
            "says": f"A corrected mistake would come back: {guard.says.rstrip('.')} "
            f"(wanted: {statement_words(sheet.document, guard.holds)}).",
            "weight": "stop",
        }
        for at, guard in enumerate(guards)
    }
    document = {**sheet.document, "checks": with_entries("checks", [*checks, *made.items()])}
    try:
        found = work_out_after(sheet, document).graded.as_json()["findings"]
    except PatternFileError as error:
        says = f"The guards of corrected mistakes can’t be worked out: {error.reason}"
        return [{"where": "checks", "size": None, "weight": "stop", "line": 1, "column": 1, "says": says}]
    places = {
        f"checks.{name}": guarded_line(sheet.document, check["holds"]) or "checks"
        for name, check in made.items()
    }
    # A guard that fails stops; what is said of its words, such as of a length in its formula, is no finding.
    failed = (one for one in found if one["weight"] == "stop" and one["where"] in places)
    return [{**one, "where": places[one["where"]]} for one in failed]
