"""What a PDF holds, looked up by names."""

from typing import Any

from pypdf.generic import DictionaryObject, PdfObject


def looked_up(node: PdfObject, *way: str) -> Any:
    """What stands at the end of a way of names; the test fails where the way ends before."""
    for name in way:
        assert isinstance(node, DictionaryObject), f"nothing has the name {name} in {node}"
        node = node[name]
    return node
