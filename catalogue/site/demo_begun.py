"""The demo's patterns that were begun from a construction, as a designer begins one."""

from dataclasses import dataclass
from typing import Any

from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import constructions
from grading.sizes.tables import published_tables


@dataclass(frozen=True)
class Begun:
    """What the designer entered: construction, size table, fabric, and the swatch of 10 cm with its grams."""

    title: str
    construction: str
    table: str
    fabric: str
    stitches: float
    rows: float
    weight_g: float
    sizes: tuple[str, ...] = ()
    options: frozenset[str] = frozenset()


BEGUN = {
    "alderfleet_cardigan": Begun(
        "Alderfleet Cardigan", "cuff-to-cuff", "yarn-woman", "half_double", 14, 10, 6.5
    ),
    "plovermire_hat": Begun(
        "Plovermire Hat", "hat", "heads", "stockinette", 20, 28, 5, options=frozenset({"brim"})
    ),
    "otterhowe_mittens": Begun("Otterhowe Mittens", "mittens", "hands", "half_double", 18, 13, 6),
    "ternstrand_shawl": Begun(
        "Ternstrand Shawl", "shawl", "yarn-woman", "garter", 16, 32, 4.5, sizes=("S", "L", "3X")
    ),
}


def begun_sample(name: str) -> dict[str, Any]:
    """The pattern file of one that was begun, in centimetres, with the usual ease."""
    entered = BEGUN[name]
    construction, table = constructions()[entered.construction], published_tables()[entered.table]
    sizes = entered.sizes or tuple(table.sizes)
    return begun_document(
        construction,
        Start(
            title=entered.title,
            fabric=entered.fabric,
            table=table,
            sizes=sizes,
            swatch=BegunSwatch(
                entered.stitches, entered.rows, entered.weight_g, entered.stitches, entered.rows
            ),
            ease=construction.eases[construction.ease][0],
            sample=sizes[len(sizes) // 2],
            home_units="cm",
            options=entered.options,
        ),
    )
