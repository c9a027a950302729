"""How sizes serve bodies, against counts over 507 measured adults (tests/data/bodies/SOURCE.md)."""

import csv
from pathlib import Path

import pytest

from grading.core.sizes.coverage import (
    BETWEEN,
    LARGER,
    NO_FINISHED,
    SMALLER,
    TOO_LITTLE_EASE,
    TOO_MUCH_EASE,
    Coverage,
    FitLimits,
    cover,
    in_ranges,
)
from grading.core.sizes.tables import SizeTable, TableMeasurement
from grading.sizes.tables import published_tables
from tests.check_values import check_value

GROUP = "11-body-data"
FILE = Path(__file__).parents[3] / "data" / "bodies" / "adults.csv"


def bodies(sex: str, column: str) -> list[float]:
    """Girths in mm; women are 0 and men 1 in the file."""
    rows = csv.DictReader(FILE.read_text("utf-8").splitlines())
    return [
        round(10 * float(row[column]), 6) for row in rows if row["sex"] == {"women": "0", "men": "1"}[sex]
    ]


def covered(*centres: int) -> Coverage:
    chest = {"chest": [10.0 * centre for centre in centres]}
    return cover(chest, {"chest": bodies("women", "che_gi")}, {"chest": FitLimits(within_mm=50)})


@pytest.mark.parametrize(
    ("sex", "girth"),
    [("women", "che_gi"), ("men", "che_gi"), ("women", "wai_gi"), ("women", "hip_gi"), ("women", "bic_gi")],
)
def test_the_body_data_are_those_that_were_counted(sex: str, girth: str) -> None:
    wanted = check_value(GROUP, f"bd-{sex}_{girth}")
    girths = bodies(sex, girth)
    assert len(girths) == wanted["n"]
    assert sum(girths) / len(girths) / 10 == pytest.approx(wanted["mean"], abs=1e-5)
    assert (min(girths) / 10, max(girths) / 10) == (wanted["min"], wanted["max"])


@pytest.mark.parametrize(
    ("name", "centres"),
    [
        ("bd-women_cov_80_110", (80, 90, 100, 110)),
        ("bd-women_cov_80_100", (80, 90, 100)),
        ("bd-women_cov_90_110", (90, 100, 110)),
    ],
)
def test_bodies_within_five_centimetres(name: str, centres: tuple[int, ...]) -> None:
    share = covered(*centres).by_measurement["chest"]
    assert {"covered": share.served, "n": share.known} == check_value(GROUP, name)


@pytest.mark.parametrize("sex", ["women", "men"])
def test_bodies_by_nearest_size_where_ties_go_to_the_smaller(sex: str) -> None:
    wanted = check_value(GROUP, f"bd-{sex}_10cm")
    on_boundary = {float(at): n for at, n in check_value(GROUP, "bd-women_10cm_exact_boundary").items()}
    if sex == "men":
        on_boundary = {85.0: 1, 95.0: 1, 105.0: 2, 115.0: 2}  # counted in the same way, same source
    sizes = [10.0 * int(size) for size in wanted]
    found = cover({"chest": sizes}, {"chest": bodies(sex, "che_gi")}, {})
    for share, (size, half_open) in zip(found.by_size, wanted.items(), strict=True):
        # The source counts a body on a boundary to the larger size, we to the smaller.
        moved = on_boundary.get(int(size) + 5.0, 0) - on_boundary.get(int(size) - 5.0, 0)
        assert share.known == half_open + moved


def joint(*names: str) -> int:
    """How many women are served in chest and other measurements predicted from it."""
    centres = [80, 90, 100, 110]
    lines = {name: check_value(GROUP, f"bd-women_ols_{name}_on_chest") for name in ("hip", "bic")}
    # Shifted by a hair, since the source counts a chest on a boundary to the larger size.
    sizes = {"che": [10.0 * centre - 1e-5 for centre in centres]}
    for name, line in lines.items():
        sizes[name] = [10 * (line["intercept"] + line["slope"] * centre) for centre in centres]
    fits = {
        "che": FitLimits(within_mm=50 + 2e-5),
        "hip": FitLimits(within_mm=50),
        "bic": FitLimits(within_mm=25),
    }
    found = cover(
        {name: sizes[name] for name in names},
        {name: bodies("women", f"{name}_gi") for name in names},
        fits,
        choose_by=["che"],
    )
    assert found.jointly.known == 260
    return found.jointly.served


def test_bodies_served_in_several_measurements_at_once() -> None:
    wanted = check_value(GROUP, "bd-women_joint")
    assert joint("che") == wanted["chest"]
    assert joint("che", "hip") == wanted["chest_hip"]
    assert joint("che", "bic") == wanted["chest_bic"]
    assert joint("che", "hip", "bic") == wanted["all3"]


def test_women_in_no_range_of_the_yarn_trades_table_in_its_own_centimetres() -> None:
    # The counts rest on the centimetres that the source prints beside its inches (from memory; they give
    # exactly these counts): rounded to 0.5 cm, so not the same bodies as in exact inches.
    printed = ((71, 76), (81, 86), (91.5, 96.5), (101.5, 106.5), (111.5, 117))
    bust = TableMeasurement("bust", "Bust girth", printed)
    table = SizeTable("Woman, printed centimetres", "cm", ("XS", "S", "M", "L", "XL"), (bust,))
    *inside, outside = in_ranges(table, bust, bodies("women", "che_gi"))
    wanted = check_value(GROUP, "bd-women_yarn_table_inside")
    assert inside == [wanted[size] for size in table.sizes]
    assert outside == check_value(GROUP, "bd-women_yarn_table_gap") == 133


def test_women_in_no_range_of_the_yarn_trades_table_in_exact_inches() -> None:
    table = published_tables()["yarn-woman"]
    chest = bodies("women", "che_gi")
    *inside, outside = in_ranges(table, table.measurements[0], chest)
    # Derived: counted directly in inches of exactly 25.4 mm.
    inches = [girth / 25.4 for girth in chest]
    ranges = check_value("3-body-tables", "woman-bust").values()
    assert inside == [sum(low <= inch <= high for inch in inches) for low, high in ranges]
    assert outside == 134


@pytest.mark.parametrize(("sex", "name"), [("women", "bd-women_en_bust"), ("men", "bd-men_en_chest")])
def test_adults_by_letter_code(sex: str, name: str) -> None:
    table = published_tables()[f"letter-codes-{sex}"]
    counts = in_ranges(table, table.measurements[0], bodies(sex, "che_gi"))
    wanted = check_value(GROUP, name)
    assert {size: counts[table.sizes.index(size)] for size in wanted} == wanted


def test_reasons_say_why_a_body_is_not_served() -> None:
    found = cover(
        {"bust": [800.0, 1000.0]}, {"bust": [700.0, 900.0, 1100.0, 810.0]}, {"bust": FitLimits(within_mm=50)}
    )
    assert found.reasons == {("bust", SMALLER): 1, ("bust", LARGER): 1, ("bust", BETWEEN): 1}
    assert found.joint == (False, False, False, True)


def test_ease_is_the_finished_measurement_less_the_body() -> None:
    fit = FitLimits(ease_mm=100, least_ease_mm=80, most_ease_mm=130)
    found = cover({"bust": [900.0]}, {"bust": [920.0, 921.0, 870.0, 869.0]}, {"bust": fit})
    assert found.joint == (True, False, True, False)
    assert found.reasons == {("bust", TOO_LITTLE_EASE): 1, ("bust", TOO_MUCH_EASE): 1}
    unknown = cover(
        {"bust": [900.0]}, {"bust": [900.0]}, {"bust": FitLimits(finished_mm=(None,), least_ease_mm=0)}
    )
    assert unknown.reasons == {("bust", NO_FINISHED): 1}
    finished = FitLimits(finished_mm=(960.0,), least_ease_mm=80)
    assert cover({"bust": [900.0]}, {"bust": [880.0, 881.0]}, {"bust": finished}).joint == (True, False)


def test_unknown_measurements_neither_choose_nor_count() -> None:
    found = cover(
        {"bust": [800.0, 900.0], "hip": [850.0, None]},
        {"bust": [None, 905.0, None], "hip": [950.0, 870.0, None]},
        {"bust": FitLimits(within_mm=50), "hip": FitLimits(within_mm=50)},
    )
    assert found.nearest == (0, 1, -1)
    assert found.unmeasured == 1
    assert found.by_measurement["hip"].known == 1


def test_bodies_without_a_shared_measurement_are_refused() -> None:
    with pytest.raises(ValueError, match="none of the table's measurements"):
        cover({"bust": [800.0]}, {"head": [560.0]}, {})
