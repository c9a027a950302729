"""The results of a call as a results file, which `assess` reads; it names no tester."""

from typing import Any

from catalogue.drafts.documents import pattern_document
from catalogue.versions.freezing import record_document
from catalogue.versions.records import read_record
from testing.access.selectors import results_of
from testing.asked.expected import Gauge
from testing.asked.figures import version_figures
from testing.assessment.garment_entries import decided_gauges, meant_mm
from testing.models import Entry, Result, TestCall

OVER_MM = 100
KEYS = {
    "gauge": "gauge",
    "garment_gauge": "garment_gauge",
    "measured": "measured",
    "yarn": "yarn",
    "metres": "length_per_100g",
    "worked": "worked",
    "option": "options",
}


def results_document(call: TestCall) -> dict[str, Any]:
    """The version handed out and what was made from it; doubtful entries as they were decided.

    Garments made from an earlier version are left out: the file has the counts of one version only.
    """
    results = results_of(call).filter(version_id=call.version_id or 0).prefetch_related("entries__reading")
    pattern = call.version and record_document(read_record(call.version.record))
    return {
        "format": "evenrow-results",
        "format_version": 1,
        "pattern": pattern or pattern_document(call.pattern),
        "results": [_result(result) for result in results],
    }


def _result(result: Result) -> dict[str, Any]:
    """One garment."""
    parts: dict[str, Any] = {"gauge": {}, "measured": {}}
    gauges = decided_gauges(result, version_figures(result.version))
    for entry in result.entries.all():
        written = _written(entry, gauges)
        if written is not None:
            parts.setdefault(KEYS[entry.part], {})[entry.name] = written
    altered = [entry.name for entry in result.entries.all() if entry.part == "altered"]
    known = {"maker": f"result {result.pk}", "size": result.size, "version": result.version.number}
    return {**known, **parts, **({"altered": altered} if altered else {})}


def _written(entry: Entry, gauges: Gauge) -> Any:
    """An entry as the file has it; None for what it has no place for, and for what is left out."""
    meant = entry.meant
    match entry.part:
        case "gauge" | "garment_gauge":
            read = gauges[entry.name] if entry.part == "gauge" else meant
            counts = {name: round(read[name] * OVER_MM, 6) for name in ("stitches", "rows")}
            return {**counts, "over": "10 cm"}
        case "measured":
            mm = meant_mm(entry)
            return None if mm is None else f"{round(mm, 3)} mm"
        case "yarn":
            return f"{round(meant['g'], 3)} g"
        case "metres":
            return f"{round(meant['m'], 3)} m"
        case "worked":
            return meant["count"]
        case "option":
            return meant["choice"]
    return None
