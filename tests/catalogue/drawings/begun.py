"""Patterns as somebody begins them, with all that can be chosen, at a gauge of our own."""

from typing import Any

from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import constructions, lacking
from grading.sizes.tables import published_tables


def begun(key: str) -> dict[str, Any]:
    """The pattern file of a construction, from the first table that has all it needs."""
    construction = constructions()[key]
    table = next(one for one in published_tables().values() if not lacking(construction, one))
    start = Start(
        title=construction.name,
        fabric=construction.fabrics[0],
        table=table,
        sizes=table.sizes,
        swatch=BegunSwatch(18, 24, 14, 18, 24),
        ease=construction.eases[construction.ease][0],
        sample=table.sizes[len(table.sizes) // 2],
        home_units="cm",
        options=frozenset(option["name"] for option in construction.options),
    )
    return begun_document(construction, start)
