import re
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from grading.core.pattern.pattern import Swatch
from testing.assessment.assessing import _yarn_json
from testing.assessment.yarn import YarnUse, assess_yarn
from testing.verdicts.yarn_words import SizeAmount, YarnNow, yarn_sentences
from tests.present import present

AMOUNTS = [SizeAmount("A", "M", 500.0, 1000.0, 50.0), SizeAmount("A", "L", 600.0)]


def test_one_tester_cannot_tell_the_yarn_of_two_fabrics_apart():
    yarn = {"factors": {"main": {"factor": 1.2}, "rib": {"factor": 0.0}}, "testers": 1, "allowance": None}
    said = yarn_sentences(yarn, {"main": "Stocking stitch", "rib": "Rib"}, YarnNow())
    assert said == ["1 tester has weighed their yarn: too few to tell Stocking stitch and Rib apart."]


def yarn_of_testers(*, shares, factors=(1.1, 0.9)):
    """Yarn by fabric as computed, and as used: `shares` is the part of the second fabric, one a tester."""
    computed = np.array([[1000 * (1 - share), 1000 * share] for share in shares])
    scatter = np.array([0.97, 1.02, 1.03, 0.98] * (len(shares) // 4))
    return computed, (computed @ np.array(factors)) * scatter


def said_of(monkeypatch, computed, used):
    """What the page says of yarn computed and used."""
    pattern = SimpleNamespace(fabrics=[SimpleNamespace(name="main"), SimpleNamespace(name="rib")])
    monkeypatch.setattr("testing.assessment.yarn.weighed_sections", lambda _: ())
    monkeypatch.setattr("testing.assessment.yarn.Workings", lambda *_: None)
    monkeypatch.setattr("testing.assessment.yarn._computed", lambda *of: computed[of[-1].size].tolist())
    monkeypatch.setattr("testing.assessment.yarn._used", lambda _, use: used[use.size])
    uses = [YarnUse(size, {"A": 1.0}, {}, {}, {}) for size in range(len(used))]
    found = _yarn_json(assess_yarn(cast("Any", pattern), cast("Any", None), uses))
    now = YarnNow(0.10, {"main": Swatch(33, 45, 10.6), "rib": Swatch(20, 24, 8.0)}, AMOUNTS)
    found["enough"] = [7, 12]
    return yarn_sentences(found, {"main": "Stocking stitch", "rib": "Rib"}, now)


def test_fabrics_that_take_the_same_share_in_all_sizes_are_told_together(monkeypatch):
    computed, used = yarn_of_testers(shares=[0.10, 0.11, 0.10, 0.11] * 3)
    said = said_of(monkeypatch, computed, used)
    # derived: 0.895 × 1.1 + 0.105 × 0.9 = 1.08
    without = "without the 10 % allowance"
    assert said[0].startswith(
        f"In all, testers used 1.08 times what is computed {without} (between 1.06 and 1."
    )
    # derived: 10.6 × 1.08 = 11.4, 8 × 1.08 = 8.6
    main, rib = (
        r"from 10\.6 to 11\.[45] g \(Stocking stitch, 33 × 45\)",
        r"from 8 to 8\.[67] g \(Rib, 20 × 24\)",
    )
    assert re.search(f"^1. Weigh the swatch again: its weight should go {main} and {rib}", said[1])
    allowance = present(re.search(r"^2. Then set an allowance of (\d+) % \(now 10 %\)", said[2]))[1]
    sizes = r"^Yarn A then: M 500 → (\d+) g, 1000 → (\d+) m, 10 → (\d+) balls; L 600 → (\d+) g\.$"
    grams, metres, balls, of_large = map(int, present(re.search(sizes, said[3])).groups())
    factor = 1.08 * (1 + int(allowance) / 100) / 1.1
    assert [grams, metres, of_large] == pytest.approx([500 * factor, 1000 * factor, 600 * factor], rel=0.01)
    assert balls == -(-grams // 50)
    assert said[4] == "7 of 12 makers had enough with what the pattern says now."
    assert "Stocking stitch and Rib can’t be told apart" in said[0]


def test_fabrics_whose_shares_differ_are_told_apart(monkeypatch):
    computed, used = yarn_of_testers(shares=[0.1, 0.9, 0.5, 0.3, 0.9, 0.3, 0.1, 0.5, 0.5, 0.1, 0.3, 0.9])
    said = said_of(monkeypatch, computed, used)
    factors = [float(present(re.search(r"testers used ([\d.]+) times", one))[1]) for one in said[:2]]
    assert factors == pytest.approx([1.1, 0.9], abs=0.02)
    assert said[0].startswith("Stocking stitch: ")
