"""A waistcoat whose parts are entered once, with a colour for one choice and stripes for the other."""

import json
from pathlib import Path

DEMO = Path(__file__).parents[2] / "catalogue" / "site" / "demo"
BY_COLOURS = [{"option": "colours", "choice": "solid", "colour": "A"}]


def read_demo(name):
    """A pattern of the demo."""
    return json.loads((DEMO / f"{name}.json").read_text(encoding="utf-8"))


def without_extras(document):
    """The same with no weight for seams and tails, which a part in one colour has none of."""
    parts = [{key: one for key, one in part.items() if key != "extra"} for part in document["yarn_sections"]]
    return {**document, "yarn_sections": parts}


def coloured_by_choice(document):
    """The same pattern with each part that was entered twice, plain and striped, entered once."""
    parts = []
    for part in document["yarn_sections"]:
        if part.get("when") == {"colours": "striped"}:
            once = {key: one for key, one in part.items() if key != "when"}
            parts.append(
                {**once, "name": part["name"].removesuffix(", striped"), "by_choice": list(BY_COLOURS)}
            )
        elif part.get("when") != {"colours": "solid"}:
            parts.append(part)
    return {**document, "yarn_sections": parts}
