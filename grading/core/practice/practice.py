"""The practice piece of a pattern: from what is to be learned to a pattern file of one small size."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from grading.core.pattern.pattern import FabricEntry
from grading.core.practice import sheet as sheets
from grading.core.practice import words
from grading.core.practice.beginnings import foundation_wordings, stitch_of, straight_wordings, tool_words
from grading.core.practice.counts import Rules, all_hold
from grading.core.practice.demands import with_room
from grading.core.practice.foundations import Foundation, foundation_of
from grading.core.practice.overlays import bands_of, pick_up_over, stripes_over
from grading.core.practice.search import WANTED, Course, Wanted, smallest_course
from grading.core.practice.sheet import Names, Sheet, audited
from grading.core.practice.stages import SOFT, WHY, Stage, mirror_form, section_in_rounds, stage_of
from grading.core.practice.techniques import FOUNDATION, Teaching, Technique, in_words, offered_techniques
from grading.core.practice.words import Wording

TITLE, IN_ROUNDS, MIRROR = "Practice piece", "Practice piece in rounds", "Mirrored practice piece"
MOST = 20  # stitches and rows of one stage in a small piece
PLAIN_ROWS = 2  # after the rows of the foundation: one with each side facing


@dataclass(frozen=True)
class Part:
    """One piece: what it is called, how it goes, and whether a mirrored one belongs to it."""

    title: str
    course: Course
    is_mirrored: bool
    in_rounds: bool


@dataclass(frozen=True)
class PracticePiece:
    """A practice piece: what it teaches, its pieces, the pattern file of it, and what it can't keep."""

    techniques: tuple[Technique, ...]
    parts: tuple[Part, ...]
    typed: dict[str, Any]
    lost: tuple[str, ...]

    @property
    def is_small(self) -> bool:
        """Whether each piece has at most 20 stitches and 20 rows."""
        return all(one.course.widest <= WANTED and one.course.rows <= WANTED for one in self.parts)


def practice_piece(of: Teaching, keys: Iterable[str]) -> PracticePiece:
    """Compute the smallest piece that teaches what is ticked.

    Args:
        of: The graded pattern.
        keys: What is to be learned, by `Technique.key`; what the pattern has not is passed over.

    Returns:
        The piece; of no fabric at all, one without parts that says so. Its sheet is a pattern file of one
        size whose steps the count audit has read and found to agree.

    Source: derived.
    """
    wanted = _with_what_belongs(of, set(keys))
    if not of.pattern.fabrics:
        return PracticePiece(wanted, (), {}, ("The pattern has no fabric yet: add one with its gauge.",))
    return _Making(of, wanted).piece()


def _with_what_belongs(of: Teaching, keys: set[str]) -> tuple[Technique, ...]:
    """Return what is ticked, the foundation, and the curve of each mirror."""
    curves = {f"curve:{key.partition(':')[2]}" for key in keys if key.startswith("mirror:")}
    return tuple(one for one in offered_techniques(of) if one.key in {*keys, *curves, FOUNDATION})


class _Making:
    """A practice piece as it is made."""

    def __init__(self, of: Teaching, techniques: tuple[Technique, ...]) -> None:
        """Begin with nothing made."""
        self.of, self.techniques = of, techniques
        self.sheet = Sheet(of)
        self.sheet.begin(f"{of.pattern.title}: practice piece")
        self.sections: list[dict[str, Any]] = []
        self.parts: list[Part] = []
        self.lost: list[str] = []

    def piece(self) -> PracticePiece:
        """Make every part, and put the sheet together."""
        made = (stage_of(self.of, one, MOST) for one in self._in_order())
        stages = [with_room(self.of, stage) for stage in made if stage]
        flat = [stage for stage in stages if not stage.in_rounds]
        rounds = [stage for stage in stages if stage.in_rounds]
        row_ends = [one for one in self._of_kind("pick_up") if self._is_along_rows(one)]
        if flat or row_ends or not (rounds or self._begins_in_rounds()):
            self._make_all(flat, in_rounds=False)
        if rounds or not self.parts:
            self._make_all(rounds, in_rounds=True)
        if len(self.parts) > 1:
            self.lost.append(f"It does not all fit in one piece: there are {len(self.parts)}.")
        typed = {**self.sheet.typed, "sections": self.sections} if self.sections else {}
        return PracticePiece(self.techniques, tuple(self.parts), typed, tuple(dict.fromkeys(self.lost)))

    def _in_order(self) -> list[Technique]:
        """Return what is taught in the order of the work, each mirror right after its curve."""
        order = {one.name: place for place, one in enumerate(self.techniques) if one.kind == "curve"}
        places = {one.key: order.get(one.name, place) for place, one in enumerate(self.techniques)}
        return sorted(self.techniques, key=lambda one: (places[one.key], one.kind == "mirror"))

    def _of_kind(self, kind: str) -> list[Technique]:
        return [one for one in self.techniques if one.kind == kind]

    def _is_along_rows(self, technique: Technique) -> bool:
        return next(one.along for one in self.of.pattern.pick_ups if one.name == technique.name) == "row ends"

    def _begins_in_rounds(self) -> bool:
        """Whether the pattern begins with a piece in rounds."""
        return section_in_rounds(self.of, 0)

    # --- one part
    def _make_all(self, stages: list[Stage], *, in_rounds: bool) -> None:
        """Make one part, and more where its stages don't fit into one piece."""
        left = self._make(stages, in_rounds=in_rounds)
        while left:
            left = self._make(left, in_rounds=in_rounds)

    def _title(self, *, in_rounds: bool) -> str:
        """Return what the next part is called."""
        title = IN_ROUNDS if in_rounds and self.parts else TITLE
        before = sum(one.title.rstrip(" 0123456789") == title for one in self.parts)
        return f"{title} {before + 1}" if before else title

    def _make(self, stages: list[Stage], *, in_rounds: bool) -> list[Stage]:
        """Make one part, the smallest there is; return the stages that it has no room for."""
        fabric = self._fabric(stages)
        foundation = foundation_of(self.of, stages, fabric, in_rounds=in_rounds)
        rules = self._foundation_rules(foundation, stages)
        names, foundation = self._names(foundation)
        self.sheet.add_fabric(fabric.name)
        beginning, least_rows = self._beginning(foundation, names, fabric, rules, in_rounds=in_rounds)
        stripes = self._of_kind("stripes") if not self.parts else []
        picked = self._picked(in_rounds=in_rounds)
        overs = [pick_up_over(self.of, one, fabric) for one in picked]
        overs += [stripes_over(self.of, stripes)] if stripes else []
        wanted = Wanted(tuple(stages), tuple(overs), rules, least_rows, in_rounds)
        course, kept = self._course(wanted)
        left = stages[len(kept.stages) :]
        if course is None:
            self.lost += [f"{one.technique.label}: no small piece can be worked." for one in stages[:1]]
            return stages[1:]
        # What lies over the piece and fits it not is left out from the last on: stripes first.
        if len(kept.over) <= len(picked):
            stripes, picked = [], picked[: len(kept.over)]
        part = _PartOf(self._title(in_rounds=in_rounds), course, names, fabric, beginning, in_rounds)
        self._tell_losses(part, kept.stages)
        self._write(part, stripes, rules, picked)
        return left

    def _names(self, foundation: Foundation) -> tuple[Names, Foundation]:
        """Return names that are not taken, and the words of a foundation with the name of its line."""
        taken = {one.name for one in self.techniques} | {foundation.name}
        prefix = "practice" + (str(len(self.parts) + 1) if self.parts else "")
        while any(name.startswith(f"{prefix}_") for name in taken):
            prefix += "x"
        own = f"{prefix}_stitches"
        if foundation.name and all(one["name"] != foundation.name for one in self.sheet.typed["values"]):
            return Names(prefix, foundation.name), foundation
        texts = tuple(text.replace(f"{{{foundation.name}", f"{{{own}") for text in foundation.words)
        return Names(prefix, own), replace(foundation, words=texts)

    def _foundation_rules(self, foundation: Foundation, stages: Sequence[Stage]) -> Rules:
        """Return what the foundation keeps; one borrowed from another section keeps what its stage asks."""
        places = [place.section for stage in stages[:1] for place in self.of.places.get(stage.name, ())[:1]]
        is_borrowed = bool(places) and foundation.section not in places
        return () if is_borrowed or not foundation.name else self.of.counts.rules(foundation.name)

    def _picked(self, *, in_rounds: bool) -> list[Technique]:
        """Return the pick-ups of a part: all of the first; along row ends only where it has ends."""
        if self.parts:
            return []
        return [one for one in self._of_kind("pick_up") if not (in_rounds and self._is_along_rows(one))]

    def _fabric(self, stages: Sequence[Stage]) -> FabricEntry:
        """Return the fabric of a piece: that of its first stage, else the pattern's first."""
        found = (fabric for fabric in map(self._fabric_of, stages) if fabric is not None)
        return next(found, self.of.pattern.fabrics[0])

    def _fabric_of(self, stage: Stage) -> FabricEntry | None:
        """Return the fabric in which the pattern works a stage, where that is known."""
        pattern, counts = self.of.pattern, self.of.counts
        entries = [
            *((one.name, (one.start, one.end)) for one in pattern.shapings),
            *((one.name, (one.within,)) for one in pattern.spreads),
            *((one.name, one.over) for one in pattern.stitch_patterns),
            *((one.name, (one.width,)) for one in pattern.curves),
        ]
        named = next((one.fabric for one in pattern.curves if one.name == stage.name and one.fabric), None)
        if named is not None:
            return next((one for one in pattern.fabrics if one.name == named), None)
        lines = next((lines for name, lines in entries if name == stage.name), ())
        return next((fabric for fabric in map(counts.fabric, lines) if fabric is not None), None)

    def _course(self, wanted: Wanted) -> tuple[Course | None, Wanted]:
        """Return the smallest course of as many stages as fit in one piece; a mirror stays with its curve."""
        course = smallest_course(wanted)
        while course is None and len(wanted.stages) > 1:
            fewer = wanted.stages[:-2] if wanted.stages[-1].form == "reversed" else wanted.stages[:-1]
            if not fewer:
                break
            wanted = replace(wanted, stages=fewer)
            course = smallest_course(wanted)
        if course is None and wanted.over:
            self.lost.append("What lies over the piece fits no small one with the rest: tick fewer things.")
            return self._course(replace(wanted, over=wanted.over[:-1]))
        return course, wanted

    def _tell_losses(self, part: "_PartOf", stages: Sequence[Stage]) -> None:
        """Say what a part can't keep."""
        course, fabric = part.course, part.fabric
        losses = [*course.lost, *(loss for one in course.stages for loss in one.way.lost)]
        for key, says in sorted(losses, key=lambda loss: SOFT.index(loss[0])):
            self.lost.append(f"{says.removesuffix('.')}; {WHY[key]}." if key in WHY else says)
        for stage in stages:
            self.lost += self._lost_of_words(stage)
            own = self._fabric_of(stage)
            if own is not None and own.name != fabric.name:
                here = f"worked in {fabric.label} here, in {own.label} in the pattern"
                self.lost.append(f"{stage.technique.called}: {here}; one piece has one fabric.")
        self._tell_size(part)

    def _lost_of_words(self, stage: Stage) -> list[str]:
        """Say where the pattern describes a row that changes more stitches than one shaping row does here."""
        if sheets.is_described_otherwise(self.of, stage):
            called = stage.technique.called
            return [f"{called}: worked in one place here; in the pattern, in several at once."]
        return []

    def _tell_size(self, part: "_PartOf") -> None:
        """Say where a part is larger than it should be."""
        course = part.course
        if course.widest > WANTED or course.rows > WANTED:
            unit = "rounds" if part.in_rounds else "rows"
            self.lost.append(
                f"{part.title}: {course.widest} stitches and {course.rows} {unit}: "
                f"its multiples and its steps need more than {WANTED}."
            )

    # --- its words
    def _beginning(
        self, foundation: Foundation, names: Names, fabric: FabricEntry, rules: Rules, *, in_rounds: bool
    ) -> tuple[Wording, int]:
        """Return how a piece begins, and the rows that its first words work."""
        least = next(n for n in range(8, 1000) if all_hold(rules, n)) if rules else 8
        wordings = foundation_wordings(self.of, foundation, names.stitches, fabric, in_rounds=in_rounds)
        for wording in wordings:
            trial = Sheet(self.of)
            trial.begin(TITLE)
            trial.add_fabric(fabric.name)
            sheets.add_foundation(trial, names, least, fabric, rules)
            section = {"title": TITLE, "steps": list(wording.steps)}
            found = audited({**trial.typed, "sections": [section]})
            if found is not None and found and found[-1].sizes[0].stitches == least:
                done = found[-1].sizes[0].rows or 0
                return wording, max(done + 1, min(done, 1) + PLAIN_ROWS)
        return wordings[-1], 1 + PLAIN_ROWS

    def _write(
        self,
        part: "_PartOf",
        stripes: Sequence[Technique],
        rules: Rules,
        picked: Sequence[Technique],
    ) -> None:
        """Write a part into the sheet: its numbers, its drawing, its yarn and its steps."""
        of, names, course, fabric = self.of, part.names, part.course, part.fabric
        sheets.add_foundation(self.sheet, names, course.cast_on, fabric, rules)
        drawn = f"{part.title}, opened flat" if part.in_rounds else part.title
        sheets.add_course(self.sheet, names, course, fabric, drawn)
        bands = bands_of(of, stripes, course)
        sheets.add_stripes(self.sheet, bands)
        sheets.add_yarn(self.sheet, course, fabric, bands, part.title)
        mirrored = self._mirrored(course)
        begun = [Wording(words.stripes_step(one.name, repeats=one.repeats)) for one in bands[:1]]
        self._say(part.title, [[one] for one in (*begun, part.beginning)])
        self._say_plain_rows(part, bands)
        self._say_stages(part, 0, frozenset())
        if mirrored:
            self._write_mirror(part, mirrored, bands)
        self.parts.append(Part(part.title, course, bool(mirrored), part.in_rounds))
        for one in picked:
            self._write_edge(one, part)

    def _mirrored(self, course: Course) -> frozenset[str]:
        """Return the curves of a course that are to be mirrored in a piece of their own."""
        ticked = {one.name for one in self._of_kind("mirror")}
        return frozenset(
            one.stage.name
            for one in course.stages
            if one.stage.technique.kind == "curve"
            and one.stage.name in ticked
            and mirror_form(self.of, one.stage.name) in ("start", "end")
        )

    def _say_plain_rows(self, part: "_PartOf", bands: Sequence[sheets.Banding]) -> None:
        """Add the steps of the plain rows, and of the stripes that begin in them."""
        names, done = part.names, 0
        for place, band in enumerate(bands[1:]):
            done += bands[place].rows
            line = names.of("band", place)
            self.sheet.add_value(line, "rows", f"{done} rows", label="Rows of stripes")
            self._add_words(self._straight(part, line))
            self._add_words([Wording(words.stripes_step(band.name, repeats=band.repeats))])
        if done < part.course.straight:
            self._add_words(self._straight(part, names.of("straight")))

    def _straight(self, part: "_PartOf", line: str) -> list[Wording]:
        """Return how the plain rows up to a line may be said."""
        return straight_wordings(part.beginning, line, part.fabric, in_rounds=part.in_rounds)

    def _say(self, title: str, choices: Sequence[Sequence[Wording]]) -> None:
        """Begin a section and add to it, of each choice, the first wording that the audit agrees with."""
        self.sections.append({"title": title, "steps": []})
        for choice in choices:
            self._add_words(choice)

    def _add_words(self, choice: Sequence[Wording]) -> None:
        """Add the first wording whose counts agree; the last stands for itself."""
        section = self.sections[-1]
        before = section["steps"]
        for wording in choice:
            section["steps"] = [*before, *wording.steps]
            if len(choice) == 1 or audited({**self.sheet.typed, "sections": self.sections}) is not None:
                return

    def _say_stages(self, part: "_PartOf", begin: int, mirrored: frozenset[str]) -> None:
        """Add the steps of the stages of a part from one on, and how it ends."""
        course, names = part.course, part.names
        rows = course.stages[begin].rows_before if course.stages else course.rows
        for place, worked in list(enumerate(course.stages))[begin:]:
            plain = words.more_rows(worked.rows_before - rows, in_rounds=part.in_rounds)
            if plain:
                self._add_words([Wording(plain)])
            is_mirrored = worked.stage.name in mirrored
            lines = names.after(place), names.of("over", place)
            said = words.stage_wordings(
                self.of,
                worked,
                *lines,
                mirrored=is_mirrored or (bool(mirrored) and not worked.stage.is_curve),
            )
            told = self.sections[-1]["steps"]
            self._add_words([words.told_here(one, worked, told) for one in said])
            rows = worked.rows_before + worked.way.rows
        self._add_words([Wording((words.end_words(self.of),))])

    def _write_mirror(
        self, part: "_PartOf", mirrored: frozenset[str], bands: Sequence[sheets.Banding]
    ) -> None:
        """Write the mirrored piece: as the first up to its first mirrored curve, then at the other end."""
        course = part.course
        begin = next(i for i, one in enumerate(course.stages) if one.stage.name in mirrored)
        rows = course.stages[begin].rows_before
        others = sum(one.is_mirrored for one in self.parts)
        title = f"{MIRROR} {others + 1}" if others else MIRROR
        sheets.add_mirror(self.sheet, part.names, course, part.fabric, title)
        sheets.add_yarn(self.sheet, course, part.fabric, bands, title)
        first = words.mirror_begin(rows, in_rounds=part.in_rounds, title=part.title)
        self._say(title, [[Wording((first,))]])
        self._say_stages(part, begin, mirrored)

    def _write_edge(self, technique: Technique, part: "_PartOf") -> None:
        """Write a picked-up edge."""
        names, along_rows = part.names, self._is_along_rows(technique)
        sheets.add_pick_up(self.sheet, technique, names)
        entry = next(one for one in self.of.pattern.pick_ups if one.name == technique.name)
        title = f"Edge: {in_words(technique.name)}"
        sheets.add_edge_yarn(self.sheet, technique, entry.fabric, title)
        along = "row ends of one side" if along_rows else "foundation edge"
        along += f" of the {part.title.lower()}"
        fabric = next((one for one in self.of.pattern.fabrics if one.name == entry.fabric), part.fabric)
        is_crochet = self.of.pattern.craft == "crochet" or "crochet" in fabric.label.lower()
        stitch = stitch_of(self.of, fabric).short if is_crochet else ""
        first, *others = words.pick_up_steps(
            self.of, technique.name, along, stitch, sheets.edge_yarn(self.of)
        )
        hook = f"{fabric.tool_mm:g} mm hook" if is_crochet and fabric.tool_mm else ""
        tool = hook or tool_words(self.of, fabric, in_rounds=False)
        self._say(title, [[Wording((step,))] for step in (f"Tool: {tool}. {first}", *others)])


@dataclass(frozen=True)
class _PartOf:
    """A part with the names of its lines, its fabric, and how it is begun."""

    title: str
    course: Course
    names: Names
    fabric: FabricEntry
    beginning: Wording
    in_rounds: bool
