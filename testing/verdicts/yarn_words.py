"""Yarn used against yarn computed, in words: what the computing leaves out, and what would mend it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite, nan

import numpy as np

from grading.core.pattern.pattern import PatternFile, Swatch
from grading.core.yarn.needs import CombinedNeed, balls_for
from grading.grid.shown_numbers import decimal_text
from testing.verdicts.sentences import Found, joined

WIDEST_FACTOR = 0.5  # a factor between 0.75 and 1.25 is worth telling, one that may be anything is not


@dataclass(frozen=True)
class SizeAmount:
    """What a size takes of a colour: grams, metres, and the grams of a ball; NaN where not known."""

    colour: str
    size: str
    grams: float
    metres: float = nan
    ball_g: float = nan

    def told(self, factor: float) -> str:
        """The amounts now and times a factor."""
        said = [f"{self.grams:.0f} → {self.grams * factor:.0f} g"]
        if isfinite(self.metres):
            said.append(f"{self.metres:.0f} → {self.metres * factor:.0f} m")
        if isfinite(self.ball_g):
            now, then = balls_for(np.array([self.grams, self.grams * factor]), self.ball_g)
            said.append(f"{now:.0f} → {then:.0f} balls" if now != then else f"{now:.0f} balls as before")
        return f"{self.size} {', '.join(said)}"


@dataclass(frozen=True)
class YarnNow:
    """What a pattern's yarn is computed with: its allowance, and the weighed swatch of each fabric."""

    allowance: float = 0.0
    swatches: Mapping[str, Swatch] = field(default_factory=dict)
    amounts: Sequence[SizeAmount] = ()
    """What each size takes of each colour with the usual choices."""


def yarn_now(pattern: PatternFile, needs: Sequence[CombinedNeed]) -> YarnNow:
    """What the yarn of a pattern is computed with; fabrics without a weighed swatch are left out."""
    swatches = {one.name: one.swatch for one in pattern.fabrics if one.swatch}
    usual = {option.name: option.default for option in pattern.options}
    need = next((one for one in needs if dict(one.options).items() <= usual.items()), None)
    balls = {one.colour: one.put_up_g or nan for one in pattern.yarns}
    amounts = [
        SizeAmount(colour, size, float(of.weight_g[at]), float(of.length_m[at]), balls.get(colour, nan))
        for colour, of in (need.colours if need else {}).items()
        for at, size in enumerate(pattern.sizes)
    ]
    known = [one for one in amounts if isfinite(one.grams) and one.grams > 0]
    return YarnNow(pattern.yarn_allowance, swatches, known)


def yarn_sentences(yarn: Found, fabrics: Found, now: YarnNow) -> list[str]:
    """Yarn used against yarn computed, what would make them agree, and the allowance on top."""
    names = joined([str(fabrics.get(fabric, fabric)) for fabric in yarn["factors"]])
    if len(yarn["factors"]) > yarn["testers"]:
        told = "1 tester has" if yarn["testers"] == 1 else f"{yarn['testers']} testers have"
        return [f"{told} weighed their yarn: too few to tell {names} apart."]
    apart = yarn["factors"]
    if len(apart) < 2 or all(_is_telling(one) for one in apart.values()):
        said = [f"{fabrics.get(name, name)}: {_factor_words(one, now)}" for name, one in apart.items()]
        labels = fabrics if len(apart) > 1 else {}
        known, allowance = {name: (one, labels) for name, one in apart.items()}, yarn["allowance"]
    else:
        why = f"{names} can’t be told apart: every size takes about the same share of each."
        said = [f"In all, {_factor_words(yarn['together'], now)} {why}"]
        known, allowance = dict.fromkeys(apart, (yarn["together"], fabrics)), yarn["allowance_together"]
    return said + _steps(known, allowance, yarn.get("enough", (0, 0)), now)


@dataclass(frozen=True)
class YarnInShort:
    """Yarn used in a line, and whether too few makers had enough of it."""

    says: str
    is_lacking: bool


def yarn_in_short(yarn: Found) -> YarnInShort:
    """How much more was used than computed, where one factor tells it, and how many had enough.

    >>> yarn_in_short({"factors": {"main": {"factor": 1.11}}, "testers": 16, "enough": [8, 16]})
    YarnInShort(says='1.11 times what is computed; 8 of 16 makers had enough', is_lacking=True)
    """
    factors, said = list(yarn["factors"].values()), list[str]()
    used = factors[0] if len(factors) == 1 else yarn.get("together")
    if used and len(factors) <= yarn["testers"]:
        said.append(f"{used['factor']:.2f} times what is computed")
    had, known = yarn.get("enough", (0, 0))
    if known:
        said.append(f"{had} of {known} makers had enough")
    return YarnInShort("; ".join(said), is_lacking=known > 0 and 2 * had <= known)


def _steps(
    told: Mapping[str, tuple[Found, Found]],
    allowance: float | None,
    enough: Sequence[int],
    now: YarnNow,
) -> list[str]:
    """What to do first and then, what it changes in each size, and how many had enough as it is.

    `told` are the factor of each fabric, and the labels that tell it from the others.
    """
    weighed = {
        name: one["factor"] for name, (one, _) in told.items() if name in now.swatches and _is_off(one)
    }
    weights = [
        _swatch_words(told[name][1].get(name, ""), now.swatches[name], factor)
        for name, factor in weighed.items()
    ]
    steps = [f"weigh the swatch again: its weight should go {joined(weights)}."] if weights else []
    if allowance is not None:
        here = f" (now {_share(now.allowance)})" if now.allowance else ""
        steps.append(
            f"{'then ' if steps else ''}set an allowance of {100 * allowance:.0f} %{here}: enough for 95 of "
            "100 makers."
        )
    said = [
        f"{f'{number}. ' if len(steps) > 1 else ''}{says[0].upper()}{says[1:]}"
        for number, says in enumerate(steps, 1)
    ]
    factors = set(weighed.values())
    if said and (not weighed or (len(factors) == 1 and len(weighed) == len(told))):
        factor = factors.pop() if factors else 1.0
        if allowance is not None:
            factor *= (1 + allowance) / (1 + now.allowance)
        for colour in dict.fromkeys(one.colour for one in now.amounts):
            sizes = [one.told(factor) for one in now.amounts if one.colour == colour]
            said.append(f"Yarn {colour} then: {'; '.join(sizes)}.")
    if enough[1]:
        said.append(f"{enough[0]} of {enough[1]} makers had enough with what the pattern says now.")
    return said


def _is_off(one: Found) -> bool:
    """Whether a factor is known to be another than 1."""
    return bool(one["interval"]) and not one["interval"][0] <= 1 <= one["interval"][1]


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


def _swatch_words(label: str, swatch: Swatch, factor: float) -> str:
    """What a swatch weighs on the sheet, and what it would have to weigh."""
    now, then = decimal_text(swatch.weight_g, 2), decimal_text(swatch.weight_g * factor, 1)
    return f"from {now} to {then} g ({label + ', ' if label else ''}{swatch.stitches:g} × {swatch.rows:g})"


def _share(share: float) -> str:
    return f"{decimal_text(100 * share, 1)} %"
