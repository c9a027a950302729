"""The count audit over whole patterns: the samples come out, and planted miscounts are found."""

import json
import random
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from grading.core.audit.patterns import PatternAudit, audit_pattern
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
# `D` is any number but 0 from -3 to 3.
SLIPS = (
    (r"\((\{\w+)\} sts\)", r"(\1 D} sts)"),
    (r"\bch (\{\w+)\} \+ 1\b", r"ch \1} + 2"),
    (r"\bch (\{\w+)\} \+ 1\b", r"ch \1}"),
    (r"\bcast on (\{\w+)\} sts", r"cast on \1 D} sts"),
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
    (r"\b([kK])(\{\w+)\}(,| \()", r"\1\2 D}\3"),
    (r"\bslip the next (\{\w+)\} sts", r"slip the next \1 D} sts"),
    (r"\bpick up and knit (\{\w+)\} sts", r"pick up and knit \1 D} sts"),
    (r"\brepeat from \* 3 more times", "repeat from * twice more"),
    (r"\b(\{\w+)\} (hdc|htr|dc|sc) (evenly|up|along|down|from)", r"\1 D} \2 \3"),
    (r"\bThe (\{\w+)\} sts that remain", r"The \1 D} sts that remain"),
    (r"\bmiss the first st, ", "miss the first 3 sts, "),
    (r"\bin the last st\b", "in the last 2 sts"),
    (r"\(8 sts more\)", "(6 sts more)"),
    (r"\(2 sts (fewer|more)\)", r"(1 st \1)"),
    (r"\bThere are now (\{\w+)\} rows", r"There are now \1 D} rows"),
    (r"\bthe middle (\{\w+)\} sts", r"the middle \1 D} sts"),
    (r"\b[Tt]he ([a-z]+ )?(\{shoulder_stitches)\} sts", r"the \1\2 D} sts"),
    (r"\bone half to the (\{\w+)\} sts", r"one half to the \1 D} sts"),
    (r"\bthere are (\{\w+)\} sts", r"there are \1 D} sts"),
)  # fmt: skip
CHANGES = (-3, -2, -1, 1, 2, 3)


def places_to_slip():
    """Every place of the samples where one of these slips may be made."""
    return [
        (path, section, step, match, instead)
        for path in SAMPLES
        for section, words in enumerate(sample(path)["sections"])
        for step, text in enumerate(words["steps"])
        for found, instead in SLIPS
        for match in re.finditer(found, text)
    ]


class Planted:
    """A sample, worked once; what is worked anew is what a slip can reach."""

    def __init__(self, path):
        pattern = read_pattern(sample(path))
        self.facts = facts_of(pattern, grade(pattern))
        self.whole = PatternAudit(self.facts)
        self.lines = list(self.whole.lines())

    def slipped(self, section, step, text):
        """The lines of the sections from this one on, with a step that reads otherwise."""
        sections = list(self.facts.pattern.sections)
        steps = list(sections[section].steps)
        steps[step] = text
        sections[section] = replace(sections[section], steps=tuple(steps))
        audit = PatternAudit(
            replace(self.facts, pattern=replace(self.facts.pattern, sections=tuple(sections)))
        )
        finished, last = self.whole.begun[section]
        audit.finished, audit.last, audit.worked = dict(finished), dict(last), self.whole.worked
        for index in range(section, len(sections)):
            yield from audit.section_lines(index)

    def in_one_size(self, size, text, slip):
        """A step that has a slip in one size alone."""
        others = ",".join(one for one in self.facts.pattern.sizes if one != size)
        return f"::: only sizes={size}\n{slip}\n:::\n::: only sizes={others}\n{text}\n:::\n"

    def notices(self, place, text, size):
        """Whether a slip shows in a size, or in any: a line disagrees, or one of the step is unread (now)."""
        of = None if size is None else self.facts.pattern.sizes.index(size)

        def verdict_of(line):
            return line.verdict if of is None else line.sizes[of].verdict

        here = [verdict_of(line) for line in self.lines if (line.section, line.step) == place]
        unread = 0
        for line in self.slipped(place[0], place[1], text):
            verdict = verdict_of(line)
            if verdict == "disagrees":
                return True
            unread += verdict == "unreadable" and (line.section, line.step) == place
        return unread > here.count("unreadable") or (unread > 0 and "agrees" not in here)


def test_slips_planted_at_random_are_found_or_the_row_is_reported_unread(full):
    """In one size alone; in steps that are parted already, in the first size that they name."""
    chance = random.Random(20)
    samples = {path: Planted(path) for path in SAMPLES}
    places = places_to_slip()
    assert len(places) >= 80
    missed = []
    for path, section, step, match, instead in chance.choices(places, k=1_000 if full else 100):
        by = chance.choice(CHANGES)
        changed = match.expand(instead.replace("D", f"{'+' if by > 0 else '-'} {abs(by)}"))
        text, sizes = match.string, samples[path].facts.pattern.sizes
        slip = text[: match.start()] + changed + text[match.end() :]
        size: str | None = chance.choice(sizes)
        if instead.startswith("*"):
            size = None  # a repeat of another length may fit the stitches of one size by chance
        elif ":::" not in text:
            slip = samples[path].in_one_size(size, text, slip)
        else:
            named = re.findall(r"sizes=(\w+)", text[: match.start()])
            size = named[-1] if named else sizes[0]
        if not samples[path].notices((section, step), slip, size):
            missed.append(f"{path.stem} {section} {step} {size}: {slip}")
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
        (["Ch 11, 1 sl st in the second ch from the hook, 1 sl st in each ch. (11 sts)"], "worked 10"),
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
