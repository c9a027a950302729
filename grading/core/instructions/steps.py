"""The steps of a pattern: what is wrong with their words, and how they print."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from grading.core.instructions.blocks import (
    BlockCondition,
    Passage,
    Passages,
    choices_left,
    read_blocks,
    sizes_kept,
)
from grading.core.instructions.choice_words import choice_words
from grading.core.instructions.facts import Facts
from grading.core.instructions.filling import Filler, Stretch, TableRow, plain_text
from grading.core.instructions.reference_checks import expands, name_problem, stands_alone
from grading.core.instructions.references import (
    Parsed,
    Reference,
    Written,
    line_and_column,
    parse_references,
    words_only,
)
from grading.core.instructions.sides import without_advice
from grading.core.instructions.terms import cut_at_left_alone, doubtful_terms
from grading.core.instructions.typed_numbers import BARE_LENGTH, written_length
from grading.core.instructions.unknown_abbreviations import unknown_abbreviations
from grading.core.instructions.unknown_capitals import explained_capitals, unknown_capitals
from grading.core.pattern.pattern import PatternFile, When
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.printing.numbers import number_list
from grading.core.printing.wording import capital, listed, size_names
from grading.core.sheet.findings import Finding, Weight

LONGEST_STEP = 20_000
MOST_FINDINGS = 50

_Noticed = tuple[int, Weight, str]


@dataclass(frozen=True)
class PrintedPart:
    """A part of a printed step: whom it is for ("" = everyone), its pieces, and their table."""

    label: str
    pieces: tuple[Stretch, ...]
    sizes: tuple[str, ...]
    table: tuple[TableRow, ...] = ()

    @property
    def text(self) -> str:
        """The part as plain text."""
        return plain_text(self.pieces)


def check_steps(pattern: PatternFile) -> list[Finding]:
    """Find what is wrong with the words of a pattern.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Returns:
        Findings at `sections[i].steps[j]`, `values.NAME` (how to measure) and `checks.NAME`, with
        line and column from 1: references and blocks that can't be read or name nothing, abbreviations
        in no list (stop);
        lengths outside braces, references that do not stand alone, doubtful terms (warn).
    """
    facts = Facts(pattern)
    found: list[Finding] = []
    known = explained_capitals(pattern) | frozenset(pattern.sizes)
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            noticed = _check_step(step, facts, section.when, known)
            found += _findings(f"sections[{i}].steps[{j}]", step, noticed)
    for value in pattern.values:
        if value.measured:
            how = value.measured.how
            found += _findings(f"values.{value.name}", how, _check_words(how))
    for check in pattern.checks:
        found += _findings(f"checks.{check.name}", check.says, _check_words(check.says))
    return found


def _findings(where: str, text: str, noticed: Sequence[_Noticed]) -> list[Finding]:
    """Turn what was noticed into findings with their places, in order, not more than is of use."""
    found = [
        Finding(where, None, weight, *line_and_column(text, offset), says)
        for offset, weight, says in sorted(noticed)[:MOST_FINDINGS]
    ]
    if len(noticed) > MOST_FINDINGS:
        says = f"There are {len(noticed) - MOST_FINDINGS} more findings here: put these right first."
        found.append(Finding(where, None, "stop", None, None, says))
    return found


def _check_step(text: str, facts: Facts, when: When, known: frozenset[str]) -> list[_Noticed]:
    """Notice what is wrong with one step of a section for these choices; `known` are words in capitals."""
    if len(text) > LONGEST_STEP:
        says = f"A step has at most {LONGEST_STEP:,} characters, this one {len(text):,}: divide it."
        return [(0, "stop", says)]
    cut = passages_of(text, facts.pattern)
    noticed: list[_Noticed] = [(one.offset, "stop", one.says) for one in cut.problems]
    for passage in cut.passages:
        parsed = parse_references(passage.text, passage.offset)
        words = words_only(passage.text, parsed, passage.offset)
        noticed += _check_references(passage, parsed, facts.kinds)
        noticed += _second_edges(parsed)
        noticed += _sums_of_measures(parsed, facts)
        noticed += [
            (passage.offset + place, "warn", says)
            for place, says in doubtful_terms(words, facts.home_terms, facts.craft)
        ]
        noticed += [
            (passage.offset + place, "stop", says)
            for place, says in unknown_abbreviations(
                words, facts.home_terms, facts.craft, facts.pattern.own_shorts(), facts.pattern.sizes
            )
        ]
        noticed += [
            (passage.offset + place, "warn", says)
            for place, says in unknown_capitals(
                words, facts.home_terms, facts.craft, facts.pattern.own_shorts(), known
            )
        ]
        noticed += _check_lengths(words, passage.offset)
        if not sizes_kept(passage.conditions, len(facts.pattern.sizes)):
            says = "No size is left here: the blocks around it exclude each other."
            noticed.append((passage.offset, "stop", says))
        if not _may_apply(passage, when):
            says = "No choice is left here: the blocks and the section around it exclude each other."
            noticed.append((passage.offset, "stop", says))
    return noticed


def _may_apply(passage: Passage, when: Sequence[tuple[str, Sequence[str]]]) -> bool:
    """Tell whether the choices of a section and of the blocks in it can hold together."""
    return choices_left([*when, *(one for condition in passage.conditions for one in condition.when)])


def _check_words(text: str) -> list[_Noticed]:
    """Notice what is wrong with a text that may hold written lengths but no names."""
    parsed = parse_references(text)
    noticed: list[_Noticed] = [(one.offset, "stop", one.says) for one in parsed.problems]
    for piece in parsed.pieces:
        if isinstance(piece, Reference) and piece.form != "length":
            says = f"{piece.source} can't be used here: only a length such as {{3 cm}} can."
            noticed.append((piece.offset, "stop", says))
    return [*noticed, *_check_lengths(words_only(text, parsed))]


def _check_references(passage: Passage, parsed: Parsed, kinds: dict[str, str]) -> Iterator[_Noticed]:
    """Notice references that can't be read, name nothing, or do not stand alone."""
    for problem in parsed.problems:
        yield problem.offset, "stop", problem.says
    for piece in parsed.pieces:
        if isinstance(piece, Written):
            continue
        says = name_problem(piece, kinds)
        if says:
            yield piece.offset, "stop", says
        elif expands(piece, kinds) and not stands_alone(passage.text, piece, passage.offset):
            yield (
                piece.offset,
                "warn",
                f"{piece.source} prints whole sentences: leave it alone in its sentence.",
            )


def _sums_of_measures(parsed: Parsed, facts: Facts) -> Iterator[_Noticed]:
    """Notice sums of what is not counted."""
    for piece in parsed.pieces:
        if isinstance(piece, Reference) and piece.form == "sum" and piece.name in facts.units_of:
            kind = facts.units_of[piece.name]
            if kind not in ("stitches", "rows", "count"):
                says = f"{piece.source} needs a count, but {piece.name} is a {kind}: add a line to the sheet."
                yield piece.offset, "stop", says


def _second_edges(parsed: Parsed) -> Iterator[_Noticed]:
    """Notice a curve whose two edges are written one after the other."""
    begun: dict[str, str] = {}
    for piece in parsed.pieces:
        if not isinstance(piece, Reference) or piece.form not in ("start", "end"):
            continue
        if begun.setdefault(piece.name, piece.form) != piece.form:
            says = (
                f"The two edges of {piece.name} are two lists, one after the other: "
                f"write {{{piece.name} at both ends}} once."
            )
            yield piece.offset, "warn", says


def _check_lengths(words: str, offset: int = 0) -> Iterator[_Noticed]:
    """Notice lengths that stand outside braces and so can't follow the units of an edition."""
    for stretch, start, quoted in cut_at_left_alone(words):
        for found in () if quoted else BARE_LENGTH.finditer(stretch):
            says = (
                f"“{found.group()}” stays as it is in every edition: "
                f"write {{{written_length(found.group())}}} with braces."
            )
            yield offset + start + found.start(), "warn", says


def render_step(text: str, facts: Facts, edition: PrintForm, when: When = ()) -> list[PrintedPart]:
    """Print a step for an edition.

    Args:
        text: The step as the author wrote it.
        facts: The pattern and its numbers.
        edition: Units, terms, sizes and hand.
        when: The choices of options for which the section of the step is.

    Returns:
        The parts of the step that this edition has, in order: what stands outside blocks and each
        block that can hold together with its section. What can't be read stays as it was typed.
    """
    cut = passages_of(text, facts.pattern)
    held = [*when, *((name, (choice,)) for name, choice in edition.chosen)]
    passages = (passage for passage in cut.passages if _may_apply(passage, held))
    parts = (_print_passage(passage, facts, edition) for passage in passages)
    return [part for part in parts if part is not None]


def _print_passage(passage: Passage, facts: Facts, edition: PrintForm) -> PrintedPart | None:
    """Print a passage; None where the edition has none of its sizes."""
    labels = facts.pattern.sizes
    places = sizes_kept(passage.conditions, len(labels))
    printed = len(labels)
    if edition.only is not None:
        printed = len(edition.only)
        places = tuple(place for place in places if labels[place] in edition.only)
    if not places:
        return None
    kept = None if len(places) == len(labels) else places
    filler = Filler(facts, edition, kept)
    text = without_advice(passage.text) if _is_exchanged(facts, edition) else passage.text
    if not text and passage.text:
        return None
    pieces = filler.fill(parse_references(text).pieces)
    label = _label(passage.conditions, facts, None if len(places) == printed else kept, edition)
    return PrintedPart(label, tuple(pieces), tuple(labels[place] for place in places), tuple(filler.table))


def _is_exchanged(facts: Facts, edition: PrintForm) -> bool:
    """Whether sides are exchanged in this edition, in the words of today."""
    return facts.voice(edition, None).mirrored and facts.pattern.wording > FIRST_WORDING


def _label(
    conditions: Sequence[BlockCondition],
    facts: Facts,
    kept: tuple[int, ...] | None,
    edition: PrintForm,
) -> str:
    """Say for which sizes and choices a passage is, but for the choices that the edition is made for."""
    known = {name for name, _ in edition.chosen}
    told = [
        when_told([one for one in condition.when if one[0] not in known], facts, edition)
        for condition in conditions
    ]
    if kept is not None:
        if facts.pattern.wording == FIRST_WORDING:
            sizes = number_list(facts.pattern.sizes, kept)
        else:
            sizes = listed(size_names(kept, facts.voice(PrintForm(), kept)))
        told.append(f"{'size' if len(kept) == 1 else 'sizes'} {sizes} only")
    labels = [one for one in told if one]
    if facts.pattern.wording <= WIDE_WORDING:
        return "; ".join(capital(one) for one in labels)
    return capital("; ".join(labels))


def when_label(when: Sequence[tuple[str, Sequence[str]]], pattern: PatternFile) -> str:
    """Say for which choices something is.

    Args:
        when: Options with the choices for which it holds.
        pattern: The pattern as read.

    Returns:
        As "Sleeves: long or short"; empty for no condition.
    """
    labels = {option.name: option.label for option in pattern.options}
    return "; ".join(f"{labels.get(name, name)}: {' or '.join(choices)}" for name, choices in when)


def when_told(when: Sequence[tuple[str, Sequence[str]]], facts: Facts, edition: PrintForm) -> str:
    """Say for which choices something is, within a sentence of an edition.

    Args:
        when: Options with the choices for which it holds.
        facts: The pattern and its numbers.
        edition: Units, terms, sizes and hand.

    Returns:
        As "with long sleeves"; up to the second wording as `when_label` says; empty for no condition.
    """
    if facts.pattern.wording <= WIDE_WORDING:
        return when_label(when, facts.pattern)
    return facts.plain(choice_words(when, facts.pattern), edition)


def when_headed(when: Sequence[tuple[str, Sequence[str]]], facts: Facts, edition: PrintForm) -> str:
    """Say for which choices something is, on a line of its own.

    Args:
        when: Options with the choices for which it holds.
        facts: The pattern and its numbers.
        edition: Units, terms, sizes and hand.

    Returns:
        As "With long sleeves"; empty for no condition.
    """
    return capital(when_told(when, facts, edition))


def print_words(text: str, facts: Facts, edition: PrintForm) -> str:
    """Print a short text: how to measure, what a check says, the label of a value or fabric.

    Args:
        text: Words in the author's terms, with written lengths in braces.
        facts: The pattern and its numbers.
        edition: Units, terms, sizes and hand.

    Returns:
        Plain text in the terms and units of the edition.
    """
    filler = Filler(facts, edition, None)
    return plain_text(filler.fill(parse_references(text).pieces)).replace("`", "")


def print_at_home(text: str, pattern: PatternFile) -> str:
    """Print a short text for the people who write the pattern.

    Args:
        text: Words in the author's terms, with written lengths in braces.
        pattern: The pattern as read.

    Returns:
        Plain text in the pattern's own terms and units; as typed when it can't be read.
    """
    if any(weight == "stop" for _, weight, _ in _check_words(text)):
        return text
    home = PrintForm(cast("Units", pattern.home_units), cast("Terms", pattern.home_terms))
    return print_words(text, Facts(pattern), home)


def passages_of(text: str, pattern: PatternFile) -> Passages:
    """Cut a step at its blocks.

    Args:
        text: The step as the author wrote it.
        pattern: The pattern as read.

    Returns:
        Its passages with the conditions of the blocks around them.
    """
    return read_blocks(text, pattern.sizes, pattern.option_choices())
