"""Pattern files: from JSON to a Pattern, or one sentence that says why not."""

import hashlib
import json
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from grading.core.formula.errors import PatternFileError
from grading.core.formula.literals import RESERVED
from grading.core.pattern import parts
from grading.core.pattern.entries import read_share
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.schema import fits, has_room, require_fit
from grading.core.pattern.size_groups import read_size_groups, require_size_groups

MOST_CHARACTERS = 5_000_000
# Marks of files that were compared with the schema and fit: one file is read many times on its way to a PDF.
MOST_FITTING = 1_000
_fitting: set[bytes] = set()
NAMED_LISTS = (
    "values",
    "checks",
    "shapings",
    "spreads",
    "curves",
    "pick_ups",
    "stripes",
    "options",
    "pieces",
    "joins",
    "stitch_patterns",
    "special_stitches",
)
# These share one set of names, since formulas, steps and shapings refer to them by name alone.
SHARED_NAMES = (
    "body",
    "fabrics",
    "values",
    "shapings",
    "spreads",
    "curves",
    "pick_ups",
    "stripes",
    "stitch_patterns",
)


def read_pattern(
    data: dict[str, Any] | str, *, trusted: bool = False, unread: dict[str, Any] | None = None
) -> PatternFile:
    """Read a pattern file.

    Args:
        data: The file's JSON text, or what it holds.
        trusted: Whether it has been read before and need not be compared with the schema again.
        unread: The same without entries that have been read before, to the letter; only the rest is compared.

    Returns:
        The pattern, every number in mm, g, m of yarn or counts.

    Raises:
        PatternFileError: It does not fit; carries the JSON path and the reason.

    Source: derived.
    """
    typed = load_json(data) if isinstance(data, str) else data
    if not trusted:
        _require_text_and_fit(typed, unread)
        _require_names(typed)
    return _build(typed)


def _require_text_and_fit(typed: dict[str, Any], unread: dict[str, Any] | None) -> None:
    """Raise unless a file has clean text and fits the schema; what was read before is not looked at again."""
    if unread is not None and has_room(typed) and fits(unread) and _is_all_clean(unread):
        return
    mark = _mark_of(typed)
    if mark is not None and mark in _fitting:
        return
    _require_clean_text(typed)
    require_fit(typed)
    if mark is not None:
        if len(_fitting) >= MOST_FITTING:
            _fitting.clear()
        _fitting.add(mark)


def _mark_of(typed: dict[str, Any]) -> bytes | None:
    """Return what tells a file from every other, None for what JSON can't hold."""
    try:
        text = json.dumps(typed, ensure_ascii=False, separators=(",", ":"))
        return hashlib.sha256(text.encode()).digest()
    except (TypeError, ValueError, RecursionError):
        return None


def forget_fitting_files() -> None:
    """Compare every file with the schema again: for whoever measures how long that takes.

    Source: derived.
    """
    _fitting.clear()


def _is_all_clean(typed: dict[str, Any]) -> bool:
    """Return whether all text of a file is clean; where it is not, the whole file says at which place."""
    try:
        _require_clean_text(typed)
    except PatternFileError:
        return False
    return True


def read_edited_pattern(
    before: PatternFile, data: dict[str, Any], edited: Iterable[tuple[str, int | str]]
) -> PatternFile:
    """Read a pattern file of which all but some entries has been read before.

    Args:
        before: The pattern before the edit.
        data: What the file holds; keys, names and their order as they were.
        edited: The part and the place (or, in `body` and `fabrics`, the name) of each entry that is new.

    Returns:
        The same as `read_pattern(data)`.

    Raises:
        PatternFileError: An entry does not fit; carries the JSON path and the reason.

    Source: derived.
    """
    parts_read: dict[str, list[Any]] = {}
    for part, place in edited:
        path = f"$.{part}[{place}]" if isinstance(place, int) else f"$.{part}.{place}"
        entry = data[part][place]
        _require_clean_text(entry, path)
        require_fit(entry, part, path)
        read = parts_read.setdefault(part, list(getattr(before, part)))
        at = place if isinstance(place, int) else list(data[part]).index(place)
        read[at] = _READ[part](data, entry, path)
    changed: dict[str, Any] = {part: tuple(read) for part, read in parts_read.items()}
    return replace(before, **changed, typed=data, memo={})


def text_of_file(path: Path, most_characters: int = MOST_CHARACTERS) -> str:
    """Return the text of a file.

    Args:
        path: Where the file is.
        most_characters: How long it may be; a much longer one is not opened.

    Returns:
        The text, without a byte order mark.

    Raises:
        PatternFileError: The file can't be read, is too long, or is not written in UTF-8.

    Source: RFC 8259, section 8.1.

    >>> len(text_of_file(Path(__file__))) > 0
    True
    """
    try:
        if path.stat().st_size > 4 * most_characters:
            raise PatternFileError("$", f"The file is longer than {most_characters:,} characters.")
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise PatternFileError("$", "The file is not written in UTF-8.") from None
    except (OSError, ValueError) as error:  # ValueError: a path that no file can have
        reason = getattr(error, "strerror", None) or error
        raise PatternFileError("$", f"The file cannot be read: {reason}.") from None


def read_json(text: str) -> Any:
    """Read the JSON text of a file strictly.

    Args:
        text: The file's text.

    Returns:
        What it holds.

    Raises:
        PatternFileError: It is no JSON, too long or nested too deep, or holds control characters.

    Source: RFC 8259.

    >>> read_json('{"sizes": ["S"]}')
    {'sizes': ['S']}
    """
    typed = load_json(text)
    _require_clean_text(typed)
    return typed


def load_json(text: str, most_characters: int = MOST_CHARACTERS) -> Any:
    """Read JSON text in which no key stands twice and every number is one.

    Args:
        text: The file's text.
        most_characters: How long it may be.

    Returns:
        What it holds, with texts as they are.

    Raises:
        PatternFileError: It is no JSON, too long or nested too deep.

    Source: RFC 8259.

    >>> load_json('[1, 2]')
    [1, 2]
    """
    if len(text) > most_characters:
        raise PatternFileError("$", f"The file is longer than {most_characters:,} characters.")
    try:
        return json.loads(text, object_pairs_hook=_no_duplicates, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        reason = f"This is not JSON: {error.msg} in line {error.lineno}, column {error.colno}."
        raise PatternFileError("$", reason) from None
    except RecursionError:
        raise PatternFileError("$", "The file is nested too deep.") from None
    except ValueError:
        raise PatternFileError("$", "A number in the file has too many digits.") from None


def _no_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse an object that has a key twice: one of the two would be lost."""
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise PatternFileError("$", f"The key “{twice[:80]}” is there twice in one object.")
    return found


def _no_constant(word: str) -> Any:
    """Refuse NaN and Infinity, which JSON does not have."""
    raise PatternFileError("$", f"{word} is not a number.")


def _require_clean_text(typed: Any, path: str = "$") -> None:
    """Refuse NUL and other control characters, numbers that are not finite, and nesting too deep to read."""
    open_parts: list[tuple[str, Any, int]] = [(path, typed, 0)]
    while open_parts:
        path, part, depth = open_parts.pop()
        if depth > 20:
            raise PatternFileError(path[:200], "The file is nested too deep.")
        if isinstance(part, dict):
            open_parts += [(f"{path}.{key}", key, depth) for key in part]
            open_parts += [(f"{path}.{key}", inner, depth + 1) for key, inner in part.items()]
        elif isinstance(part, list):
            open_parts += [(f"{path}[{i}]", inner, depth + 1) for i, inner in enumerate(part)]
        elif isinstance(part, str) and not _is_clean(part):
            raise PatternFileError(
                path[:200], "There is an invisible control character in the text: delete it."
            )
        elif isinstance(part, int | float) and not abs(part) < 1e15:
            raise PatternFileError(path[:200], "A number is too large.")


def _is_clean(text: str) -> bool:
    """Return whether a text can be stored and shown: no control characters or half characters."""
    return text.isprintable() or not any(
        (ord(c) < 32 and c not in "\n\r\t") or c == "\x7f" or "\ud800" <= c <= "\udfff" for c in text
    )


def _require_names(typed: dict[str, Any]) -> None:
    """Refuse sizes, names and colours that stand twice, and reserved names."""
    require_single((size.strip().casefold(), f"$.sizes[{i}]") for i, size in enumerate(typed["sizes"]))
    require_size_groups(typed["sizes"], read_size_groups(typed))
    require_single((yarn["colour"], f"$.yarns[{i}].colour") for i, yarn in enumerate(typed.get("yarns", ())))
    require_single(
        (one["short"], f"$.special_stitches[{i}].short")
        for i, one in enumerate(typed.get("special_stitches", ()))
    )
    shared: list[tuple[str, str]] = []
    for part in ("body", "fabrics", *NAMED_LISTS):
        named = list(_names_in(typed.get(part, ()), part))
        require_single(named)
        if part in SHARED_NAMES:
            shared += named
    require_single(shared)
    for name, path in shared:
        if name in RESERVED:
            raise PatternFileError(path, f"“{name}” is a unit, keyword or function and cannot be a name.")


def _names_in(part: Any, key: str) -> Iterable[tuple[str, str]]:
    """Return the names in a part, each with its JSON path."""
    if isinstance(part, dict):
        return [(name, f"$.{key}.{name}") for name in part]
    return [(entry["name"], f"$.{key}[{i}].name") for i, entry in enumerate(part)]


def require_single(named: Iterable[tuple[str, str]]) -> None:
    """Refuse a name that stands twice.

    Args:
        named: Names, each with the JSON path of its place.

    Raises:
        PatternFileError: Carries the path of the second, and says where the first stands.

    Source: derived.

    >>> require_single([("S", "$.sizes[0]"), ("M", "$.sizes[1]")])
    """
    seen: dict[str, str] = {}
    for name, path in named:
        if name in seen:
            raise PatternFileError(path, f"“{name}” is here and at {seen[name]}; each needs its own name.")
        seen[name] = path


# How one entry of each part is read: from the whole file, the entry and its JSON path.
_READ: dict[str, Callable[[dict[str, Any], Any, str], Any]] = {
    "notions": lambda _, e, __: parts.read_notion(e),
    "body": lambda typed, e, path: parts.read_body_measurement(_last(path), e, tuple(typed["sizes"]), path),
    "fabrics": lambda _, e, path: parts.read_fabric(_last(path), e, path),
    "values": lambda typed, e, path: parts.read_value(e, tuple(typed["sizes"]), path),
    "checks": lambda typed, e, path: parts.read_check(e, tuple(typed["sizes"]), path),
    "shapings": lambda _, e, __: parts.read_shaping(e),
    "spreads": lambda _, e, __: parts.read_spread(e),
    "curves": lambda typed, e, _: parts.read_curve(e, typed["craft"]),
    "pick_ups": lambda _, e, path: parts.read_pick_up(e, path),
    "stripes": lambda _, e, __: parts.read_stripes(e),
    "options": lambda _, e, path: parts.read_option(e, path),
    "yarns": lambda _, e, path: parts.read_yarn(e, path),
    "yarn_sections": lambda _, e, path: parts.read_yarn_section(e, path),
    "pieces": lambda _, e, __: parts.read_piece(e),
    "joins": lambda _, e, path: parts.read_join(e, path),
    "stitch_patterns": lambda _, e, __: parts.read_stitch_pattern(e),
    "special_stitches": lambda _, e, __: parts.read_special_stitch(e),
    "sections": lambda _, e, __: parts.read_section(e),
}


def _last(path: str) -> str:
    """Return the name at the end of a JSON path."""
    return path.rpartition(".")[2]


def _entries(typed: dict[str, Any], part: str) -> tuple[Any, ...]:
    """Read every entry of a part."""
    entries, read = typed.get(part, ()), _READ[part]
    if isinstance(entries, dict):
        return tuple(read(typed, entry, f"$.{part}.{name}") for name, entry in entries.items())
    return tuple(read(typed, entry, f"$.{part}[{i}]") for i, entry in enumerate(entries))


def _build(typed: dict[str, Any]) -> PatternFile:
    """Build the pattern from JSON that fits the schema."""
    read: dict[str, Any] = {part: _entries(typed, part) for part in _READ}
    return PatternFile(
        title=typed["title"],
        craft=typed["craft"],
        home_units=typed["home_units"],
        home_terms=typed["home_terms"],
        sizes=tuple(typed["sizes"]),
        size_groups=read_size_groups(typed),
        summary=typed.get("summary"),
        skill=typed.get("skill"),
        construction=typed.get("construction"),
        wearer=typed.get("wearer"),
        hazards=tuple(typed.get("hazards", ())),
        abbreviations=tuple(typed.get("abbreviations", {}).items()),
        yarn_allowance=read_share(typed.get("yarn_allowance", 0), "$.yarn_allowance"),
        **read,
        typed=typed,
    )
