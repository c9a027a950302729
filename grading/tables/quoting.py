"""Text in tables that are downloaded: a spreadsheet program must never take it for a formula."""

import csv
import io
from collections.abc import Iterable, Sequence

# A cell that begins with one of these may be read as a formula; the wide signs are East Asian.
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_cell(content: str | float | None) -> str:
    """Return a cell of a CSV file: text that could be a formula begins with a single quote, numbers stay."""
    if content is None:
        return ""
    if isinstance(content, str):
        return f"'{content}" if _is_risky(content) else content
    return repr(int(content)) if float(content).is_integer() else repr(float(content))


def csv_text(rows: Iterable[Sequence[str | float | None]]) -> str:
    """Return rows as the text of a CSV file."""
    written = io.StringIO()
    csv.writer(written, lineterminator="\r\n").writerows([csv_cell(cell) for cell in row] for row in rows)
    return written.getvalue()


def unquoted(cell: str) -> str:
    """Return a cell as it was before it was quoted for a CSV file."""
    return cell[1:] if cell.startswith("'") and _is_risky(cell) else cell


def _is_risky(content: str) -> bool:
    """Whether text could be taken for a formula, now or once a quote before it is dropped."""
    return content.lstrip("'").startswith(RISKY)
