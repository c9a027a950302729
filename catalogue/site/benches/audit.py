"""How fast the count audit works a large pattern, and one step while it is typed."""

from typing import Any

from catalogue.instructions.row_accounts import step_account
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, best_times
from grading.core.audit.patterns import PatternAudit
from grading.core.audit.row_reading import read_rows
from grading.core.audit.sentences import cut_sentences
from grading.core.grade.grade import Graded, grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern

SIZES, SECTIONS, STEPS, ROWS = 12, 10, 12, 2_000
OPTIONS = ("hem", "collar", "sleeves", "pocket")
CHOICES = ("plain", "ribbed")
CHOICE = """::: when {0}=plain
Knit 4 rows.
:::
::: when {0}=ribbed
Row 1: *k1, p1; repeat from * to the end. Work 3 rows.
:::"""
MOST_SECONDS, MOST_STEP_SECONDS, MOST_TIMES_READING = 2.0, 0.15, 25.0
ROUNDS = 7


def measure() -> BenchResult:
    """Work a large pattern in all sizes and combinations, and a step of it as it is typed."""
    made = grade(read_pattern(audit_document()))
    facts = facts_of(made.pattern, made)
    lines = tuple(PatternAudit(facts).lines())
    spans = [(line.sizes[0].rows_before or 0, line.sizes[0].rows or 0) for line in lines]
    rows = sum(after - before for before, after in spans)
    if rows < ROWS or any(line.verdict != "agrees" for line in lines):
        raise BenchError(f"The pattern to measure with has {rows} rows, and not all of them come out.")
    text = made.pattern.sections[-1].steps[-1]
    read, worked, step = best_times(
        [
            lambda: _read_all(made),
            lambda: tuple(PatternAudit(facts).lines()),
            lambda: step_account(made, SECTIONS - 1, STEPS - 1, f"{text} "),
        ],
        rounds=ROUNDS,
    )
    ratios = {
        f"s, {SIZES} sizes x 16 combinations x {SECTIONS * STEPS} steps": BenchRatio(worked, MOST_SECONDS),
        "s, one step while it is typed": BenchRatio(step, MOST_STEP_SECONDS),
        "working against reading alone": BenchRatio(worked / read, MOST_TIMES_READING),
    }
    notes = {"rows worked in one size": rows, "lines": len(lines), "s, reading alone": round(read, 4)}
    return BenchResult("audit", f"best of {ROUNDS}", ratios, notes)


def _read_all(made: Graded) -> int:
    """Read every sentence anew, without working it in any size."""
    read_rows.cache_clear()
    kinds = facts_of(made.pattern, made).kinds
    steps = [step for section in made.pattern.sections for step in section.steps]
    sentences = [one for step in steps for one in cut_sentences(step, 0, kinds)]
    return sum(len(read_rows(one.text, made.pattern.craft)) for one in sentences)


def audit_document() -> dict[str, Any]:
    """A pattern of ten sections with twelve steps; four options make sixteen combinations in the last."""
    labels = [f"{34 + 2 * i}" for i in range(SIZES)]
    sections = [{"title": f"Piece {i + 1}", "steps": _steps(last=i == SECTIONS - 1)} for i in range(SECTIONS)]
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Larkmoss Bench of rows",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": labels,
        "body": {"bust": {"label": "Bust", "unit": "cm", "values": [76 + 5 * i for i in range(SIZES)]}},
        "fabrics": {"main": {"label": "Main", "stitches": 22, "rows": 30, "over": "10 cm"}},
        "options": [
            {"name": name, "label": name.capitalize(), "choices": list(CHOICES), "default": "plain"}
            for name in OPTIONS
        ],
        "values": [_value("cast", 80), _value("top", 68)],
        "shapings": [{"name": "taper", "from": "cast", "to": "top", "over": 60, "each": 2}],
        "sections": sections,
    }


def _value(name: str, first: int) -> dict[str, Any]:
    return {"name": name, "label": name, "kind": "stitches", "list": [first + 4 * i for i in range(SIZES)]}


def _steps(*, last: bool) -> list[str]:
    """Twelve steps, about 200 rows; in the last section four of them hang on options."""
    plain = [
        "Cast on {cast} sts.",
        "Row 1: *k2, p2; repeat from * to the end. ({cast} sts) Row 2: knit.",
        "Repeat rows 1 and 2 until there are 40 rows.",
        "{taper} ({top} sts)",
        "Next row: k1, ssk, k to the last 3 sts, k2tog, k1. Next row: k1, m1l, k to the last st, m1r, k1.",
        "Work 20 rows straight. ({top} sts)",
    ]
    options = [CHOICE.format(name) for name in OPTIONS] if last else ["Knit 4 rows. ({top} sts)"] * 4
    return [*plain, *options, "Work 50 rows straight.", "There are {top} sts."]
