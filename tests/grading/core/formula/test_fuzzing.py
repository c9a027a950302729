"""Whatever is typed or loaded: a finding or a refusal in a sentence, quickly and in little memory."""

import json
import random
import re
import tracemalloc
from functools import partial

import numpy as np

from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.grading.core.grade.test_samples import SAMPLES
from tests.grading.core.sheets import pattern_file, value
from tests.pace import fewest_seconds, slowness

LONGEST_S = 0.05
MOST_MEMORY = 64 * 1024 * 1024
WORDS = """
bust main.stitches main.rows main.multiple edge.length size_number rows cm 12.5 3 + - * / ( ) , . < <= > >=
= <> and or not if then else max min sum round even ceiling floor sqrt abs % yarn yd e_ ²½ true ** ; 1e9
999999999 0 00.1 .. '' “ stitches g
"""
PIECES = [*WORDS.split(), "\n", ""]
OPERANDS = [
    "bust",
    "edge.length",
    "main.stitches",
    "size_number",
    "0",
    "3 cm",
    "1000000 ft",
    "0.000001",
    "-2 m",
]
# Formulas that can be read, to be spoilt in one or two places.
SOUND = [
    "bust / 2 + 4 cm",
    "(bust + 2 in) * main.stitches",
    "if bust > 90 cm and size_number <> 3 then bust / 2 else bust / 3 + 1 cm",
    "max(bust, 91 cm, 0) - min(bust / 2, 40 cm)",
    "sqrt(bust * bust + 12 cm * 3 in)",
    "ceiling(bust * main.stitches, 4 stitches) / main.stitches",
    "-(bust - (10 cm - (2 cm - bust / 7)))",
    "if not (bust < 80 cm or bust >= 2 m) then 10 % * bust else if bust = 1 ft then 1 cm else 2 cm",
]
STRANGE = [0x202E, 0xFF11, 0x37, 0x28, 0x1F9F6, 0, 0x0301, 0x2009]


def random_formula(rolled):
    """Words and signs of formulas in any order; a few far too long or too deep."""
    if rolled.random() < 0.02:
        piece = rolled.choice(["(", "-", "not ", "if bust > 0 then ", "1+", "max(1,", "bust*"])
        return piece * rolled.choice([40, 60, 200, 3000]) + "bust"
    return " ".join(rolled.choice(PIECES) for _ in range(rolled.randint(1, 40)))


def spoilt_formula(rolled):
    """A sound formula with one or two places taken out, doubled or replaced."""
    made = rolled.choice(SOUND)
    for _ in range(rolled.randint(1, 2)):
        start = rolled.randrange(len(made))
        end = start + rolled.randint(0, 4)
        middle = rolled.choice(["", made[start:end] * 2, chr(rolled.choice(STRANGE)), rolled.choice(PIECES)])
        made = made[:start] + middle + made[end:]
    return made


def turned_formula(rolled):
    """A sound formula with one of its numbers and names put in place of another."""
    made = rolled.choice(SOUND)
    return re.sub(r"bust|\d+( [a-z]+)?", lambda found: rolled.choice([found[0]] * 20 + OPERANDS), made)


def test_no_formula_breaks_anything(full, count_proof):
    rolled = random.Random(7)
    runs, readable, slowest = (20_000 if full else 1_000), 0, 0.0
    curve = {"name": "edge", "width": 20, "depth": 8, "shape": "straight", "fabric": "main"}
    for run in range(runs):
        typed = (random_formula, spoilt_formula, turned_formula)[run % 3](rolled)
        pattern = read_pattern(pattern_file(value("x", typed), curves=[curve]), trusted=True)
        of = grade(pattern)
        assert np.isfinite(of.values["x"].worked).all() or of.stops, typed
        json.dumps(of.as_json(), allow_nan=False)
        readable += not of.stops
        slowest = max(slowest, fewest_seconds(partial(_afresh, pattern), LONGEST_S))
    assert 0 < readable < runs
    assert slowest < LONGEST_S * slowness()
    count_proof("formulas fuzzed", runs)
    count_proof("formulas fuzzed that gave numbers", readable)
    count_proof("formulas fuzzed, slowest in tenths of ms", round(slowest * 10_000))


def _afresh(pattern):
    """Grade with nothing made ready."""
    pattern.memo.clear()
    grade(pattern)


def test_no_mutated_file_breaks_anything(full, count_proof):
    rolled = random.Random(11)
    texts = [path.read_text(encoding="utf-8") for path in sorted(SAMPLES.glob("*.json"))]
    runs, read, slowest = (2_000 if full else 60), 0, 0.0
    for _ in range(runs):
        data = mutated(rolled.choice(texts), rolled)
        slowest = max(slowest, fewest_seconds(partial(_read_and_grade, data), LONGEST_S))
        read += _read_and_grade(data)
    assert 0 < read < runs
    assert slowest < LONGEST_S * slowness()
    count_proof("pattern files fuzzed", runs)
    count_proof("pattern files fuzzed that could be read", read)
    count_proof("pattern files fuzzed, slowest in tenths of ms", round(slowest * 10_000))


def test_what_is_fuzzed_takes_little_memory(count_proof):
    rolled = random.Random(13)
    texts = [path.read_text(encoding="utf-8") for path in sorted(SAMPLES.glob("*.json"))]
    tracemalloc.start()
    try:
        for _ in range(40):
            _read_and_grade(mutated(rolled.choice(texts), rolled))
            for typed in (random_formula(rolled), spoilt_formula(rolled)):
                grade(read_pattern(pattern_file(value("x", typed)), trusted=True))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < MOST_MEMORY
    count_proof("memory of fuzzing, most MB", round(most / 1024 / 1024))


def _read_and_grade(data):
    """Whether a file could be read; if so, its JSON holds nothing but numbers and nulls."""
    refused = None
    try:
        json.dumps(grade(read_pattern(data)).as_json(), allow_nan=False)
    except PatternFileError as error:
        refused = error
    assert refused is None or (refused.path.startswith("$") and refused.reason.endswith("."))
    return refused is None


def mutated(text, rolled):
    """A sample with one to three places changed."""
    data = json.loads(text)
    for _ in range(rolled.randint(1, 3)):
        _mutate(data, rolled)
    return data


def _mutate(data, rolled):
    """Change one place deep inside: mostly a text a little, sometimes an entry altogether."""
    part = data
    while isinstance(part, (dict, list)) and part:
        key = rolled.choice(list(part)) if isinstance(part, dict) else rolled.randrange(len(part))
        entry = part[key]
        if isinstance(entry, (dict, list)) and entry and rolled.random() > 0.03:
            part = entry
            continue
        part[key] = _mangled(entry, rolled) if isinstance(entry, str) else _other(entry, rolled)
        return


def _mangled(text, rolled):
    """Change a text a little, or put a formula of another place there."""
    at = rolled.randrange(len(text) + 1)
    pieces = ["", " + 1 cm", "(", " / 0", "main.rows", "{", "chest", " * back_stitches", "\n", "½"]
    return rolled.choice([text[:at] + rolled.choice(pieces) + text[at + 1 :], "back_stitches + 1", "-3 cm"])


def _other(entry, rolled):
    """Change a number a little, or put anything in its place."""
    if isinstance(entry, (int, float)) and not isinstance(entry, bool) and rolled.random() < 0.8:
        return rolled.choice([0, 1, entry + 1, entry * 2, -entry, entry / 2])
    return rolled.choice([None, 10**7, True, [], {}, "bust"])
