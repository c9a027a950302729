"""Stripe plans: the stripes of each size as worked, in the chosen shades, and whether they differ enough."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import cast

import numpy as np

from catalogue.drawings.stripe_bands import UNKNOWN, BandFill, StripeBand, draw_bands, swatch
from catalogue.drawings.stripe_bars import HIGHEST_MM, ROW_MM, TYPE_MM, StripeBar, draw_bar
from catalogue.drawings.stripe_tables import (
    band_row,
    ends,
    first_row,
    last_label,
    parts_label,
    totals,
)
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_headed
from grading.core.pattern.pattern import StripesEntry, YarnSectionEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import PrintForm, Terms
from grading.core.printing.sentences import stripe_words
from grading.core.printing.size_rows import PageRow
from grading.core.printing.wording import Voice, listed, small
from grading.core.yarn.colour import (
    EYES,
    FULL_COLOUR,
    LEAST_LIGHTNESS_STEP,
    Triple,
    encoded_rgb,
    judge_neighbours,
    parse_shade,
    print_shade,
    seen_by,
)
from grading.core.yarn.stripes import RETURN_PASS, StripePlan, StripeRepeat, neighbours, plan_stripes

Shades = Mapping[str, Mapping[str, str]]
TableOfParts = Callable[[Sequence[StripePlan]], Iterator[PageRow]]


@dataclass(frozen=True)
class StripeSheet:
    """The stripes of parts that are worked alike."""

    parts: str
    when: str
    words: str
    blended: bool
    bars: tuple[StripeBar, ...]
    rows: tuple[PageRow, ...]
    first_row: str
    problems: tuple[str, ...]
    bands: tuple[StripeBand, ...] = ()
    ends: tuple[PageRow, ...] = ()
    band_row: str = ""
    noun: str = "row"


@dataclass(frozen=True)
class ColourKey:
    """A colour of the stripes: its letter, its name, and what it is drawn in."""

    letter: str
    label: str
    srgb: str
    sample: BandFill | None = None


@dataclass(frozen=True)
class Pair:
    """Two colours that meet, and whether they can be told apart."""

    one: str
    other: str
    enough: bool
    says: str
    steps: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Seen:
    """One repeat of the stripes as a kind of eyes sees it."""

    eyes: str
    bar: StripeBar


@dataclass(frozen=True)
class StripeWork:
    """Everything that is said about the stripes of a pattern."""

    key: tuple[ColourKey, ...]
    sheets: tuple[StripeSheet, ...]
    pairs: tuple[Pair, ...]
    seen: tuple[Seen, ...]
    missing: tuple[str, ...]
    has_names: bool = False
    """Whether shades that are missing are named by the pattern."""


def stripe_work(
    facts: Facts, shades: Shades, voice: Voice, kept: Sequence[int], *, type_mm: float = TYPE_MM
) -> StripeWork | None:
    """Lay out the stripes of all parts; None for a pattern without stripes in use."""
    groups = _groups(facts)
    if not groups:
        return None
    used = [colour for one in groups for colour in _sequence(one.stripes).colours]
    letters = list(dict.fromkeys([*(y.colour for y in facts.pattern.yarns if y.colour in used), *used]))
    key = tuple(_colour_key(facts, shades, letters, letter) for letter in letters)
    colours = {one.letter: one.srgb for one in key}
    missing = tuple(letter for letter in letters if letter not in shades)
    # Nothing is known of how light a yarn without a shade is: it is drawn as white, told by its texture.
    inked = {letter: UNKNOWN if letter in missing else srgb for letter, srgb in colours.items()}
    key = tuple(replace(one, sample=swatch(inked[one.letter], place)) for place, one in enumerate(key))
    sheets = [_sheet(facts, one, voice, kept, (colours, inked, type_mm)) for one in groups]
    meeting = dict.fromkeys(
        pair for one in groups for plans in one.plans for place in kept for pair in neighbours(plans[place])
    )
    names = {one.letter: _named(one, shades) for one in key}
    pairs = () if missing else tuple(_pair(names, colours, pair) for pair in meeting)
    seen = () if missing else tuple(_seen(groups[0].stripes, colours, eyes) for eyes in EYES)
    has_names = any(yarn.shade for yarn in facts.pattern.yarns if yarn.colour in missing)
    return StripeWork(key, tuple(sheets), pairs, seen, missing, has_names)


def repeat_bar(facts: Facts, shades: Shades, stripes: StripesEntry, repeats: int) -> StripeBar | None:
    """Draw so many repeats of a stripe sequence, used or not; None where it can't be worked."""
    sequence = _sequence(stripes)
    letters = list(dict.fromkeys(colour for colour, _ in sequence.runs))
    colours = {letter: _colour_key(facts, shades, letters, letter).srgb for letter in letters}
    plan = plan_stripes(sequence, repeats * sum(rows for _, rows in sequence.runs))
    if not plan.rows:
        return None
    row_mm = min(ROW_MM, HIGHEST_MM / len(plan.rows))
    name = "one repeat" if repeats == 1 else f"{repeats} repeats"
    return draw_bar(name, plan.rows, stripes.forward_share, colours, (row_mm, 3.1))


@dataclass(frozen=True)
class _Group:
    """Parts in the same stripes: those over the same rows together, each lot with its plan for each size."""

    stripes: StripesEntry
    lots: tuple[tuple[YarnSectionEntry, ...], ...]
    plans: tuple[list[StripePlan], ...]

    @property
    def sections(self) -> list[YarnSectionEntry]:
        """All parts."""
        return [section for lot in self.lots for section in lot]

    def longest(self, place: int) -> StripePlan:
        """The stripes of the part that has the most rows in a size: they show those of the others."""
        return max((plans[place] for plans in self.plans), key=lambda plan: len(plan.rows or ()))


def _groups(facts: Facts) -> list[_Group]:
    """Parts in stripes: those in the same stripes together; once only those over the same rows."""
    known = {stripes.name: stripes for stripes in facts.pattern.stripes}
    found: dict[tuple[str, object], list[YarnSectionEntry]] = {}
    choices = facts.pattern.option_choices()
    ways = [way for section in facts.pattern.yarn_sections for way in section.ways(choices)]
    for section in ways:
        if section.stripes in known:
            found.setdefault((section.stripes, section.rows), []).append(section)
    groups: dict[object, list[tuple[YarnSectionEntry, ...]]] = {}
    for key, sections in found.items():
        groups.setdefault(key if _is_apart(facts) else key[0], []).append(tuple(sections))
    return [_group(facts, known[str(lots[0][0].stripes)], lots) for lots in groups.values()]


def _is_apart(facts: Facts) -> bool:
    """Whether parts in the same stripes over other rows are shown apart, as they once were."""
    return facts.pattern.wording <= WIDE_WORDING


def _group(facts: Facts, stripes: StripesEntry, lots: Sequence[tuple[YarnSectionEntry, ...]]) -> _Group:
    """Parts in the same stripes with their plans."""
    return _Group(stripes, tuple(lots), tuple(_plans(facts, stripes, lot[0]) for lot in lots))


def _sequence(stripes: StripesEntry) -> StripeRepeat:
    """The sequence as the calculation takes it."""
    return StripeRepeat(stripes.sequence, stripes.change, stripes.forward_share)


def _plans(facts: Facts, stripes: StripesEntry, section: YarnSectionEntry) -> list[StripePlan]:
    """The stripes of a part in every size."""
    rows, starts = facts.row(section.rows), facts.row(stripes.start)
    return [plan_stripes(_sequence(stripes), *pair) for pair in zip(rows, starts, strict=True)]


def _colour_key(facts: Facts, shades: Shades, letters: Sequence[str], letter: str) -> ColourKey:
    """A colour with its yarn; a grey of its own as long as no shade is chosen."""
    shade = shades.get(letter)
    if shade and parse_shade(shade["srgb"]) is not None:
        return ColourKey(letter, f"{shade['yarn']}, {shade['shade']}", shade["srgb"])
    yarn = next((yarn for yarn in facts.pattern.yarns if yarn.colour == letter), None)
    label = yarn.label if yarn else ""
    if yarn and yarn.shade and facts.pattern.wording > WIDE_WORDING:
        label = f"{label}; {yarn.shade}"
    return ColourKey(letter, label, _even_grey(letters.index(letter), len(letters)))


def _named(key: ColourKey, shades: Shades) -> str:
    """A colour as a sentence calls it: its letter and the name of its shade."""
    shade = shades.get(key.letter)
    return f"{key.letter} ({shade['shade']})" if shade else key.letter


def _even_grey(place: int, of: int) -> str:
    """One of so many greys, spread evenly in lightness from light to dark."""
    lightness = 90.0 - (60.0 * place / (of - 1) if of > 1 else 30.0)
    return print_shade(encoded_rgb(np.full(3, ((lightness + 16) / 116) ** 3)))


def _sheet(
    facts: Facts,
    group: _Group,
    voice: Voice,
    kept: Sequence[int],
    look: tuple[Mapping[str, str], Mapping[str, str], float],
) -> StripeSheet:
    """Bars and table of one group of parts."""
    stripes, sections = group.stripes, group.sections
    sizes, colours, inked, type_mm = facts.pattern.sizes, *look
    plans = [group.longest(place) for place in range(len(sizes))]
    whens = {section.when for section in sections}
    drawn = [(sizes[place], plan) for place in kept if (plan := plans[place]).rows]
    row_mm = min(ROW_MM, HIGHEST_MM / max((len(plan.rows or ()) for _, plan in drawn), default=1))
    starts = [None if start is None else round(start) for start in facts.row(stripes.start)]
    return StripeSheet(
        parts=parts_label(sections, facts),
        when=when_headed(sections[0].when, facts, PrintForm(terms=cast("Terms", voice.terms)))
        if len(whens) == 1 or _is_apart(facts)
        else "",
        words=stripe_words(_sequence(stripes), voice, starts=starts, rounds=facts.in_rounds),
        noun=facts.row_noun,
        blended=stripes.change == RETURN_PASS,
        bars=tuple(
            draw_bar(size, plan.rows or (), stripes.forward_share, colours, (row_mm, type_mm))
            for size, plan in drawn
        ),
        rows=tuple(_of_lots(group, facts, kept, partial(totals, _sequence(stripes)))),
        first_row=first_row(sections, facts, voice),
        band_row=band_row(sections, facts, voice),
        problems=tuple(
            f"Size {sizes[place]}: {problem}"
            for of_lot in group.plans
            for place in kept
            if (problem := of_lot[place].problem)
        ),
        bands=draw_bands(drawn, inked, type_mm, is_wide=facts.pattern.wording <= WIDE_WORDING),
        ends=tuple(
            _of_lots(group, facts, kept, partial(ends, noun=facts.row_noun, last=last_label(facts, voice)))
        ),
    )


def _of_lots(group: _Group, facts: Facts, kept: Sequence[int], rows_of: TableOfParts) -> Iterator[PageRow]:
    """The rows of a table for each lot of parts, named after its parts where there are several lots."""
    for lot, plans in zip(group.lots, group.plans, strict=True):
        named = parts_label(lot, facts)
        for row in rows_of([plans[place] for place in kept]):
            label = f"{named}: {small(row.label)}" if len(group.lots) > 1 else row.label
            yield replace(row, label=label)


def _pair(names: Mapping[str, str], colours: Mapping[str, str], pair: tuple[str, str]) -> Pair:
    """Judge two colours that meet."""
    verdict = judge_neighbours(_shade(colours[pair[0]]), _shade(colours[pair[1]]))
    one, other = names[pair[0]], names[pair[1]]
    least = min(verdict.lightness_steps.values())
    if verdict.enough:
        says = (
            f"{one} and {other} are easy to tell apart, in grey print and with colour-blind sight: "
            f"{least:.0f} apart in L* at the least."
        )
    else:
        weak = listed([f"{eyes} eyes" for eyes in verdict.weak_eyes])
        says = (
            f"{one} and {other} look too much alike for {weak} in dim light, and in grey print: {least:.0f} "
            f"apart in L*, where {LEAST_LIGHTNESS_STEP:.0f} are needed. Choose a lighter or darker shade."
        )
    steps = tuple((eyes, f"{step:.0f}") for eyes, step in verdict.lightness_steps.items())
    return Pair(one, other, verdict.enough, says, steps)


def _shade(srgb: str) -> Triple:
    """A shade that was read before."""
    shade = parse_shade(srgb)
    if shade is None:
        raise ValueError(f"{srgb} is no shade.")
    return shade


def _seen(stripes: StripesEntry, colours: Mapping[str, str], eyes: str) -> Seen:
    """One repeat of the stripes for one kind of eyes."""
    sequence = _sequence(stripes)
    plan = plan_stripes(sequence, sum(rows for _, rows in sequence.runs))
    as_seen = {letter: print_shade(seen_by(_shade(srgb), eyes)) for letter, srgb in colours.items()}
    name = "Full colour" if eyes == FULL_COLOUR else f"{eyes.capitalize()} eyes"
    return Seen(name, draw_bar(name, plan.rows or (), stripes.forward_share, as_seen, (ROW_MM, TYPE_MM)))
