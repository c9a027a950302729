"""Checks, shapings, spreads, curves and pick-ups of a pattern file, size by size."""

import math
from fractions import Fraction
from functools import partial

from tests.grading.oracle import formulas
from tests.grading.oracle.arithmetic import HALF, TOLERANCE, NoResultError, evaluate, holds
from tests.grading.oracle.dimensions import check_condition
from tests.grading.oracle.formulas import LENGTH, PLAIN, ROW, STITCH, FormulaError, literal


def grade_checks(sheet):
    """True, false or nothing for each check and size; a failed one is a finding."""
    return {check["name"]: grade_check(sheet, check) for check in sheet.pattern.get("checks", [])}


def grade_check(sheet, check):
    """One check in every size."""
    where = f"checks.{check['name']}"
    try:
        node = formulas.read(check["holds"])
        check_condition(node, sheet.known)
    except FormulaError:
        sheet.find(where, None, "stop")
        return [None] * len(sheet.sizes)
    answers = []
    for size in range(len(sheet.sizes)):
        try:
            answer = holds(node, partial(sheet.look_up, size=size))
        except NoResultError:
            answer = None
            sheet.find(where, size, "stop")
        if answer is False and not sheet.is_settled(check, size):
            sheet.find(where, size, check["weight"])
        answers.append(answer)
    return answers


def each_size(sheet, where, references, work_out):
    """Work a part out in each size; a name it can't resolve is one finding, a misfit one for its size.

    `references` are pairs of a number or name and the dimensions it may have.
    """
    if not all(resolves(sheet, name, dimensions) for name, dimensions in references):
        sheet.find(where, None, "stop")
        return [None] * len(sheet.sizes)
    results = []
    for size in range(len(sheet.sizes)):
        numbers = [sheet.look_up(name, size) for name, _ in references]
        try:
            results.append(None if None in numbers else work_out(*numbers))
        except NoResultError:
            sheet.find(where, size, "stop")
            results.append(None)
    return results


def resolves(sheet, name, dimensions):
    """Whether a number or name stands for something of one of these dimensions."""
    return isinstance(name, int) or sheet.known.get(name) in dimensions


def grade_shapings(sheet):
    """[[every, times], ...] for each shaping and size."""
    return {shaping["name"]: grade_shaping(sheet, shaping) for shaping in sheet.pattern.get("shapings", [])}


def grade_shaping(sheet, shaping):
    """One shaping in every size."""
    on_every = shaping.get("on_every", 1)
    stitches, rows = (STITCH,), (ROW, PLAIN)
    references = [
        (shaping["from"], stitches),
        (shaping["to"], stitches),
        (shaping["over"], rows),
        (shaping["each"], (STITCH, PLAIN)),
        (shaping.get("first", on_every), rows),
        (shaping.get("plain_end", 0), rows),
    ]
    return each_size(
        sheet, f"shapings.{shaping['name']}", references, lambda *numbers: shape(*numbers, on_every=on_every)
    )


def shape(start, end, over, each, first, plain_end, *, on_every):
    """Shaping rows spread over the slots there are."""
    if each <= 0 or first < 1 or plain_end < 0:
        raise NoResultError  # rows count from 1
    k = abs(start - end) / each
    slots = max(0, math.floor((over - plain_end - first) / on_every) + 1)
    if k.denominator != 1 or k > slots:
        raise NoResultError
    if k == 0:
        return []
    q, r = divmod(slots, int(k))
    pairs = [[q * on_every, int(k) - r], [(q + 1) * on_every, r]]
    return [pair for pair in pairs if pair[1]]


def grade_curves(sheet):
    """The drops of each curve and size."""
    return {curve["name"]: grade_curve(sheet, curve) for curve in sheet.curves.values()}


def grade_curve(sheet, curve):
    """One curve in every size."""
    where = f"curves.{curve['name']}"
    references = [(curve["width"], (STITCH,)), (curve["depth"], (ROW, PLAIN))]
    if "fabric" in curve and curve["fabric"] not in sheet.fabrics:
        sheet.find(where, None, "stop")  # its length is blank; the drops do not hang on it
    return each_size(sheet, where, references, lambda width, depth: drop(width, depth, curve["shape"]))


def drop(width, depth, shape_of_curve):
    """The stitches to take off in each step: their sum is the width, and a curve never grows again."""
    if width < 0 or depth < 0 or (depth == 0 and width > 0):
        raise NoResultError
    if depth == 0:
        return []
    wanted = [width * share_at(Fraction(step, int(depth)), shape_of_curve) for step in range(int(depth) + 1)]
    whole = [math.floor(so_far + HALF + TOLERANCE) for so_far in wanted]
    nearest = [whole[step] - whole[step - 1] for step in range(1, len(whole))]
    falling = sorted(nearest)[::-1]
    off = max((abs(sum(falling[:step]) - wanted[step]) for step in range(len(wanted))), default=0)
    if off <= 1 + TOLERANCE:
        return falling
    return nearest if shape_of_curve == "straight" else thinned(nearest)


def share_at(t, shape_of_curve):
    """The share of the width that is taken off at a share of the depth."""
    return t if shape_of_curve == "straight" else Fraction(math.sqrt(1 - (1 - t) ** 2))


def thinned(drops):
    """Large drops first; after each as many plain steps as there were after some drop, the fewest first."""
    text = "".join("x" if one else "." for one in drops)
    before, *plain = text.split("x")
    plain = sorted(plain, key=len)
    large = sorted((one for one in drops if one), reverse=True)
    pairs = zip(large, plain, strict=True)
    return [0] * len(before) + [one for drop, after in pairs for one in (drop, *[0] * len(after))]


def grade_pick_ups(sheet):
    """The stitches of each pick-up and size; a warning where they do not suit the edge."""
    return {name: grade_pick_up(sheet, pick_up) for name, pick_up in sheet.pick_ups.items()}


def grade_pick_up(sheet, pick_up):
    """One pick-up in every size."""
    where = f"pick_ups.{pick_up['name']}"
    if not resolves(sheet, pick_up["count"], (STITCH, ROW)):
        sheet.find(where, None, "stop")
    picked = [sheet.look_up(pick_up["name"], size) for size in range(len(sheet.sizes))]
    if "edge" in pick_up:
        compare_to_edge(sheet, where, pick_up, picked)
    return picked


def compare_to_edge(sheet, where, pick_up, picked):
    """Find where the stitches picked up are more than 8 % wider or narrower than their edge."""
    try:
        node = sheet.read_formula(pick_up["edge"], LENGTH)
    except FormulaError:
        node = None
    if node is None or pick_up["fabric"] not in sheet.fabrics:
        sheet.find(where, None, "stop")
        return
    gauge = sheet.fabric_number(pick_up["fabric"], "stitches")
    for size, stitches in enumerate(picked):
        try:
            edge = evaluate(node, partial(sheet.look_up, size=size))
        except NoResultError:
            sheet.find(where, size, "stop")
            continue
        if (
            edge is not None
            and stitches is not None
            and abs(stitches / gauge - edge) > Fraction(8, 100) * abs(edge) + TOLERANCE
        ):
            sheet.find(where, size, "warn")


def grade_spreads(sheet):
    """[gap, times] pairs for each spread and size, as a multiset: how many gaps there are of each length."""
    return {spread["name"]: grade_spread(sheet, spread) for spread in sheet.pattern.get("spreads", [])}


def grade_spread(sheet, spread):
    """One spread in every size."""
    references = [(spread["change"], (STITCH, PLAIN)), (spread["in"], (STITCH,))]
    return each_size(sheet, f"spreads.{spread['name']}", references, gaps)


def gaps(change, stitches):
    """The lengths of the gaps, which differ by at most one: {length: how many}."""
    k = abs(int(change))
    if k == 0:
        return {}
    if stitches < (2 * k if change < 0 else k):  # each decrease takes two stitches
        raise NoResultError
    short, longer = divmod(int(stitches), k)
    return {gap: times for gap, times in ((short, k - longer), (short + 1, longer)) if times}


def amount(text):
    """A literal's number alone."""
    return literal(text)[0]
