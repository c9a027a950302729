"""What a check, or the calculation by itself, has noticed."""

from dataclasses import dataclass
from typing import Any, Literal

Weight = Literal["stop", "warn"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed: where, in which size (None for all), how grave, and one sentence."""

    where: str
    size: str | None
    weight: Weight
    line: int | None
    column: int | None
    says: str

    def as_json(self) -> dict[str, Any]:
        """Return the finding as the graded JSON has it."""
        return {
            "where": self.where,
            "size": self.size,
            "weight": self.weight,
            "line": self.line,
            "column": self.column,
            "says": self.says,
        }


def stop(where: str, says: str, size: str | None = None) -> Finding:
    """Return a finding that stands in the way of publishing."""
    return Finding(where, size, "stop", None, None, says)


def warn(where: str, says: str, size: str | None = None) -> Finding:
    """Return a finding to think about."""
    return Finding(where, size, "warn", None, None, says)
