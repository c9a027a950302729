"""What was worked out from frozen records, kept: in the database for every process, the latest in memory.

All is known by the fingerprint of what it was made from and of the program that made it, so that nothing kept
can be wrong: another record, another erratum or a newer program asks for another fingerprint.
"""

import hashlib
import json
import logging
from collections import OrderedDict
from collections.abc import Callable, Collection, Mapping
from datetime import timedelta
from functools import cache
from pathlib import Path
from threading import Lock

from django.conf import settings
from django.db import DatabaseError, transaction
from django.utils import timezone

from catalogue.models import FrozenWork

logger = logging.getLogger(__name__)

MOST_IN_MEMORY = 512
# SQLite takes some two hundred rows in one query.
MOST_APART = 150
FORGOTTEN_AFTER = timedelta(days=60)
PROGRAM_FOLDERS = ("grading", "catalogue", "templates")
PROGRAM_FILES = (".py", ".html", ".svg", ".toml", ".json", ".txt", ".css")

Asked = tuple[str, ...]
Makers = Callable[[Collection[Asked]], Mapping[Asked, str]]

_memory: OrderedDict[str, str] = OrderedDict()
_lock = Lock()


def kept(kind: str, made_of: Asked, make: Callable[[], str]) -> str:
    """What was made of these, or is made now and kept."""
    return kept_all(kind, [made_of], lambda _: {made_of: make()})[made_of]


def kept_all(kind: str, wanted: Collection[Asked], make: Makers) -> dict[Asked, str]:
    """The same for many at once; `make` is called once, with all that are not kept.

    However many they are, they are read in one query and written in one.
    """
    if len(wanted) > MOST_APART:
        return _kept_together(kind, sorted(wanted), make)
    keys = {made_of: _key(kind, made_of) for made_of in wanted}
    found = _remembered(set(keys.values()))
    found |= _stored([key for key in keys.values() if key not in found])
    missing = [made_of for made_of, key in keys.items() if key not in found]
    if missing:
        made = {keys[made_of]: text for made_of, text in make(missing).items()}
        _store(kind, made)
        found |= made
    return {made_of: found[key] for made_of, key in keys.items()}


def _kept_together(kind: str, wanted: list[Asked], make: Makers) -> dict[Asked, str]:
    """A great many as one row: where one of them is another, all are made again."""

    def make_all() -> str:
        made = make(wanted)
        return json.dumps([made[made_of] for made_of in wanted])

    text = kept(f"{kind}, together", tuple(json.dumps(made_of) for made_of in wanted), make_all)
    return dict(zip(wanted, json.loads(text), strict=True))


def forget_memory() -> None:
    """Begin as a new process does."""
    with _lock:
        _memory.clear()


def forget_old_work() -> int:
    """Forget what other programs made, and in time all: what is asked for is made again."""
    long_ago = timezone.now() - FORGOTTEN_AFTER
    others = FrozenWork.objects.exclude(program=program_digest()).filter(
        made_at__lt=timezone.now() - timedelta(days=1)
    )
    return others.delete()[0] + FrozenWork.objects.filter(made_at__lt=long_ago).delete()[0]


@cache
def program_digest() -> str:
    """The fingerprint of the program that works things out: its files, by name and content."""
    digest, root = hashlib.sha256(), Path(settings.BASE_DIR)
    for folder in PROGRAM_FOLDERS:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix in PROGRAM_FILES and path.is_file():
                content = hashlib.sha256(path.read_bytes()).hexdigest()
                digest.update(f"{path.relative_to(root)} {content}\n".encode())
    return digest.hexdigest()


def _key(kind: str, made_of: Asked) -> str:
    """The fingerprint of something that is asked for."""
    return hashlib.sha256(json.dumps([program_digest(), kind, *made_of]).encode()).hexdigest()


def _remembered(keys: Collection[str]) -> dict[str, str]:
    """What this process still has."""
    with _lock:
        found = {key: _memory[key] for key in keys if key in _memory}
        for key in found:
            _memory.move_to_end(key)
    return found


def _remember(made: Mapping[str, str]) -> None:
    """Have it at hand; what was unused for longest goes."""
    with _lock:
        _memory.update(made)
        while len(_memory) > MOST_IN_MEMORY:
            _memory.popitem(last=False)


def _stored(keys: list[str]) -> dict[str, str]:
    """What another request or process has made."""
    if not keys:
        return {}
    found = dict(FrozenWork.objects.filter(key__in=keys).values_list("key", "text"))
    _remember(found)
    return found


def _store(kind: str, made: Mapping[str, str]) -> None:
    """Keep what was made; a database that can't take it is no reason to show nothing."""
    _remember(made)
    rows = [FrozenWork(key=key, program=program_digest(), kind=kind, text=text) for key, text in made.items()]
    try:
        with transaction.atomic():
            FrozenWork.objects.bulk_create(rows, ignore_conflicts=True)
    except DatabaseError as problem:
        logger.warning("What was worked out could not be kept: %s", str(problem).partition("\n")[0])
