"""Pattern files that do not fit: refused as a whole, with the place and the reason, and exit status 2."""

import copy
import json
from pathlib import Path

import pytest
from django.core.management import call_command

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from tests.present import present

GARMENTS = Path(__file__).resolve().parents[1] / "data" / "garments"
WRAP = json.loads((GARMENTS / "plover_wrap.json").read_text(encoding="utf-8"))
LAST = f"$.values[{len(WRAP['values'])}]"
SIZES = len(WRAP["sizes"])
MEASURED = {"how": "Across.", "tolerance": "1 cm", "around": False}


def added(**typed):
    """One more value, a length unless told otherwise."""
    entry = {"name": "one_more", "label": "One more", "kind": "length", **typed}
    if not {"formula", "list", "steps"} & set(typed):
        entry["formula"] = "1 cm"
    return {("values", len(WRAP["values"])): entry}


def changed(pattern, changes):
    """A copy with entries put, replaced or (None) taken out at their paths."""
    pattern = copy.deepcopy(pattern)
    for (*parents, last), entry in changes.items():
        inner = pattern
        for key in parents:
            inner = inner[key]
        if entry is None:
            del inner[last]
        elif isinstance(inner, list) and last == len(inner):
            inner.append(entry)
        else:
            inner[last] = entry
    return pattern


REFUSED = [
    ("$.format", {("format",): "other-pattern"}),
    ("$.format_version", {("format_version",): 2}),
    ("$", {("title",): None}),
    ("$", {("colour",): "A"}),
    ("$.craft", {("craft",): "weaving"}),
    ("$.sizes", {("sizes",): []}),
    ("$.sizes", {("sizes",): [str(number) for number in range(25)]}),
    ("$.hazards[0]", {("hazards",): ["fire"]}),
    ("$.body.bust.values", {("body", "bust", "values"): [30, 32]}),
    ("$.body.bust.unit", {("body", "bust", "unit"): "g"}),
    ("$.fabrics.rib.over", {("fabrics", "rib", "over"): "5 cm"}),
    ("$.fabrics.rib.stitches", {("fabrics", "rib", "stitches"): 0}),
    ("$.fabrics.rib.swatch.weight", {("fabrics", "rib", "swatch", "weight"): "12 cm"}),
    (LAST, added(formula="1 cm", list=["1 cm"] * SIZES)),
    (f"{LAST}.list", added(list=["1 cm"] * (SIZES - 1))),
    (f"{LAST}.list[0]", added(list=[1] * SIZES)),
    (f"{LAST}.list[0]", added(list=["1 g"] * SIZES)),
    (f"{LAST}.list[0]", added(kind="yarn", list=["1 m"] * SIZES)),
    (f"{LAST}.list[0]", added(kind="rows", list=["3 stitches"] * SIZES)),
    (f"{LAST}.list[0]", added(list=["1 cm + 1 cm"] * SIZES)),
    (f"{LAST}.steps.step", added(steps={"base_size": "1", "base": "1 cm", "step": ["1 cm"] * SIZES})),
    (
        f"{LAST}.steps.base_size",
        added(steps={"base_size": "0", "base": "1 cm", "step": ["1 cm"] * (SIZES - 1)}),
    ),
    (f"{LAST}.kind", added(kind="speed")),
    (f"{LAST}.round.to", added(round={"to": "odd", "multiple": "1 cm"})),
    (f"{LAST}.round.multiple", added(round={"to": "up", "multiple": 1})),
    (f"{LAST}.round.multiple", added(round={"to": "up", "multiple": "0 cm"})),
    (f"{LAST}.measured.tolerance", added(measured={**MEASURED, "tolerance": 1})),
    (f"{LAST}.measured", added(measured={**MEASURED, "ease": ["1 cm", "2 cm"]})),
    (f"{LAST}.may_shrink", added(may_shrink=True)),
    (f"{LAST}.may_jump", added(may_jump=True)),
    (f"{LAST}.name", added(name="Bust")),
    (f"{LAST}.name", added(name="stitches")),
    (f"{LAST}.name", added(name="else")),
    (f"{LAST}.name", added(name="floor")),
    (f"{LAST}.name", added(name="bust")),
    ("$.shapings[0].each", {("shapings", 0, "each"): 0}),
    ("$.shapings[0].on_every", {("shapings", 0, "on_every"): "taken"}),
    ("$.curves[0].shape", {("curves", 0, "shape"): "circle"}),
    ("$.pick_ups[0].ratio", {("pick_ups", 0, "ratio"): "3/4"}),
    ("$.options[0].default", {("options", 0, "default"): "zips"}),
    ("$.yarns[0].put_up", {("yarns", 0, "put_up"): "0 g"}),
    ("$.yarns[0].length_per_100g", {("yarns", 0, "length_per_100g"): "200 g"}),
    ("$.yarn_sections[0]", {("yarn_sections", 0, "colour"): None}),
    ("$.yarn_sections[0].extra", {("yarn_sections", 0, "extra"): 5}),
    ("$.yarn_allowance", {("yarn_allowance",): "5 g"}),
]


@pytest.mark.parametrize(("path", "changes"), REFUSED, ids=lambda part: part if isinstance(part, str) else "")
def test_a_file_that_does_not_fit_is_refused_at_its_place(path, changes):
    with pytest.raises(PatternFileError) as refused:
        read_pattern(changed(WRAP, changes))
    assert refused.value.path == path
    assert refused.value.reason.endswith(".")


def test_the_reason_says_how_to_write_it():
    with pytest.raises(PatternFileError) as refused:
        read_pattern(changed(WRAP, {("pick_ups", 0, "ratio"): "3/4"}))
    assert refused.value.reason == '"3/4" is not a ratio, such as “3 per 4”.'
    with pytest.raises(PatternFileError) as refused:
        read_pattern(changed(WRAP, added(name="Bust")))
    assert refused.value.reason.startswith('"Bust" is not a name')


def test_a_measure_may_name_its_body_measurement_without_limits_of_ease():
    pattern = read_pattern(changed(WRAP, added(measured={**MEASURED, "compares_to": "bust"})))
    assert present(pattern.values[-1].measured).ease is None


def test_grading_a_refused_file_ends_with_status_2(tmp_path, capsys):
    path = tmp_path / "refused.json"
    path.write_text(json.dumps(changed(WRAP, {("craft",): "weaving"})), encoding="utf-8")
    with pytest.raises(SystemExit) as ended:
        call_command("grade", str(path), "--json")
    assert ended.value.code == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "$.craft" in printed.err
