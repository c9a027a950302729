"""What the renderer leaves out of a tagged PDF: what a header cell heads, and where a link leads."""

from typing import Any

import pydyf  # type: ignore[import-untyped]


def finish_tags(_document: Any, pdf: Any) -> None:
    """Give header cells their scope and links their words, just before the file is written."""
    objects: list[Any] = [item for item in pdf.objects if isinstance(item, dict)]
    _scope_headers([item for item in objects if "S" in item])
    for item in objects:
        if item.get("Subtype") == "/Link" and "Contents" not in item:
            item["Contents"] = pydyf.String(_link_words(item))


def _scope_headers(tagged: list[Any]) -> None:
    """Say of every header cell whether it heads a column or a row."""
    elements = {item.number: item for item in tagged}
    for element in elements.values():
        if str(element["S"]) == "/TH":
            part = _parent(_parent(element, elements), elements)
            heads_column = part is not None and str(part["S"]) == "/THead"
            element["A"]["Scope"] = "/Column" if heads_column else "/Row"


def _parent(element: Any, elements: dict[int, Any]) -> Any:
    """The element that holds this one; its reference reads like “12 0 R”."""
    return None if element is None else elements.get(int(element["P"].split()[0]))


def _link_words(link: Any) -> str:
    """Where a link leads: its address, or a place in the same file."""
    address = link.get("A", {}).get("URI")
    return str(getattr(address, "string", address)) if address else "To this part of the pattern"
