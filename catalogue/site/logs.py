"""What the server writes down: never an e-mail address, never a key that opens something."""

import logging
import re

_ADDRESS = re.compile(r"[\w.+%-]+@[\w-]+(\.[\w-]+)*")
_KEY = re.compile(r"(/(?:setup|invitation|offers|applications|notices|password/reset/key)/)[^/\s\"']+")


class DiscreetFormatter(logging.Formatter):
    """Formats a line, traceback included, with addresses and keys left out."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """The line as it is written."""
        return _KEY.sub(r"\1…", _ADDRESS.sub("…@…", super().format(record)))


def is_worth_writing(record: logging.LogRecord) -> bool:
    """Leave out that a task was queued, begun or done; failures stay."""
    return record.levelno >= logging.WARNING or not record.name.startswith("django_tasks")
