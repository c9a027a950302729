"""The steps of a practice piece: the pattern's own where they fit, else its references in plain words."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from grading.core.audit.sentences import cut_sentences
from grading.core.instructions.facts import kinds_of
from grading.core.instructions.references import Reference, parse_references
from grading.core.practice.foundations import Foundation
from grading.core.practice.search import Worked
from grading.core.practice.stages import Stage, mirror_form
from grading.core.practice.techniques import Place, Teaching

EDGING_ROWS = 2

_ELSEWHERE = re.compile(
    r"\bsame time\b|\bmark(?:s|ed|ers?)?\b|\bas (?:on|the|before)\b|\babove\b|\bcount (?:the|from)\b"
    r"|\bfasten off\b|\btake up\b|\bjoin\b|\b(?:bind|cast) off (?:all|loosely)\b|\balone\b|:::",
    re.IGNORECASE,
)
_DEFINES = re.compile(r"worked only where the next step says so", re.IGNORECASE)
_CHANGES = re.compile(r"\((\d+) sts? (?:more|fewer)\)")
_COUNT = re.compile(r"\s*\(\{[^{}]*\} sts\)")
_WRITTEN = {"start": " at start", "end": " at end", "ends": " at both ends", "reversed": " reversed"}


@dataclass(frozen=True)
class Wording:
    """One way to say a stage: steps, and whether they are the pattern's own."""

    steps: tuple[str, ...]
    is_own: bool = True


def more_rows(rows: int, *, in_rounds: bool) -> tuple[str, ...]:
    """Return the step of plain rows between two stages; () for none."""
    word = _rows(in_rounds) if rows > 1 else _rows(in_rounds)[:-1]
    return (f"Work {rows} {word} straight.",) if rows else ()


def _rows(in_rounds: bool) -> str:
    return "rounds" if in_rounds else "rows"


def end_words(of: Teaching) -> str:
    """Return how a piece ends."""
    if of.pattern.craft == "knitting":
        return "Bind off loosely." if of.pattern.home_terms == "US" else "Cast off loosely."
    return "Fasten off."


def stage_wordings(
    of: Teaching, worked: Worked, after: str, over: str, *, mirrored: bool = False
) -> list[Wording]:
    """Return how a stage may be said, the pattern's own steps first.

    Args:
        of: The graded pattern.
        worked: The stage as it is worked.
        after: The line that counts the stitches after it.
        over: The line that counts its rows.
        mirrored: Whether it is the mirror of the stage, at the other end of the rows.

    Returns:
        From the whole step of the pattern, without what is about other parts, to the bare reference.
    """
    stage = worked.stage
    if stage.technique.kind == "stitch_pattern":
        word = _rows(stage.in_rounds)
        return [Wording((f"Work {{{over}}} {word} in {{{stage.name}}}. ({{{after}}} sts)",), is_own=False)]
    form = mirror_form(of, stage.name) if mirrored else stage.form
    reference = f"{{{stage.name}{_WRITTEN.get(form, '')}}}"
    count = f"({{{after}}} sts)"
    bare = Wording((f"{reference} {count}",), is_own=False)
    place = _place(of, stage, form)
    if place is None:
        return [bare]
    steps = of.pattern.sections[place.section].steps
    before = steps[place.step - 1] if place.step else ""
    defines = (before,) if defines_alike(before, stage.each) else ()
    whole = _fitting(of, steps[place.step], stage.name, reference, count)
    sentence = _sentence(of, steps[place.step], stage.name, reference, count)
    found = [
        Wording((*defines, whole)),
        Wording((whole,)),
        Wording((*defines, sentence)),
        Wording((sentence,)),
    ]
    return [*(one for one in dict.fromkeys(found) if all(one.steps)), bare]


def defines(step: str) -> bool:
    """Return whether a step describes a row that the next one calls for."""
    return bool(_DEFINES.search(step))


def defines_alike(step: str, each: int) -> bool:
    """Return whether a step describes a shaping row that changes as many stitches as the stage does.

    >>> defines_alike("The decrease row, worked only where the next step says so: k2tog. (1 st fewer)", 1)
    True
    """
    said = _CHANGES.findall(step)
    return defines(step) and all(int(number) == each for number in said)


def _place(of: Teaching, stage: Stage, form: str) -> Place | None:
    """Return where the pattern works a stage in this form; else where it names it first."""
    places = [one for one in of.places.get(stage.name, ()) if one.form != "words"]
    return next((one for one in places if one.form == form), next(iter(places), None))


def _fitting(of: Teaching, step: str, name: str, reference: str, count: str) -> str:
    """Return the sentences of a step that are about this stage alone, with the count after it."""
    kept = []
    for text in _own_sentences(of, step, name, reference):
        kept.append(text)
        if reference in text:
            kept.append(count)
    return _joined(kept) if any(reference in text for text in kept) else ""


def _sentence(of: Teaching, step: str, name: str, reference: str, count: str) -> str:
    """Return the sentence of a step that names the stage, with what leads to it."""
    texts = list(_own_sentences(of, step, name, reference))
    place = next((i for i, text in enumerate(texts) if reference in text), None)
    if place is None:
        return ""
    lead = [texts[place - 1]] if place and texts[place - 1].rstrip().endswith(":") else []
    return _joined([*lead, texts[place], count])


def _own_sentences(of: Teaching, step: str, name: str, reference: str) -> Iterator[str]:
    """The sentences of a step that name nothing but the stage and speak of no other place."""
    for sentence in cut_sentences(step, 0, kinds_of(of.pattern)):
        text = _COUNT.sub("", sentence.text).strip()
        if _ELSEWHERE.search(text) or not _names_only(text, name):
            continue
        yield re.sub(rf"\{{{name}\b[^{{}}|]*\}}", reference, text)


def _names_only(text: str, name: str) -> bool:
    pieces = [piece for piece in parse_references(text).pieces if isinstance(piece, Reference)]
    return all(
        (piece.name == name and piece.form not in ("sum", "word", "both"))
        or piece.form in ("length", "side", "help")
        for piece in pieces
    )


def _joined(texts: Sequence[str]) -> str:
    return " ".join(text for text in texts if text.strip())


def stripes_step(name: str) -> tuple[str, ...]:
    """Return the step of stripes, said before anything is worked in them."""
    return (f"{{{name}}}. Work what follows in these stripes.",)


def mirror_begin(rows: int, *, in_rounds: bool, title: str) -> str:
    """Return the first step of the mirror: as the piece, up to its first mirrored stage."""
    return f"Work as the {title.lower()} for {rows} {_rows(in_rounds)}."


def pick_up_steps(of: Teaching, name: str, along: str) -> tuple[str, ...]:
    """Return the steps of an edge that is picked up along a side or along the foundation."""
    single = "sc" if of.pattern.home_terms == "US" else "dc"
    picked = {
        "knitting": f"With the right side facing pick up and knit {{{name}}} sts along the {along}.",
        "crochet": f"With the right side facing work {{{name}}} {single} along the {along}, turn.",
        "tunisian": f"With the right side facing pick up {{{name}}} sts along the {along}, return.",
    }[of.pattern.craft]
    return (
        f"{picked} ({{{name}}} sts)",
        f"Along the edge: {{{name} in words}}",
        f"Work {EDGING_ROWS} more rows straight. ({{{name}}} sts)",
        end_words(of),
    )
