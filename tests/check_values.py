"""Values from outside the project, each with its source, by group and id."""

import json
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "data" / "check_values"


def check_values(group: str) -> dict[str, dict[str, Any]]:
    """Return the entries of one group: statement, value, tolerance, source and status by id."""
    entries: dict[str, dict[str, Any]] = json.loads((FOLDER / f"{group}.json").read_text("utf-8"))
    return entries


def check_value(group: str, name: str) -> Any:
    """Return one value."""
    return check_values(group)[name]["value"]
