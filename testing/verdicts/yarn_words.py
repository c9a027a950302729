"""Yarn used against yarn computed, in words: what the computing leaves out, and what would mend it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from grading.core.pattern.pattern import PatternFile, Swatch
from grading.grid.shown_numbers import decimal_text
from testing.verdicts.sentences import Found, joined

WIDEST_FACTOR = 0.5  # a factor between 0.75 and 1.25 is worth telling, one that may be anything is not


@dataclass(frozen=True)
class YarnNow:
    """What a pattern's yarn is computed with: its allowance, and the weighed swatch of each fabric."""

    allowance: float = 0.0
    swatches: Mapping[str, Swatch] = field(default_factory=dict)


def yarn_now(pattern: PatternFile) -> YarnNow:
    """What the yarn of a pattern is computed with; fabrics without a weighed swatch are left out."""
    swatches = {one.name: one.swatch for one in pattern.fabrics if one.swatch}
    return YarnNow(pattern.yarn_allowance, swatches)


def yarn_sentences(yarn: Found, fabrics: Found, now: YarnNow) -> list[str]:
    """Yarn used against yarn computed, what would make them agree, and the allowance on top."""
    names = joined([str(fabrics.get(fabric, fabric)) for fabric in yarn["factors"]])
    if len(yarn["factors"]) > yarn["testers"]:
        told = "1 tester has" if yarn["testers"] == 1 else f"{yarn['testers']} testers have"
        return [f"{told} weighed their yarn: too few to tell {names} apart."]
    apart = yarn["factors"]
    if len(apart) < 2 or all(_is_telling(one) for one in apart.values()):
        said = [
            f"{fabrics.get(name, name)}: {_factor_words(one, now)} {_mend([name], one, {}, now)}".strip()
            for name, one in apart.items()
        ]
        return said + _allowance_sentences(yarn["allowance"], now)
    why = f"{names} can’t be told apart: every size takes about the same share of each."
    mend = _mend(list(apart), yarn["together"], fabrics, now)
    return [
        " ".join(part for part in (f"In all, {_factor_words(yarn['together'], now)}", why, mend) if part),
        *_allowance_sentences(yarn["allowance_together"], now),
    ]


def _is_telling(one: Found) -> bool:
    """Whether a factor is known well enough to be told by itself."""
    return bool(one["interval"]) and one["interval"][1] - one["interval"][0] <= WIDEST_FACTOR


def _factor_words(one: Found, now: YarnNow) -> str:
    """A factor with its interval and the testers it rests on; the allowance is not in it."""
    within = ""
    if one["interval"]:
        within = f" (between {one['interval'][0]:.2f} and {one['interval'][1]:.2f}, 9 in 10)"
    testers = "1 tester" if one["testers"] == 1 else f"{one['testers']} testers"
    without = f" without the {_share(now.allowance)} allowance" if now.allowance else ""
    return f"testers used {one['factor']:.2f} times what is computed{without}{within}; {testers}."


def _mend(names: list[str], one: Found, labels: Found, now: YarnNow) -> str:
    """Which weight of the swatch would make them agree; nothing while it may as well be right as it is."""
    known = [name for name in names if name in now.swatches]
    interval = one["interval"]
    if not known or not interval or interval[0] <= 1 <= interval[1]:
        return ""
    weights = [_swatch_words(labels.get(name, ""), now.swatches[name], one["factor"]) for name in known]
    return f"To agree, weigh the swatch again: its weight should go {joined(weights)}."


def _swatch_words(label: str, swatch: Swatch, factor: float) -> str:
    """What a swatch weighs on the sheet, and what it would have to weigh."""
    now, then = decimal_text(swatch.weight_g, 2), decimal_text(swatch.weight_g * factor, 1)
    return f"from {now} to {then} g ({label + ', ' if label else ''}{swatch.stitches:g} × {swatch.rows:g})"


def _allowance_sentences(allowance: float | None, now: YarnNow) -> list[str]:
    """The allowance on top of the factors, where there are testers enough for one."""
    if allowance is None:
        return []
    here = f" (now {_share(now.allowance)})" if now.allowance else ""
    share = f"{100 * allowance:.0f} %"
    return [f"If the sheet agrees, an allowance of {share}{here} lets 95 in 100 makers not run out."]


def _share(share: float) -> str:
    return f"{decimal_text(100 * share, 1)} %"
