"""Instructions come out as safe HTML with everything filled in."""

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from catalogue.instructions.instructions import PrintedSection, render_instructions, step_html
from grading.core.grade.grade import grade
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.steps import check_steps
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile, SectionEntry
from grading.core.printing.edition import PrintForm

DATA = Path(__file__).parents[2] / "data"
BAD: list[dict[str, Any]] = json.loads((DATA / "bad_markdown.json").read_text(encoding="utf-8"))
DEMO = DATA.parents[1] / "catalogue" / "site" / "demo"
SAMPLES = sorted(DEMO.glob("*.json"))


def sample(name: str) -> PatternFile:
    """Return a sample pattern."""
    return read_pattern(json.loads((DEMO / f"{name}.json").read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def pullover() -> Facts:
    """The graded pullover of the samples."""
    pattern = sample("brackenmere_pullover")
    return facts_of(pattern, grade(pattern))


def section(facts: Facts, edition: PrintForm, title: str) -> PrintedSection:
    """Return a printed section by its title."""
    return next(one for one in render_instructions(facts, edition) if one.title == title)


def test_numbers_are_filled_in_for_all_sizes(pullover: Facts) -> None:
    html = section(pullover, PrintForm("cm", "US"), "Back").steps[1]
    stitches = pullover.numbers["back_stitches"]
    assert f"{stitches[0]:.0f} ({stitches[1]:.0f}, " in html
    assert html.startswith("<p>Row 1: ch 1 (does not count), ")


def test_one_size_has_its_own_number(pullover: Facts) -> None:
    html = section(pullover, PrintForm("cm", "UK", "M"), "Back").steps[1]
    stitches = pullover.numbers["back_stitches"][2]
    assert html == (
        f"<p>Row 1: ch 1 (does not count), {stitches:.0f} htr evenly along the row ends of the rib, "
        f"turn. ({stitches:.0f} sts) "
        f"Row 2: ch 1 (does not count), 1 htr in each st to the end, turn. ({stitches:.0f} sts)</p>\n"
    )


def test_a_curve_has_one_line_per_row(pullover: Facts) -> None:
    html = section(pullover, PrintForm(sizes="M"), "Front").steps[1]
    rows = re.findall(r"Row (\d+): [^<]* (\d+) sts? ", html)
    assert [int(row) for row, _ in rows] == [1, 2, 3, 4, 5, 6, 7]
    assert sum(int(stitches) for _, stitches in rows) == pullover.numbers["neck_half_stitches"][2]
    assert f"Work rows 8 to {pullover.numbers['neck_rows'][2]:.0f} straight." in html
    assert html.count("<br>") == len(rows)
    assert '<span class="rows">Row 1: leave' in html


def test_a_section_says_for_which_choice_it_is(pullover: Facts) -> None:
    assert section(pullover, PrintForm(), "Sleeves (make 2 alike)").label == "With long sleeves"
    assert section(pullover, PrintForm(), "Back").label == ""


def test_a_block_is_labelled_and_falls_out_of_other_sizes() -> None:
    pattern = sample("cinderfell_raglan")
    facts = facts_of(pattern, grade(pattern))
    step = pattern.sections[1].steps[4]
    html = step_html(step, facts, PrintForm("cm", "UK"))
    assert '<p class="only-for">Sizes XS to 7X only</p>' in html
    assert step_html(step, facts, PrintForm("cm", "UK", "2XS")) == ""
    assert "only-for" not in step_html(step, facts, PrintForm("cm", "UK", "M"))
    without = replace(pattern, sections=(SectionEntry("Block", (step,)),))
    assert render_instructions(replace(facts, pattern=without), PrintForm("cm", "UK", "2XS")) == []


def test_what_is_filled_in_is_never_taken_for_markdown(pullover: Facts) -> None:
    odd = replace(pullover.pattern, sizes=("<b>", *pullover.pattern.sizes[1:-1], "_x_](http://a.example)"))
    html = step_html('::: only sizes="<b>"\nA_{side start}_\n:::', Facts(odd), PrintForm())
    assert '<p class="only-for">Size &lt;b&gt; only</p><p>A_start_</p>' in html
    assert "\ue000" not in step_html("\ue0000\ue001 {back_stitches} \ue0009\ue001", pullover, PrintForm())


def test_many_sizes_get_tables_of_twelve() -> None:
    sizes = tuple(f"<{number}>" for number in range(14))
    pattern = replace(sample("brackenmere_pullover"), sizes=sizes)
    facts = Facts(pattern, {"back_stitches": tuple(float(number) for number in range(50, 64))})
    html = step_html("Ch {back_stitches}.", facts, PrintForm())
    assert html.startswith("<p>Ch [a].</p>")
    assert html.count('<table class="step-numbers">') == 2
    assert '<th scope="row">[a] Back and front, stitches</th><td>50</td>' in html
    assert '<th scope="col">&lt;12&gt;</th><th scope="col">&lt;13&gt;</th></tr>' in html


@pytest.mark.parametrize("entry", BAD, ids=lambda entry: entry["name"])
def test_bad_steps_are_checked_and_printed_without_harm(entry: dict[str, Any], pullover: Facts) -> None:
    text = entry["text"] if "text" in entry else entry["part"] * entry["times"]
    pattern = replace(pullover.pattern, sections=(SectionEntry("Bad", (text,)),))
    findings = check_steps(pattern)
    html = step_html(text, pullover, PrintForm())
    for tag in ("<script", "<img", "<iframe", "<style", "<svg", "<form", "<object", "<link", "<base", "<a "):
        assert tag not in html
    if len(text) > 20_000:
        assert [one.weight for one in findings if one.where.startswith("sections")] == ["stop"]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_samples_are_printed_in_every_edition(path: Path) -> None:
    pattern = sample(path.stem)
    facts = facts_of(pattern, grade(pattern))
    for units in ("cm", "in", "both"):
        for terms in ("US", "UK"):
            for size in (None, pattern.sizes[0], pattern.sizes[-1]):
                sections = render_instructions(facts, PrintForm(units, terms, size))
                html = "".join(step for one in sections for step in one.steps)
                assert len(sections) == len(pattern.sections)
                assert not {"{", "}", "\ue000", "*\n"} & set(html)
