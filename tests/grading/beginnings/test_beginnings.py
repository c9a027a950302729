"""Every construction over the tables it suits: whole, without what stops it, and as worked by hand."""

import json
import re

import pytest

from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import EASES, constructions, fabrics, lacking, wearer_of
from grading.beginnings.excusing import with_steps_excused
from grading.core.audit.patterns import audit_pattern
from grading.core.grade.cautions import is_under_three
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.printing.shaping_sentences import ShapingWords, shaping_words
from grading.core.printing.wording import Voice
from grading.grid.finding_groups import finding_groups
from grading.sizes.tables import published_tables
from tests.grading.oracle.judge import differences

# Stitches, rows and grams of a square of 10 cm: fine, medium and bulky (common practice).
GAUGES = {
    "knitting": [(30, 42, 9), (18, 24, 14), (9, 13, 20)],
    "crochet": [(24, 28, 12), (14, 10, 20), (8, 5, 25)],
}
CASES = [
    (key, table)
    for key, construction in constructions().items()
    for table, of in published_tables().items()
    if not lacking(construction, of)
]


def start(construction, table, fabric="stockinette", gauge=(18, 24, 14), units="cm", options=(), **changes):
    """What is known at the start, in all sizes of a table."""
    sizes = published_tables()[table].sizes
    stitches, rows, weight = gauge
    known = {
        "title": construction.name,
        "fabric": fabric,
        "table": published_tables()[table],
        "sizes": sizes,
        "swatch": BegunSwatch(stitches, rows, weight, stitches, rows),
        "ease": construction.eases[construction.ease][0 if units == "cm" else 1],
        "sample": sizes[len(sizes) // 2],
        "home_units": units,
        "options": frozenset(options),
    }
    return Start(**{**known, **changes})


def begun(key, table, **known):
    """A new pattern and its numbers."""
    construction = constructions()[key]
    document = begun_document(construction, start(construction, table, **known))
    return document, grade(read_pattern(document))


def stops(graded):
    return [(one.where, one.size, one.says) for one in graded.findings if one.weight == "stop"]


def crafts(construction):
    """One fabric of each craft."""
    return {fabrics()[key]["craft"]: key for key in construction.fabrics}


@pytest.mark.parametrize(("key", "table"), CASES)
@pytest.mark.parametrize("units", ["cm", "in"])
def test_a_beginning_has_nothing_that_stops_it_in_any_gauge_and_is_whole(key, table, units):
    construction = constructions()[key]
    wanted = [one["name"] for one in construction.options]
    for craft, fabric in crafts(construction).items():
        for gauge in GAUGES[craft]:
            document, graded = begun(key, table, fabric=fabric, gauge=gauge, units=units, options=wanted)
            assert stops(graded) == [], (craft, gauge)
            assert all(document[part] for part in ("values", "checks", "pieces", "yarn_sections", "sections"))
            assert not re.search(r"\[\[\w", str(document))


@pytest.mark.parametrize("key", constructions())
def test_every_fabric_every_ease_and_fewer_options_have_nothing_that_stops_them(key):
    construction = constructions()[key]
    table = next(table for of, table in CASES if of == key)
    for fabric in construction.fabrics:
        gauges = GAUGES[fabrics()[fabric]["craft"]]
        for place, ease in enumerate(construction.eases.values()):
            _, graded = begun(key, table, fabric=fabric, gauge=gauges[place % 3], ease=ease[0])
            assert stops(graded) == [], (fabric, ease)


@pytest.mark.parametrize("key", constructions())
def test_the_second_evaluator_agrees_on_a_beginning(key):
    construction = constructions()[key]
    table = next(table for of, table in CASES if of == key)
    document, graded = begun(key, table, options=[one["name"] for one in construction.options])
    assert differences(document, graded.as_json()) == []


@pytest.mark.parametrize(
    ("fabric", "gauge", "lies_flat"),
    [
        ("garter", (18, 36, 6), True),
        ("garter", (18, 32, 6), True),
        ("garter", (18, 24, 6), False),
        ("single", (14, 16, 6), True),
        ("single", (14, 10, 6), False),
    ],
)
def test_a_triangle_says_when_its_increases_do_not_suit_the_gauge(fabric, gauge, lies_flat):
    """Four stitches more every second row: the last row is as long as both lower edges, which meet at a right
    angle, where 10 cm have twice as many rows as stitches; every row, where they have as many. Geometry.
    """
    _, graded = begun("shawl", "yarn-woman", fabric=fabric, gauge=gauge)
    assert ("checks.lies_flat" not in {one.where for one in graded.findings}) is lies_flat


def test_a_flat_triangle_is_as_worked_by_hand():
    """Women's M, 18 sts and 36 rows to 10 cm: from the rows to a long edge and a last row, worked by hand.

    Each half is a right-angled triangle whose height is the rows and whose base is the last row's half.
    """
    _, graded = begun("shawl", "yarn-woman", fabric="garter", gauge=(18, 36, 6))
    rows, stitches = (graded.values[name].worked[2] for name in ("growth_rows", "end_stitches"))
    height_mm, base_mm = rows / 3.6 * 10, stitches / 2 / 1.8 * 10
    assert stitches == 7 + 2 * rows
    assert base_mm == pytest.approx(2 * height_mm, rel=0.03)
    assert graded.values["span"].worked[2] == pytest.approx(2 * 2**0.5 * height_mm, rel=0.001)


def test_a_drop_shoulder_pullover_is_as_worked_by_hand():
    """Women's M, 18 sts and 24 rows to 10 cm, 8 cm of ease; worked by hand, common practice.

    Bust 37 in = 93.98 cm, and 8 cm are 101.98: half is 50.99 cm, 91.78 sts, 92 as an even number. The across
    back of 15.75 in = 40.005 cm times 44 % is 17.60 cm, 31.68 sts, 32. The armhole is 7.25 in + 2.5 cm =
    20.915 cm (the arm's is half of 11 in + 9 cm, 18.47), 50.2 rows, 50. Of 50 row ends 3 of 4 are 37.5, 38.
    """
    _, graded = begun("drop-shoulder", "yarn-woman", ease="8 cm")
    middle = {name: value.worked[2] for name, value in graded.values.items()}
    assert middle["back_stitches"] == 92
    assert (middle["neck_stitches"], middle["shoulder_stitches"]) == (32, 30)
    assert (middle["armhole_rows"], middle["sleeve_top_stitches"]) == (50, 76)


@pytest.mark.parametrize("key", ["drop-shoulder", "set-in", "waistcoat"])
@pytest.mark.parametrize("gauge", [(18, 24, 14), (18, 36, 14)])
def test_a_length_is_rounded_once_so_that_no_larger_size_is_shorter(key, gauge):
    """18 sts and 24 rows: 4X and 5X are 47 + 15 = 62 cm, 148.8 rows; as an even number 148, by hand."""
    _, graded = begun(key, "yarn-woman", fabric="garter", gauge=gauge)
    rows = graded.values["body_rows"].worked
    assert list(rows) == sorted(rows)
    assert gauge[1] != 24 or list(rows[-2:]) == [148, 148]


def test_buttonholes_of_a_waistcoat_are_as_worked_by_hand():
    """Women's M, 18 sts and 24 rows to 10 cm: 92 row ends below the V, 3 of 4 are 69 sts.

    Hem and side are 14 + 78 rows, 38.3 cm: at 8 cm a button 4.8, so 5. Each hole is 2.7 sts, 3. Of 69 sts
    2 are left at either end and 15 are holes: 50 between them, 12.5 in each of 4 gaps, rounded down.
    """
    _, graded = begun("waistcoat", "yarn-woman")
    names = ("straight_stitches", "buttons", "hole_stitches", "button_gap")
    assert [graded.values[name].worked[2] for name in names] == [69, 5, 3, 12]


@pytest.mark.parametrize("key", ["drop-shoulder", "set-in"])
def test_armholes_have_a_band_where_there_may_be_no_sleeves(key):
    document, graded = begun(key, "yarn-woman", options=["sleeves"])
    told = [step for section in document["sections"] for step in section["steps"]]
    assert any("::: when sleeves=none" in step and "Armhole bands" in step for step in told)
    assert "armhole_band_stitches" in graded.values
    _, usual = begun(key, "yarn-woman")
    assert "armhole_band_stitches" not in usual.values


def test_the_armhole_band_of_a_drop_shoulder_pullover_is_as_worked_by_hand():
    """Women's XL, 18 sts and 24 rows to 10 cm; worked by hand, common practice.

    Of 56 rows the armhole is 23.33 cm deep, 46.67 cm round the edge of back and front: 84 sts.
    """
    _, graded = begun("drop-shoulder", "yarn-woman", options=["sleeves"])
    assert graded.values["armhole_rows"].worked[4] == 56
    assert graded.values["armhole_band_stitches"].worked[4] == 84


def test_a_short_sleeve_of_a_raglan_is_as_long_as_its_rounds():
    """24 rows to 10 cm: the round of the underarm and 14 of rib are 15, 6.25 cm; worked by hand."""
    document, graded = begun("raglan", "yarn-woman", options=["sleeves"])
    assert set(graded.values["short_sleeve_length"].worked) == {62.5}
    made = {piece["name"]: piece.get("when") for piece in document["pieces"]}
    assert made["short_sleeve"] == {"sleeves": "short"}
    assert made["sleeve"] == {"sleeves": "long"}
    usual, _ = begun("raglan", "yarn-woman")
    assert {piece["name"] for piece in usual["pieces"]} == {"body", "sleeve"}
    assert {join["name"] for join in usual["joins"]} == {"underarm_join", "neck_join"}


def test_classes_of_ease_lie_in_the_ranges_of_the_yarn_trade():
    """Craft Yarn Council, ease and fit chart of 5 February 2018, p. 13, in inches."""
    ranges = {
        "very close": (-4, -2),
        "close": (0, 0),
        "classic": (2, 4),
        "loose": (4, 6),
        "oversized": (6, 99),
    }
    for word, (metric, inches) in EASES.items():
        low, high = ranges[word]
        assert low <= float(inches.split()[0]) <= high
        assert abs(float(metric.split()[0]) - 2.54 * float(inches.split()[0])) <= 0.5


def test_a_table_that_lacks_a_measurement_is_told_in_words():
    lacks = lacking(constructions()["drop-shoulder"], published_tables()["letter-codes-women"])
    assert "upper-arm girth" in lacks


@pytest.mark.parametrize(
    ("table", "wearer"),
    [("yarn-woman", "adult"), ("yarn-man", "adult"), ("yarn-child", "child"), ("yarn-baby", "baby")],
)
def test_who_wears_it_is_seen_from_the_table(table, wearer):
    assert wearer_of(published_tables()[table]) == wearer


def test_sizes_of_a_child_say_that_they_are_years():
    """So makers are told of 4 years, and cautions know who is under three: 16 CFR 1501, small parts."""
    document, _ = begun("raglan", "yarn-child")
    assert document["sizes"][:2] == ["2 years", "4 years"]
    assert [is_under_three(size) for size in document["sizes"][:2]] == [True, False]


def test_an_option_that_is_not_wanted_leaves_no_trace():
    document, _ = begun("drop-shoulder", "yarn-woman", options=["pocket"])
    assert [one["name"] for one in document["options"]] == ["pocket"]
    whens = [
        one["when"]
        for part in ("sections", "pieces", "yarn_sections")
        for one in document[part]
        if "when" in one
    ]
    assert whens
    assert all(list(when) == ["pocket"] for when in whens)


def test_a_sleeve_cap_is_a_little_longer_than_its_armhole_and_joins_agree_with_the_sheet():
    """Common practice: the cap is 1 to 2.5 cm longer and eased in; a whole row more or less is allowed."""
    _, graded = begun("set-in", "yarn-woman", ease="8 cm")
    edges = [graded.values[name].worked for name in ("cap_edge", "armhole_edge")]
    assert 8 < min(edges[0] - edges[1]) < max(edges[0] - edges[1]) < 27
    joined = graded.joins["cap_join"]
    assert joined.onto == pytest.approx(edges[1])


JOINED = {key for key, one in constructions().items() if one.pattern.get("joins")}


def test_every_garment_that_is_sewn_says_what_is_joined():
    assert {"cuff-to-cuff", "drop-shoulder", "raglan", "set-in", "waistcoat"} == JOINED


@pytest.mark.parametrize(("key", "table"), [case for case in CASES if case[0] in JOINED])
def test_what_is_joined_fits_in_every_size_ease_and_gauge(key, table):
    construction = constructions()[key]
    eases = list(construction.eases.values())
    for craft, fabric in crafts(construction).items():
        for place, gauge in enumerate(GAUGES[craft]):
            ease = eases[place % len(eases)][0]
            wanted = [one["name"] for one in construction.options]
            _, graded = begun(key, table, fabric=fabric, gauge=gauge, ease=ease, options=wanted)
            joined = [one for one in graded.findings if one.where.startswith("joins")]
            assert [one for one in joined if "a head measures" not in one.says] == []
            if table not in ("yarn-child", "yarn-baby") or (key, craft) == ("raglan", "knitting"):
                assert joined == [], "a neck goes over the head"
            assert graded.joins


def test_a_childs_neck_that_is_too_narrow_for_its_age_is_noticed():
    """A head of 2 years is 47.7 cm, the mean of both medians (WHO Child Growth Standards).

    By hand: what is picked up round the neck is 29.7 cm in the smallest size; 35 % more is 40.1.
    """
    document, graded = begun("set-in", "yarn-child")
    found = {one.size: one.says for one in graded.findings if "a head measures" in one.says}
    assert found["2 years"] == (
        "The neck is 29.7 cm round, about 40.1 cm when it is stretched, and a head measures 47.7 cm. "
        "Make the neck wider or deeper, or add an opening."
    )
    groups = finding_groups(document, graded.as_json()["findings"])
    all_sizes = ", ".join(document["sizes"])
    assert f"Neckband round the neck: too narrow for a head in {all_sizes}" in [
        one.sentence for one in groups
    ]


def test_a_hat_of_a_crown_in_six_wedges_is_as_worked_by_hand():
    """Head 57 cm less 2.5 cm at 18 sts to 10 cm: 98.1, so 96 in wedges of 16 (common practice)."""
    _, graded = begun("hat", "heads", ease="-2.5 cm")
    assert graded.values["hat_stitches"].worked[7] == 96
    assert graded.values["wedge_stitches"].worked[7] == 16


@pytest.mark.parametrize("key", constructions())
def test_plain_rows_among_shaped_ones_are_told_once(key):
    """Where a shaping ends with plain rows its own words tell them; only another fabric is told beside it."""
    table = next(table for known, table in CASES if known == key)
    for craft, fabric in crafts(constructions()[key]).items():
        document, graded = begun(key, table, fabric=fabric, gauge=GAUGES[craft][1])
        told = re.findall(r"Work \{\w+\} r[^\":]*: \{\w+\}[^\"]*", json.dumps(document))
        assert told or key in ("waistcoat", "blanket")
        for text in told:
            assert "straight" not in text
            name = next(name for name in re.findall(r"\{(\w+)", text) if name in graded.shapings)
            plans = tuple(graded.shapings[name])
            said = shaping_words(ShapingWords(plans), Voice(graded.pattern.sizes, craft))
            assert ("straight" in said) == any(one.straight_rows for one in plans)


# From cuff to cuff stitches are added and given back at the ends of rows that other sentences name.
# Rows that are added along another edge are read less often.
LEAST_READ = {"cuff-to-cuff": 0.4, "blanket": 0.85}


# By construction: a section, words of the line it is measured at, and the value of the sheet.
HOW_LONG = {
    "drop-shoulder": [("Back", "", "body_length"), ("Sleeves", "{rib_rows}", "sleeve_length")],
    "set-in": [("Back", "", "body_length"), ("Sleeves", "{sleeve_growth}", "sleeve_length")],
    "waistcoat": [("Back", "", "body_length")],
    "raglan": [("Sleeves", "{rib_rounds}", "sleeve_length")],
    "cuff-to-cuff": [("First sleeve", "{sleeve_growth}", "sleeve_length")],
    "hat": [("Top", "{top_fast}", "top_rounds")],
    "mittens": [("Tip", "{tip_fast}", "tip_rounds")],
    "shawl": [("Shawl", "{growth}", "growth_rows")],
}


def lengths_counted(graded, lines, title, words):
    """Rows and mm so far after the last line of a section that has these words, in every size."""
    titles = [section.title for section in graded.pattern.sections]
    found = [
        line
        for line in lines
        if titles[line.section].startswith(title)
        and words in line.text
        and dict(line.options).get("sleeves", "long") == "long"
    ]
    return [(one.rows, one.length) for one in found[-1].sizes]


@pytest.mark.parametrize("key", constructions())
def test_rows_of_a_beginning_are_read_and_none_disagrees_with_its_count(key):
    construction = constructions()[key]
    table = next(table for known, table in CASES if known == key)
    for craft, fabric in crafts(construction).items():
        _, graded = begun(key, table, fabric=fabric, gauge=GAUGES[craft][1])
        lines = audit_pattern(facts_of(graded.pattern, graded))
        assert lines
        assert [line.text for line in lines if line.verdict == "disagrees"] == []
        read = sum(line.verdict == "agrees" for line in lines)
        assert read >= LEAST_READ.get(key, 0.9) * len(lines)
        for title, words, name in HOW_LONG.get(key, ()):
            row = 1 / graded.pattern.fabrics[0].rows_per_mm
            sheet = graded.values[name]
            for (rows, length), worked in zip(
                lengths_counted(graded, lines, title, words), sheet.worked, strict=True
            ):
                if rows is None:  # the first round of this sleeve can't be read
                    assert (key, craft) == ("raglan", "crochet")
                elif sheet.kind == "rows":
                    assert rows == worked
                else:
                    assert length == pytest.approx(worked, abs=row * 1.001), (craft, title)


def test_a_sleeve_cap_is_cast_off_curved_slanted_and_cast_off():
    """Common practice: a cap is lower than its armhole is deep, and rises by at least a third of it.

    Body and sleeve are cast off alike at the underarm, where they are sewn together.
    """
    _, graded = begun("set-in", "yarn-woman", ease="8 cm")
    worked = {name: value.worked for name, value in graded.values.items()}
    assert (worked["underarm_stitches"] > 0).all()
    assert (worked["cap_last_stitches"] > 0).all()
    assert (worked["cap_height"] < worked["armhole"]).all()
    assert (worked["cap_height"] > worked["armhole"] / 3).all()
    runs = [plan.runs for plan in graded.shapings["cap_decreases"]]
    assert all(run and run[0][0] <= run[-1][0] for run in runs)
    parts = ("underarm_stitches", "cap_last_stitches")
    assert (worked["underarm_stitches"] < worked["armhole_stitches"]).all()
    for curve in ("underarm", "armhole_curve"):
        assert all(sum(one.drops) > 0 for one in graded.curves[curve])
    off = (
        2 * sum(worked[name] for name in parts) + worked["cap_wide_stitches"] - worked["cap_narrow_stitches"]
    )
    assert (worked["sleeve_stitches"] - worked["cap_top_stitches"] == off).all()


@pytest.mark.parametrize("fabric", ["stockinette", "half_double"])
def test_a_mitten_is_as_long_as_all_its_rounds(fabric):
    """Derived: the round that puts the gusset on hold and the first and last of the thumb have height too.

    A thumb grows from the last round of its gusset, beside that round.
    """
    table = next(table for key, table in CASES if key == "mittens")
    _, graded = begun("mittens", table, fabric=fabric, gauge=GAUGES[fabrics()[fabric]["craft"]][1])
    rows_mm = 1 / graded.pattern.fabrics[0].rows_per_mm
    of = {name: value.worked for name, value in graded.values.items()}
    rounds = of["gusset_rounds"] + 1 + of["hand_rounds"] + of["tip_rounds"]
    assert of["mitten_length"] == pytest.approx(rounds * rows_mm)
    assert of["gusset_depth"] == pytest.approx(of["gusset_rounds"] * rows_mm)
    assert of["thumb_length"] == pytest.approx((1 + of["thumb_rounds"] + 1) * rows_mm)


@pytest.mark.parametrize(("fabric", "gauge"), [("stockinette", (18, 24, 14)), ("single", (14, 10, 20))])
def test_a_raglan_is_as_long_as_all_its_rounds_and_its_neck_stays_on(fabric, gauge):
    """Derived: set-up round, division and the first round of a sleeve have height too.

    A neck goes round 42 to 56 cm in all sizes of women, a third of the back at each sleeve (common practice).
    """
    _, graded = begun("raglan", "yarn-woman", fabric=fabric, gauge=gauge)
    rows_mm = 1 / graded.pattern.fabrics[0].rows_per_mm
    of = {name: value.worked for name, value in graded.values.items()}
    rounds = 1 + of["yoke_rounds"] + 1 + of["body_rounds"] + of["rib_rounds"]
    assert of["body_length"] == pytest.approx(rounds * rows_mm)
    assert of["yoke_depth"] == pytest.approx((1 + of["yoke_rounds"]) * rows_mm)
    assert of["sleeve_length"] == pytest.approx((1 + of["sleeve_rounds"] + of["rib_rounds"]) * rows_mm)
    assert 410 < min(of["neck_round"]) <= max(of["neck_round"]) < 560
    assert not [one for one in graded.findings if one.where == "checks.neck_stays_on"]


def test_a_raglan_with_too_few_rounds_says_that_its_neck_may_slip():
    _, graded = begun("raglan", "yarn-woman", fabric="double", gauge=(14, 7, 20))
    wide = [one for one in graded.findings if one.where == "checks.neck_stays_on"]
    assert {one.weight for one in wide} == {"warn"}
    assert wide[-1].size == "5X"


def test_no_size_of_a_sideways_cardigan_has_a_narrower_neck_than_a_smaller_one():
    _, graded = begun("cuff-to-cuff", "yarn-woman", fabric="half_double", gauge=(14, 10, 6))
    neck = list(graded.values["neck_width"].worked)
    assert neck == sorted(neck)


def test_a_construction_excuses_the_very_sizes_that_are_smaller_and_no_later_one():
    document = begun("drop-shoulder", "yarn-woman")[0]
    excused = with_steps_excused(document)
    assert not any(key in value for value in excused["values"] for key in ("may_shrink", "may_jump"))
    before, after = (grade(read_pattern(one)) for one in (document, excused))
    assert after.findings == before.findings, "nothing is noticed in the beginning that was not before"
    line, row = next((one, one["settled"][0]) for one in excused["values"] if one.get("settled"))
    assert row["why"] == line["note"]
    worked, sizes = after.values[line["name"]].worked, list(excused["sizes"])
    smaller = [size for size, old, new in zip(sizes[1:], worked, worked[1:], strict=False) if new < old]
    assert row == {"what": "may_shrink", "sizes": smaller, "why": line["note"]}
    grown = next(at for at, size in enumerate(sizes) if at and size not in smaller)
    line.pop("formula")
    line["list"] = [f"{number:g}" if at < grown else "1" for at, number in enumerate(worked)]
    noticed = grade(read_pattern(excused)).findings
    assert any(f"values.{line['name']}" == one.where and one.size == sizes[grown] for one in noticed)


@pytest.mark.parametrize("key", ["set-in", "drop-shoulder"])
def test_a_pullover_says_of_its_sleeves_what_it_has_and_names_the_needle_of_its_neckband(key):
    """A neckband in the round on a flat garment takes a short circular needle. Source: common practice."""
    fixed, _ = begun(key, "yarn-woman")
    chosen, _ = begun(key, "yarn-woman", options=["sleeves"])
    crochet, _ = begun(key, "yarn-woman", fabric="single")
    assert "without sleeves" in chosen["construction"]
    assert "without sleeves" not in fixed["construction"]
    assert "sleeves are" in fixed["construction"]
    (needle,) = fixed["notions"]
    assert (needle["size"], needle["count"]) == ("40 cm", 1)
    assert crochet["notions"] == []


@pytest.mark.parametrize("key", ["set-in", "mittens"])
def test_decreases_of_stockinette_lean_with_the_slope(key):
    """At the first edge ssk leans to the left, at the last k2tog to the right. Source: common practice."""
    document, _ = begun(key, "yarn-woman" if key == "set-in" else "hands")
    rows = re.findall(r"k1, (\w+), (?:k|work) to [^:]*?, (\w+), k1", json.dumps(document))
    assert rows
    assert {row for row in rows if "m1l" not in row} == {("ssk", "k2tog")}
