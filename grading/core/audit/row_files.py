"""Files of rows for the count audit, and its answers as JSON."""

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator

from grading.core.audit.patterns import Line
from grading.core.audit.rows import Audited, audit_list, audit_row
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.schema import first_misfit

SCHEMA_PATH = Path(__file__).with_name("rows.schema.json")


@lru_cache(maxsize=1)
def _validator() -> Draft202012Validator:
    return Draft202012Validator(json.loads(SCHEMA_PATH.read_text(encoding="utf-8")))


def audit_rows(data: Any) -> list[dict[str, Any]]:
    """Audit single rows and lists of rows.

    Args:
        data: What the file holds: `rows.schema.json` describes it.

    Returns:
        One answer per row, {id, takes, unworked, leaves, left_over, said, verdict, says}, or {id, rows}.

    Raises:
        PatternFileError: The data does not fit; carries the JSON path and the reason.

    Source: derived.
    """
    misfit = first_misfit(_validator(), data)
    if misfit is not None:
        raise PatternFileError(*misfit)
    return [_audit(entry) for entry in data]


def _audit(entry: dict[str, Any]) -> dict[str, Any]:
    if "rows" not in entry:
        return {"id": entry.get("id"), **audited_json(audit_row(entry))}
    named = zip(entry["rows"], audit_list(entry), strict=True)
    rows = [{"id": row.get("id", row.get("row")), **audited_json(audited)} for row, audited in named]
    return {"id": entry.get("id"), "rows": rows}


def audited_json(audited: Audited) -> dict[str, Any]:
    """One answer as JSON."""
    return {
        "takes": audited.takes,
        "unworked": audited.unworked,
        "leaves": audited.leaves,
        "left_over": audited.left_over,
        "said": audited.said,
        "verdict": audited.verdict,
        "says": audited.says,
    }


def line_json(line: Line, pattern: PatternFile) -> list[dict[str, Any]]:
    """The answers for one line of a pattern, one per size that has it."""
    return [
        {
            "section": pattern.sections[line.section].title,
            "step": line.step + 1,
            "row": line.row or None,
            "text": line.text.strip(),
            "options": dict(line.options),
            "size": size,
            **audited_json(counted.audited),
            "stitches": counted.stitches,
            "rows": counted.rows,
        }
        for size, counted in zip(pattern.sizes, line.sizes, strict=True)
        if counted.audited is not None
    ]
