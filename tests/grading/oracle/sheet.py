"""The values of a pattern file: exact, worked and ideal numbers, and what is noticed about them."""

import math
import re
from fractions import Fraction
from itertools import pairwise
from statistics import median

from tests.grading.oracle import formulas
from tests.grading.oracle.arithmetic import HALF, TOLERANCE, NoResultError, evaluate
from tests.grading.oracle.dimensions import dimension
from tests.grading.oracle.formulas import KINDS, LENGTH, PLAIN, ROW, STITCH, FormulaError, literal

COUNTS = {"stitches", "rows", "count"}


def number_of(entry):
    """A number of an entry of a list, in mm, g, m or as a count."""
    return None if entry is None else literal(entry)[0]


class Sheet:
    """One pattern file, evaluated on demand, size by size."""

    def __init__(self, pattern):
        self.pattern = pattern
        self.sizes = pattern["sizes"]
        self.findings = []
        self.values = {value["name"]: value for value in pattern.get("values", [])}
        self.body = pattern.get("body", {})
        self.fabrics = pattern.get("fabrics", {})
        self.curves = {curve["name"]: curve for curve in pattern.get("curves", [])}
        self.pick_ups = {pick_up["name"]: pick_up for pick_up in pattern.get("pick_ups", [])}
        self.memo = {}
        self.known = self.known_dimensions()
        self.nodes = {}
        self.broken = set()
        self.find_static_errors()
        self.find_circles()

    def find(self, where, size, weight):
        """Note a finding; size is a number, or None for all."""
        self.findings.append((where, None if size is None else self.sizes[size], weight))

    # Names and dimensions

    def known_dimensions(self):
        """What each name in a formula is."""
        known = {"size_number": PLAIN}
        known |= dict.fromkeys(self.body, LENGTH)
        known |= {name: KINDS[value["kind"]] for name, value in self.values.items()}
        known |= dict.fromkeys(self.pick_ups, STITCH)
        known |= {f"{name}.length": LENGTH for name, curve in self.curves.items() if "fabric" in curve}
        for name in self.fabrics:
            known |= {f"{name}.stitches": (-1, 1, 0, 0, 0), f"{name}.rows": (-1, 0, 1, 0, 0)}
            known |= {f"{name}.multiple": STITCH, f"{name}.plus": STITCH}
        return known

    def read_formula(self, text, wanted):
        """Read a formula of a wanted dimension, or raise."""
        node = formulas.read(text)
        found = dimension(node, self.known)
        if found not in (None, wanted):
            raise FormulaError("wrong dimension")
        return node

    def find_static_errors(self):
        """One finding for each value whose formula or rounding can't be read."""
        for name, value in self.values.items():
            try:
                if "formula" in value:
                    self.nodes[name] = self.read_formula(value["formula"], KINDS[value["kind"]])
            except FormulaError:
                self.broken.add(name)
            if value.get("round", {}).get("fabric") not in {None, *self.fabrics}:
                self.broken.add(name)
            if name in self.broken:
                self.find(f"values.{name}", None, "stop")

    def needs(self, name):
        """The names that a value, a pick-up or the length of a curve hangs on."""
        if name in self.nodes:
            return formulas.names(self.nodes[name])
        if name in self.pick_ups:
            return {self.pick_ups[name]["count"]}
        curve = self.curves.get(name.removesuffix(".length"))
        return {curve["width"], curve["depth"]} if curve and name.endswith(".length") else set()

    def find_circles(self):
        """One finding for each circle, at its first member in the file; the members are blank."""
        places = [*self.values, *self.pick_ups, *(f"{name}.length" for name in self.curves)]
        reach = {name: self.reachable(name) for name in places}
        told: set[str] = set()
        for name in places:
            if name not in reach[name]:
                continue
            circle = {other for other in reach[name] if name in reach.get(other, ())}
            self.broken.add(name)
            if not circle & told:
                self.find(f"values.{name}", None, "stop")
            told |= circle

    def reachable(self, name):
        """All names that this one hangs on."""
        found, waiting = set(), [name]
        while waiting:
            for other in self.needs(waiting.pop()):
                if other not in found and other in self.known:
                    found.add(other)
                    waiting.append(other)
        return found

    # Numbers

    def look_up(self, name, size, ideal=False):
        """The worked (or ideal) number of a name in one size."""
        if isinstance(name, int | float):
            return Fraction(str(name))
        if name == "size_number":
            return Fraction(size + 1)
        if name in self.body:
            entry = self.body[name]["values"][size]
            return None if entry is None else literal(f"{entry} {self.body[name]['unit']}")[0]
        if name in self.broken or name not in self.known:
            return None
        key = (name, size, ideal)
        if key not in self.memo:
            self.memo[key] = self.work_out(name, size, ideal)
        return self.memo[key]

    def work_out(self, name, size, ideal):
        """A number of a fabric, a curve, a pick-up or a value."""
        if "." in name:
            owner, part = name.split(".")
            if owner in self.curves:
                return self.curve_length(self.curves[owner], size, ideal)
            return self.fabric_number(owner, part)
        if name in self.pick_ups:
            return self.pick_up_number(self.pick_ups[name], size, ideal)
        value = self.values[name]
        exact = self.exact(name, size, ideal)
        return exact if ideal else self.rounded(exact, value.get("round"), value["kind"])

    def fabric_number(self, name, part):
        """Stitches or rows in a mm, or the multiple and plus."""
        fabric = self.fabrics[name]
        if part == "multiple":
            return Fraction(fabric.get("multiple", 1))
        if part == "plus":
            return Fraction(fabric.get("plus", 0))
        over = Fraction(100) if fabric["over"] == "10 cm" else Fraction("101.6")
        return Fraction(str(fabric[part])) / over

    def exact(self, name, size, ideal):
        """A value before its own rounding."""
        value = self.values[name]
        if name in self.broken:
            return None
        if "list" in value:
            return number_of(value["list"][size])
        if "steps" in value:
            return self.stepped(value["steps"], size)
        try:
            return evaluate(self.nodes[name], lambda other: self.look_up(other, size, ideal), unrounded=ideal)
        except NoResultError:
            if not ideal and ("told", name, size) not in self.memo:
                self.memo["told", name, size] = True
                self.find(f"values.{name}", size, "stop")
            return None

    def stepped(self, steps, size):
        """The base, and the increments from its size to this one."""
        base = self.sizes.index(steps["base_size"])
        low, high = min(base, size), max(base, size)
        way = sum((number_of(step) for step in steps["step"][low:high]), Fraction(0))
        return number_of(steps["base"]) + (way if size > base else -way)

    def rounding(self, rounding, kind):
        """How to round, the multiple and the plus; None where nothing is rounded."""
        if rounding is None:
            return ("nearest", Fraction(1), Fraction(0)) if kind in COUNTS else None
        if "fabric" in rounding:
            fabric = rounding["fabric"]
            return rounding["to"], self.fabric_number(fabric, "multiple"), self.fabric_number(fabric, "plus")
        return rounding["to"], number_of(rounding.get("multiple", 1)), number_of(rounding.get("plus", 0))

    def rounded(self, exact, rounding, kind):
        """What can be worked: multiple * k + plus."""
        how = self.rounding(rounding, kind)
        if exact is None or how is None:
            return exact
        to, multiple, plus = how
        steps = (exact - plus) / multiple
        k = {
            "nearest": math.floor(steps + HALF + TOLERANCE),
            "up": math.ceil(steps - TOLERANCE),
            "down": math.floor(steps + TOLERANCE),
        }[to]
        return multiple * (max(k, 0) if plus > 0 else k) + plus

    def pick_up_number(self, pick_up, size, ideal):
        """p stitches for every q rows or stitches, rounded once."""
        count = self.look_up(pick_up["count"], size, ideal)
        if count is None or self.known.get(pick_up["count"], STITCH) not in (STITCH, ROW):
            return None
        p, q = (int(part) for part in pick_up["ratio"].split("per"))
        exact = count * p / q
        return exact if ideal else self.rounded(exact, pick_up.get("round"), "stitches")

    def rows_per_step(self, curve):
        """Rows that one step of a curve takes."""
        return curve.get("every", 2 if self.pattern["craft"] == "knitting" else 1)

    def curve_length(self, curve, size, ideal):
        """The smooth edge: a quarter of an ellipse, or a hypotenuse."""
        width, depth = (self.look_up(curve[side], size, ideal) for side in ("width", "depth"))
        if width is None or depth is None or curve["fabric"] not in self.fabrics:
            return None
        if depth < 0 or width < 0:
            return None
        across = float(width / self.fabric_number(curve["fabric"], "stitches"))
        along = float(depth * self.rows_per_step(curve) / self.fabric_number(curve["fabric"], "rows"))
        if curve["shape"] == "straight":
            return Fraction(math.hypot(across, along))
        return Fraction(quarter_ellipse(across, along))

    # What is noticed without being asked

    def notice_values(self):
        """Findings about single values, in every size."""
        for name, value in self.values.items():
            worked = [self.look_up(name, size) for size in range(len(self.sizes))]
            ideal = [self.look_up(name, size, True) for size in range(len(self.sizes))]
            self.notice_counts(value, worked)
            self.notice_shrinking(value, worked)
            if "measured" in value:
                self.notice_measured(value, worked, ideal)
                self.notice_jumps(value, ideal)

    def is_settled(self, entry, size, what=None):
        """Whether a warning in a size was said to be right."""
        return any(
            one.get("what") == what and self.sizes[size] in one["sizes"] for one in entry.get("settled", [])
        )

    def notice_counts(self, value, worked):
        """Counts below zero, and list entries off their own rounding."""
        where = f"values.{value['name']}"
        for size, number in enumerate(worked):
            if number is None:
                continue
            if value["kind"] in COUNTS and number < 0 and not self.is_change(value):
                self.find(where, size, "stop")
            off = "list" in value and abs(number - number_of(value["list"][size])) > TOLERANCE
            if off and not self.is_settled(value, size, "multiple"):
                self.find(where, size, "warn")

    def is_change(self, value):
        """Whether a value is what a spread changes a row by, where less than nothing means fewer."""
        return any(one["change"] == value["name"] for one in self.pattern.get("spreads", []))

    def notice_shrinking(self, value, worked):
        """A measured value or a count that is smaller than in the last size that has one."""
        silenced = value.get("may_shrink") and value.get("note")
        if silenced or not ("measured" in value or value["kind"] in COUNTS):
            return
        last = None
        for size, number in enumerate(worked):
            if number is None:
                continue
            shrinks = last is not None and last - number >= 1 - TOLERANCE
            if number < 0 and self.is_change(value):
                shrinks = False
            if shrinks and not self.is_settled(value, size, "may_shrink"):
                self.find(f"values.{value['name']}", size, "warn")
            last = number

    def notice_measured(self, value, worked, ideal):
        """Rounding beyond the tolerance, and ease outside its limits."""
        measured = value["measured"]
        where = f"values.{value['name']}"
        tolerance = number_of(measured["tolerance"])
        body = measured.get("compares_to")
        if body is not None and body not in self.body:
            self.find(where, None, "stop")
        for size, (number, wish) in enumerate(zip(worked, ideal, strict=True)):
            if number is None:
                continue
            moved = wish is not None and abs(number - wish) > tolerance + TOLERANCE
            if moved and not self.is_settled(value, size, "rounding"):
                self.find(where, size, "warn")
            girth = self.look_up(body, size) if body in self.body else None
            if girth is not None and "ease" in measured and not self.is_settled(value, size, "ease"):
                least, most = (number_of(limit) for limit in measured["ease"])
                if number - girth < least - TOLERANCE or number - girth > most + TOLERANCE:
                    self.find(where, size, "warn")

    def notice_jumps(self, value, ideal):
        """A step between neighbours far from the median step."""
        pairs = [
            (size, second - first)
            for size, (first, second) in enumerate(pairwise(ideal), 1)
            if first is not None and second is not None
        ]
        silenced = value.get("may_jump") and value.get("note")
        if silenced or not pairs or sum(number is not None for number in ideal) < 5:
            return
        usual = median(step for _, step in pairs)
        for size, step in pairs:
            odd = step > 2 * usual + TOLERANCE or step < usual / 2 - TOLERANCE
            odd = odd and not self.is_settled(value, size, "may_jump")
            odd = odd and not (self.are_ages(size) and self.body_jumps(value["name"], size))
            if usual > 0 and odd and abs(step - usual) > 10 + TOLERANCE:
                self.find(f"values.{value['name']}", size, "warn")

    def are_ages(self, size):
        """Whether the step to a size is one between ages, which lie unevenly apart."""
        return all(re.fullmatch(r"\d+ ?(y|m|years?|months?)", one) for one in self.sizes[size - 1 : size + 1])

    def body_jumps(self, name, size):
        """Whether a body measurement that a line comes from jumps at the same step."""
        for body in self.body.keys() & set(self.reachable(name)):
            girths = [self.look_up(body, at) for at in range(len(self.sizes))]
            steps = {
                at: second - first
                for at, (first, second) in enumerate(pairwise(girths), 1)
                if first is not None and second is not None
            }
            if size not in steps or sum(girth is not None for girth in girths) < 5:
                continue
            usual, step = median(steps.values()), steps[size]
            if usual > TOLERANCE and (step > 2 * usual + TOLERANCE or step < usual / 2 - TOLERANCE):
                return True
        return False


def quarter_ellipse(a, b):
    """A quarter of the way round an ellipse, by arithmetic-geometric means (Abramowitz, Stegun 17.6)."""
    if min(a, b) <= 0:
        return max(a, b)
    a, b = max(a, b), min(a, b)
    x, y, left, power = 1.0, b / a, (1 - (b / a) ** 2) / 2, 1.0
    while x - y > 1e-15:
        x, y, half = (x + y) / 2, math.sqrt(x * y), (x - y) / 2
        left += power * half * half
        power *= 2
    return a * math.pi / (2 * x) * (1 - left)
