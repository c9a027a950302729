"""What a call asks for and what its garments are judged by, read from the version handed out."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import cast

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded, read_core
from catalogue.drawings.measuring_pictures import MeasuringPicture, measuring_picture
from catalogue.editions.chosen import values_left_out
from catalogue.models import Pattern, Version
from catalogue.versions.frozen_grades import frozen_graded
from catalogue.versions.records import canonical, read_record
from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.grade.grade import Graded
from grading.core.instructions.choice_words import choice_words
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import print_words, render_step
from grading.core.pattern.pattern import (
    BodyEntry,
    FabricEntry,
    PatternFile,
    PieceEntry,
    ValueEntry,
    YarnEntry,
)
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.yarn.needs import CombinedNeed, applies
from grading.grid.origins import printed_names
from grading.sheets.documents import entries_of
from grading.sheets.naming import names_in
from testing.asked.expected import ExpectedMeasurement, Ground
from testing.asked.gauge_advice import tool_word
from testing.asked.yarn_shown import AmountInWords, YarnShown, grams_in_words, metres_in_words
from testing.models import Placement, TestCall

NO_STEP = "A step that this version no longer has"


@dataclass(frozen=True)
class Figures:
    """A pattern with its numbers, frozen or, before the first version, as it stands.

    `chosen` are the options of one garment; without any, all that the pattern can be is meant.
    """

    pattern: PatternFile
    graded: Graded
    chosen: Mapping[str, str] = field(default_factory=dict)

    @property
    def measurements(self) -> list[ValueEntry]:
        """The values that a maker can lay a tape along, in the garment that is made."""
        left_out = self._left_out
        return [
            value
            for value in self.pattern.values
            if value.measured is not None and value.name not in left_out
        ]

    @property
    def pieces(self) -> list[PieceEntry]:
        """The pieces of the garment that is made."""
        return [piece for piece in self.pattern.pieces if applies(dict(piece.when), self.options)]

    @property
    def fabrics(self) -> tuple[FabricEntry, ...]:
        """The fabrics whose gauge is asked."""
        return self.pattern.fabrics

    @property
    def tool(self) -> str:
        """What it is made with: "hook" or "needle"."""
        return tool_word(self.pattern.craft)

    @property
    def yarns(self) -> tuple[YarnEntry, ...]:
        """The yarn roles that are weighed: of a garment whose options are known, those that it takes."""
        need = self._need if self.chosen else None
        if need is None:
            return self.pattern.yarns
        taken = {colour for colour, of in need.colours.items() if any(of.weight_g > 0)}
        return tuple(yarn for yarn in self.pattern.yarns if yarn.colour in taken) or self.pattern.yarns

    @property
    def yarn_needs(self) -> list[YarnShown]:
        """What each colour takes with these options or the usual ones, one number per size; an estimate."""
        return self._yarn_shown(None)

    @property
    def yarn_by_size(self) -> list[tuple[str, list[str]]]:
        """Each size with what the colours of known amount take, in the order of `yarn_columns`."""
        columns = self._known_amounts
        return [
            (size, [told(self._need, yarn, place) for yarn, _, told in columns])
            for place, size in enumerate(self.pattern.sizes)
            if columns
        ]

    @property
    def yarn_columns(self) -> list[str]:
        """The columns of that table, as “A (g)”: grams, and metres of a yarn whose length is known."""
        return [f"{yarn.colour} ({unit})" for yarn, unit, _ in self._known_amounts]

    @property
    def _known_amounts(self) -> list[tuple[YarnEntry, str, AmountInWords]]:
        """Each yarn with the units in which its amount is known, and how that is told."""
        units: list[tuple[str, AmountInWords]] = [("g", grams_in_words), ("m", metres_in_words)]
        return [
            (yarn, unit, told)
            for yarn in self.yarns
            for unit, told in units
            if any(told(self._need, yarn, place) for place in range(len(self.pattern.sizes)))
        ]

    def yarn_needs_of(self, size: str) -> list[YarnShown]:
        """The same in one size."""
        return self._yarn_shown(self.pattern.sizes.index(size) if size in self.pattern.sizes else None)

    def _yarn_shown(self, place: int | None) -> list[YarnShown]:
        shown = []
        for yarn in self.yarns:
            text = grams_in_words(self._need, yarn, place)
            metres = metres_in_words(self._need, yarn, place)
            when = "" if text else self._needed_with(yarn, place)
            shown.append(YarnShown(yarn.colour, yarn.label, text, when, metres))
        return shown

    def _needed_with(self, yarn: YarnEntry, place: int | None) -> str:
        """The choices that a colour is needed with and its grams then, as “in striped colours, 150 g”."""
        found = []
        for option in self.pattern.options:
            needing = {one: self._grams_with(yarn, {option.name: one}, place) for one in option.choices}
            choices = [
                f"{choice_words([(option.name, (one,))], self.pattern)}, {grams} g"
                for one, grams in needing.items()
                if grams
            ]
            if choices and len(choices) < len(option.choices):
                found.append(" or ".join(choices))
        return "; ".join(found)

    def _grams_with(self, yarn: YarnEntry, chosen: Mapping[str, str], place: int | None) -> str:
        """The grams of a colour with a choice, all else as usual; else those of the first that takes it."""
        needs = [need for need in self.graded.yarn if chosen.items() <= dict(need.options).items()]
        needs.sort(key=lambda need: dict(need.options) != {**self.options, **chosen})
        return next(filter(None, (grams_in_words(need, yarn, place) for need in needs)), "")

    @property
    def body(self) -> tuple[BodyEntry, ...]:
        """The body measurements that the sizes are made for."""
        return self.pattern.body

    @property
    def is_for_child(self) -> bool:
        """Whether a child or baby will wear it, so that the body measured is not the maker's own."""
        return self.pattern.wearer in ("child", "baby")

    @property
    def options(self) -> dict[str, str]:
        """The choice of each option: as told, or else as usual."""
        return {option.name: option.default for option in self.pattern.options} | dict(self.chosen)

    @property
    def _need(self) -> CombinedNeed | None:
        """The yarn for these options."""
        return next((need for need in self.graded.yarn if dict(need.options) == self.options), None)

    @property
    def _left_out(self) -> set[str]:
        """The values that stand only on pieces which these options leave out."""
        if not self.chosen:
            return set()
        return values_left_out(self.pattern.pieces, self.pieces)

    def size_place(self, size: str) -> int:
        """The place of a size from 0; ValueError when the pattern has no such size."""
        return self.pattern.sizes.index(size)

    def lines(self) -> list[ExpectedMeasurement]:
        """The finished measurements as judged."""
        return [
            ExpectedMeasurement(value.name, value.label, value.measured.tolerance)
            for value in self.measurements
            if value.measured is not None
        ]

    def ground(self) -> Ground:
        """The frozen counts and the pattern's own gauge."""
        return Ground(
            pattern=self.pattern,
            gauge={
                fabric.name: {"stitches": fabric.stitches_per_mm, "rows": fabric.rows_per_mm}
                for fabric in self.fabrics
            },
            counts={
                **{name: of.worked for name, of in self.graded.values.items() if of.kind in COUNT_KINDS},
                **self.graded.pick_ups,
            },
        )

    def edition(self, units: str, size: str | None = None) -> PrintForm:
        """The pattern in its own terms, in these units."""
        return PrintForm(cast("Units", units), cast("Terms", self.pattern.home_terms), size)

    @property
    def gauge_word(self) -> str:
        """What the pattern's own terms call a gauge, as its copy does."""
        return "gauge" if self.pattern.home_terms == "US" else "tension"

    def words(self, text: str, units: str) -> str:
        """A short text as printed, such as how to measure, in the pattern's own terms."""
        return print_words(text, facts_of(self.pattern, self.graded), self.edition(units))

    def picture(self, value: ValueEntry, size: str) -> MeasuringPicture | None:
        """Where to measure a value, drawn from the pieces; None where no piece has a line for it."""
        facts = facts_of(self.pattern, self.graded)
        return measuring_picture(facts, self.graded, value, self.size_place(size))

    def steps(self, size: str | None = None, *, in_full: bool = False) -> list[tuple[str, str]]:
        """Place and beginning of each step as printed: ("sections[0].steps[2]", "Back, step 3: Rib …").

        Steps that are for other sizes are left out. With `in_full` all words of a step stand there.
        """
        return [
            (f"sections[{i}].steps[{j}]", f"{self.pattern.sections[i].title}, step {number}: {words}")
            for i, steps in self._printed_steps(size, in_full=in_full)
            for number, (j, words) in enumerate(steps, 1)
        ]

    def steps_by_section(self, size: str) -> list[tuple[str, list[tuple[str, str]]]]:
        """The steps of a size under the titles of their sections, numbered as printed: "Step 3: Rib …"."""
        return [
            (
                self.pattern.sections[i].title,
                [
                    (f"sections[{i}].steps[{j}]", f"Step {at}: {words}")
                    for at, (j, words) in enumerate(steps, 1)
                ],
            )
            for i, steps in self._printed_steps(size)
            if steps
        ]

    def printed_numbers(self, size: str) -> dict[tuple[int, int], int]:
        """The number that each step of a size has in its section as printed; the keys count from 0."""
        return {(i, j): at for i, steps in self._printed_steps(size) for at, (j, _) in enumerate(steps, 1)}

    def _printed_steps(
        self, size: str | None, *, in_full: bool = False
    ) -> list[tuple[int, list[tuple[int, str]]]]:
        """By section, the steps that are printed for a size, or for all, each with its beginning."""
        facts = facts_of(self.pattern, self.graded)
        edition = self.edition(self.pattern.home_units, size)
        return [
            (
                i,
                [
                    (j, parts[0].text if in_full else _shortened(parts[0].text))
                    for j, step in enumerate(section.steps)
                    if (parts := render_step(step, facts, edition))
                ],
            )
            for i, section in enumerate(self.pattern.sections)
        ]

    def steps_making(self, name: str) -> list[tuple[str, str]]:
        """The steps that print a value, or what it is made of: those that a maker follows to it."""
        if not name:
            return []
        document = self.pattern.typed
        values, made_of, waiting = dict(entries_of(document, "values")), {name}, [name]
        while waiting:
            named = set(names_in("values", values.get(waiting.pop(), {}))) & values.keys() - made_of
            made_of |= named
            waiting += named
        places = {
            f"sections[{i}].steps[{j}]"
            for i, section in enumerate(document.get("sections", []))
            for j, step in enumerate(section["steps"])
            if made_of & set(printed_names(step))
        }
        return [(place, words) for place, words in self.steps() if place in places]


def version_figures(version: Version) -> Figures:
    """The numbers of a frozen version; kept, since they never change."""
    return _frozen_figures(version.record)


@lru_cache(maxsize=16)
def _frozen_figures(record: str) -> Figures:
    """Work out a record, given as text so that it can be looked up again."""
    graded = frozen_graded(read_record(record))
    return Figures(graded.pattern, graded)


def is_behind_draft(version: Version) -> bool:
    """Whether the draft was changed since a version was frozen."""
    now = read_record(canonical(pattern_document(version.pattern)))
    return bool(read_record(version.record)["pattern"] != now)


def pattern_figures(pattern: Pattern) -> Figures:
    """The numbers of a pattern as it stands now."""
    return Figures(read_core(pattern), graded(pattern))


def call_figures(call: TestCall) -> Figures:
    """The numbers of the version a call hands out, or of the pattern before the first."""
    return version_figures(call.version) if call.version else pattern_figures(call.pattern)


def placement_figures(placement: Placement) -> Figures:
    """The numbers that a tester works from: those of their own result's version, for their options."""
    result = getattr(placement, "result", None)
    figures = version_figures(result.version) if result else call_figures(placement.call)
    offered = figures.pattern.option_choices()
    told = options_of(placement)
    chosen = {name: choice for name, choice in told.items() if choice in offered.get(name, ())}
    return replace(figures, chosen=chosen) if chosen else figures


def options_of(placement: Placement) -> dict[str, str]:
    """The options that a tester told: those sent in, or else those chosen with the place."""
    result = getattr(placement, "result", None)
    sent = [entry for entry in result.entries.all() if entry.part == "option"] if result else []
    return {entry.name: entry.meant["choice"] for entry in sent} if sent else dict(placement.options)


def _shortened(step: str) -> str:
    """The beginning of a step in one line."""
    words = " ".join(step.split())
    return words if len(words) <= 70 else words[:69].rstrip() + "…"
