"""The jacket of the demo in 15 sizes: three for babies, six for children, six for adults."""

import re
from copy import deepcopy
from typing import Any

from tests.builders import sample

GROUPS = [
    {"label": "Baby", "sizes": ["6 m", "12 m", "18 m"]},
    {"label": "Child", "sizes": ["2y", "4y", "6y", "8y", "10y", "12y"]},
    {"label": "Adult", "sizes": ["XS", "S", "M", "L", "XL", "2X"]},
]
SIZES = [size for group in GROUPS for size in group["sizes"]]
OLD = GROUPS[1]["sizes"]
_NUMBER = re.compile(r"-?[\d.]+")


def jacket_in_15(*, grouped: bool = True) -> dict[str, Any]:
    """The pattern file; the numbers that it lists go on as they go from 2y to 12y."""
    document = deepcopy(sample("puffinbay_child"))
    document["sizes"] = list(SIZES)
    if grouped:
        document["size_groups"] = deepcopy(GROUPS)
    for entry in document["body"].values():
        entry["values"] = [float(one) for one in _longer(entry["values"])]
    for value in document["values"]:
        if "list" in value:
            value["list"] = _longer(value["list"])
        if "steps" in value:
            value["steps"]["step"] = [value["steps"]["step"][0]] * (len(SIZES) - 1)
    return document


def _longer(typed: list[Any]) -> list[Any]:
    """The numbers for 15 sizes: before and after the old ones as they lead; beside a gap as at the ends."""
    if None in typed:
        return [*typed[:1] * 3, *typed, *typed[-1:] * 6]
    numbers = [float(_NUMBER.findall(str(one))[0]) for one in typed]
    step = (numbers[-1] - numbers[0]) / (len(OLD) - 1) / 2
    longer = [
        *(numbers[0] - step * at for at in (3, 2, 1)),
        *numbers,
        *(numbers[-1] + step * at for at in range(1, 7)),
    ]
    if isinstance(typed[0], str):
        unit = _NUMBER.sub("", typed[0])
        return [f"{round(one, 1)}{unit}" for one in longer]
    return [round(one) if isinstance(typed[0], int) else round(one, 2) for one in longer]
