import json
from io import StringIO

import numpy as np
import pytest
from django.core.management import call_command

from catalogue.site.benches.simulated_calls import Making, simulate_call
from grading.core.formula.errors import PatternFileError
from testing.asked.swaps import swapped_digits
from testing.assessment.assessment_json import assess_results
from testing.assessment.results_files import read_results
from testing.assessment.robust import theil_sen
from testing.assessment.yarn import student_quantile
from tests.check_values import check_value
from tests.testing.builders import vest_document

PLAIN = Making(clean=True, slips=0.0, missing=0.0, per_size=3, sizes=6, measurements=10)
GAUGE = {
    "main": {"stitches": 20, "rows": 28, "over": "10 cm"},
    "rib": {"stitches": 22, "rows": 30, "over": "10 cm"},
}


def vest_result(maker="Wren", size="M", **changes):
    """A garment exactly as planned at the pattern's own gauge."""
    measured = {"chest": "100 cm", "body_length": f"{5 + 146 / 2.8:.1f} cm"}
    return {"maker": maker, "size": size, "gauge": GAUGE, "measured": measured, **changes}


def vest_file(*results):
    return {
        "format": "evenrow-results",
        "format_version": 1,
        "pattern": vest_document(),
        "results": list(results),
    }


def answer_of(document):
    return assess_results(read_results(json.dumps(document)))


def doubts_after(change):
    """The doubtful entries after one entry of a sound call was changed: (maker, measurement, looks_like)."""
    call, _ = simulate_call(5, PLAIN)
    before = {tuple(one.values()) for one in answer_of(call)["doubtful"]}
    change(call["results"][4]["measured"])
    return {tuple(one.values()) for one in answer_of(call)["doubtful"]} - before, call["results"][4]["maker"]


def cm(text):
    return float(text.split()[0])


@pytest.mark.parametrize(
    ("name", "change", "looks_like"),
    [
        ("chest", lambda sent: f"{cm(sent['chest']) / 2.54:.1f} cm", "inches"),
        ("chest", lambda sent: f"{cm(sent['chest']) / 2:.1f} cm", "flat"),
        ("sleeve", lambda sent: f"{cm(sent['sleeve']) * 2:.1f} cm", "doubled"),
    ],
)
def test_slips_are_found_and_named(name, change, looks_like):
    new, maker = doubts_after(lambda sent: sent.update({name: change(sent)}))
    assert new == {(maker, name, looks_like)}


def test_the_value_of_the_line_before_or_after_is_a_neighbour():
    call, _ = simulate_call(5, PLAIN)
    names = [value["name"] for value in call["pattern"]["values"] if "measured" in value]
    sent = call["results"][4]["measured"]
    here = next(at for at in range(1, len(names)) if abs(cm(sent[names[at]]) - cm(sent[names[at - 1]])) > 10)
    new, maker = doubts_after(lambda sent: sent.update({names[here]: sent[names[here - 1]]}))
    assert (maker, names[here], "neighbour") in new or (maker, names[here], "doubled") in new


def test_swapped_digits_are_named():
    call, _ = simulate_call(5, PLAIN)
    sent = call["results"][4]["measured"]
    name = next(
        name for name, text in sent.items() if abs(int(text[0]) - int(text[1])) > 2 and 20 < cm(text) < 100
    )
    text = sent[name]
    new, maker = doubts_after(lambda sent: sent.update({name: text[1] + text[0] + text[2:]}))
    assert new == {(maker, name, "digits")}


def test_swaps_keep_halves():
    assert swapped_digits("45.0 cm") == ["54.0 cm", "40.5 cm"]
    assert swapped_digits("46.5") == ["64.5"]
    assert swapped_digits("no number") == []


def test_every_tester_has_a_fitted_gauge_and_every_measurement_an_answer():
    answer = answer_of(vest_file(vest_result(), vest_result("Moss", "L", measured={"chest": "110 cm"})))
    assert set(answer) == {"measurements", "doubtful", "gauges", "testers", "yarn"}
    assert answer["testers"]["Wren"]["main"] == {
        "stitches": pytest.approx(20, abs=0.1),
        "rows": pytest.approx(28, abs=0.1),
    }
    chest, length = answer["measurements"]["chest"], answer["measurements"]["body_length"]
    assert set(chest) == {"verdict", "sizes", "error", "interval", "rests_on"}
    assert (chest["rests_on"], length["rests_on"]) == (2, 1)
    assert chest["interval"][0] is None  # nobody made an S
    assert len(chest["interval"][1]) == 2


def test_one_result_or_none_leaves_everything_open():
    for results in ([], [vest_result()]):
        answer = answer_of(vest_file(*results))
        assert {one["verdict"] for one in answer["measurements"].values()} == {"undecided"}


def test_counts_worked_otherwise_replace_those_of_the_pattern():
    longer = {"body_rows": 160}
    measured = {"chest": "100 cm", "body_length": f"{5 + 160 / 2.8:.1f} cm"}
    results = [vest_result(f"Maker {i}", worked=longer, measured=measured) for i in range(6)]
    assert answer_of(vest_file(*results))["measurements"]["body_length"]["verdict"] == "holds"
    plain = [{**result, "worked": {}} for result in results]
    assert answer_of(vest_file(*plain))["measurements"]["body_length"]["verdict"] != "holds"


def test_altered_measurements_are_left_out():
    results = [
        vest_result("Wren", altered=["chest"], measured={"chest": "140 cm"}),
        *[vest_result(f"Maker {i}") for i in range(3)],
    ]
    answer = answer_of(vest_file(*results))
    assert answer["measurements"]["chest"]["rests_on"] == 3
    assert answer["doubtful"] == []


def test_a_gauge_counted_on_the_garment_explains_what_the_swatch_does_not():
    # 200 stitches at 19 to 10 cm measure 105.3 cm; the swatch promised 20 (derived)
    measured = {"chest": "105.5 cm", "body_length": f"{5 + 146 / 2.8:.1f} cm"}
    counted = {"main": {"stitches": 19, "rows": 28, "over": "10 cm"}}
    known = [vest_result(f"Maker {i}", measured=measured, garment_gauge=counted) for i in range(6)]
    answer = answer_of(vest_file(*known))
    assert answer["measurements"]["chest"]["verdict"] == "holds"
    assert answer["testers"]["Maker 0"]["main"]["stitches"] == pytest.approx(19, abs=0.2)
    unknown = [{**result, "garment_gauge": {}} for result in known]
    chest = answer_of(vest_file(*unknown))["measurements"]["chest"]
    assert chest["verdict"] != "holds" or max(map(abs, chest["error"])) > 10


def test_a_factor_of_yarn_is_found_for_each_fabric():
    """Testers use 1.1 times the yarn of stocking stitch and 0.9 times that of rib, at the pattern's gauge."""
    per_stitch = 9 / (30 * 40)  # grams of the weighed swatch by stitch and row
    sizes = {"S": (180, 140), "M": (200, 146), "L": (220, 152)}
    results = []
    for size, (stitches, rows) in sizes.items():
        grams = {
            "A": f"{1.1 * stitches * rows * per_stitch:.3f} g",
            "B": f"{0.9 * stitches * 15 * per_stitch:.3f} g",
        }
        results += [vest_result(f"{size}{i}", size, yarn=grams, measured={}) for i in range(2)]
        # their yarn of another make: half as heavy for its length, so half the grams are as many metres
        halves = {colour: f"{float(text.split()[0]) / 2:.4f} g" for colour, text in grams.items()}
        own = {"A": "440 m", "B": "440 m"}
        results.append(vest_result(f"{size}own", size, yarn=halves, length_per_100g=own, measured={}))
    only_rib = vest_result("Rib", "M", yarn={"B": f"{0.9 * 200 * 15 * per_stitch:.3f} g"}, measured={})
    yarn = answer_of(vest_file(*results, only_rib))["yarn"]
    assert yarn["main"]["factor"] == pytest.approx(1.1, abs=0.001)
    assert yarn["rib"]["factor"] == pytest.approx(0.9, abs=0.001)
    assert (yarn["main"]["testers"], yarn["rib"]["testers"]) == (9, 10)
    low, high = yarn["rib"]["interval"]
    assert low <= yarn["rib"]["factor"] <= high


def test_a_stitch_a_quarter_wider_and_taller_takes_a_quarter_more_yarn():
    """Testers at a looser gauge who use just what their stitches take need no factor (derived)."""
    per_stitch = 9 / (30 * 40)  # grams of the weighed swatch by stitch and row
    loose = {**GAUGE, "main": {"stitches": 20 / 1.25, "rows": 28 / 1.25, "over": "10 cm"}}
    results = [
        vest_result(
            f"{size}{i}",
            size,
            gauge=loose,
            measured={},
            yarn={
                "A": f"{1.25 * stitches * rows * per_stitch:.3f} g",
                "B": f"{stitches * 15 * per_stitch:.3f} g",
            },
        )
        for size, (stitches, rows) in {"S": (180, 140), "M": (200, 146), "L": (220, 152)}.items()
        for i in range(2)
    ]
    yarn = answer_of(vest_file(*results))["yarn"]
    assert yarn["main"]["factor"] == pytest.approx(1.0, abs=0.001)
    assert yarn["rib"]["factor"] == pytest.approx(1.0, abs=0.001)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"format": "evenrow-pattern"}, "$.format"),
        ({"results": [vest_result(size="9X")]}, "$.results[0].size"),
        ({"results": [vest_result(measured={"chest": "100"})]}, "$.results[0].measured.chest"),
        ({"results": [vest_result(measured={"chest": "-3 cm"})]}, "$.results[0].measured.chest"),
        ({"results": [vest_result(measured={"waist": "80 cm"})]}, "$.results[0].measured.waist"),
        ({"results": [vest_result(yarn={"A": "12 cm"})]}, "$.results[0].yarn.A"),
        ({"results": [vest_result(worked={"chest": 3})]}, "$.results[0].worked.chest"),
        ({"results": [vest_result(altered=["sleeve"])]}, "$.results[0].altered[0]"),
        ({"results": [vest_result(options={"neck": "V"})]}, "$.results[0].options.neck"),
        ({"results": [vest_result(gauge={"lace": GAUGE["main"]})]}, "$.results[0].gauge.lace"),
        (
            {"results": [vest_result(gauge={"main": {**GAUGE["main"], "rows": 0}})]},
            "$.results[0].gauge.main.rows",
        ),
        ({"results": [vest_result(), vest_result()]}, "$.results[1].maker"),
        ({"pattern": {**vest_document(), "sizes": []}}, "$.pattern.sizes"),
        ({"more": 1}, "$"),
    ],
)
def test_a_file_that_does_not_fit_is_refused_with_its_place(change, path):
    with pytest.raises(PatternFileError) as refused:
        read_results(json.dumps({**vest_file(vest_result()), **change}))
    assert refused.value.path == path
    assert refused.value.reason.endswith((".", "…"))


def test_the_command_prints_json_or_lines_and_refuses_with_2(tmp_path):
    file = tmp_path / "results.json"
    file.write_text(json.dumps(vest_file(vest_result(), vest_result("Moss"))))
    printed = StringIO()
    call_command("assess", file, "--json", stdout=printed)
    assert json.loads(printed.getvalue()) == answer_of(json.loads(file.read_text()))
    lines = StringIO()
    call_command("assess", file, stdout=lines)
    assert "Chest: no error seen; cm by size +0.0, +0.0, +0.0; 2 results." in lines.getvalue()
    for text in ("{", "[]", '{"format": NaN}'):
        file.write_text(text)
        said = StringIO()
        with pytest.raises(SystemExit) as ended:
            call_command("assess", file, stderr=said)
        assert ended.value.code == 2
        assert "does not fit. $" in said.getvalue()


def test_theil_sen_equals_scipy():
    # scipy 1.17.1, theilslopes; check value stat-theilslopes
    value = check_value("8-statistics", "stat-theilslopes")
    slope, intercept = theil_sen(np.array(value["x"]), np.array(value["y"]))
    assert (slope, intercept) == pytest.approx((value["slope"], value["intercept"]), abs=1e-5)


@pytest.mark.parametrize(("freedom", "point"), [(1, 6.314), (5, 2.015), (10, 1.812), (30, 1.697)])
def test_points_of_students_t_equal_the_table(freedom, point):
    # NIST/SEMATECH e-Handbook, 1.3.6.7.2, upper critical values, 0.95
    assert student_quantile(freedom) == pytest.approx(point, abs=0.0006)
