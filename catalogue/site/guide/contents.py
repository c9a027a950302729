"""What parts of the guide show that is made from the program itself, so that it can't go stale."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.core.management import load_command_class

from catalogue.site.guide.parts import GuidePart
from grading.core.formula.tree import COMPARISONS
from grading.core.pattern.schema import schema
from grading.grid.formula_words import function_words, unit_words

# The commands that a studio runs, in the order of their use, and the app that each belongs to.
COMMANDS = {
    **dict.fromkeys(("demo", "start", "first_designer", "backup", "restore", "verify"), "catalogue.site"),
    **dict.fromkeys(("grade", "audit"), "grading"),
    **dict.fromkeys(("loadpattern", "exportpattern", "publish", "readbounce"), "catalogue"),
    **dict.fromkeys(("place", "assess", "tend"), "testing"),
}


@dataclass(frozen=True)
class SchemaField:
    """A field of a pattern file: where it stands, what it is, whether it must be there, and what it means."""

    path: str
    kind: str
    is_required: bool
    meaning: str
    depth: int


@dataclass(frozen=True)
class CommandHelp:
    """A command, in the words of its own help."""

    name: str
    says: str
    usage: str


def context_of(part: GuidePart) -> dict[str, Any]:
    """What the template of a part needs."""
    return {"part": part, **(_CONTEXTS[part.name]() if part.name in _CONTEXTS else {})}


def _formula_context() -> dict[str, Any]:
    """The tables that the calculation reads."""
    return {"functions": function_words(), "units": unit_words(), "comparisons": sorted(COMPARISONS)}


def _command_context() -> dict[str, Any]:
    """Each command as it explains itself."""
    return {"commands": [_command_help(name, app) for name, app in COMMANDS.items()]}


def _command_help(name: str, app: str) -> CommandHelp:
    """A command's own help, without what all commands share."""
    command = load_command_class(app, name)
    parser = command.create_parser("manage.py", name)
    own = [action for action in parser._actions if not _is_shared(action.dest)]  # noqa: SLF001
    formatter = parser._get_formatter()  # noqa: SLF001
    formatter.add_usage(None, own, [])
    formatter.start_section(None)
    formatter.add_arguments(own)
    formatter.end_section()
    return CommandHelp(name, command.help, formatter.format_help().replace("usage: ", "").strip())


def _is_shared(dest: str) -> bool:
    """Whether an argument belongs to every command."""
    return dest in {
        "help", "version", "verbosity", "settings", "pythonpath", "traceback", "no_color", "force_color",
        "skip_checks",
    }  # fmt: skip


def _file_context() -> dict[str, Any]:
    """The fields of a pattern file, read from its schema."""
    whole = schema()
    return {"fields": list(_fields(whole, whole["$defs"], "", 0))}


def _fields(
    node: dict[str, Any], definitions: dict[str, Any], path: str, depth: int
) -> Iterator[SchemaField]:
    """All fields below a node of the schema, each before those inside it."""
    required = node.get("required", [])
    for name, field in node.get("properties", {}).items():
        here = f"{path}.{name}" if path else name
        whole = _resolved(field, definitions)
        meaning = field.get("description", "")
        yield SchemaField(here, _kind(whole, definitions), name in required, meaning, depth)
        yield from _fields_inside(whole, definitions, here, depth)


def _fields_inside(
    field: dict[str, Any], definitions: dict[str, Any], path: str, depth: int
) -> Iterator[SchemaField]:
    """The fields of an object, or of the entries of a list or of a table of names."""
    if "properties" in field:
        yield from _fields(field, definitions, path, depth + 1)
    for key, mark in (("items", "[]"), ("additionalProperties", ".NAME")):
        inner = field.get(key)
        for form in _forms(inner, definitions):
            yield from _fields(form, definitions, path + mark, depth + 1)


def _forms(inner: Any, definitions: dict[str, Any]) -> list[dict[str, Any]]:
    """The forms with fields that an entry may have."""
    if not isinstance(inner, dict):
        return []
    whole = _resolved(inner, definitions)
    return [form for form in [whole, *whole.get("anyOf", [])] if "properties" in form]


def _resolved(field: dict[str, Any], definitions: dict[str, Any]) -> dict[str, Any]:
    """A field of the schema, with what it refers to written out."""
    reference = field.get("$ref")
    return {**definitions[reference.removeprefix("#/$defs/")], **field} if reference else field


_TYPES = {
    "string": "text",
    "integer": "whole number",
    "array": "list",
    "object": "object",
    "boolean": "true or false",
}


def _kind(field: dict[str, Any], definitions: dict[str, Any]) -> str:
    """What may stand in a field, in words."""
    if "const" in field:
        return f"“{field['const']}”"
    if "enum" in field:
        return ", ".join(f"“{one}”" for one in field["enum"])
    if "anyOf" in field:
        kinds = dict.fromkeys(_kind(_resolved(form, definitions), definitions) for form in field["anyOf"])
        return " or ".join(kinds)
    named: str = field.get("type", "object")
    if named == "object" and "additionalProperties" in field and "properties" not in field:
        return "names and what is under each"
    return _TYPES.get(named, named)


_CONTEXTS: dict[str, Callable[[], dict[str, Any]]] = {
    "formulas": _formula_context,
    "commands": _command_context,
    "file": _file_context,
}
