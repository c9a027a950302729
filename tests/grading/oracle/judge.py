"""Grade a pattern file plainly and compare the answer of the core with it, number by number."""

import itertools
import re
from collections import Counter

from tests.grading.oracle.formulas import FormulaError, literal
from tests.grading.oracle.joins import notice_joins
from tests.grading.oracle.parts import (
    grade_checks,
    grade_curves,
    grade_pick_ups,
    grade_shapings,
    grade_spreads,
)
from tests.grading.oracle.sheet import Sheet
from tests.grading.oracle.yarn import grade_yarn, unresolved

CHILDLIKE = re.compile(r"\d\s*(y|yr|years?|mo|m|months?)\b")
DANGERS = re.compile(r"\b(button|tie|cord|pompom)s?\b", re.IGNORECASE)
BARE = re.compile(r"(?<![\w.])\d+(?:\.\d+)?\s?(?:cm|mm|yd|ft|m)\b")
REFERENCE = re.compile(r"\{([^{}]*)\}")


def judge(pattern):
    """All results of a pattern file, in the shape of `grade --json` (findings as a multiset)."""
    sheet = Sheet(pattern)
    places = range(len(sheet.sizes))
    values = {
        name: {
            "kind": value["kind"],
            "exact": [sheet.exact(name, size, False) for size in places],
            "worked": [sheet.look_up(name, size) for size in places],
            "ideal": [sheet.look_up(name, size, True) for size in places],
        }
        for name, value in sheet.values.items()
    }
    sheet.notice_values()
    result = {
        "sizes": sheet.sizes,
        "values": values,
        "checks": grade_checks(sheet),
        "shapings": grade_shapings(sheet),
        "spreads": grade_spreads(sheet),
        "curves": grade_curves(sheet),
        "pick_ups": grade_pick_ups(sheet),
        "yarn": grade_yarn(sheet),
    }
    notice_joins(sheet)
    notice_words(sheet)
    if any(section["steps"] for section in pattern.get("sections", [])):
        notice_what_is_bought(sheet)
    return {**result, "findings": Counter(sheet.findings)}


def notice_words(sheet):
    """Missing words about who wears it, bare lengths, and references that lead nowhere."""
    pattern = sheet.pattern
    texts = [(f"values.{v['name']}", v["measured"]["how"]) for v in sheet.values.values() if "measured" in v]
    texts += [(f"checks.{check['name']}", check["says"]) for check in pattern.get("checks", [])]
    for i, section in enumerate(pattern.get("sections", [])):
        if unresolved(sheet, section.get("when", {})):
            sheet.find(f"sections[{i}]", None, "stop")
        for j, step in enumerate(section["steps"]):
            texts.append((f"sections[{i}].steps[{j}]", step))
            notice_references(sheet, f"sections[{i}].steps[{j}]", step)
            notice_blocks(sheet, f"sections[{i}].steps[{j}]", step)
    for i, notion in enumerate(pattern.get("notions", [])):
        if unresolved(sheet, notion.get("when", {})):
            sheet.find(f"notions[{i}]", None, "stop")
        if isinstance(notion["count"], str) and notion["count"] not in sheet.known:
            sheet.find(f"notions[{i}]", None, "stop")
    for where, text in texts:
        for _ in BARE.findall(REFERENCE.sub("", text)):
            sheet.find(where, None, "warn")
    childlike = any(CHILDLIKE.search(label) for label in sheet.sizes)
    dangerous = any(DANGERS.search(text) for text in every_text(pattern))
    if (childlike or dangerous) and not ("wearer" in pattern and "hazards" in pattern):
        sheet.find("wearer", None, "warn")


def notice_what_is_bought(sheet):
    """A fabric needs the size of its tool; a yarn a name of its own and a length."""
    for name, fabric in sheet.pattern["fabrics"].items():
        if fabric.get("tool_mm") is None:
            sheet.find(f"fabrics.{name}", None, "warn")
    for yarn in sheet.pattern.get("yarns", []):
        where = f"yarns.{yarn['colour']}"
        if yarn["label"].casefold().removeprefix("yarn").strip().upper() in ("", yarn["colour"].upper()):
            sheet.find(where, None, "warn")
        if "length_per_100g" not in yarn:
            sheet.find(where, None, "warn")


def every_text(pattern):
    """Labels and words that may tell of buttons or cords."""
    steps = [step for section in pattern.get("sections", []) for step in section["steps"]]
    labels = [value["label"] for value in pattern.get("values", [])]
    notions = [notion["label"] for notion in pattern.get("notions", [])]
    return [pattern["title"], pattern.get("summary", ""), *steps, *labels, *notions]


def notice_references(sheet, where, step):
    """A reference in a step must lead to a value, a part or a length, or be a side of the work."""
    parts = ("shapings", "spreads", "curves", "pick_ups", "stripes", "stitch_patterns")
    known = {entry["name"] for part in parts for entry in sheet.pattern.get(part, [])}
    known |= {*sheet.values, *sheet.body}
    for inside in REFERENCE.findall(step):
        try:
            literal(inside)
        except FormulaError:
            if inside in {"side start", "side end", "side left", "side right"}:
                continue
            words = inside.split("|")[0].split()
            named = {words[0], words[2]} if words[1:2] == ["with"] else set(words[:1])
            if not named or not named <= known:
                sheet.find(where, None, "stop")


def notice_blocks(sheet, where, step):
    """A block must name sizes and options that there are."""
    for told in re.findall(r"^::: (only|when) (.+)$", step, re.MULTILINE):
        if told[0] == "only":
            named = [part.strip('"') for part in re.split(r",|\.\.", told[1].removeprefix("sizes="))]
            lost = any(name not in sheet.sizes for name in named)
        else:
            option, choices = told[1].split("=")
            lost = unresolved(sheet, {option: [choice.strip('"') for choice in choices.split(",")]})
        if lost:
            sheet.find(where, None, "stop")


def same(mine, theirs):
    """The same number to a billionth, or both none."""
    if mine is None or theirs is None:
        return mine is theirs
    if isinstance(mine, bool) or isinstance(theirs, bool):
        return mine is theirs
    return abs(float(mine) - theirs) <= 1e-9 * max(abs(float(mine)), abs(theirs), 1e-3)


OF_WORDS = re.compile(
    "^There is no number, and |: no step says how this is joined|, and no step depends on it[.:] |"
    "^This step speaks of yarn |, and its line is drawn |^The parts make |"
    "^“.*” has no number in .*dash|^The side “.*” has no length"
)


def differences(pattern, graded, *, repeats=True):
    """Every difference between the plain grading and the core's JSON, as sentences; none if they agree.

    Without `repeats`, two divisors of 0 in one formula and size may be told as one finding or two.
    """
    plain = judge(pattern)
    told = [] if list(plain) == list(graded) else [f"keys {list(graded)}"]
    for part in ("values", "checks", "shapings", "curves", "pick_ups"):
        told += compare(part, plain[part], graded[part])
    told += compare_spreads(plain["spreads"], graded["spreads"])
    told += compare("yarn", plain["yarn"], graded["yarn"])
    # What a size lacks in print, and what no step tells, hang on words as well, and lines and sides of
    # drawings on corners: test_missing_numbers.py, test_untold.py, test_divided_counts.py,
    # test_drawn_lines.py and test_pieces.py in tests/grading/core/grade, test_yarn_by_choice.py for yarn.
    told_here = [one for one in graded["findings"] if not OF_WORDS.search(one["says"])]
    theirs = Counter((f["where"], f["size"], f["weight"]) for f in told_here)
    if not repeats:
        plain["findings"], theirs = Counter(set(plain["findings"])), Counter(set(theirs))
    told += [
        f"finding only plain: {finding} × {times}" for finding, times in (plain["findings"] - theirs).items()
    ]
    told += [
        f"finding only core: {finding} × {times}" for finding, times in (theirs - plain["findings"]).items()
    ]
    return told


def compare(path, mine, theirs):
    """Differences of two trees of numbers."""
    if isinstance(mine, dict) and isinstance(theirs, dict) and list(mine) == list(theirs):
        return [told for key in mine for told in compare(f"{path}.{key}", mine[key], theirs[key])]
    if isinstance(mine, list) and isinstance(theirs, list) and len(mine) == len(theirs):
        pairs = enumerate(zip(mine, theirs, strict=True))
        return [told for place, (one, other) in pairs for told in compare(f"{path}[{place}]", one, other)]
    if isinstance(mine, dict | list | str) or isinstance(theirs, dict | list | str):
        return [] if mine == theirs else [f"{path}: {mine} but core {theirs}"]
    return (
        [] if same(mine, theirs) else [f"{path}: {mine if mine is None else float(mine)} but core {theirs}"]
    )


def compare_spreads(mine, theirs):
    """Spreads may begin anywhere, but their gaps are these and neighbours are mixed."""
    told = [] if list(mine) == list(theirs) else [f"spreads: {list(theirs)}"]
    for name, size in ((spread, place) for spread in mine for place in range(len(mine[spread]))):
        gaps, runs = mine[name][size], theirs[name][size]
        counted: Counter[int] = Counter()
        for gap, times in runs or []:
            counted[gap] += times
        if gaps != (None if runs is None else counted):
            told.append(f"spreads.{name}[{size}]: {gaps} but core {runs}")
        elif runs and not interleaved(runs):
            told.append(f"spreads.{name}[{size}] is bunched: {runs}")
    return told


def interleaved(runs):
    """No stretch of gaps is longer or shorter by more than one than another of as many gaps."""
    gaps = [gap for gap, times in runs for _ in range(times)]
    sums = [0, *itertools.accumulate(gaps)]
    for length in range(1, len(gaps)):
        stretches = [sums[i + length] - sums[i] for i in range(len(sums) - length)]
        if max(stretches) - min(stretches) > 1:
            return False
    return True
