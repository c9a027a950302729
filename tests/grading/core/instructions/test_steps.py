"""Steps are checked with places and print for every edition."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from grading.core.grade.grade import grade
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.steps import check_steps, print_words, render_step
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile, SectionEntry, SpreadEntry
from grading.core.printing.edition import PrintForm
from grading.core.sheet.findings import Finding

SAMPLES = sorted((Path(__file__).parents[4] / "catalogue/site/demo").glob("*.json"))
SIZES = ["S", "M", "L"]


def pattern_with(*steps: str, **changed: Any) -> PatternFile:
    """Return a small pattern with these steps."""
    data: dict[str, Any] = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Mossgate Vest",
        "craft": "crochet",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": SIZES,
        "body": {"bust": {"label": "Bust", "unit": "cm", "values": [80, 90, 100]}},
        "fabrics": {"main": {"label": "Half double crochet", "stitches": 14, "rows": 10, "over": "10 cm"}},
        "values": [
            {"name": "back_stitches", "label": "Back", "kind": "stitches", "list": [60, 66, 72]},
            {"name": "end_stitches", "label": "End", "kind": "stitches", "list": [50, 50, 60]},
            {"name": "rows_worked", "label": "Rows", "kind": "rows", "list": [30, 30, 36]},
            {"name": "neck_half", "label": "Neck half", "kind": "stitches", "list": [4, 4, 6]},
            {"name": "neck_rows", "label": "Neck rows", "kind": "rows", "list": [3, 3, 4]},
            {"name": "chest", "label": "Chest", "kind": "length", "list": ["90 cm", "100 cm", None]},
            {"name": "repeats", "label": "Repeats", "kind": "count", "list": [1, 1, 2]},
        ],
        "shapings": [
            {
                "name": "taper",
                "from": "back_stitches",
                "to": "end_stitches",
                "over": "rows_worked",
                "each": 2,
            },
            {
                "name": "other",
                "from": "end_stitches",
                "to": "back_stitches",
                "over": "rows_worked",
                "each": 2,
            },
        ],
        "spreads": [{"name": "spaced", "change": "neck_rows", "in": "back_stitches"}],
        "curves": [{"name": "neck", "width": "neck_half", "depth": "neck_rows", "shape": "quarter ellipse"}],
        "pick_ups": [{"name": "band", "along": "row ends", "count": "rows_worked", "ratio": "2 per 1"}],
        "stripes": [{"name": "drift", "sequence": [["A", 6], ["B", 2]]}],
        "options": [{"name": "sleeves", "label": "Sleeves", "choices": ["long", "none"], "default": "long"}],
        "yarns": [
            {"colour": colour, "label": "Larkmoss Orrendale", "length_per_100g": "220 m", "put_up": "50 g"}
            for colour in "AB"
        ],
        "sections": [{"title": "Back", "steps": list(steps)}],
    }
    return read_pattern({**data, **changed})


def facts_with(pattern: PatternFile) -> Facts:
    """Return facts whose numbers are the lists of the pattern."""
    numbers = {value.name: value.entries or () for value in pattern.values}
    return Facts(pattern, {**numbers, "band": (60, 60, 72)})


ALL_SIZES = PrintForm()


def printed(step: str, edition: PrintForm = ALL_SIZES, **changed: Any) -> str:
    """Print one step as plain text, parts one below the other, labels in brackets."""
    parts = render_step(step, facts_with(pattern_with(step, **changed)), edition)
    return "\n".join(f"[{part.label}] {part.text}" if part.label else part.text for part in parts)


def found(step: str, **changed: Any) -> list[tuple[str, int | None, int | None]]:
    """Return weight and place of each finding in one step."""
    findings = [one for one in check_steps(pattern_with(step, **changed)) if "steps" in one.where]
    return [(one.weight, one.line, one.column) for one in findings]


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("Ch {back_stitches} + 1.", "Ch 60 (66, 72) + 1."),
        ("It is {chest} wide.", "It is 90 (100, –) cm wide."),
        ("Chest {chest in both}.", "Chest 90 (100, –) cm / 35½ (39¼, –) in."),
        ("To fit {bust}.", "To fit 80 (90, 100) cm."),
        ("Work {repeats} {repeats|repeat|repeats}.", "Work 1 (1, 2) repeats."),
        ("{band} sts; {band in words}", "60 (60, 72) sts; Work 60 (60, 72) sts: 2 in each row end."),
        ("Stripes: {drift}.", "Stripes: 6 rows A, 2 rows B."),
        ("Work 40 rounds in stripes: {drift}.", "Work 40 rounds in stripes: 6 rounds A, 2 rounds B."),
        ("Begin {3 cm} up, {{so}}.", "Begin 3 cm up, {so}."),
        ("*1 dc; rep from *", "*1 dc; rep from *"),
    ],
)
def test_references_print_for_all_sizes(step: str, expected: str) -> None:
    assert printed(step) == expected


def test_blocks_within_blocks_have_one_label_with_one_capital() -> None:
    options = [
        {"name": "sleeves", "label": "Sleeves", "choices": ["long", "none"], "default": "long"},
        {"name": "worked", "label": "Worked", "choices": ["flat", "in rounds"], "default": "flat"},
    ]
    within = '::: when worked="in rounds"\nB.\n:::\n::: only sizes=M..L\nC.\n:::\n'
    assert printed(f"::: when sleeves=long\n{within}:::\n", options=options) == (
        "[With long sleeves; worked in rounds] B.\n\n[With long sleeves; sizes M and L only] C.\n"
    )


def test_one_size_prints_its_own_numbers_only() -> None:
    edition = PrintForm("in", "US", "M")
    assert printed("{back_stitches}, {chest}, {repeats|repeat|repeats}", edition) == "66, 39¼ in, repeat"
    assert printed("{taper} ({end_stitches} sts)", edition) == (
        "Decrease 1 st at each end of rows 3, 6, 10, 14, 18, 22, 26 and 30. (50 sts)"
    )


def test_a_shaping_prints_its_sentence_and_merged_ones_a_list() -> None:
    assert printed("{taper}").startswith("S: decrease 1 st at each end of every ")
    assert printed("Shape: {taper with other}", PrintForm(sizes="S")).startswith("Shape:\nRows ")
    assert "increase 1 st at each end" in printed("{taper reversed}")


def test_a_curve_prints_one_line_per_row_and_goes_on_below() -> None:
    lines = printed("Neck: {neck at end} ({end_stitches} sts)", PrintForm(sizes="S")).split("\n")
    assert lines[0] == "Neck:"
    assert lines[1].startswith("Row 1: leave")
    assert lines[2].startswith("Row 2: slip stitch across")
    assert lines[-1] == "(50 sts)"
    assert len(lines) == 5  # three rows


def test_a_written_length_follows_the_units() -> None:
    assert printed("{3 cm}, {18 mm}, {4 in}, {1 mm}", PrintForm("in")) == "1¼ in, ¾ in, 4 in, 1 mm"
    assert printed("{3 cm}, {18 mm}, {4 in}", PrintForm("cm")) == "3 cm, 18 mm, 10 cm"
    assert printed("{3 cm}", PrintForm("both", "UK")) == "3 cm / 1¼ in"
    assert printed("{3 cm}", PrintForm("both", "US")) == "1¼ in / 3 cm"


def test_terms_follow_the_edition_but_not_in_backticks_or_names() -> None:
    edition = PrintForm(terms="UK")
    assert printed("{back_stitches} hdc, skip 1, `dc`", edition) == "60 (66, 72) htr, miss 1, `dc`"
    assert printed("`1 {repeats} dc` dc", edition) == "`1 1 (1, 2) dc` tr"
    assert printed("{repeats|dc|hdc}", edition) == "htr"


def test_blocks_print_for_their_sizes_and_say_so() -> None:
    step = "All.\n::: only sizes=M..L\n{back_stitches} sts\n:::\n::: when sleeves=long\nSleeves.\n:::"
    assert printed(step) == "All.\n\n[Sizes M and L only] – (66, 72) sts\n\n[With long sleeves] Sleeves.\n"
    assert printed(step, PrintForm(sizes="S")) == "All.\n\n[With long sleeves] Sleeves.\n"
    assert printed(step, PrintForm(sizes="L")) == "All.\n\n72 sts\n\n[With long sleeves] Sleeves.\n"


def test_a_step_for_some_sizes_keeps_the_place_of_every_size_in_its_lists() -> None:
    step = "::: only sizes=M,L\n{back_stitches} sts, {end_stitches + 1}, {repeats}, {neck_half}, {taper}\n:::"
    text = "[Sizes M and L only] – (66, 72) sts, – (51, 61), – (1, 2), – (4, 6), "
    assert printed(step).startswith(f"{text}M: decrease 1 st at each end of every ")
    same = "::: only sizes=S,M\n{end_stitches} sts\n:::"
    assert printed(same) == "[Sizes S and M only] 50 sts\n"
    old = render_step(step, facts_with(replace(pattern_with(step), wording=1)), ALL_SIZES)
    assert old[0].text.startswith("66 (72) sts")
    assert old[0].label == "Sizes M (L) only"


def test_lists_of_a_group_have_its_sizes_alone() -> None:
    group = PrintForm(group=("M", "L"))
    assert printed("{back_stitches} sts", group) == "66 (72) sts"
    assert printed("::: only sizes=S,M\n{neck_half}, {back_stitches} sts\n:::", group).endswith("4, 66 sts\n")
    assert printed("::: only sizes=M\n{back_stitches} sts\n:::\n", group) == "[Size M only] 66 sts\n"


def test_what_stands_once_is_told_in_the_singular() -> None:
    few = [{"name": "few", "label": "Few", "kind": "stitches", "list": [1, 1, 1]}]
    values = [*pattern_with().typed["values"], *few]
    text = "Cast on {few} sts, {few} more rows, {few} stsx, {end_stitches} sts."
    assert printed(text, values=values) == "Cast on 1 st, 1 more row, 1 stsx, 50 (50, 60) sts."


def test_a_left_hand_mirrors_only_work_that_is_never_turned() -> None:
    left = PrintForm(sizes="S", hand="left")
    assert printed("{side start} {side left}", left) == "start left"
    assert printed("{side start} {side left}", left, craft="tunisian") == "end right"
    assert "at the end" in printed("{neck at start}", left, craft="tunisian")
    assert "at the start" in printed("{neck at start}", PrintForm(sizes="S"), craft="tunisian")


def test_more_than_twelve_sizes_make_a_table_with_keys() -> None:
    sizes = [str(number) for number in range(14)]
    values = [
        {"name": "counts", "label": "Back", "kind": "stitches", "list": list(range(50, 64))},
        {"name": "wide", "label": "Chest", "kind": "length", "list": [f"{n} cm" for n in range(14)]},
        {"name": "same", "label": "Same", "kind": "stitches", "list": [7] * 14},
    ]
    pattern = read_pattern(
        {
            "format": "evenrow-pattern",
            "format_version": 1,
            "title": "Long",
            "craft": "knitting",
            "home_units": "cm",
            "home_terms": "UK",
            "sizes": sizes,
            "body": {},
            "fabrics": {},
            "values": values,
            "sections": [],
        }
    )
    (part,) = render_step("K{counts}, {same}, {counts}, {wide in both}.", facts_with(pattern), PrintForm())
    assert part.text == "K[a], 7, [a], [b] cm / [c] in."
    assert [(row.key, row.label, row.unit) for row in part.table] == [
        ("a", "Back", ""),
        ("b", "Chest", "cm"),
        ("c", "Chest", "in"),
    ]
    assert part.table[0].texts[:2] == ("50", "51")
    assert len(part.sizes) == 14


def test_a_table_for_some_of_the_sizes_has_their_numbers_under_their_labels() -> None:
    many = tuple("abcdefghijklmnop")
    pattern = replace(pattern_with(), sizes=many)
    facts = Facts(pattern, {"back_stitches": tuple(60.0 + place for place in range(16))})
    (part,) = render_step("::: only sizes=c..o\n{back_stitches}\n:::", facts, PrintForm())
    (row,) = part.table
    assert dict(zip(part.sizes, row.texts, strict=True)) == {
        label: str(60 + place) for place, label in enumerate(many) if "c" <= label <= "o"
    }


def test_a_block_that_excludes_its_section_is_found_and_never_printed() -> None:
    step = "Always.\n::: when sleeves=none\nNever.\n:::"
    section = SectionEntry("Sleeves", (step,), (("sleeves", ("long",)),))
    pattern = replace(pattern_with(), sections=(section,))
    (finding,) = [one for one in check_steps(pattern) if one.where == "sections[0].steps[0]"]
    assert (finding.weight, finding.line) == ("stop", 3)
    assert finding.says.startswith("No choice is left here")
    parts = render_step(step, facts_with(pattern), ALL_SIZES, section.when)
    assert [part.text.strip() for part in parts] == ["Always."]
    assert len(render_step(step, facts_with(pattern), ALL_SIZES)) == 2


def test_blocks_in_blocks_that_leave_no_choice_are_found() -> None:
    step = "::: when sleeves=long\n::: when sleeves=none\nNever.\n:::\n:::"
    assert printed(step) == ""
    assert found(step) == [("stop", 3, 1)]


@pytest.mark.parametrize(
    ("typed", "suggested"),
    [("5 cm", "{5 cm}"), ("2 inches", "{2 in}"), ('3"', "{3 in}"), ("4 yards", "{4 yd}"), ("7 mm", "{7 mm}")],
)
def test_a_bare_length_is_suggested_with_braces_as_it_stands(typed: str, suggested: str) -> None:
    findings = [one for one in check_steps(pattern_with(f"Work {typed}.")) if "steps" in one.where]
    assert [suggested in one.says for one in findings] == [True]


def test_shapings_of_many_sizes_use_the_table_too() -> None:
    pattern = replace(pattern_with(), sizes=tuple("abcdefghijklmn"))
    rows = (60.0,) * 14
    starts = tuple(60.0 + 2 * number for number in range(14))
    facts = Facts(pattern, {"back_stitches": starts, "end_stitches": (50.0,) * 14, "rows_worked": rows})
    (part,) = render_step("{taper}", facts, PrintForm())
    assert part.text.startswith(
        "Decrease 1 st at each end of every [a] row [b] times ([c] sts), then of every [d] row"
    )
    every = next(row for row in part.table if row.key == "a")
    assert every.texts[:4] == ("12th", "10th", "8th", "7th")
    assert [row.label for row in part.table][:4] == [
        "Every … row, first",
        "Times, first",
        "Stitches after these",
        "Every … row, then",
    ]
    assert all(set(row.texts) - {"0", None} for row in part.table)


def test_the_same_numbers_have_one_row_under_the_name_that_says_most() -> None:
    change = tuple(4.0 + 2 * (number % 2) for number in range(14))
    pattern = replace(
        pattern_with(),
        sizes=tuple("abcdefghijklmn"),
        spreads=(SpreadEntry("waist", "repeats", "back_stitches"),),
    )
    facts = Facts(pattern, {"back_stitches": tuple(60.0 + n for n in range(14)), "repeats": change})
    (part,) = render_step("{waist} There are {back_stitches} sts.", facts, PrintForm())
    assert "evenly over [b] sts" in part.text
    assert part.text.endswith("There are [b] sts.")
    assert [row.label for row in part.table] == ["Stitches increased", "Back"]


def test_a_count_in_braces_is_worked_out() -> None:
    text = "Chain {back_stitches + 1}, {end_stitches / 2}, {repeats / 2}, {repeats - 1}."
    assert printed(text) == "Chain 61 (67, 73), 25 (25, 30), ½ (½, 1), 0 (0, 1)."
    (found,) = check_steps(pattern_with("{chest + 1} sts"))
    assert found.says == "{chest + 1} needs a count, but chest is a length: add a line to the sheet."


def test_numbers_that_are_missing_print_as_a_dash() -> None:
    pattern = pattern_with("{back_stitches} {taper}")
    (part,) = render_step("{back_stitches} {taper}", Facts(pattern), PrintForm())
    assert part.text == "– –"


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("Ch {back_stiches}.", [("stop", 1, 4)]),
        ("One.\nTwo {back_stitches", [("stop", 2, 5)]),
        ("{{{neck}}}", [("stop", 1, 3)]),
        ("Work {neck at end} now", [("warn", 1, 6)]),
        ("Work 3 cm, then {3 cm}.", [("warn", 1, 6)]),
        ('4.5 in from the edge, 2½" wide, 10 inches', [("warn", 1, 1), ("warn", 1, 23), ("warn", 1, 33)]),
        ("1 in each st, 3 in every 2 row ends, 2 in next", []),
        ("Use `3 cm`, size 2X, 10 rows.", []),
        ("1 htr in next st", [("warn", 1, 3)]),
        ("{{ {back_stitches} }} 1 htr", [("warn", 1, 25)]),
        ("::: only sizes=XXL\nA\n:::", [("stop", 1, 1)]),
        ("::: when sleeve=long\nA {zz}\n:::", [("stop", 1, 1), ("stop", 2, 3)]),
        ("A\n::: only sizes=S", [("stop", 2, 1)]),
        ("::: only sizes=S\n::: only sizes=M\nA\n:::\n:::", [("stop", 3, 1)]),
        ("{main}", [("stop", 1, 1)]),
        ("{back_stitches at end}", [("stop", 1, 1)]),
        ("Neck: {neck at end} ({end_stitches} sts)", []),
    ],
)
def test_findings_name_their_place(step: str, expected: list[tuple[str, int, int]]) -> None:
    assert found(step) == expected


def test_a_step_that_is_too_long_is_not_read() -> None:
    pattern = replace(pattern_with(), sections=(SectionEntry("Back", ("{" * 20_001,)),))
    (finding,) = check_steps(pattern)
    assert "20,000 characters" in finding.says


def test_a_finding_says_where_and_what() -> None:
    (finding,) = check_steps(pattern_with("Fine.", "Ch {back_stiches}."))
    assert finding == Finding(
        "sections[0].steps[1]", None, "stop", 1, 4,
        "There is no back_stiches: did you mean back_stitches?",
    )  # fmt: skip


def test_bare_lengths_in_how_to_measure_and_what_a_check_says_are_found() -> None:
    value = {
        "name": "chest",
        "label": "Chest",
        "kind": "length",
        "list": ["90 cm", "91 cm", "92 cm"],
        "measured": {"how": "Lay flat, 2 cm below {5 cm}.", "tolerance": "1 cm", "around": True},
    }
    check = {"name": "near", "holds": "chest > 1 cm", "says": "Less than 1 cm {chest}.", "weight": "warn"}
    pattern = pattern_with(values=[value], checks=[check], shapings=[], spreads=[], curves=[], pick_ups=[])
    assert [(one.where, one.weight, one.column) for one in check_steps(pattern)] == [
        ("values.chest", "warn", 11),
        ("checks.near", "warn", 11),
        ("checks.near", "stop", 16),
    ]


def test_a_step_full_of_mistakes_does_not_flood_the_list() -> None:
    findings = check_steps(pattern_with("{x} " * 300))
    assert len(findings) == 51
    assert "250 more" in findings[-1].says


def test_short_texts_print_in_the_terms_and_units_of_the_edition() -> None:
    facts = facts_with(pattern_with())
    edition = PrintForm("in", "UK")
    assert print_words("Half double crochet, {2 cm} up", facts, edition) == "Half treble, ¾ in up"


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_words_of_the_samples_have_no_grave_findings(path: Path) -> None:
    pattern = read_pattern(json.loads(path.read_text(encoding="utf-8")))
    findings = check_steps(pattern)
    assert [one for one in findings if one.weight == "stop"] == []
    assert all("stays as it is" in one.says for one in findings)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_samples_print_in_every_size_and_term(path: Path) -> None:
    pattern = read_pattern(json.loads(path.read_text(encoding="utf-8")))
    facts = facts_of(pattern, grade(pattern))
    editions = [PrintForm("both", "US"), PrintForm("cm", "UK")]
    editions += [PrintForm("in", pattern.home_terms, size) for size in pattern.sizes]  # type: ignore[arg-type]
    for edition in editions:
        text = "\n".join(
            part.text
            for section in pattern.sections
            for step in section.steps
            for part in render_step(step, facts, edition)
        )
        assert "{" not in text
        assert "nan" not in text.lower().split()
        assert "–" not in text.replace(" – ", "") or edition.sizes is None


def test_two_lists_for_the_two_edges_of_a_curve_are_noticed() -> None:
    (found,) = check_steps(pattern_with("Armholes: {neck at start} Other edge: {neck at end}"))
    assert found.weight == "warn"
    assert found.says == (
        "The two edges of neck are two lists, one after the other: write {neck at both ends} once."
    )
    assert (
        check_steps(pattern_with("Armholes: {neck at both ends}", "{neck at start}", "{neck at end}")) == []
    )
