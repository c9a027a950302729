"""What the server writes down: never an e-mail address, a name, or a key that opens something."""

import logging
import re

_ADDRESS = re.compile(r"[\w.+%-]+@[\w-]+(\.[\w-]+)*")
_KEY = re.compile(r"(/(?:setup|invitation|offers|applications|notices|password/reset/key)/)[^/\s\"']+")
# What was asked for behind an address (a name that was looked for), who asks, rows that a database quotes.
_ASKED = re.compile(r"(/[^\s?\"'<>]*)\?[^\s\"'<>]+")
_WHO = re.compile(r"\b(ip=)[0-9A-Fa-f.:]+[0-9A-Fa-f]")
_ROW = re.compile(r"(DETAIL:)[^\n]*")


def discreet(words: str) -> str:
    """Words with everything left out that tells of a person or opens something."""
    words = _KEY.sub(r"\1…", _ADDRESS.sub("…@…", words))
    return _ROW.sub(r"\1 …", _WHO.sub(r"\1…", _ASKED.sub(r"\1?…", words)))


class DiscreetFormatter(logging.Formatter):
    """Formats a line, traceback included, with addresses and keys left out."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """The line as it is written."""
        return discreet(super().format(record))


def is_worth_writing(record: logging.LogRecord) -> bool:
    """Leave out that a task was queued, begun or done; failures stay."""
    return record.levelno >= logging.WARNING or not record.name.startswith("django_tasks")
