"""Lines of a sheet: order, circles, blanks, nulls, rounding, pick-ups and curves as values."""

import pytest

from tests.grading.core.sheets import MAIN, found, graded, value, worked
from tests.pace import fewest_seconds, slowness


def test_a_value_that_names_itself_is_a_circle():
    of = graded(value("a", "a + 1 cm"))
    (one,) = of.findings
    assert (one.where, one.size, one.weight, one.line, one.column) == ("values.a", None, "stop", 1, 1)
    assert "a → a" in one.says


def test_the_line_itself_is_not_what_was_meant():
    """A line that hung on itself could not be worked out."""
    (one,) = graded(value("back_width", "back_widht + 1 cm"), value("back", "bust")).findings
    assert one.says == "There is no line called “back_widht”. Did you mean “back”?"


def test_a_circle_is_one_finding_with_its_path_and_blanks_what_hangs_on_it_alone():
    of = graded(value("a", "2 * b"), value("b", "a"), value("c", "b + 1 cm"), value("d", "bust"))
    assert [(one.where, one.column) for one in of.findings] == [("values.a", 5)]
    assert "a → b → a" in of.findings[0].says
    assert worked(of, "c") == [None] * 3
    assert worked(of, "d") == [800, 900, 1000]


def test_a_circle_of_500_is_found_fast():
    values = [value(f"v{i}", f"v{(i + 1) % 500}") for i in range(500)]
    of = graded(*values)
    assert fewest_seconds(lambda: graded(*values), 0.2) < 0.2 * slowness()
    assert len(of.findings) == 1
    assert "v0 → v1" in of.findings[0].says


def test_a_chain_of_5000_is_computed():
    values = [value(f"v{i}", f"v{i + 1} + 1 mm") for i in range(4999)] + [value("v4999", "bust")]
    assert worked(graded(*values), "v0") == [800 + 4999, 900 + 4999, 1000 + 4999]


def test_sharing_is_computed_once_per_line():
    values = [value("v0", "1", kind="ratio")] + [
        value(f"v{i}", f"v{i - 1} + v{i - 1}", kind="ratio") for i in range(1, 61)
    ]
    assert worked(graded(*values), "v60") == [2.0**60] * 3


def test_circles_run_through_pick_ups_and_curves():
    pick_ups = [{"name": "band", "along": "stitches", "count": "a", "ratio": "1 per 1"}]
    curve = {"name": "neck", "width": "b", "depth": 4, "shape": "straight", "fabric": "main"}
    of = graded(
        value("a", "band + 2 stitches", kind="stitches"),
        value("b", "neck.length * main.stitches", kind="stitches"),
        pick_ups=pick_ups,
        curves=[curve],
    )
    assert [one.where for one in of.findings] == ["values.a", "values.b"]
    assert "a → band → a" in of.findings[0].says
    assert "b → neck.length → b" in of.findings[1].says


def test_an_error_is_one_finding_and_what_waits_on_it_has_none():
    of = graded(
        value("a", "bust + 2 rows"), value("b", "a * 2"), value("c", "if bust > 85 cm then bust else b")
    )
    assert [one.where for one in of.findings] == ["values.a"]
    assert worked(of, "b") == worked(of, "c") == [None] * 3


def test_null_spreads_through_everything_but_a_branch_not_taken():
    given = value("a", kind="length", list=["1 cm", None, "3 cm"])
    of = graded(
        given,
        value("b", "max(a, 2 cm)"),
        value("c", "if size_number = 2 then bust else a"),
        value("d", "if a > 0 or 1 = 1 then 1 else 2", kind="ratio"),
        checks=[{"name": "e", "holds": "a > 2 cm or 1 = 1", "says": "No.", "weight": "warn"}],
    )
    assert worked(of, "b") == [20, None, 30]
    assert worked(of, "c") == [10, 900, 30]
    assert worked(of, "d") == [1, None, 1]
    assert of.checks["e"] == (True, None, True)


@pytest.mark.parametrize(
    ("formula", "kind", "says"),
    [
        ("10 / (bust - 90 cm) * bust", "ratio", "Divides by “bust - 90 cm”, which is 0 here."),
        ("sqrt((bust - 100 cm) * (bust - 80 cm)) / 1 cm", "ratio", "Takes the square root of"),
        ("floor(bust, bust - 90 cm)", "length", "The multiple “bust - 90 cm” of floor is 0."),
    ],
)
def test_what_cannot_be_worked_out_is_a_finding_of_its_size(formula, kind, says):
    of = graded(value("x", formula, kind=kind))
    ((size, weight, words),) = found(of, "values.x")
    assert (size, weight) == ("M", "stop")
    assert says in words
    assert [number is None for number in worked(of, "x")] == [False, True, False]


def test_only_the_branch_taken_divides():
    of = graded(value("x", "if bust = 90 cm then 0 cm else 90 cm * 10 cm / (bust - 90 cm)"))
    assert of.findings == ()
    assert worked(of, "x") == pytest.approx([-900, 0, 900])


def test_a_number_too_large_is_a_finding():
    big = "999999999 * 999999999 * 999999999"
    values = [value("a0", big, kind="ratio")]
    values += [value(f"a{i}", f"a{i - 1} * a{i - 1}", kind="ratio") for i in range(1, 6)]
    of = graded(*values)
    assert {one.where for one in of.findings} == {"values.a4"}
    assert "too large" in of.findings[0].says
    assert worked(of, "a5") == [None] * 3


def test_fabric_parts_and_size_number():
    fabrics = {"main": {**MAIN, "multiple": 6, "plus": 1, "over": "4 in"}}
    of = graded(
        value("a", "1 m * main.stitches", kind="stitches", round={"to": "nearest", "fabric": "main"}),
        value("b", "main.multiple + main.plus", kind="stitches"),
        value("c", "size_number", kind="count"),
        value("d", "1016 mm * main.rows", kind="rows"),
        fabrics=fabrics,
    )
    assert worked(of, "a") == [199] * 3  # 1000 / 101.6 × 20 = 196.85; 6 × 33 + 1 = 199
    assert worked(of, "b") == [7] * 3
    assert worked(of, "c") == [1, 2, 3]
    assert worked(of, "d") == [280] * 3


@pytest.mark.parametrize(
    ("rounding", "entries", "wanted"),
    [
        (None, [10.4999999999, 10.5, 10.4], [11, 11, 10]),
        ({"to": "up"}, [10.0000000001, 10.1, 10], [10, 11, 10]),
        ({"to": "down"}, [10.9999999999, 10.9, 11], [11, 10, 11]),
        ({"to": "nearest", "multiple": 4, "plus": 2}, [3.9, 4, -9], [2, 6, 2]),
        ({"to": "nearest", "multiple": 4, "plus": 0}, [-6, -2, 6], [-4, 0, 8]),
    ],
)
def test_rounding_to_what_can_be_worked(rounding, entries, wanted):
    more = {} if rounding is None else {"round": rounding}
    formula = " + ".join(f"(if size_number = {i + 1} then {n:.10f} else 0)" for i, n in enumerate(entries))
    of = graded(value("x", formula.replace("-", "0 - "), kind="count", **more))
    assert worked(of, "x") == wanted


def test_lengths_round_only_where_asked():
    of = graded(value("a", "bust / 7"), value("b", "bust / 7", round={"to": "nearest", "multiple": "0.5 cm"}))
    assert worked(of, "a") == pytest.approx([800 / 7, 900 / 7, 1000 / 7])
    assert worked(of, "b") == [115, 130, 145]


def test_a_formula_gets_worked_numbers_and_ideal_is_never_rounded():
    pick_ups = [{"name": "band", "along": "row ends", "count": "rows_up", "ratio": "3 per 4"}]
    of = graded(
        value("rows_up", "bust / 10 * main.rows", kind="rows"),
        value("height", "rows_up / main.rows"),
        value("picked", "band * 2", kind="stitches"),
        pick_ups=pick_ups,
    )
    # 80 mm × 2.8 = 22.4; 22 rows; 16.5 picked up, ties up; without rounding 16.8.
    assert of.values["rows_up"].exact[0] == pytest.approx(22.4)
    assert of.values["rows_up"].worked[0] == 22
    assert of.values["height"].worked[0] == pytest.approx(22 / 0.28)
    assert of.values["height"].ideal[0] == pytest.approx(80)
    assert of.pick_ups["band"].tolist()[0] == 17
    assert of.values["picked"].ideal[0] == pytest.approx(33.6)


def test_the_length_of_a_curve_is_a_length():
    curve = {"name": "slope", "width": 20, "depth": 28, "shape": "straight", "every": 1, "fabric": "main"}
    of = graded(value("x", "slope.length"), curves=[curve])
    assert worked(of, "x") == pytest.approx([100 * 2**0.5] * 3)  # 10 cm across, 10 cm down
    curve = {**curve, "shape": "quarter ellipse"}
    assert worked(graded(value("x", "slope.length"), curves=[curve]), "x") == pytest.approx(
        [50 * 3.141592653589793] * 3
    )


def test_steps_add_up_from_the_base_size():
    of = graded(value("x", steps={"base_size": "M", "base": "9 cm", "step": ["0.5 cm", "-1 cm"]}))
    assert worked(of, "x") == [85, 90, 80]


def test_names_that_cannot_be_resolved_are_stops_at_their_place():
    shaping = {"name": "taper", "from": "nobody", "to": 4, "over": 10, "each": 2}
    of = graded(
        value("a", "12 stitches", kind="stitches", round={"to": "up", "fabric": "lace"}),
        shapings=[shaping, {**shaping, "name": "other", "from": "bust"}],
        spreads=[{"name": "spread", "change": "nobody", "in": 10}],
        curves=[
            {"name": "neck", "width": "nobody", "depth": 3, "shape": "straight", "fabric": "main"},
            {"name": "slope", "width": 3, "depth": 3, "shape": "straight", "fabric": "lace"},
        ],
        pick_ups=[
            {"name": "band", "along": "stitches", "count": "nobody", "ratio": "1 per 1", "fabric": "lace"}
        ],
        yarns=[{"colour": "A", "label": "Larkmoss Orrendale"}],
        yarn_sections=[
            {"name": "Body", "fabric": "lace", "worked": "nobody", "colour": "Z", "when": {"belt": "with"}},
            {
                "name": "Neck",
                "fabric": "main",
                "worked": "10 stitches * 2 rows",
                "stripes": "nobody",
                "rows": "nobody",
            },
        ],
        sections=[{"title": "Back", "steps": [], "when": {"belt": "with"}}],
    )
    stops = {one.where for one in of.findings if one.weight == "stop"}
    assert stops == {
        "values.a",
        "shapings.taper",
        "shapings.other",
        "spreads.spread",
        "curves.neck",
        "curves.slope",
        "pick_ups.band",
        "fabrics.main",
        "yarn_sections[0]",
        "yarn_sections[1]",
        "sections[0]",
    }
    json = of.as_json()
    assert len([one for one in of.findings if one.where == "curves.neck"]) == 1
    assert json["curves"]["slope"] == [[1, 1, 1]] * 3
    assert json["shapings"]["taper"] == json["curves"]["neck"] == json["pick_ups"]["band"] == [None] * 3
    assert json["yarn"][0]["colours"]["A"]["weight"] == [None] * 3
