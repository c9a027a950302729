"""The four samples, one size of each worked out by hand. Source of all figures: derived."""

from pathlib import Path

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern

SAMPLES = Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo"


def graded_sample(name):
    return grade(read_pattern((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))).as_json()


def column(graded, size):
    """Worked numbers of one size, lengths in cm."""
    place = graded["sizes"].index(size)
    tenth = {name: 10 if of["kind"] == "length" else 1 for name, of in graded["values"].items()}
    worked = {name: of["worked"][place] for name, of in graded["values"].items()}
    return {name: number / tenth[name] for name, number in worked.items() if number is not None}


# Gauge 14 sts and 10 rows to 10 cm, rib 15 and 11. Bust 37 in = 93.98 cm, upper arm 27.94, cross back 41.275,
# arm 43.18.
BRACKENMERE_M = {
    "ease": 12,
    "chest_target": 105.98,  # 93.98 + 12
    "back_stitches": 74,  # 52.99 × 1.4 = 74.186, even
    "chest": 2 * 74 / 1.4,
    "neck_stitches": 26,  # 19 × 1.4 = 26.6, half of it 13.3
    "neck_width": 26 / 1.4,
    "shoulder_stitches": 24,  # (74 − 26) / 2
    "rib_stitches": 9,  # 6 × 1.5
    "rib_rows": 58,  # 74 / 1.4 × 1.1 = 58.14
    "armhole_depth_target": 18.47,  # 13.97 + 4.5
    "armhole_rows": 18,  # 18.47, half of it 9.235
    "side_rows": 28,  # 27, half of it 13.5, ties up
    "body_length": 52,  # 6 + 28 + 18
    "neck_rows": 10,
    "neck_half_stitches": 13,
    "sleeve_top_stitches": 50,  # 2 × 18 × 1.4 = 50.4
    "cuff_stitches": 34,  # 24 × 1.4 = 33.6
    "drop": (105.7142857142857 / 2 - 41.275) / 2,
    "sleeve_rows": 36,  # 43.18 + 4 − 5.791 − 6 = 35.389, half of it 17.69
    "sleeve_length": 42,  # 36 + 6
    "upper_sleeve": 50 / 1.4,
    "wrist": 34 / 1.4,
}
# Gauge 22 and 30, rib 24 and 32. Bust 92, upper arm 27.5, armhole 18, wrist 16, arm 43.5.
CINDERFELL_M = {
    "body_stitches": 220,  # 100 × 2.2
    "chest": 100,
    "underarm_stitches": 10,  # 4.5 × 2.2 = 9.9
    "back_yoke_stitches": 100,  # 110 − 10
    "sleeve_stitches": 70,  # 32 × 2.2 = 70.4
    "sleeve_yoke_stitches": 60,
    "neck_stitches": 104,  # 48 × 2.2 = 105.6, a quarter 26.4
    "neck_round": 104 / 2.4,
    "back_start_stitches": 40,  # 52 − 12
    "yoke_rounds": 62,  # 20.5 × 3 = 61.5, half of it 30.75
    "raglan_increases": 24,  # (60 − 12) / 2
    "back_common_stitches": 88,  # 40 + 48
    "extra_increases": 6,
    "yoke_stitches": 320,
    "hem_rib_rounds": 20,  # 19.2 up
    "body_rounds": 90,  # (36 − 6.25) × 3 = 89.25, half of it 44.6
    "side_length": 36.25,  # 30 + 6.25
    "body_length": 63 / 3 + 36.25,  # 62 rounds and the set-up round
    "cuff_stitches": 44,
    "sleeve_rounds": 114,  # (44.5 − 6.25) × 3 = 114.75, half of it 57.375
    "sleeve_length": 44.25,
    "taper_decreases": 13,
}
# Gauge 15 and 11, band 16 and 19. Chest 63, cross back and back 26.035, upper arm 20.32, arm 29.21.
PUFFINBAY_6Y = {
    "band_rows": 6,  # 5.7, half of it 2.85
    "hem_rows": 5,  # 4.75
    "back_stitches": 58,  # 38 × 1.5 = 57, half of it 28.5, ties up
    "front_stitches": 27,  # (38.667 − 3.158) / 2 × 1.5 = 26.63
    "chest": 58 / 1.5 + 2 * 27 / 1.5 + 6 / 1.9,
    "armhole_rows": 18,  # (10.16 + 5.5) × 1.1 = 17.226, half of it 8.6
    "side_rows": 24,  # (26.035 + 14.5 − 2.632 − 16.364) × 1.1 = 23.69, half of it 11.85
    "body_length": 5 / 1.9 + 42 / 1.1,
    "shoulder_stitches": 19,
    "front_neck_stitches": 8,
    "front_plain_rows": 36,  # 24 + 18 − 6
    "sleeve_top_stitches": 48,  # 2 × 24
    "cuff_stitches": 26,  # 26.25
    "sleeve_rows": 26,  # (29.21 + 3 − 6.316 − 2.632) × 1.1 = 25.59, half of it 12.8
    # Neck 13.33, each front curve a quarter of an ellipse of 5.33 and 5.45, 8.47: 30.28 × 1.5 = 45.4, even.
    "hood_start_stitches": 46,
    "hood_stitches": 64,  # 63.345, half of it 31.67
    "hood_rows": 30,  # 27.25 × 1.1 = 29.975
    "hood_growth_rows": 15,
    "edge_side_stitches": 58,  # 5 × 5 / 6 = 4.2 along the hem, 36 × 3 / 2 = 54
    "edge_hood_stitches": 45,  # 30 × 3 / 2
    "band_stitches": 206,
    "button_gap": 11,  # (58 − 4 − 10) / 4
    "tie_chain": 30,  # 15 cm: 14 free, 1 sewn on
    "tie_length": 14,
}
# Gauge 18 and 16, rib 18 and 18, band 16 and 20. Bust 93.98, cross back 41.275, armhole 18.415.
THISTLEDRIFT_M = {
    "band_rows": 5,
    "back_stitches": 92,  # 51.49 × 1.8 = 92.68, half of it 46.3
    "front_stitches": 44,  # (51.111 − 2.5) / 2 × 1.8 = 43.75
    "chest": 102.5,  # 180 / 1.8 + 2.5
    "side_rows": 44,  # 43.2, half of it 21.6
    "armhole_rows": 34,  # 21.415 × 1.6 = 34.26
    "armhole_height": 21.25,
    "body_length": 53.75,  # 5 + 78 / 1.6
    "upper_back_stitches": 68,  # 38.275 × 1.8 = 68.895, half of it 34.4
    "armhole_stitches": 12,
    "neck_stitches": 36,  # 35.1, half of it 17.55
    "shoulder_stitches": 16,
    "front_upper_stitches": 32,
    "v_stitches": 16,
    "edge_rows": 87,  # 9 + 44 + 34
    "band_stitches": 206,  # 174 + 32
    # A quarter of an ellipse of 6.67 and 3.75 is 8.34: × 1.6 = 13.3. Above it 34 − 6 rows.
    "armhole_curve_band": 13,
    "armhole_band_stitches": 82,
    "button_gap": 9,  # (53 − 4 − 10) / 4 = 9.75 down
    "button_rest": 39,  # of 87: 2 below, 5 holes of 2, 4 times 9 between them
    "pocket_stitches": 24,  # 23.4, half of it 11.7
    "pocket_rows": 20,  # 20.8, half of it 10.4
}


# Size 2y of the child's jacket has neither buttons nor ties, and tape that the others lack.
OF_SOME_SIZES = {"buttons", "button_gap", "tapes", "tape_length", "tie_length"}


@pytest.mark.parametrize(
    ("sample", "size", "wanted"),
    [
        ("brackenmere_pullover", "M", BRACKENMERE_M),
        ("cinderfell_raglan", "M", CINDERFELL_M),
        ("puffinbay_child", "6y", PUFFINBAY_6Y),
        ("thistledrift_waistcoat", "M", THISTLEDRIFT_M),
    ],
)
def test_a_size_of_each_sample_is_as_worked_by_hand(sample, size, wanted):
    worked = column(graded_sample(sample), size)
    assert {name: worked[name] for name in wanted} == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.json")), ids=lambda path: path.stem)
def test_samples_have_no_stop_finding_and_no_blank(path):
    graded = grade(read_pattern(path.read_text(encoding="utf-8")))
    assert [one for one in graded.findings if one.weight == "stop"] == []
    values = graded.as_json()["values"]
    blank = {name for name, of in values.items() if None in of["worked"]}
    assert blank == (OF_SOME_SIZES if path.stem == "puffinbay_child" else set())


def test_what_the_smallest_jacket_lacks_is_blank_there_alone():
    values = graded_sample("puffinbay_child")["values"]
    assert values["buttons"]["worked"] == [None, 4, 5, 5, 6, 6]
    # 5 rows of 19 are 26.3 mm, 31 of 11 are 281.8: 308.1 mm to the neck, less 10 below and 20 above the tape.
    assert values["tape_length"]["worked"] == [275, None, None, None, None, None]


def test_brackenmere_shapes_and_counts_as_worked_by_hand():
    graded = graded_sample("brackenmere_pullover")
    at = graded["sizes"].index("M")
    # 50 to 34 stitches: 8 rows in 35 − 2 − 1 + 1 = 33 slots; 33 = 8 × 4 + 1.
    assert graded["shapings"]["sleeve_taper"][at] == [[4, 7], [5, 1]]
    assert sum(graded["curves"]["front_neck"][at]) == 13
    assert graded["pick_ups"]["armhole_row_ends"][at] == 25  # 18 × 7 / 5 = 25.2


def test_cinderfell_shapes_as_worked_by_hand():
    graded = graded_sample("cinderfell_raglan")
    at = graded["sizes"].index("M")
    # 24 rounds in 31 slots of every second round: 31 = 24 + 7.
    assert graded["shapings"]["raglan"][at] == [[2, 17], [4, 7]]
    # 6 rounds in 31 slots: 31 = 6 × 5 + 1.
    assert graded["shapings"]["body_extra"][at] == [[10, 5], [12, 1]]
    # 13 rounds in 112 − 6 slots: 106 = 13 × 8 + 2.
    assert graded["shapings"]["sleeve_taper"][at] == [[8, 11], [9, 2]]


def test_brackenmere_yarn_as_worked_by_hand():
    graded = graded_sample("brackenmere_pullover")
    at = graded["sizes"].index("M")
    long, none = graded["yarn"]
    main, rib = 12.6 / 280, 10.4 / 240
    body = (2 * 74 * 46 - 13 * 10) * main + 12 + 2 * 9 * 58 * rib
    sleeves = 84 * 36 * main + 6 + 18 * 34 / 14 * 11 * rib
    assert long["options"] == {"sleeves": "long"}
    assert long["colours"]["A"]["weight"][at] == pytest.approx((body + sleeves) * 1.08)
    assert none["colours"]["A"]["weight"][at] == pytest.approx(body * 1.08)
    assert long["colours"]["A"]["length"][at] == pytest.approx((body + sleeves) * 1.08 * 2.2)
    assert long["colours"]["A"]["balls"][at] == 12  # 563.6 g


def test_thistledrift_stripes_share_the_yarn_as_worked_by_hand():
    graded = graded_sample("thistledrift_waistcoat")
    at = graded["sizes"].index("M")
    need = next(n for n in graded["yarn"] if n["options"] == {"pockets": "yes", "colours": "striped"})
    striped = (92 * 44 + 68 * 34) * 9.2 / 480 + 4 + (88 * 44 + 48 * 34) * 9.2 / 480 + 6
    plain = 180 * 9 * 8.1 / 432 + 8 + (206 * 5 + 2 * 82 * 3) * 8.4 / 480 + 960 * 9.2 / 480 + 2
    # 78 rows: A 40, B 18, C 20. A stripe's last row gives 54 % away: A gives 10, takes 9; B 9, 9; C 4, 5.
    share = {"A": 40 - 0.54, "B": 18, "C": 20 + 0.54}
    wanted = {colour: striped * rows / 78 * 1.08 for colour, rows in share.items()}
    wanted["A"] += plain * 1.08
    assert {c: of["weight"][at] for c, of in need["colours"].items()} == pytest.approx(wanted)
