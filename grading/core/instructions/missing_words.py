"""What makers would have to ask for: how a fabric, a part or a stitch is made, and how all is finished."""

import re
from collections.abc import Iterator

from grading.core.instructions.left_and_right import left_and_right_findings
from grading.core.instructions.lone_stars import lone_stars
from grading.core.instructions.references import Reference, parse_references, words_only
from grading.core.instructions.stitch_methods import untold_methods
from grading.core.instructions.unbegun import unbegun_findings
from grading.core.instructions.unused_notions import unused_notions
from grading.core.instructions.unused_words import unused_words
from grading.core.instructions.unworked import uncounted_rows, unworked_plans
from grading.core.pattern.pattern import FabricEntry, PatternFile, StitchPatternEntry
from grading.core.sheet.findings import Finding, stop, warn

_BLOCKING = re.compile(
    r"\b(?:block\w*|wash\w*|steam\w*|(?:pin|lay|dry|spread)\w* (?:it |them )?(?:out|flat))\b", re.IGNORECASE
)
_ENDS = re.compile(
    r"\b(?:weav\w+|darn\w*|sew\w*|run|work|hide|hiding) (?:in )?(?:all |the |any |loose )*(?:ends|tails)\b"
    r"|\btails\b",
    re.IGNORECASE,
)
_JOINED = re.compile(
    r"\b(?:sew|seam|join|graft|set in)\b(?! (?:the )?(?:yarn|to a round|in the round|with|at|as)\b)"
    # Not the end of a round, “… in each st, join.”, nor a colour, “Join B.”
    r"(?! *[.,;:()”’\"]| [a-z](?:[.,;]| (?:and|with)\b))"
    r"|\bset the \w+ in\b",
    re.IGNORECASE,
)
_IN_ONE_PIECE = re.compile(r"\b(?:and|with|,)\b|,")
_STEM = re.compile(r"(?:ings?|es|s)$")

_REPEAT = re.compile(
    r"\*.*\b(?:repeat|rep)\b|\b(?:repeat|rep)\b[^.]*[*\[(]|[\])]\s*(?:to|twice|\d|\ue000)"
    r"|\brepeat (?:this|these|the last|rows?|rounds?)\b",
    re.IGNORECASE | re.DOTALL,
)
# Words in the name of a fabric that don't tell it from another.
_PLAIN_WORDS = frozenset(
    {"and", "the", "with", "worked", "round", "rounds", "row", "rows", "stitch", "stitches", "main", "knit",
     "purl", "over", "for", "one", "two", "flat", "crochet", "tunisian", "knitted", "sideways"}
)  # fmt: skip
# Fabrics that a plain row makes, whatever their stitches are a multiple of. Source: common practice.
_PLAIN_FABRIC = re.compile(
    r"\b(?:stockinette|stocking|garter|(?:single|double|treble|half \w+) crochet|(?:half )?trebles?|"
    r"tunisian (?:simple|knit|purl|full|reverse))\b",
    re.IGNORECASE,
)


def missing_words(pattern: PatternFile) -> list[Finding]:
    """Find what a maker would have to ask for.

    Args:
        pattern: The pattern; its numbers are not looked at.

    Returns:
        Findings at `fabrics.NAME` (stop), at `yarn_sections[i]`, at the step that names a special stitch or
        its own piece, and at `sections` (warn); none for a pattern that has no steps yet.

    Source: common practice.
    """
    if not any(section.steps for section in pattern.sections):
        return []
    return [
        *_unexplained_fabrics(pattern),
        *_unmade_parts(pattern),
        *untold_methods(pattern),
        *_no_finishing(pattern),
        *_no_joins(pattern),
        *_as_itself(pattern),
        *unworked_plans(pattern),
        *uncounted_rows(pattern),
        *unused_words(pattern),
        *unused_notions(pattern),
        *unbegun_findings(pattern),
        *lone_stars(pattern),
        *left_and_right_findings(pattern),
    ]


def _words(pattern: PatternFile) -> Iterator[tuple[str, str]]:
    """Every step with its place, references left out."""
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            yield f"sections[{i}].steps[{j}]", words_only(step, parse_references(step))


def _unmade_parts(pattern: PatternFile) -> Iterator[Finding]:
    """Parts whose yarn is counted and that no title or step names."""
    titles = " ".join(section.title for section in pattern.sections)
    names = " ".join(step for section in pattern.sections for step in section.steps)
    said = f"{titles} {names}".casefold()
    for i, part in enumerate(pattern.yarn_sections):
        main = part.name.split(",")[0]
        nouns = [one.split()[-1] for one in re.split(r"\band\b|&|\+", main) if one.split()]
        missing = [noun for noun in nouns if _STEM.sub("", noun.casefold()) not in said]
        if missing:
            says = (
                f"Yarn is counted for “{part.name}”, and no step makes it: "
                "write how it is made, or take its yarn out."
            )
            yield warn(f"yarn_sections[{i}]", says)


def _no_finishing(pattern: PatternFile) -> Iterator[Finding]:
    """Nothing about ends or blocking in the whole pattern."""
    told = " ".join(
        [*(section.title for section in pattern.sections), *(text for _, text in _words(pattern))]
    )
    if not _ENDS.search(told):
        yield warn(
            "sections", "No step says what becomes of the ends: add finishing, such as “Weave in the ends.”"
        )
    if not _BLOCKING.search(told):
        says = "No step says how to block: add it, such as “Wash, and dry flat to the measurements.”"
        yield warn("sections", says)


def _no_joins(pattern: PatternFile) -> Iterator[Finding]:
    """Pieces that are sewn or set in, and no join that says which edges meet."""
    if pattern.joins or len(pattern.pieces) < 2:
        return
    told = " ".join(text for _, text in _words(pattern))
    if found := _JOINED.search(told):
        sides = [f"“{one.label}: {side.name}”" for one in pattern.pieces for side in one.sides]
        named = f"; {' and '.join(sides[:2])} are named already" if len(sides) > 1 else ""
        says = (
            f"A step says “{found.group()}”, and no join tells which edges meet, so nobody measures whether "
            f"they fit: add a join for each seam{named}."
        )
        yield warn("joins", says)


def _as_itself(pattern: PatternFile) -> Iterator[Finding]:
    """Pieces that are told to be worked as themselves: another side was meant."""
    for i, section in enumerate(pattern.sections):
        title = section.title.split("(")[0].strip()
        finder = re.compile(rf"\bwork (?:exactly )?as (?:for )?the {re.escape(title)}\b", re.IGNORECASE)
        for j, step in enumerate(section.steps):
            if title and finder.search(step):
                says = f"“{title}” is told to be worked as itself: name the piece that is meant."
                yield warn(f"sections[{i}].steps[{j}]", says)


def _unexplained_fabrics(pattern: PatternFile) -> list[Finding]:
    """Fabrics with a repeat of stitches that no step says how to work."""
    written = [
        (section.title, [words_only(step, parse_references(step)) for step in section.steps])
        for section in pattern.sections
    ]
    worked = _worked_patterns(pattern)
    return [
        _unexplained(fabric)
        for fabric in pattern.fabrics
        if _has_repeat(fabric)
        and not any(_tells(fabric, *one) for one in written)
        and not any(_is_worked_in(fabric, one, pattern) for one in worked)
    ]


def _worked_patterns(pattern: PatternFile) -> list[StitchPatternEntry]:
    """Stitch patterns that a step names: their rows or grid are printed."""
    named = {
        piece.name
        for section in pattern.sections
        for step in section.steps
        for piece in parse_references(step).pieces
        if isinstance(piece, Reference)
    }
    return [one for one in pattern.stitch_patterns if one.name in named]


def _is_worked_in(fabric: FabricEntry, of: StitchPatternEntry, pattern: PatternFile) -> bool:
    """Whether a stitch pattern is that of a fabric: worked over its lines, or with the same repeat."""
    lines = {one.name for one in pattern.values if one.rounding and one.rounding.fabric == fabric.name}
    return bool(lines & set(of.over)) or (of.multiple, of.plus) == (fabric.multiple, fabric.plus)


def _has_repeat(fabric: FabricEntry) -> bool:
    """Whether a fabric has a repeat of stitches that must be told."""
    return fabric.multiple > 1 and not _PLAIN_FABRIC.search(fabric.label)


def _tells(fabric: FabricEntry, title: str, steps: list[str]) -> bool:
    """Whether a section names a fabric and has a repeat: in one step, or its label in another one."""
    names = _telling_words(f"{fabric.label} {fabric.name}")
    repeats = [step for step in steps if _REPEAT.search(step)]
    if any(_names_any(names, f"{title} {step}") for step in repeats):
        return True
    label = _telling_words(fabric.label)
    return bool(repeats and label) and _names_any(label, " ".join(steps))


def _telling_words(text: str) -> set[str]:
    """The words in the name of a fabric that tell it from another."""
    return {word for word in re.findall(r"[a-z]{3,}", text.lower()) if word not in _PLAIN_WORDS}


def _names_any(names: set[str], text: str) -> bool:
    return not names or any(word in text.lower() for word in names)


def _unexplained(fabric: FabricEntry) -> Finding:
    """Say that no step tells how a fabric is worked."""
    says = (
        f"{fabric.label} repeats over {fabric.multiple} stitches, and no step says how it is worked. "
        "Write one of its rows, such as “*k1, p1; repeat from * to the end”."
    )
    return stop(f"fabrics.{fabric.name}", says)
