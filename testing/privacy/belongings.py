"""Rows of any table that refer to a person, found over the model graph: a new table needs no thought here."""

from typing import Any

from django.apps import apps
from django.db.models import CASCADE, Field, Model
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
    found = {
        model._meta.label: _rows(model, field, person)  # noqa: SLF001
        for model, field in keys_to_people()
        if model.__name__ not in ELSEWHERE
    }
    return {table: rows for table, rows in found.items() if rows}


def _rows(model: type[Model], field: "Field[Any, Any]", person: Person) -> list[dict[str, Any]]:
    """The rows of one table that refer to a person."""
    rows = model._default_manager.filter(**{field.name: person})  # noqa: SLF001
    is_own = getattr(field.remote_field, "on_delete", None) is CASCADE
    return [{"key": row.pk, "what": str(row), **(model_to_dict(row) if is_own else {})} for row in rows]
