"""The demo's patterns that were begun from a construction, as a designer begins one."""

from dataclasses import dataclass
from typing import Any

from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import constructions
from grading.sizes.tables import published_tables


@dataclass(frozen=True)
class Begun:
    """What the designer entered: construction, size table, fabric, swatch of 10 cm, hook or needle, yarn."""

    title: str
    construction: str
    table: str
    fabric: str
    stitches: float
    rows: float
    weight_g: float
    tool_mm: float
    yarn: str
    length_per_100g: str
    sizes: tuple[str, ...] = ()
    options: frozenset[str] = frozenset()


ORRENDALE = "Larkmoss Orrendale, DK, 70 % wool 30 % linen"
SKEINBURY = "Larkmoss Skeinbury, DK, 100 % wool"

BEGUN = {
    "alderfleet_cardigan": Begun(
        "Alderfleet Cardigan",
        "cuff-to-cuff",
        "yarn-woman",
        "half_double",
        14,
        10,
        6.5,
        5.0,
        ORRENDALE,
        "220 m",
    ),
    "plovermire_hat": Begun(
        "Plovermire Hat",
        "hat",
        "heads",
        "stockinette",
        20,
        28,
        5,
        4.0,
        SKEINBURY,
        "220 m",
        options=frozenset({"brim"}),
    ),
    "otterhowe_mittens": Begun(
        "Otterhowe Mittens", "mittens", "hands", "half_double", 18, 13, 6, 4.0, SKEINBURY, "220 m"
    ),
    "ternstrand_shawl": Begun(
        "Ternstrand Shawl",
        "shawl",
        "yarn-woman",
        "garter",
        16,
        32,
        4.5,
        5.0,
        SKEINBURY,
        "220 m",
        sizes=("S", "L", "3X"),
    ),
}


# Saltings, of our own: a row of diamonds between two rounds of dots, in two colours.
BAND: dict[str, Any] = {
    "name": "saltings",
    "label": "Saltings",
    "introduction": "Strand the color that rests loosely across the wrong side, B always under A. No float "
    "is longer than 5 sts.",
    "rounds": True,
    "multiple": 6,
    "grid": [
        "ABABAB",
        "AAAAAA",
        "AAABAA",
        "AABABA",
        "ABAAAB",
        "BAABAA",
        "ABAAAB",
        "AABABA",
        "AAABAA",
        "AAAAAA",
        "BABABA",
    ],
    "over": ["hat_stitches"],
}


def begun_sample(name: str) -> dict[str, Any]:
    """The pattern file of one that was begun, in centimetres, with the usual ease, and what was added."""
    document = _with_what_is_bought(_begun(name), BEGUN[name])
    return _with_band(document) if name == "plovermire_hat" else document


def _with_what_is_bought(document: dict[str, Any], entered: Begun) -> dict[str, Any]:
    """The pattern file with hook or needle and yarn, which a beginning leaves to the designer."""
    fabrics = {name: {**of, "tool_mm": entered.tool_mm} for name, of in document["fabrics"].items()}
    yarn = {
        "label": entered.yarn,
        "yarn_weight": 3,
        "length_per_100g": entered.length_per_100g,
        "put_up": "50 g",
    }
    return {**document, "fabrics": fabrics, "yarns": [{**one, **yarn} for one in document["yarns"]]}


def _with_band(document: dict[str, Any]) -> dict[str, Any]:
    """The hat with a stranded band above its brim, at the same gauge as the plain fabric."""
    stranded = {"label": "Saltings", "stitches": 20, "rows": 28, "over": "10 cm", "tool_mm": 4.0,
                "swatch": {"stitches": 24, "rows": 28, "weight": "8.4 g"}}  # fmt: skip
    rounds = [
        {
            "name": "band_rounds",
            "label": "Band, rounds",
            "kind": "rows",
            "formula": f"{len(BAND['grid'])} rows",
        },
        {
            "name": "plain_rounds",
            "label": "Side above the band, rounds",
            "kind": "rows",
            "formula": "side_rounds - band_rounds - 1 rows",
        },
    ]
    in_b = sum(line.count("B") for line in BAND["grid"])
    share = f"{in_b} / {6 * len(BAND['grid'])}"
    sections = [
        {
            "name": "Side",
            "fabric": "main",
            "worked": "hat_stitches * (side_rounds - band_rounds)",
            "colour": "A",
        },
        {
            "name": "Band, A",
            "fabric": "stranded",
            "worked": f"hat_stitches * band_rounds * (1 - {share})",
            "colour": "A",
        },
        {
            "name": "Band, B",
            "fabric": "stranded",
            "worked": f"hat_stitches * band_rounds * {share}",
            "colour": "B",
            "extra": "2 g",
        },
    ]
    side = (
        "Change to the larger needle. Knit 1 round in A. Join B. Work {band_rounds} rounds in {saltings}. "
        "Cut B. Knit {plain_rounds} rounds in A. There are now {side_rounds} rounds."
    )
    caught = (
        '::: only sizes="6 months".."2 years"\n'
        "In the band, catch the color that rests on every third st: lay it over the yarn that you work with. "
        "So no finger is caught in a float.\n:::"
    )
    start, *brims = next(one["steps"] for one in document["sections"] if one["title"] == "Brim")
    brim = f"Work the whole brim in A. {start}"
    steps = {"Side": [caught, side], "Brim": [brim, *brims]}
    of = [{**one, "steps": steps.get(one["title"], one["steps"])} for one in document["sections"]]
    yarns = [
        {"colour": colour, "label": f"Larkmoss Skeinbury, DK, 100 % wool, shade {shade}", "yarn_weight": 3,
         "length_per_100g": "220 m", "put_up": "50 g"}
        for colour, shade in (("A", "Straw"), ("B", "Peat"))
    ]  # fmt: skip
    return {
        **document,
        "summary": "Hat with a stranded band in two colors, worked in the round from the brim up.",
        "fabrics": {**document["fabrics"], "stranded": stranded},
        "values": [*document["values"], *rounds],
        "yarns": yarns,
        "yarn_sections": [*(one for one in document["yarn_sections"] if one["name"] != "Side"), *sections],
        "stitch_patterns": [BAND],
        "sections": of,
    }


def _begun(name: str) -> dict[str, Any]:
    """The pattern file as the construction gives it."""
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
