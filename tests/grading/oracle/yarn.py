"""Yarn of a pattern file: every combination of options, colour by colour, size by size."""

import itertools
import math
from fractions import Fraction

from tests.grading.oracle.arithmetic import TOLERANCE, NoResultError, evaluate
from tests.grading.oracle.formulas import AREA, PLAIN, ROW, WEIGHT, FormulaError, literal


def notice_stripes(sheet):
    """Stripes that begin at, or use, something unknown."""
    known_colours = {yarn["colour"] for yarn in sheet.pattern.get("yarns", [])}
    for stripe in sheet.pattern.get("stripes", []):
        start = stripe.get("start", 0)
        known_start = isinstance(start, int) or sheet.known.get(start) in (ROW, PLAIN)
        if not known_start or not {colour for colour, _ in stripe["sequence"]} <= known_colours:
            sheet.find(f"stripes.{stripe['name']}", None, "stop")


def grade_yarn(sheet):
    """The yarn of every combination of choices."""
    notice_stripes(sheet)
    options = sheet.pattern.get("options", [])
    sections = [
        read_ways(sheet, place, raw) for place, raw in enumerate(sheet.pattern.get("yarn_sections", []))
    ]
    for name in sheet.fabrics:
        used = any(raw["fabric"] == name for raw in sheet.pattern.get("yarn_sections", []))
        if used and "swatch" not in sheet.fabrics[name]:
            sheet.find(f"fabrics.{name}", None, "stop")
    if math.prod(len(option["choices"]) for option in options) > 256:
        sheet.find("options", None, "stop")
        return []
    if "yarns" not in sheet.pattern:
        return []
    names = [option["name"] for option in options]
    combinations = itertools.product(*(option["choices"] for option in options))
    return [combine(sheet, sections, dict(zip(names, choices, strict=True))) for choices in combinations]


def choices_of(wanted):
    """What a condition on one option allows."""
    return [wanted] if isinstance(wanted, str) else wanted


def unresolved(sheet, when):
    """Whether a condition names an option or a choice that there is not."""
    known = {option["name"]: option["choices"] for option in sheet.pattern.get("options", [])}
    return any(
        name not in known or not set(choices_of(wanted)) <= set(known[name]) for name, wanted in when.items()
    )


def read_ways(sheet, place, raw):
    """A section as it is, then in the colour or stripes of each choice; each finding once."""
    told = len(sheet.findings)
    plain = {key: one for key, one in raw.items() if key not in {"colour", "stripes"}}
    coloured = [
        {key: one[key] for key in ("colour", "stripes") if key in one} for one in raw.get("by_choice", [])
    ]
    ways = [read_section(sheet, place, way) for way in [raw, *({**plain, **one} for one in coloured)]]
    new = dict.fromkeys(sheet.findings[told:])
    sheet.findings[told:] = new
    return ways


def chosen_way(ways, choices):
    """The way that the first fitting choice asks for, else the section as it is."""
    for way, one in zip(ways[1:], ways[0]["raw"].get("by_choice", []), strict=True):
        if choices.get(one["option"]) == one["choice"]:
            return way
    return ways[0]


def read_section(sheet, place, raw):
    """What each colour of a section weighs in each size; one finding where it can't be read."""
    where = f"yarn_sections[{place}]"
    section = {"raw": raw, "colours": colours_of(sheet, raw), "weights": None}
    whens = [raw.get("when", {}), *({one["option"]: one["choice"]} for one in raw.get("by_choice", []))]
    # it may apply: no number rather than a wrong one
    section["always"] = any(unresolved(sheet, when) for when in whens)
    if section["always"] and "by_choice" in raw:
        section["colours"] = [yarn["colour"] for yarn in sheet.pattern.get("yarns", [])]
    try:
        section["weights"] = read_weights(sheet, where, raw, section["colours"])
    except FormulaError:
        sheet.find(where, None, "stop")
    return section


def colours_of(sheet, raw):
    """The colours that a section may use."""
    if "colour" in raw:
        return [raw["colour"]]
    for stripe in sheet.pattern.get("stripes", []):
        if stripe["name"] == raw["stripes"]:
            return [colour for colour, _ in stripe["sequence"]]
    return [yarn["colour"] for yarn in sheet.pattern.get("yarns", [])]  # it may have been any of them


def read_weights(sheet, where, raw, colours):
    """{colour: weight} for each size, or None where it is not known."""
    known_colours = [yarn["colour"] for yarn in sheet.pattern.get("yarns", [])]
    node = sheet.read_formula(raw["worked"], AREA)
    whens = [raw.get("when", {}), *({one["option"]: one["choice"]} for one in raw.get("by_choice", []))]
    if raw["fabric"] not in sheet.fabrics or any(unresolved(sheet, when) for when in whens):
        raise FormulaError("unknown fabric, option or choice")
    stripe = None
    if "stripes" in raw:
        found = [stripe for stripe in sheet.pattern.get("stripes", []) if stripe["name"] == raw["stripes"]]
        rows = raw["rows"]
        if not found or not (isinstance(rows, int) or sheet.known.get(rows) in (ROW, PLAIN)):
            raise FormulaError("unknown stripes or rows")
        stripe = found[0]
    if not colours or not set(colours) <= set(known_colours):
        raise FormulaError("unknown colour")
    extra = read_extra(sheet, raw.get("extra", "0 g"))
    return [weigh(sheet, where, (node, extra, stripe), raw, size) for size in range(len(sheet.sizes))]


def read_extra(sheet, extra):
    """A literal weight, or the name of a weight value."""
    if sheet.known.get(extra) == WEIGHT:
        return lambda size: sheet.look_up(extra, size)
    number, dimension = literal(extra)
    if dimension != WEIGHT:
        raise FormulaError("not a weight")
    return lambda _: number


def weigh(sheet, where, read, raw, size):
    """{colour: weight} of one section in one size."""
    node, extra, stripe = read
    swatch = sheet.fabrics[raw["fabric"]].get("swatch")
    try:
        worked = evaluate(node, lambda name: sheet.look_up(name, size))
        shares = (
            {raw.get("colour"): Fraction(1)} if stripe is None else share(sheet, stripe, raw["rows"], size)
        )
    except NoResultError:
        sheet.find(where, size, "stop")
        return None
    if swatch is None or None in (worked, extra(size), shares):
        return None
    per_unit = literal(swatch["weight"])[0] / (swatch["stitches"] * swatch["rows"])
    return {colour: (worked * per_unit + extra(size)) * part for colour, part in shares.items()}


def share(sheet, stripe, rows, size):
    """The share of each colour over these rows, return passes counted where they change colour."""
    total, used = sheet.look_up(rows, size), sheet.look_up(stripe.get("start", 0), size)
    if total is None or used is None:
        return None
    if total < 1:
        raise NoResultError
    sequence = [colour for colour, times in stripe["sequence"] for _ in range(times)]
    order = [sequence[(int(used) + row) % len(sequence)] for row in range(int(total))]
    forward = (
        Fraction(str(stripe.get("forward_share", "0.5"))) if stripe.get("change") == "return pass" else 1
    )
    shares = dict.fromkeys(sequence, Fraction(0))
    for row, colour in enumerate(order):
        after = order[row + 1] if row + 1 < len(order) else colour
        shares[colour] += forward
        shares[after] += 1 - forward
    return {colour: rows_of / total for colour, rows_of in shares.items()}


def combine(sheet, sections, choices):
    """Weight, length and balls of each colour for one combination."""
    chosen = [chosen_way(ways, choices) for ways in sections]
    applying = [
        section for section in chosen if section["always"] or applies(section["raw"].get("when", {}), choices)
    ]
    return {
        "options": choices,
        "colours": {yarn["colour"]: buy(sheet, applying, yarn) for yarn in sheet.pattern.get("yarns", [])},
    }


def applies(when, choices):
    """Whether every option is chosen as the condition wants."""
    return all(choices.get(name, None) in choices_of(wanted) for name, wanted in when.items())


def buy(sheet, sections, yarn):
    """One colour of one combination, in every size."""
    weights = [weight(sheet, sections, yarn["colour"], size) for size in range(len(sheet.sizes))]
    metres = literal(yarn["length_per_100g"])[0] / 1000 if "length_per_100g" in yarn else None
    ball = literal(yarn["put_up"])[0] if "put_up" in yarn else None
    return {
        "weight": weights,
        "length": [None if None in (w, metres) else w * metres / 100 for w in weights],
        "balls": [None if None in (w, ball) else math.ceil(w / ball - TOLERANCE) for w in weights],
    }


def weight(sheet, sections, colour, size):
    """Grams of one colour in one size, with the allowance; None where a part is not known."""
    total = Fraction(0)
    for section in sections:
        if colour not in section["colours"]:
            continue
        if section["weights"] is None or section["weights"][size] is None:
            return None
        total += section["weights"][size].get(colour, 0)
    return total * (1 + literal(str(sheet.pattern.get("yarn_allowance", 0)))[0])
