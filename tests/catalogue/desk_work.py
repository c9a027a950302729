"""What tests of the desk do by hand: load a pattern, fill in a form as a browser would."""

from typing import Any, cast

from django.test import Client

from catalogue.drafts.patterns import load_pattern
from catalogue.models import Pattern
from grading.entries.choosing import RowsField
from grading.models import StoredResult
from tests.builders import sample


def small_document(**changes: Any) -> dict[str, Any]:
    """A pattern of three sizes with one of everything that tests touch."""
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Marlstone Vest",
        "craft": "crochet",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": ["S", "M", "L"],
        "body": {"bust": {"label": "Bust girth", "unit": "cm", "values": [84, 92, 100]}},
        "fabrics": {"main": {"label": "Trebles", "stitches": 14, "rows": 8, "over": "10 cm", "tool_mm": 4}},
        "values": [
            {"name": "ease", "label": "Ease", "kind": "length",
             "steps": {"base_size": "M", "base": "8 cm", "step": ["0 cm", "1 cm"]}},
            {"name": "chest", "label": "Chest wanted", "kind": "length", "formula": "bust + ease"},
            {"name": "back", "label": "Back, stitches", "kind": "stitches",
             "formula": "chest / 2 * main.stitches"},
            {"name": "edge", "label": "Edge, rows", "kind": "rows", "list": [4, 4, 6]},
        ],
        "checks": [
            {"name": "wide_enough", "holds": "chest >= bust", "says": "It is too narrow.", "weight": "stop"}
        ],
        "sections": [{"title": "Back", "steps": ["Ch {back}.", "Work {edge} rows."]}],
        **changes,
    }  # fmt: skip


def load(name: str = "", **changes: Any) -> Pattern:
    """A pattern on the desk: a sample by its name, else the small one."""
    document = {**sample(name), **changes} if name else small_document(**changes)
    return load_pattern(document=document, by=None)


def fresh(pattern: Pattern) -> Pattern:
    """The pattern as the database has it."""
    return Pattern.objects.select_related("sheet").get(pk=pattern.pk)


def typed(client: Client, url: str, **changes: Any) -> dict[str, Any]:
    """What the form of a page holds, with changes, as a browser would send it."""
    form = client.get(url).context["form"]
    data = {name: form[name].value() for name in form.fields}
    sent = {key: "on" if content is True else content for key, content in data.items()}
    for name in [name for name, field in form.fields.items() if isinstance(field, RowsField)]:
        rows = sent.pop(name) or []
        sent |= {f"{name}-{i}-{j}": cell for i, row in enumerate(rows) for j, cell in enumerate(row)}
    return {**{key: content for key, content in sent.items() if content not in (None, False)}, **changes}


def worked(pattern: Pattern, name: str) -> list[float | None]:
    """The stored worked numbers of a value."""
    stored = StoredResult.objects.get(sheet=pattern.sheet, part="values", name=name)
    return cast("list[float | None]", stored.figures["worked"])
