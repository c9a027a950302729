"""The front page at a glance: skill level, yarn weight, gauge, tools, sizes, ease and construction."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from catalogue.editions.size_choice import SizePair, ease_words
from catalogue.editions.tool_sizes import asked_tools, asks_smaller
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import FabricEntry, YarnEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import length_range
from grading.core.tools.tools import us_size
from grading.core.yarn.lengths import weights_of_length
from grading.core.yarn.weights import YARN_WEIGHTS, YarnWeight

# Source: Craft Yarn Council, project levels (four steps), as two reprints give them.
SKILLS = {
    "basic": "basic stitches; may include basic increases and decreases",
    "easy": "may include simple stitch patterns, color work and/or shaping",
    "intermediate": "may include involved stitch patterns, color work and/or shaping",
    "complex": (
        "may include complex stitch patterns, color work and/or shaping, using a variety of techniques and "
        "stitches simultaneously"
    ),
}
STEPS_MM, STEP_GAP_MM = 2.6, 0.7


@dataclass(frozen=True)
class SkillStep:
    """One of the four steps: where it stands, how high, and whether the pattern reaches it."""

    x: float
    y: float
    width: float
    height: float
    is_reached: bool


@dataclass(frozen=True)
class SkillLevel:
    """The level of a pattern: its name, its words and the picture of its steps."""

    name: str
    words: str
    title: str
    steps: tuple[SkillStep, ...]


@dataclass(frozen=True)
class GlanceRow:
    """A fact: what it is called and what it is."""

    term: str
    text: str


@dataclass(frozen=True)
class Glance:
    """All that the front page says."""

    skill: SkillLevel | None
    weights: tuple[YarnWeight, ...]
    weight_words: str
    halves: tuple[tuple[GlanceRow, ...], tuple[GlanceRow, ...]]
    construction: str


def glance(facts: Facts, edition: PrintForm, kept: Sequence[int], pair: SizePair | None) -> Glance:
    """Gather the facts of the front page; what a pattern does not say is left out."""
    weights = _weights(facts.pattern.yarns)
    return Glance(
        skill=skill_level(facts.pattern.skill, edition),
        weights=weights if all(len(fitting_weights(yarn)) <= 1 for yarn in facts.pattern.yarns) else (),
        weight_words=", ".join(dict.fromkeys(weight_words(facts.pattern.yarns))),
        halves=(
            (*_making(facts, edition), *_terms(facts, edition)),
            tuple(_fitting_rows(facts, edition, kept, pair)),
        ),
        construction=facts.plain(facts.pattern.construction or "", edition),
    )


def skill_level(skill: str | None, edition: PrintForm) -> SkillLevel | None:
    """The level as words and steps; None where the pattern names none."""
    if skill is None:
        return None
    level = list(SKILLS).index(skill) + 1
    words = SKILLS[skill] if edition.terms == "US" else SKILLS[skill].replace("color", "colour")
    steps = tuple(
        SkillStep(
            round(place * (STEPS_MM + STEP_GAP_MM), 2),
            round(4.4 - 1.1 * (place + 1), 2),
            STEPS_MM,
            round(1.1 * (place + 1), 2),
            place < level,
        )
        for place in range(len(SKILLS))
    )
    return SkillLevel(skill.capitalize(), words, f"Step {level} of {len(SKILLS)}", steps)


def _weights(yarns: Sequence[YarnEntry]) -> tuple[YarnWeight, ...]:
    """The weights of the yarns, from fine to thick, each once; several for one yarn that may be either."""
    fitting = {weight.number for yarn in yarns for weight in fitting_weights(yarn)}
    return tuple(weight for weight in YARN_WEIGHTS if weight.number in fitting)


def fitting_weights(yarn: YarnEntry) -> tuple[YarnWeight, ...]:
    """The weight that a yarn is told to have, else those that its length allows."""
    if yarn.yarn_weight is not None:
        return (YARN_WEIGHTS[yarn.yarn_weight],)
    return weights_of_length(yarn.length_per_100g_m) if yarn.length_per_100g_m else ()


def weight_words(yarns: Sequence[YarnEntry]) -> Iterator[str]:
    """Each yarn's weight by number and name."""
    for yarn in yarns:
        if fitting := fitting_weights(yarn):
            yield " or ".join(f"{weight.number} {weight.name}" for weight in fitting)


def _making(facts: Facts, edition: PrintForm) -> Iterator[GlanceRow]:
    """What it is made with, beside the yarn."""
    pattern = facts.pattern
    if pattern.fabrics:
        word = "Gauge" if edition.terms == "US" else "Tension"
        yield GlanceRow(word, _gauge(pattern.fabrics[0], facts, edition))
    if tools := _tools(facts, edition):
        names = ("Needles", "Needles") if facts.craft == "knitting" else ("Hook", "Hooks")
        yield GlanceRow(names[len(tools) > 1], ", ".join(tools))


def _terms(facts: Facts, edition: PrintForm) -> Iterator[GlanceRow]:
    """In whose terms it is written: a maker has to know before anything is worked."""
    if facts.pattern.wording > WIDE_WORDING:
        craft = "knitting" if facts.craft == "knitting" else "crochet"
        yield GlanceRow("Terms", f"{edition.terms} {craft} terms")


def _fitting_rows(
    facts: Facts, edition: PrintForm, kept: Sequence[int], pair: SizePair | None
) -> Iterator[GlanceRow]:
    """Whom it fits: body, garment and the ease between."""
    if pair is None:
        return
    for term, numbers, label in (
        ("To fit", pair.body_mm, pair.body.label),
        ("Finished", pair.finished_mm, pair.finished.label),
    ):
        told = length_range([numbers[place] for place in kept], edition, facts.pattern.wording)
        name = facts.plain(label, edition)
        yield GlanceRow(term, f"{name[:1].lower()}{name[1:]} {told}" if name else told)
    yield GlanceRow("Ease", ease_words(pair, edition, kept, facts.pattern.wording))


def _gauge(fabric: FabricEntry, facts: Facts, edition: PrintForm) -> str:
    """The gauge of the main fabric in a few words."""
    over = "4 in (10 cm)" if edition.units == "in" else "10 cm (4 in)"
    label = facts.plain(fabric.label, edition)
    return f"{label}, {fabric.stitches:g} stitches and {fabric.rows:g} rows over {over}"


def _tools(facts: Facts, edition: PrintForm) -> list[str]:
    """The sizes of hooks or needles, largest first, each once; with their US names in US terms.

    A smaller one that only the steps ask for is among them.
    """
    pattern = facts.pattern
    used = {fabric.tool_mm for fabric in pattern.fabrics if fabric.tool_mm}
    asked = asked_tools(pattern).values() if asks_smaller(pattern) else ()
    sizes = sorted({*used, *asked}, reverse=True)
    named = [(size, us_size(size, facts.craft) if edition.terms == "US" else None) for size in sizes]
    return [f"{size:g} mm (US {name})" if name else f"{size:g} mm" for size, name in named]
