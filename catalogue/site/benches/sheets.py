"""Sheets to measure with: panels of ten values each, any number of them, in any number of sizes."""

from typing import Any

Document = dict[str, Any]
PANEL_PARTS = ("ease", "target", "cast_on", "width", "depth", "rows", "length", "top", "lost", "slant")
PANEL = len(PANEL_PARTS)


def panel_values(at: int, sizes: list[str]) -> list[Document]:
    """Ten values of one panel; every second panel hangs on the one before it, all hang on the body."""
    p, before = f"p{at}", f"p{at - 1}"
    wide = f"bust / 2 + {p}_ease" if at % 2 == 0 else f"max({before}_width, waist / 2) + {p}_ease"
    listed = [f"{4 + at % 4 + size // 8} cm" for size in range(len(sizes))]
    return [
        _value(f"{p}_ease", "length", list=listed),
        _value(f"{p}_target", "length", wide),
        _value(f"{p}_cast_on", "stitches", f"{p}_target * main.stitches", round=_to(2, 1)),
        _value(f"{p}_width", "length", f"{p}_cast_on / main.stitches"),
        _value(f"{p}_depth", "length", f"back_waist * {1 + at % 5} / 3 + {p}_ease / 2"),
        _value(f"{p}_rows", "rows", f"{p}_depth * main.rows", round=_to(2, 0)),
        _value(f"{p}_length", "length", f"{p}_rows / main.rows"),
        _value(
            f"{p}_top",
            "stitches",
            f"if {p}_width > waist * 3 / 4 then {p}_cast_on * 2 / 3 else {p}_cast_on - 2 stitches",
        ),
        _value(f"{p}_lost", "stitches", f"max({p}_cast_on - {p}_top, 0)"),
        _value(f"{p}_slant", "length", f"sqrt({p}_width * {p}_width + {p}_length * {p}_length)"),
    ]


def sheet_document(*, sizes: int, values: int) -> Document:
    """A sheet of nothing but sizes, body, one fabric and values."""
    labels = [f"{34 + 2 * i}" for i in range(sizes)]
    listed = [value for at in range(-(-values // PANEL)) for value in panel_values(at, labels)]
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": f"Larkmoss Bench {sizes} by {values}",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": labels,
        "body": {
            "bust": _girth("Bust", 76, sizes),
            "waist": _girth("Waist", 60, sizes),
            "back_waist": {
                "label": "Nape to waist",
                "unit": "cm",
                "values": [38 + i / 4 for i in range(sizes)],
            },
        },
        "fabrics": {"main": {"label": "Main", "stitches": 22, "rows": 30, "over": "10 cm"}},
        "values": listed[:values],
    }


def pattern_document(*, sizes: int, values: int) -> Document:
    """The same sheet with the checks, shapings and words that stand on it in a pattern."""
    document = sheet_document(sizes=sizes, values=values)
    panels = [f"p{at}" for at in range(values // PANEL)]
    checks = [_check(panel) for panel in panels]
    shapings = [_shaping(panel) for panel in panels[::2]]
    steps = [f"Cast on {{{p}_cast_on}} and work {{{p}_rows}} to {{{p}_length}}." for p in panels]
    sections = [{"title": "Panels", "steps": steps}]
    return {**document, "checks": checks, "shapings": shapings, "sections": sections}


def _value(name: str, kind: str, formula: str | None = None, **more: Any) -> Document:
    """A value as typed."""
    typed = {"name": name, "label": name.replace("_", " ").capitalize(), "kind": kind}
    return {**typed, **({} if formula is None else {"formula": formula}), **more}


def _to(multiple: int, plus: int) -> Document:
    """Rounding to a multiple."""
    return {"to": "nearest", "multiple": multiple, "plus": plus}


def _girth(label: str, least: int, sizes: int) -> Document:
    """A girth that grows by 4 cm from size to size."""
    return {"label": label, "unit": "cm", "values": [least + 4 * i for i in range(sizes)]}


def _check(panel: str) -> Document:
    """A check that holds."""
    holds = f"{panel}_lost <= {panel}_cast_on"
    return {"name": f"{panel}_narrows", "holds": holds, "says": "The top is wider.", "weight": "warn"}


def _shaping(panel: str) -> Document:
    """A side shaped from cast-on to top."""
    ends = {"from": f"{panel}_cast_on", "to": f"{panel}_top", "over": f"{panel}_rows"}
    return {"name": f"{panel}_side", **ends, "each": 1, "on_every": 1}
