"""The first thing about a pattern file that does not fit its JSON Schema, in a plain sentence."""

import json
from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError, best_match

from grading.core.formula.errors import PatternFileError

SCHEMA_PATH = Path(__file__).with_name("pattern.schema.json")


@lru_cache(maxsize=1)
def schema() -> dict[str, Any]:
    """Return the JSON Schema of pattern files."""
    read: dict[str, Any] = json.loads(SCHEMA_PATH.read_text(encoding="utf-8"))
    return read


@lru_cache(maxsize=64)
def _validator(part: str | None) -> Draft202012Validator:
    """Return the validator of the whole file, or of one entry of a part such as "values"."""
    whole = schema()
    if part is None:
        return Draft202012Validator(whole)
    of_part = whole["properties"][part]
    entry = of_part.get("items", of_part.get("additionalProperties", of_part))
    return Draft202012Validator({**entry, "$defs": whole["$defs"]})


@lru_cache(maxsize=64)
def _quick_validator(part: str | None) -> Draft202012Validator:
    """Return the same validator with every reference written out: looking them up takes most of the time."""
    return Draft202012Validator(_written_out(_validator(part).schema, schema()["$defs"]))


@lru_cache(maxsize=16)
def _file_validators(
    schema_path: Path, part: str | None
) -> tuple[Draft202012Validator, Draft202012Validator]:
    """Return the validator of a file or one of its definitions, and the same with references written out."""
    whole = json.loads(schema_path.read_text(encoding="utf-8"))
    definitions = whole["$defs"]
    wanted = whole if part is None else {**definitions[part], "$defs": definitions}
    return Draft202012Validator(wanted), Draft202012Validator(_written_out(wanted, definitions))


def _written_out(part: Any, definitions: dict[str, Any]) -> Any:
    """Return a part of the schema with the definitions in place of references to them."""
    if isinstance(part, list):
        return [_written_out(inner, definitions) for inner in part]
    if not isinstance(part, dict):
        return part
    if "$ref" in part:  # beside it stands at most a description
        return _written_out(definitions[part["$ref"].removeprefix("#/$defs/")], definitions)
    return {key: _written_out(inner, definitions) for key, inner in part.items()}


def require_fit(data: Any, part: str | None = None, path: str = "$") -> None:
    """Raise unless data fits the schema.

    Args:
        data: A whole file, or one entry of a part.
        part: None for the whole file, else the part's key, such as "values".
        path: JSON path of the data.

    Raises:
        PatternFileError: Names the place and the reason.

    Source: JSON Schema 2020-12.
    """
    _require_valid(data, _validator(part), _quick_validator(part), path)


def fits(data: Any) -> bool:
    """Return whether data fits the schema of a whole file.

    Args:
        data: What a file holds.

    Source: JSON Schema 2020-12.

    >>> fits({"title": "Scarf"})
    False
    """
    return bool(_quick_validator(None).is_valid(data))


def has_room(data: dict[str, Any]) -> bool:
    """Return whether no part of a file has more entries than it may have.

    Args:
        data: What a file holds.

    Source: JSON Schema 2020-12.

    >>> has_room({"sizes": ["S"] * 24}), has_room({"sizes": ["S"] * 25})
    (True, False)
    """
    limits = {
        key: part.get("maxItems", part.get("maxProperties")) for key, part in schema()["properties"].items()
    }
    return all(limits.get(key) is None or len(content) <= limits[key]
               for key, content in data.items() if isinstance(content, dict | list))  # fmt: skip


def require_file_fit(data: Any, schema_path: Path, part: str | None = None, path: str = "$") -> None:
    """Raise unless data fits a schema that stands in a file.

    Args:
        data: A whole file, or a part of one.
        schema_path: Where the schema is; what it defines does not refer to itself.
        part: None for the whole file, else the name of one of the schema's definitions.
        path: JSON path of the data.

    Raises:
        PatternFileError: Names the place and the reason.

    Source: JSON Schema 2020-12.
    """
    _require_valid(data, *_file_validators(schema_path, part), path)


def _require_valid(
    data: Any, validator: Draft202012Validator, quick: Draft202012Validator, path: str
) -> None:
    """Raise unless data fits; only what the quick validator refuses is looked at closely."""
    if quick.is_valid(data):
        return
    found = first_misfit(validator, data)
    if found is not None:
        raise PatternFileError(path + found[0][1:], found[1])


def first_misfit(validator: Draft202012Validator, data: Any) -> tuple[str, str] | None:
    """Return the JSON path and the reason of what fits least, or None where data fits a schema.

    Args:
        validator: The schema, made ready.
        data: What is compared with it.

    Source: JSON Schema 2020-12.

    >>> first_misfit(Draft202012Validator({"type": "object", "required": ["size"]}), {})
    ('$', '“size” is missing.')
    """
    error = best_match(validator.iter_errors(data))
    if error is None:
        return None
    error = _deepest(error)
    return json_path(error.absolute_path), _sentence(error)


def json_path(steps: Iterable[str | int]) -> str:
    """Return a JSON path such as $.values[3].kind.

    >>> json_path(["values", 3, "kind"])
    '$.values[3].kind'
    """
    return "$" + "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps)


def _deepest(error: ValidationError) -> ValidationError:
    """Return the error inside a choice of forms that says most, if one reaches deeper than the choice."""
    deeper = [e for e in error.context or () if len(e.absolute_path) > len(error.absolute_path)]
    return _deepest(deeper[0]) if error.validator == "anyOf" and deeper else error


def shown_briefly(value: Any) -> str:
    """Show a value of a file in a sentence, cut where it is long.

    Args:
        value: What stands in the file.

    Source: derived.

    >>> shown_briefly(["M"])
    '["M"]'
    """
    text = json.dumps(value, ensure_ascii=False, default=str)
    brief = text if len(text) <= 60 else f"{text[:57]}…"
    return brief.encode("utf-8", "backslashreplace").decode()  # half characters can't be printed


def _sentence(error: ValidationError) -> str:
    """Turn a validation error into a plain sentence."""
    rule, given = str(error.validator), error.instance
    wanted: Any = error.validator_value
    part: Any = error.schema
    if "mustBe" in part and rule not in _OF_KEYS:
        return f"This must be {part['mustBe']}, not {shown_briefly(given)}."
    if rule in _FIXED:
        return _FIXED[rule].format(given=shown_briefly(given), wanted=wanted)
    say = _SAID.get(rule)
    return say(wanted, given, error) if say else f"{shown_briefly(given)} does not fit here."


def _say_missing(wanted: Any, given: Any, _error: ValidationError) -> str:
    """Say which key is missing."""
    return f"“{next(name for name in wanted if name not in given)}” is missing."


def _say_unknown(_wanted: Any, given: Any, error: ValidationError) -> str:
    """Say which key is not known."""
    schema: Any = error.schema
    known = schema.get("properties", {})
    unknown = next(name for name in given if name not in known)
    return f"“{unknown[:80]}” is not a known key; the keys are {', '.join(known)}."


def _say_choices(wanted: Any, given: Any, error: ValidationError) -> str:
    """Say what is allowed."""
    choices = wanted if error.validator == "enum" else [wanted]
    return f"{shown_briefly(given)} is none of {', '.join(shown_briefly(one) for one in choices)}."


def _say_type(wanted: Any, given: Any, _error: ValidationError) -> str:
    """Say what sort of entry is wanted."""
    return f"{shown_briefly(given)} is no {_TYPES.get(wanted, wanted)}."


def _say_one_of(wanted: Any, _given: Any, _error: ValidationError) -> str:
    """Say which keys exclude each other."""
    forms = " or ".join(" and ".join(f"“{key}”" for key in form.get("required", ())) for form in wanted)
    return f"Exactly one of {forms} is needed."


def _say_forms(wanted: Any, given: Any, _error: ValidationError) -> str:
    """Say which forms an entry may have."""
    return f"{shown_briefly(given)} fits none of: {', '.join(_form(form) for form in wanted)}."


def _say_writing(wanted: Any, given: Any, _error: ValidationError) -> str:
    """Say how an entry is written."""
    if " per " in wanted.replace("\\s+", " "):
        return f"{shown_briefly(given)} is not a ratio, such as “3 per 4”."
    if wanted == r"\S":
        return "This must not be empty."
    return (
        f"{shown_briefly(given)} is not a name: names are lower-case letters, digits and _, a letter first."
    )


_SAID: dict[str, Callable[[Any, Any, ValidationError], str]] = {
    "required": _say_missing,
    "additionalProperties": _say_unknown,
    "enum": _say_choices,
    "const": _say_choices,
    "type": _say_type,
    "oneOf": _say_one_of,
    "anyOf": _say_forms,
    "pattern": _say_writing,
}
_OF_KEYS = ("required", "additionalProperties")  # which key is wrong says more than what the object must be
_TYPES = {"object": "object", "array": "list", "string": "text", "boolean": "true or false"}
_FIXED = {
    "minItems": "There are too few entries; at least {wanted} are needed.",
    "maxItems": "There are too many entries; at most {wanted} are allowed.",
    "uniqueItems": "The same entry is here twice.",
    "minLength": "This must not be empty.",
    "maxLength": "This is longer than {wanted} characters.",
    "minimum": "{given} is less than {wanted}, the least allowed.",
    "maximum": "{given} is more than {wanted}, the most allowed.",
    "exclusiveMinimum": "{given} must be above {wanted}.",
    "maxProperties": "There are too many entries; at most {wanted} are allowed.",
}


def _form(form: dict[str, Any]) -> str:
    """Name one of several forms."""
    if "$ref" in form:
        return {"literal": "a number with its unit", "name": "a name"}.get(
            form["$ref"].split("/")[-1], "an entry"
        )
    kinds = {
        "number": "a number",
        "integer": "a whole number",
        "null": "null",
        "string": "text",
        "array": "a list",
    }
    limits = f" from {form['minimum']}" if "minimum" in form else ""
    return kinds.get(form.get("type", ""), "an object") + limits
