"""The yarn of a pattern: its sections weighed, split into colours, and added up for every combination."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import AREA, PLAIN, ROW, WEIGHT
from grading.core.formula.errors import FormulaError
from grading.core.pattern.pattern import StripesEntry, YarnSectionEntry
from grading.core.sheet.findings import Finding, stop, warn
from grading.core.sheet.sheet import unknown_fabric
from grading.core.sheet.workings import Workings, known, when_problem
from grading.core.yarn.needs import (
    CombinedNeed,
    SectionWeight,
    Skein,
    combine_options,
    grams_per_stitch_row,
    section_weight_g,
    yarn_needs,
)
from grading.core.yarn.stripes import StripeRepeat, plan_stripes

Numbers = NDArray[np.float64]


def graded_yarn(of: Workings) -> list[CombinedNeed]:
    """Return what each colour takes for every combination of options; report what stands in the way."""
    pattern = of.pattern
    _report_missing_swatches(of)
    for stripes in pattern.stripes:
        _report_stripes(of, stripes)
    sections = weighed_sections(of)
    combinations, problem = combine_options(pattern.option_choices())
    if problem:
        of.add(stop("options", problem))
    if not sections or not pattern.yarns:
        return []
    skeins = {yarn.colour: Skein(yarn.length_per_100g_m, yarn.put_up_g) for yarn in pattern.yarns}
    return yarn_needs(sections, combinations, skeins, pattern.yarn_allowance)


@dataclass(frozen=True)
class YarnWorking:
    """How the weight of a yarn section comes about.

    `worked` is its area in stitches × rows, `extra_g` what is added in g, both per size; `each_g` what one
    stitch of one row takes, in g; `ways` its weight and colours, one entry for each way it is coloured.
    """

    name: str
    worked: Numbers
    each_g: float
    extra_g: Numbers
    ways: tuple[SectionWeight, ...]


def yarn_workings(of: Workings) -> list[YarnWorking]:
    """Return how the weight of each yarn section comes about, in file order; NaN where it is unknown."""
    found = []
    for i, section in enumerate(of.pattern.yarn_sections):
        where, size_count = f"yarn_sections[{i}]", of.made.program.sizes
        worked = of.number(section.worked, AREA, "What is worked is an area (stitches × rows)", where)
        extra = np.zeros(size_count)
        if section.extra is not None:
            extra = extra + of.number(section.extra, WEIGHT, "The extra is a weight", where)
        each_g = _grams_per_stitch_row(of, section, where)
        ways = tuple(_weighed(of, section, where))
        found.append(YarnWorking(section.name, np.zeros(size_count) + worked, each_g, extra, ways))
    return found


def weighed_sections(of: Workings) -> list[SectionWeight]:
    """Return the weight of each yarn section and each colour's share of it, in file order.

    A section that is coloured by choices gives one weight for each way, of which one holds at a time.
    """
    found = []
    for i, section in enumerate(of.pattern.yarn_sections):
        found += _weighed(of, section, f"yarn_sections[{i}]")
    return found


def _report_missing_swatches(of: Workings) -> None:
    """Report each fabric once that yarn is counted for and of which no swatch was weighed."""
    used = {section.fabric for section in of.pattern.yarn_sections}
    for fabric in of.pattern.fabrics:
        if fabric.name in used and fabric.swatch is None:
            says = f"“{fabric.label}” has no weighed swatch, so its yarn cannot be worked out."
            of.add(stop(f"fabrics.{fabric.name}", says))
        elif fabric.name in used and fabric.swatch and fabric.swatch.is_computed:
            says = (
                f"The swatch of “{fabric.label}” is computed from another yarn, not weighed: "
                "weigh one in this yarn and type its weight."
            )
            of.add(warn(f"fabrics.{fabric.name}", says))


def _report_stripes(of: Workings, stripes: StripesEntry) -> None:
    """Report a start that cannot be resolved and colours that are no yarn of the pattern."""
    where = f"stripes.{stripes.name}"
    try:
        of.counts(stripes.start, (ROW, PLAIN), "start")
    except FormulaError as error:
        of.add(stop(where, error.says))
    colours = {yarn.colour for yarn in of.pattern.yarns}
    for colour in dict.fromkeys(colour for colour, _ in stripes.sequence):
        if colour not in colours:
            of.add(stop(where, _unknown_colour(colour)))


def _weighed(of: Workings, section: YarnSectionEntry, where: str) -> list[SectionWeight]:
    """Return the weight of a section and each colour's share in each way; NaN where something is wrong."""
    worked = of.number(section.worked, AREA, "What is worked is an area (stitches × rows)", where)
    extra: Numbers | float = 0.0
    if section.extra is not None:
        extra = of.number(section.extra, WEIGHT, "The extra is a weight", where)
    weight = section_weight_g(worked, _grams_per_stitch_row(of, section, where), extra)
    _report_sizes_without(of, section, np.zeros(of.made.program.sizes) + worked + extra, where)
    told: dict[Finding, None] = {}  # ways may be wrong for the same reason, which is said once
    if of.when_is_known(section.when, where) and _choices_are_known(of, section, where):
        ways = section.ways(of.pattern.option_choices())
        found = [
            SectionWeight(weight, _shares(of, way, where, told), dict(way.when), way.fabric) for way in ways
        ]
    else:
        weight = np.full_like(weight, np.nan)
        shares = _shares(of, section, where, told)
        if section.by_choice:  # it may have been any of them
            shares = {yarn.colour: weight for yarn in of.pattern.yarns}
        found = [SectionWeight(weight, shares, {}, section.fabric)]
    of.add(*told)
    return found


def _report_sizes_without(of: Workings, section: YarnSectionEntry, worked: Numbers, where: str) -> None:
    """Warn of sizes where a part for a choice has no number, where others have one: a dash is printed."""
    if not section.when:
        return
    without = [label for label, each in zip(of.pattern.sizes, worked, strict=True) if np.isnan(each)]
    if without and len(without) < len(worked):
        rest = without[1] if len(without) == 2 else f"{len(without) - 1} more sizes"
        sizes = f"{without[0]} and {rest}" if without[1:] else without[0]
        says = (
            f"“{section.name}” has no number in {sizes}, so the yarn of a choice with it prints as a dash. "
            "Let it come to 0 where the part is not made."
        )
        of.add(warn(where, says))


def _choices_are_known(of: Workings, section: YarnSectionEntry, where: str) -> bool:
    """Report an option or choice that a section is coloured by and that does not exist."""
    whens = tuple((one.option, (one.choice,)) for one in section.by_choice)
    problem = when_problem(whens, of.pattern)
    if problem:
        of.add(stop(where, problem.replace("“when”", "“by_choice”", 1)))
    return problem is None


def _grams_per_stitch_row(of: Workings, section: YarnSectionEntry, where: str) -> float:
    """Return the yarn of one stitch of one row of the section's fabric, NaN where unknown."""
    for fabric in of.pattern.fabrics:
        if fabric.name == section.fabric:
            swatch = fabric.swatch
            return grams_per_stitch_row(swatch.weight_g, swatch.stitches, swatch.rows) if swatch else np.nan
    of.add(stop(where, unknown_fabric(section.fabric)))
    return np.nan


def _shares(
    of: Workings, section: YarnSectionEntry, where: str, told: dict[Finding, None]
) -> Mapping[str, Numbers]:
    """Return each colour's share of the section, one entry per size; what is wrong is told once."""
    if section.colour is not None:
        if all(yarn.colour != section.colour for yarn in of.pattern.yarns):
            told[stop(where, _unknown_colour(section.colour))] = None
        return {section.colour: np.ones(of.made.program.sizes)}
    for stripes in of.pattern.stripes:
        if stripes.name == section.stripes:
            return _stripe_shares(of, section, stripes, (where, told))
    told[stop(where, f"There is no stripe sequence “{section.stripes}”.")] = None
    return {yarn.colour: np.full(of.made.program.sizes, np.nan) for yarn in of.pattern.yarns}


def _stripe_shares(
    of: Workings, section: YarnSectionEntry, stripes: StripesEntry, to: tuple[str, dict[Finding, None]]
) -> Mapping[str, Numbers]:
    """Return each colour's share of a striped section, NaN where the rows are unknown."""
    where, told = to
    sequence = StripeRepeat(stripes.sequence, stripes.change, stripes.forward_share)
    shares = {colour: np.full(of.made.program.sizes, np.nan) for colour in sequence.colours}
    try:
        rows = of.counts(section.rows or 0, (ROW, PLAIN), "rows")
    except FormulaError as error:
        told[stop(where, error.says)] = None
        return shares
    try:
        start = of.counts(stripes.start, (ROW, PLAIN), "start")
    except FormulaError:
        return shares
    for size, label in enumerate(of.pattern.sizes):
        plan = plan_stripes(sequence, known(rows[size]), known(start[size]))
        if plan.problem:
            told[stop(where, plan.problem, label)] = None
        for colour, share in plan.shares.items():
            shares[colour][size] = share
    return shares


def _unknown_colour(colour: str | None) -> str:
    """Say that no yarn of the pattern has a letter."""
    return f"“{colour}” is not a colour of this pattern's yarns: add a yarn of that letter first."
