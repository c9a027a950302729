"""What an application is asked about before it is sent: kindly, and only where it looks like a slip; pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from testing.access.lengths import length_in
from testing.access.typed import MM_PER_UNIT, UNIT_NAMES, has_unit
from testing.access.typed_fields import TypedMeasure
from testing.asked.bodies import SizeBodies, body_number

# How far beyond the smallest and the largest size a measurement may lie before it is asked about, as a share.
BEYOND = 0.20
# A wish is asked about when it is further from the body than the nearest size by more than this: the step of
# the size charts of the trade, 5 cm or 2 in (common practice), and a little; ours.
STEP_CM = 6.0
OTHER_UNIT = {"cm": "in", "in": "cm"}


@dataclass(frozen=True)
class Question:
    """What is asked, why, and the answers by their keys; a key holds what was asked and fits no other."""

    label: str
    why: str
    answers: dict[str, str]

    @property
    def first(self) -> str:
        """The key of the first answer, by which what was typed is changed where there are two."""
        return next(iter(self.answers))


def unit_slips(bodies: SizeBodies, body: Mapping[str, TypedMeasure], units: str) -> dict[str, TypedMeasure]:
    """The measurements typed without a unit that fit no size as they are, and would in the other unit."""
    other, slips = OTHER_UNIT[units], {}
    for name, one in body.items():
        if has_unit(one.typed) or _is_near(bodies, name, one.number):
            continue
        meant_mm = one.number * MM_PER_UNIT[other] / MM_PER_UNIT[units]
        if _is_near(bodies, name, meant_mm):
            slips[name] = TypedMeasure(f"{one.typed} {other}", meant_mm)
    return slips


def unit_question(bodies: SizeBodies, slips: Mapping[str, TypedMeasure], units: str) -> Question:
    """Ask whether some measurements are in the other unit."""
    other = OTHER_UNIT[units]
    said = [
        f"{bodies.labels[name]} {one.typed} is {length_in(one.number, units)}" for name, one in slips.items()
    ]
    key = ",".join(f"{name}={one.typed}" for name, one in slips.items())
    which = UNIT_NAMES[other]
    return Question(
        label=f"Did you measure in {which}?",
        why=f"In {UNIT_NAMES[units]} it would be far from every size. {'; '.join(said)}.",
        answers={f"{other} {key}": f"Yes, in {which}", f"{units} {key}": f"No, in {UNIT_NAMES[units]}"},
    )


def far_question(bodies: SizeBodies, body: Mapping[str, TypedMeasure], units: str) -> Question | None:
    """Ask about measurements that are far from every size, whatever their unit; None where there is none."""
    far = {name: one for name, one in body.items() if not _is_near(bodies, name, one.number)}
    if not far:
        return None
    said = []
    for name, one in far.items():
        low, high = (body_number(mm, units) for mm in _span(bodies, name))
        said.append(
            f"{bodies.labels[name]} {length_in(one.number, units)}: sizes are made for {low} to {high}"
        )
    key = ",".join(f"{name}={one.typed}" for name, one in far.items())
    return Question(
        label="Is that right?",
        why=f"It is far from every size. {'; '.join(said)}.",
        answers={f"right {key}": "Yes, it is right as I typed it"},
    )


def wish_question(bodies: SizeBodies, body_mm: Mapping[str, float], wish: str, units: str) -> Question | None:
    """Ask about a first wish that is more than a size away from the body; None where it is not."""
    nearest = bodies.nearest(body_mm)
    wished_cm = bodies.distance_cm(wish, body_mm) if wish in bodies.sizes else None
    nearest_cm = bodies.distance_cm(nearest, body_mm) if nearest else None
    if wished_cm is None or nearest_cm is None or wished_cm - nearest_cm <= STEP_CM:
        return None
    made_for = bodies.of_size(wish)
    said = [
        f"{bodies.labels[name]} {length_in(mm, units)}, and you typed {length_in(body_mm[name], units)}"
        for name, mm in made_for.items()
        if name in body_mm
    ]
    key = f"{wish} " + ",".join(f"{name}={mm:g}" for name, mm in sorted(body_mm.items()))
    return Question(
        label="Which size would you like first?",
        why=f"Your measurements fit size {nearest} best. Size {wish} is made for: {'; '.join(said)}.",
        answers={
            f"{nearest} for {key}": f"{nearest}, it fits me",
            f"{wish} for {key}": f"{wish}, as I chose",
        },
    )


def _span(bodies: SizeBodies, name: str) -> tuple[float, float]:
    """The smallest and the largest body that sizes are made for, in mm."""
    known = [mm for mm in bodies.body_mm.get(name, ()) if mm is not None]
    return (min(known), max(known)) if known else (0.0, float("inf"))


def _is_near(bodies: SizeBodies, name: str, mm: float) -> bool:
    """Whether a measurement may be that of somebody whom the sizes are made for."""
    low, high = _span(bodies, name)
    return low * (1 - BEYOND) <= mm <= high * (1 + BEYOND)
