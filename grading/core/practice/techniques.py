"""What a pattern has to teach: the techniques that its sheet and steps really have."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from grading.core.audit.patterns import Line, audit_pattern
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import facts_of
from grading.core.instructions.references import Form, Reference, parse_references
from grading.core.pattern.pattern import CountOrName, PatternFile, StripesEntry
from grading.core.practice.counts import Counts

Kind = Literal[
    "foundation",
    "stitch_pattern",
    "increases",
    "decreases",
    "spread",
    "curve",
    "mirror",
    "pick_up",
    "stripes",
]
FOUNDATION = "foundation"
_UNITS = re.compile(r",?\s*\b(?:stitches|rows|rounds|steps)\b")
CURVE_FORMS: tuple[Form, ...] = ("start", "end", "ends", "reversed")


@dataclass(frozen=True)
class Technique:
    """Something to be learned: its kind, the entry of the pattern that it comes from, and its label."""

    kind: Kind
    name: str
    label: str

    @property
    def key(self) -> str:
        """What it is known by where it is ticked."""
        return f"{self.kind}:{self.name}" if self.name else self.kind

    @property
    def called(self) -> str:
        """What it is called among its kind, with the labels of its lines: “sleeve taper (Cuff → Top)”."""
        return self.label.partition(": ")[2] or self.label


@dataclass(frozen=True)
class Place:
    """Where the steps name an entry: section and step from 0, and the form of the reference."""

    section: int
    step: int
    form: Form


@dataclass(frozen=True)
class Teaching:
    """A graded pattern as it is looked at for what it teaches."""

    pattern: PatternFile
    graded: Graded

    @cached_property
    def counts(self) -> Counts:
        """Its counts and their rules."""
        return Counts(self.pattern, self.graded)

    @cached_property
    def places(self) -> dict[str, list[Place]]:
        """Where the steps name each entry, in the order of the work."""
        found: dict[str, list[Place]] = {}
        for section, of in enumerate(self.pattern.sections):
            for step, text in enumerate(of.steps):
                for piece in parse_references(text).pieces:
                    if isinstance(piece, Reference):
                        found.setdefault(piece.name, []).append(Place(section, step, piece.form))
                        if piece.form == "with":
                            found.setdefault(piece.extra[0], []).append(Place(section, step, "plain"))
        return found

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The count audit of the pattern; of none whose steps can't be read as they are."""
        if any(one.weight == "stop" and one.where.startswith("sections") for one in self.graded.findings):
            return ()
        return audit_pattern(facts_of(self.pattern, self.graded))

    def lines_of(self, name: str) -> list[Line]:
        """The audited lines in which an entry is worked."""
        named = re.compile(rf"\{{{name}\b")
        return [line for line in self.lines if named.search(line.text)]

    def forms(self, curve: str) -> list[Form]:
        """The forms in which a curve is worked, each once, in the order of the work."""
        forms = [place.form for place in self.places.get(curve, ()) if place.form in CURVE_FORMS]
        return list(dict.fromkeys(forms))

    def size_of(self, plans: list[bool]) -> int | None:
        """Return the size nearest the middle in which something is worked; None where it is in none."""
        middle = (len(plans) - 1) / 2
        having = [place for place, has in enumerate(plans) if has]
        return min(having, key=lambda place: abs(place - middle), default=None)


def offered_techniques(of: Teaching) -> tuple[Technique, ...]:
    """Return what a pattern can be practised for: in the order of the work, then what no step names.

    Args:
        of: The graded pattern.

    Returns:
        The foundation first; shapings that change nothing in any size are left out.
    """
    found = sorted(_techniques(of), key=lambda one: _order(of, one))
    return (Technique("foundation", "", "Foundation"), *found)


def _order(of: Teaching, one: Technique) -> tuple[bool, int, int, bool]:
    """Where a technique comes in the work."""
    place = next(iter(of.places.get(one.name, ())), None)
    late = one.kind == "mirror"
    return (True, 0, 0, late) if place is None else (False, place.section, place.step, late)


def in_words(name: str) -> str:
    """Return the name of an entry as people read it."""
    return name.replace("_", " ")


def told_name(of: Teaching, name: str, *lines: CountOrName) -> str:
    """Return an entry by its name, and by the labels of the lines that it hangs on, without their units.

    Args:
        of: The graded pattern.
        name: The entry.
        lines: Its lines, as from which stitches to which; whole numbers have no label.
    """
    labels = {one.name: one.label for one in of.pattern.values}
    told = [_UNITS.sub("", labels[line]).strip() for line in lines if line in labels]
    wanted = [one for one in dict.fromkeys(told) if one.lower() != in_words(name)]
    return in_words(name) + (f" ({' → '.join(wanted)})" if wanted else "")


def _techniques(of: Teaching) -> Iterator[Technique]:
    """All techniques but the foundation, in file order."""
    pattern, graded = of.pattern, of.graded
    for one in pattern.stitch_patterns:
        yield Technique("stitch_pattern", one.name, f"Stitch pattern repeat: {one.label}")
    yield from _shapings(of)
    for spread in pattern.spreads:
        if any(plan.runs for plan in graded.spreads[spread.name]):
            yield Technique(
                "spread",
                spread.name,
                f"Changes spread over a row: {told_name(of, spread.name, spread.within)}",
            )
    for pick_up in pattern.pick_ups:
        if any(plan is not None and plan.stitches for plan in graded.pick_up_plans[pick_up.name]):
            told = told_name(of, pick_up.name, pick_up.count)
            yield Technique("pick_up", pick_up.name, f"Pick-up along {pick_up.along}: {told}")
    for stripes in _different(pattern.stripes):
        colours = ", ".join(colour for colour, _ in stripes.sequence)
        where = "on the return pass" if stripes.change == "return pass" else "where a row begins"
        yield Technique(
            "stripes", stripes.name, f"Colour change {where}: {in_words(stripes.name)} ({colours})"
        )


def _shapings(of: Teaching) -> Iterator[Technique]:
    """Increases, decreases and curves, in file order."""
    for shaping in of.pattern.shapings:
        changes = [plan.change for plan in of.graded.shapings[shaping.name] if plan.runs]
        told = told_name(of, shaping.name, shaping.start, shaping.end)
        if changes and changes[0] > 0:
            yield Technique("increases", shaping.name, f"Increases: {told}")
        elif changes:
            yield Technique("decreases", shaping.name, f"Decreases: {told}")
    for curve in of.pattern.curves:
        if any(plan.drops and sum(plan.drops) for plan in of.graded.curves[curve.name]):
            told = told_name(of, curve.name, curve.width)
            yield Technique("curve", curve.name, f"Curve in steps: {told}")
            if _is_mirrored(of, curve.name):
                yield Technique("mirror", curve.name, f"The same mirrored: {told}")


def _is_mirrored(of: Teaching, curve: str) -> bool:
    """Return whether a curve is worked at one edge and, elsewhere, at the other or the other way round."""
    forms = of.forms(curve)
    return {"start", "end"} <= set(forms) or ("reversed" in forms and len(forms) > 1)


def _different(stripes: tuple[StripesEntry, ...]) -> list[StripesEntry]:
    """Return stripes that differ in their sequence or in where the colour changes; others teach the same."""
    return list({(one.sequence, one.change): one for one in reversed(stripes)}.values())[::-1]
