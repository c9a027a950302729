"""The count audit over whole patterns: the samples come out, and planted miscounts are found."""

import json
import re
from collections import Counter
from pathlib import Path

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value

SAMPLES = sorted((Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo").glob("*.json"))


def audit(data):
    pattern = read_pattern(data)
    return audit_pattern(facts_of(pattern, grade(pattern)))


def sample(path):
    return json.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_no_row_of_a_sample_disagrees_and_nearly_all_are_read(path):
    lines = audit(sample(path))
    verdicts = Counter(line.verdict for line in lines)
    assert [line.text for line in lines if line.verdict == "disagrees"] == []
    assert verdicts["agrees"] / len(lines) >= 0.9
    unread = [line for line in lines if line.verdict == "unreadable"]
    assert all(any(size.audited and size.audited.says for size in line.sizes) for line in unread)


# One number or word of a row is changed; each stands for a slip of the pen that shifts a stitch count.
SLIPS = (
    (r"\((\{\w+)\} sts\)", r"(\1 + 1} sts)"),
    (r"\((\{\w+)\} sts\)", r"(\1 - 2} sts)"),
    (r"\bch (\{\w+\}) \+ 1\b", r"ch \1 + 2"),
    (r"\bch (\{\w+\}) \+ 1\b", r"ch \1"),
    (r"\bcast on \{(\w+)\} sts", r"cast on {\1 + 1} sts"),
    (r"\b(htr|hdc)2tog, ", r"1 \1 in the next st, "),
    (r"\b2 htr in this st", "3 htr in this st"),
    (r"\bin each st to the end", "in each st to the last 2 sts"),
    (r"\bto the last 3 sts", "to the last 4 sts"),
    (r"\b1 in each ch\b|\bin each ch to the end", "in each ch to the last 2 ch"),
    (r"\bk2tog, ", "k1, "),
    (r"\bssk, ", "k1, "),
    (r"\bm1l, ", ""),
    (r"\bin the second ch from the hook", "in the fourth ch from the hook"),
    (r"\bin the third ch from the hook", "in the second ch from the hook"),
    (r"\*k1, p1; repeat", "*k4, p3; repeat"),
    (r"\*k1, p1; repeat", "*k5, p4; repeat"),
    (r"\*1 Tks, 1 Tps; repeat", "*2 Tks, 1 Tps; repeat"),
    (r"\bk(\{\w+)\} \(", r"k\1 + 1} ("),
    (r"\bK(\{\w+)\} \(", r"K\1 - 1} ("),
    (r"\bslip the next (\{\w+)\} sts", r"slip the next \1 + 2} sts"),
    (r"\brepeat from \* 3 more times", "repeat from * twice more"),
    (r"\b(\{\w+)\} (hdc|htr|dc|sc) (evenly|up|along|down|from)", r"\1 + 1} \2 \3"),
    (r"\bThe (\{\w+)\} sts that remain", r"The \1 + 1} sts that remain"),
    (r"\bmiss the first st, ", "miss the first 3 sts, "),
    (r"\bcast on \{(\w+)\} sts", r"cast on {\1 - 1} sts"),
    (r"\bin the last st\b", "in the last 2 sts"),
    (r"\bk(\{\w+)\} \(", r"k\1 - 2} ("),
    (r"\(8 sts more\)", "(6 sts more)"),
    (r"\(2 sts (fewer|more)\)", r"(1 st \1)"),
    (r"\bThere are now (\{\w+)\} rows", r"There are now \1 + 1} rows"),
    (r"\bthe middle (\{\w+)\} sts", r"the middle \1 + 2} sts"),
    (r"\b[Tt]he ([a-z]+ )?(\{shoulder_stitches)\} sts", r"the \1\2 + 1} sts"),
)  # fmt: skip


def planted(data):
    """Copies of a pattern with one slip each: where it is, the step, and the data."""
    for i, section in enumerate(data["sections"]):
        for j, step in enumerate(section["steps"]):
            for found, instead in SLIPS:
                for match in re.finditer(found, step):
                    changed = json.loads(json.dumps(data))
                    spoilt = step[: match.start()] + match.expand(instead) + step[match.end() :]
                    changed["sections"][i]["steps"][j] = spoilt
                    yield (i, j), spoilt, changed


def of_step(lines, place, verdict):
    return sum(line.verdict == verdict for line in lines if (line.section, line.step) == place)


def noticed(before, after, place):
    """Whether a slip shows: a line disagrees, or a line of that step can't be read (any more)."""
    if any(line.verdict == "disagrees" for line in after):
        return True
    read, unread = (
        [of_step(lines, place, verdict) for lines in (before, after)] for verdict in ("agrees", "unreadable")
    )
    return read[1] < read[0] or unread[1] > unread[0] or (unread[0] > 0 and read[0] == 0)


def test_planted_slips_are_found_or_the_row_is_reported_unread():
    tried, missed = 0, []
    for path in SAMPLES:
        data = sample(path)
        before = audit(data)
        for place, spoilt, changed in planted(data):
            tried += 1
            if not noticed(before, audit(changed), place):
                missed.append(f"{path.stem} {place}: {spoilt}")
    assert tried >= 100
    assert missed == []


def test_a_miscount_in_one_size_names_that_size():
    data = pattern_file(
        craft="knitting",
        sizes=["S", "M", "L"],
        values=[value("body", kind="stitches", list=[60, 64, 67])],
        sections=[
            {
                "title": "Body",
                "steps": ["Cast on {body} sts. Row 1: *k2, p2; repeat from * to the end. ({body} sts)"],
            }
        ],
    )
    line = audit(data)[-1]
    assert [size.verdict for size in line.sizes] == ["agrees", "agrees", "disagrees"]
    assert "3 left over" in line.sizes[2].audited.says


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (["Cast on 20 sts. Knit 4 rows.", "K6, ssk, k to the end. (20 sts)"], "says 20, worked 19"),
        (["Ch 11. Row 1: sc in 2nd ch from hook and in each ch across. (11 sts)"], "says 11, worked 10"),
        (["Ch 11. Row 1: sc in 2nd ch from hook and in each ch.", "Work 3 rows. (12 sts)"], "worked 10"),
    ],
)  # fmt: skip
def test_a_row_hands_its_count_to_the_next(steps, says):
    craft = "knitting" if "Cast" in steps[0] else "crochet"
    lines = audit(pattern_file(craft=craft, sections=[{"title": "Back", "steps": steps}]))
    assert lines[-1].verdict == "disagrees"
    assert says in lines[-1].sizes[0].audited.says


def test_options_are_worked_each_for_itself():
    hem = "::: when hem={}\nRow 1: {}.\n:::\n"
    step = hem.format("rib", "*k1, p1; repeat from * to end") + hem.format("plain", "knit")
    data = pattern_file(
        craft="knitting",
        options=[{"name": "hem", "label": "Hem", "choices": ["rib", "plain"], "default": "rib"}],
        sections=[{"title": "Body", "steps": ["Cast on 21 sts.", step]}],
    )
    verdicts = {line.options[0][1]: line.verdict for line in audit(data) if line.step == 1}
    assert verdicts == {"rib": "disagrees", "plain": "agrees"}


def options_of(*names):
    return [{"name": one, "label": one, "choices": ["yes", "no"], "default": "no"} for one in names]


def test_all_combinations_are_worked_and_rows_before_an_option_once():
    names = ("hem", "collar", "cuff", "pocket")
    steps = ["Cast on 20 sts."]
    steps += [f"::: when {name}=yes\nRow 1: k1, m1, k to end.\n:::" for name in names]
    lines = audit(
        pattern_file(
            craft="knitting",
            options=options_of(*names),
            sections=[{"title": "Body", "steps": [*steps, "Knit 1 row."]}],
        )
    )
    last = [line for line in lines if line.step == 5]
    assert len([line for line in lines if line.step == 0]) == 1
    assert len({line.options for line in last}) == 16
    assert all(
        line.sizes[0].stitches == 20 + sum(choice == "yes" for _, choice in line.options) for line in last
    )


def test_a_chain_before_stitches_picked_up_is_no_foundation():
    data = next(sample(path) for path in SAMPLES if path.stem == "brackenmere_pullover")
    data["sections"][0]["steps"][0] = "Chain loosely, turn at the end of the row."
    row = next(line for line in audit(data) if line.text.startswith("Row 1: ch 1 (does not count)"))
    assert row.verdict == "agrees"
