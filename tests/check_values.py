"""Values from outside the project, each with its source, by group and id.

Where CHECK_VALUES_LOG names a file, each entry that a test looks up is noted there, to be counted.
"""

import json
import os
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "data" / "check_values"
LOG = "CHECK_VALUES_LOG"


class Entries(dict[str, dict[str, Any]]):
    """The entries of one group by id; looking one up by its id is noted."""

    def __init__(self, group: str) -> None:
        super().__init__(json.loads((FOLDER / f"{group}.json").read_text("utf-8")))
        self.group = group

    def __getitem__(self, name: str) -> dict[str, Any]:
        if log := os.environ.get(LOG):
            with Path(log).open("a", encoding="utf-8") as file:
                file.write(f"{self.group}\t{name}\n")
        return super().__getitem__(name)


def check_values(group: str) -> Entries:
    """Return the entries of one group: statement, value, tolerance, source and status by id."""
    return Entries(group)


def check_value(group: str, name: str) -> Any:
    """Return one value."""
    return check_values(group)[name]["value"]
