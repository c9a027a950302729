"""Rows of any table that refer to a person, found over the model graph: a new table needs no thought here."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.apps import apps
from django.db.models import CASCADE, Field, Model, Q, Value
from django.forms.models import model_to_dict

from catalogue.models import Person

# Given out in full elsewhere, or a secret that only the person's own device may know.
ELSEWHERE = frozenset({"Placement", "TesterNote", "EmailAddress", "Authenticator", "Person_groups"})


def keys_to_people() -> list[tuple[type[Model], "Field[Any, Any]"]]:
    """Every table with a key to a person, and that key."""
    return [
        (model, field)
        for model in apps.get_models(include_auto_created=True)
        for field in model._meta.concrete_fields  # noqa: SLF001  the way to the model graph
        if field.is_relation and field.related_model is Person
    ]


def belongings_of(person: Person) -> dict[str, list[dict[str, Any]]]:
    """By table: rows that are the person's own in full, those they only made by what they are called."""
    keys: dict[type[Model], list[Field[Any, Any]]] = {}
    for model, field in keys_to_people():
        if model.__name__ not in ELSEWHERE:
            keys.setdefault(model, []).append(field)
    having = _tables_having(keys, person)
    return {
        model._meta.label: _rows(model, fields, person)  # noqa: SLF001
        for model, fields in keys.items()
        if model._meta.label in having  # noqa: SLF001
    }


def _tables_having(keys: "Mapping[type[Model], list[Field[Any, Any]]]", person: Person) -> set[str]:
    """The labels of the tables that have such rows, asked of all tables at once."""
    asked = [
        model._default_manager.order_by()  # noqa: SLF001
        .filter(_refers(fields, person))
        .values_list(Value(model._meta.label))  # noqa: SLF001
        for model, fields in keys.items()
    ]
    return {label for (label,) in asked[0].union(*asked[1:])}


def _refers(fields: "Iterable[Field[Any, Any]]", person: Person) -> Q:
    """Rows that refer to a person by whichever of their fields."""
    refers = Q()
    for field in fields:
        refers |= Q(**{field.name: person})
    return refers


def _rows(model: type[Model], fields: "list[Field[Any, Any]]", person: Person) -> list[dict[str, Any]]:
    """The rows of one table that refer to a person."""
    about = model._meta  # noqa: SLF001
    # What a row is called may be told by another row that it belongs to; the record of a version is large.
    owners = [one.name for one in about.concrete_fields if one.remote_field and not one.null]
    large = [one.name for one in about.concrete_fields if one.name == "record"]
    rows = model._default_manager.filter(_refers(fields, person)).select_related(*owners).defer(*large)  # noqa: SLF001
    is_own = any(getattr(one.remote_field, "on_delete", None) is CASCADE for one in fields)
    return [{"key": row.pk, "what": str(row), **(model_to_dict(row) if is_own else {})} for row in rows]
