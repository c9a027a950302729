"""Numbers typed in steps: those of the trade stay, those of the sheet are pointed at with their value."""

import json
from pathlib import Path
from typing import Any

import pytest

from grading.core.grade.grade import WorkedOut, grade, regrade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.meant_values import Pointer, point_at_numbers
from grading.core.instructions.typed_numbers import typed_numbers
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile, ValueEntry
from grading.core.sheet.findings import Finding

ROOT = Path(__file__).parents[4]
GARMENTS = [
    path
    for folder in ("catalogue/site/demo", "tests/data/garments", "tests/data/testing")
    for path in sorted((ROOT / folder).glob("*.json"))
    if not path.stem.startswith("mistaken")
]
BUTTONS = ValueEntry("buttons", "Buttons", "count")
EMPTY = PatternFile("", "crochet", "cm", "US", ("S", "M", "L"), values=(BUTTONS,))


def read(step: str) -> list[str]:
    """Return the numbers of a step as they are pointed at, those that are doubtful with a question mark."""
    return [one.shown + ("?" if one.is_doubtful else "") for one in typed_numbers(step, EMPTY)]


@pytest.mark.parametrize(
    "step",
    [
        "Row 1: 1 hdc in the second ch from the hook and in each ch to the end, turn.",
        "Row 12: (wrong side) purl. Row 24 is a right-side row. Rounds 3, 14 and 15: as round 2.",
        "Rows 5–8: as rows 1 to 4. Repeat rows 2 and 3. Work sts 1 to 12 of chart 22.",
        "Every 2nd row; work a cable every 12 rows; place a marker on the 14th st.",
        "Ch 1, turn. 2 dc in next st, ch 3, 12 dc in the ring, 14 tr into next sp.",
        "K2tog, ssk, k2, p2, yo, m1l, sl 1; k to the last 3 sts; 2x2 rib, ch-2 sp, a 12-st repeat.",
        "*K10, p12; repeat from * to the last 3 sts, k3. *K14* to the end.",
        "[K12, p2] 4 times, (sc in next 12 sts, inc) twice, k to the end.",
        "A multiple of 12 plus 3 sts, or multiples of 24.",
        "Updated on 12 May 2025; 12/05/2025; version 1.12; see page 14 and photo 16.",
        "(2 sts fewer) (16 sts more) 12 sts decreased",
        "Use the 4.5 mm hook and 22 mm buttons. Wash at 30 °C for 40 minutes. 100 g of wool, 220 m.",
        "Half the stitches, 1/2 of them, 3 in every 2 row ends. Repeat from * 3 more times. Make 4.",
        "Work 2 more rounds of sc. Stripes: 6 rows A, 2 rows B. Skip 2 sts.",
        "Size 40 only, sizes 38 and 40: work {back_stitches} sts, {40 cm} long.",
        "Sew on the 2 snaps. Leave 14 unworked on the `40` sts, `(49 sts)`.",
    ],
)
def test_numbers_of_the_trade_stay_as_they_are_typed(step):
    assert read(step) == []


@pytest.mark.parametrize(
    ("step", "pointed"),
    [
        ("Work 40 rows.", ["40 rows"]),
        ("Work 40 more rows even, then 12 garter stitch rows.", ["40 more rows", "12 garter stitch rows"]),
        ("Ch 61, turn. Cast on 70 sts. Bind off 12 sts.", ["Ch 61", "Cast on 70 sts", "Bind off 12 sts"]),
        ("K40 (back), place marker, p12 (sleeve).", ["K40", "p12"]),
        ("Work until there are 44. There are now 24 sts on each side.", ["44", "24 sts"]),
        ("Repeat rows 2 and 3 14 times.", ["14 times"]),
        ("1 hdc in each of the next 40 sts, 12 sc evenly along it.", ["40 sts", "12 sc"]),
        (
            "Row 2: sc across. (45 sc) (6 sts) [12 rounds in all]",
            ["(45 sc)", "(6 sts)", "(12 rounds in all)"],
        ),
        ("40 (44, 48) sts remain; work 6 (–, 8) [9, 10].", ["40 (44, 48) sts", "6 (–, 8) [9, 10]"]),
        ("It is 10½ (11, 11½) in wide and 40 (44, 48) cm long.", ["10½ (11, 11½) in", "40 (44, 48) cm"]),
        ("*K40 (44, 48), p2; repeat from *.", ["K40 (44, 48)"]),
        ("Sew on 5 buttons.", ["5 buttons"]),
        ("Work 6 rows of rib. Cast off 4 sts.", ["6 rows?", "Cast off 4 sts?"]),
        ("Rows 2–44: hdc across.", ["44?"]),
        ("Work until it measures 40 cm.", ["40 cm?"]),
        ("::: only sizes=M\nWork 40 rows.\n:::", ["40 rows"]),
    ],
)
def test_numbers_that_may_be_of_the_sheet_are_found(step, pointed):
    assert read(step) == pointed


@pytest.mark.parametrize(
    "step", ["[" * 20_000, "(1," * 6_000, "1 (" + "1 " * 9_000, "1" * 20_000, "12 a b " * 2_800]
)
def test_whatever_is_typed_is_read(step):
    assert all(one.offset < len(step) for one in typed_numbers(step, EMPTY))


@pytest.mark.parametrize("path", GARMENTS, ids=lambda path: path.stem)
def test_the_samples_have_no_number_typed(path):
    pattern = read_pattern(json.loads(path.read_text(encoding="utf-8")))
    assert point_at_numbers(facts_of(pattern, grade(pattern))) == []


def vest(*steps: str, title: str = "Back", **lists: list[Any]) -> PatternFile:
    """Return a vest in three sizes with these steps; lists replace those of its values."""
    values = {
        "back_stitches": ("stitches", [60, 66, 72]),
        "rib_stitches": ("stitches", [50, 50, 50]),
        "back_rows": ("rows", [44, 44, 48]),
        "sleeve_rows": ("rows", [39, 41, 42]),
        "rib_rows": ("rows", [6, 6, 6]),
        "buttons": ("count", [5, 5, 6]),
        "side_length": ("length", ["39.5 cm", "41 cm", None]),
    }
    data: dict[str, Any] = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Mossgate Vest",
        "craft": "crochet",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": ["S", "M", "L"],
        "values": [
            {"name": name, "label": name, "kind": kind, "list": lists.get(name, listed)}
            for name, (kind, listed) in values.items()
        ],
        "body": {},
        "fabrics": {},
        "sections": [{"title": title, "steps": list(steps)}],
    }
    return read_pattern(data)


def graded_vest(*steps: str, **more: Any) -> WorkedOut:
    return grade(vest(*steps, **more))


def pointers(*steps: str, **more: Any) -> list[Pointer]:
    graded = graded_vest(*steps, **more)
    return point_at_numbers(facts_of(graded.pattern, graded))


def says(step: str, **more: Any) -> str:
    (pointer,) = pointers(step, **more)
    return pointer.says


def test_a_typed_number_is_a_finding_with_its_place():
    (finding,) = [
        one for one in graded_vest("Fine.", "Turn.\nWork 40 rows.").findings if "steps" in one.where
    ]
    assert finding == Finding(
        "sections[0].steps[1]", None, "warn", 2, 6,
        "“40 rows” is typed; back_rows is 44 (sizes S, M): write {back_rows} if it "
        "is meant; if every size has 40, put it in backticks.",
    )  # fmt: skip


def test_a_closing_count_that_no_value_gives_is_found():
    assert says("Row 1: hdc across. (49 sts)") == (
        "“(49 sts)” is typed and no value gives it; rib_stitches is 50 (every size): write {rib_stitches} "
        "if it is meant; if every size has 49, put it in backticks."
    )
    assert says("Row 1: hdc across. (700 sts)").startswith(
        "“(700 sts)” is typed and no value gives it: add one and write its name in braces"
    )


def test_the_rows_of_a_run_are_not_counted_by_a_value():
    assert pointers("Rows 2 to 4: 1 hdc in each st (3 rows).") == []
    assert says("Rows 2 to 4: 1 hdc in each st (5 rows).").startswith("“(5 rows)” is typed")


def test_a_number_that_a_value_has_in_some_sizes_or_in_all_is_said_so():
    assert says("Ch 66.").startswith(
        "“Ch 66” is typed; back_stitches is 66 in size M only: write {back_stitches}"
    )
    assert says("(50 sts)") == (
        "“(50 sts)” is typed; rib_stitches is 50 in every size: write {rib_stitches}, which follows the "
        "sheet."
    )
    one_size = "::: only sizes=M\nCh 66.\n:::"
    assert says(one_size).startswith(
        "“Ch 66” is typed; back_stitches is 66 in size M: write {back_stitches}, which"
    )


def test_a_list_for_all_sizes_names_the_value_that_is_the_same():
    assert says("Ch 60 (66, 72).") == (
        "“Ch 60 (66, 72)” is typed for each size: write {back_stitches}, which has the same numbers."
    )
    in_block = says("::: only sizes=M..L\nCh 60 (66, 72).\n:::")
    assert (
        in_block
        == "“Ch 60 (66, 72)” is typed for each size: write {back_stitches}, which has the same numbers."
    )


def test_a_list_that_no_value_has_in_all_sizes_names_none():
    assert says("Ch 60 (66, 74).") == (
        "“Ch 60 (66, 74)” is typed and no value gives it: add one and write its name in braces."
    )


def test_a_list_with_too_few_or_too_many_numbers_stops():
    ends = (
        "write one for each, or the name of a value in braces. "
        "If it is not a list by size, put it in backticks."
    )
    (long,) = pointers("Work 60 (66, 72, 78) rows.")
    assert (long.says, long.finding.weight) == (
        f"“60 (66, 72, 78) rows” has 4 numbers for 3 sizes: {ends}",
        "stop",
    )
    (short,) = pointers("Ch 60 (66).")
    assert (short.says, short.finding.weight) == (f"“Ch 60 (66)” has 2 numbers for 3 sizes: {ends}", "warn")
    assert pointers("Work `60 (66, 72, 78) rows`.") == []


def test_a_list_of_lengths_is_compared_as_it_is_printed():
    assert says("Work for 39.5 (41, –) cm.") == (
        "“39.5 (41, –) cm” is typed for each size: write {side_length}, which has the same numbers."
    )


def test_a_length_is_pointed_at_once_where_a_value_is_near():
    findings = [
        one for one in graded_vest("Work until it measures 40 cm. Cut 5 cm.").findings if "steps" in one.where
    ]
    assert [one.column for one in findings] == [35, 24]
    assert findings[1].says == (
        "“40 cm” is typed; side_length is 39.5 cm (size S): write {side_length} if "
        "it is meant; if every size has it, write {40 cm}."
    )
    assert "stays as it is in every edition" in findings[0].says


def test_small_numbers_are_pointed_at_only_where_a_value_is_the_same():
    assert says("Work 6 rows of rib.").startswith("“6 rows” is typed; rib_rows is 6 in every size")
    assert pointers("Work 5 rows of rib.") == []
    assert says("Rows 2–44: hdc across.").startswith("“44” is typed; back_rows is 44 in sizes S, M only")
    assert pointers("Rows 2–45: hdc across.") == []


def test_what_is_named_after_a_value_means_that_value():
    assert says("Sew on 7 buttons.").startswith(
        "“7 buttons” is typed; buttons is 6 (size L): write {buttons}"
    )


def test_the_words_around_tell_which_of_two_near_values_comes_first():
    names = [one.name for one in pointers("Work 40 rows.", title="Sleeves and sleeve bands")[0].meant]
    assert names[:2] == ["sleeve_rows", "back_rows"]
    assert [one.name for one in pointers("Work 40 rows.", title="Back")[0].meant][:2] == [
        "back_rows",
        "sleeve_rows",
    ]


def test_sizes_without_a_number_are_never_near():
    nothing = {"back_rows": [None] * 3, "sleeve_rows": [None] * 3, "rib_rows": [None] * 3}
    assert says("Work 40 rows.", **nothing).startswith("“40 rows” is typed and no value gives it: add one")
    assert says("Sew on 7 buttons.", buttons=[None, None, 6]).startswith(
        "“7 buttons” is typed; buttons is 6 (size L)"
    )


def test_a_finding_follows_the_sheet_when_only_numbers_change():
    before = graded_vest("Work 40 rows.")
    after = regrade(before, vest("Work 40 rows.", back_rows=[40, 40, 40]))
    (finding,) = [one for one in after.findings if "steps" in one.where]
    assert finding.says.startswith("“40 rows” is typed; back_rows is 40 in every size")
    assert [one for one in before.findings if one.says == finding.says] == []


def test_a_step_full_of_numbers_does_not_flood_the_list():
    assert len(pointers("Work 40 rows. " * 300)) == 50


@pytest.mark.parametrize(
    ("words", "weight"), [("Repeat rows 1 (2, 4, 5).", "warn"), ("Work 1 (2, 4, 5) sts.", "stop")]
)
def test_numbers_of_rows_are_no_list_by_size_for_sure(words, weight):
    (pointer,) = pointers(words)
    assert pointer.finding.weight == weight


def test_a_few_stitches_that_are_cast_on_as_typed_may_close_as_typed():
    assert read("Ch 8. Row 1: 1 loop in each ch from the second on, return. (8 sts)") == []
    assert read("Ch 9. Row 1: 1 loop in each ch from the second on, return. (8 sts)") == ["(8 sts)"]
    assert read("Ch 12. Row 1: 1 loop in each ch, return. (12 sts)") == ["Ch 12", "(12 sts)"]
