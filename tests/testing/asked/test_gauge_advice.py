"""What is said of a gauge that is off: word for word, and nothing where it is close."""

import pytest

from testing.asked.gauge_advice import gauge_advice, tool_word

LARGER = (
    "You have 20 stitches, the pattern 18: count once more. "
    "If it stays, try a larger hook, then swatch again before you begin."
)
SMALLER = (
    "You have 17 stitches, the pattern 18: count once more. "
    "If it stays, try a smaller hook, then swatch again before you begin."
)


@pytest.mark.parametrize(
    ("stitches", "rows", "says"),
    [
        (20, 17.5, LARGER),
        (17, 16, SMALLER),
        (18, 16, ""),
        (18.4, 16.3, ""),
        (0, 16, ""),
    ],
)
def test_stitches_tell_the_hook(stitches, rows, says):
    # more stitches over the same width are smaller ones: a larger hook (common practice)
    assert gauge_advice((stitches, rows), (18, 16), tool="hook") == says


def test_rows_alone_keep_the_tool():
    says = gauge_advice((20, 30), (20, 28), tool="needle")
    assert says == (
        "Your stitches fit. You have 30 rows, the pattern 28: "
        "lengths that are counted in rows come out shorter. Keep the needle that gives the stitches."
    )
    assert "come out longer" in gauge_advice((20, 25), (20, 28), tool="needle")


def test_each_craft_has_its_tool():
    assert [tool_word(one) for one in ("crochet", "tunisian", "knitting")] == ["hook", "hook", "needle"]
