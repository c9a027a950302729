"""What the server writes down: never an e-mail address, a name, or a key that opens something."""

import json
import logging
import re
from datetime import UTC, datetime

from django.core.exceptions import ImproperlyConfigured

from catalogue.site.keyed_addresses import KEYED

FORMATTERS = {"": "DiscreetFormatter", "text": "DiscreetFormatter", "json": "JsonFormatter"}

_ADDRESS = re.compile(r"[\w.+%-]+@[\w-]+(\.[\w-]+)*")
_KEY = re.compile(rf"(/(?:{'|'.join((*KEYED, 'password/reset/key/'))}))[^/\s\"']+")
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


class JsonFormatter(DiscreetFormatter):
    """One JSON object for each line, for programs that gather logs; as discreet as the lines for people."""

    def format(self, record: logging.LogRecord) -> str:
        """The line as it is written."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            "says": discreet(record.getMessage()),
            **getattr(record, "figures", {}),
        }
        if record.exc_info:
            line["traceback"] = discreet(self.formatException(record.exc_info))
        return json.dumps(line, ensure_ascii=False)


def log_formatter(wanted: str) -> str:
    """The name of what writes the lines: for people, or for programs."""
    if wanted not in FORMATTERS:
        raise ImproperlyConfigured(
            f"EVENROW_LOG is “{wanted}”: set it to json for one JSON object a line, or to text or nothing."
        )
    return f"{__name__}.{FORMATTERS[wanted]}"


def is_worth_writing(record: logging.LogRecord) -> bool:
    """Leave out that a task was queued, begun or done; failures stay."""
    return record.levelno >= logging.WARNING or not record.name.startswith("django_tasks")
