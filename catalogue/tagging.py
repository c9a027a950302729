"""What the renderer leaves out of a tagged PDF: whether a header cell heads a column or a row."""

from typing import Any


def scope_headers(_document: Any, pdf: Any) -> None:
    """Give every header cell its scope, just before the file is written."""
    objects: list[Any] = [item for item in pdf.objects if isinstance(item, dict) and "S" in item]
    elements = {item.number: item for item in objects}
    for element in elements.values():
        if str(element["S"]) == "/TH":
            part = _parent(_parent(element, elements), elements)
            heads_column = part is not None and str(part["S"]) == "/THead"
            element["A"]["Scope"] = "/Column" if heads_column else "/Row"


def _parent(element: Any, elements: dict[int, Any]) -> Any:
    """The element that holds this one; its reference reads like “12 0 R”."""
    return None if element is None else elements.get(int(element["P"].split()[0]))
