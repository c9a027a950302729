"""What the calculation raises; each carries one sentence for the person who typed."""

from dataclasses import dataclass


@dataclass
class FormulaError(Exception):
    """A formula or literal that cannot be used: what is wrong, and where (line and column from 1)."""

    says: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return self.says


@dataclass
class PatternFileError(Exception):
    """A pattern file, or another that is handed in, that does not fit: JSON path and one sentence."""

    path: str
    reason: str

    def __str__(self) -> str:
        return f"{self.path}: {self.reason}"
