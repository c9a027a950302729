"""The steps of a practice piece: the pattern's own where they fit, else its references in plain words."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from grading.core.audit.sentences import cut_sentences
from grading.core.instructions.facts import kinds_of
from grading.core.instructions.references import Reference, parse_references
from grading.core.practice.search import Worked
from grading.core.practice.stages import Stage, mirror_form
from grading.core.practice.techniques import Place, Teaching

EDGING_ROWS = 2

_ELSEWHERE = re.compile(
    r"\bsame time\b|\bmark(?:s|ed|ers?)?\b|\bas (?:on|the|before)\b|\babove\b|\bcount (?:the|from)\b"
    r"|\bfasten off\b|\bchange to the\b"
    r"|\bthis step and the next\b|\b(?:of|as|in) the next step\b|\bwhere it says\b"
    r"|\btake up\b|\bjoin\b|\b(?:bind|cast) off (?:all|loosely)\b|\balone\b|:::",
    re.IGNORECASE,
)
_DEFINES = re.compile(r"worked only where the next step says so", re.IGNORECASE)
_CHANGES = re.compile(r"\((\d+) sts? (?:more|fewer)\)")
_REPEATED = re.compile(r"\*(?P<once>[^*]+?); repeat from \* (?P<more>\d+) more times?")
_CHANGE = re.compile(r"\bChange to the [^.]*\.\s*")
_SETS = re.compile(r"\bmark the\b|\bplace (?:a )?markers?\b", re.IGNORECASE)
_SIDED = re.compile(r"\{side (?:start|end)\}")
_MEANWHILE = re.compile(r"^At the same time,?\s*", re.IGNORECASE)
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
    reference = f"{{{stage.name}{_WRITTEN.get(form, '') if stage.is_curve else ''}}}"
    count = f"({{{after}}} sts)"
    bare = Wording((f"{reference} {count}",), is_own=False)
    place = _place(of, stage, form, mirrored=mirrored)
    if place is None:
        return [bare]
    steps = of.pattern.sections[place.section].steps
    told = described(description_before(steps, place.step), stage.each)
    lead = (_CHANGE.sub("", told),) if told else ()
    whole = _fitting(of, steps[place.step], stage.name, reference, count)
    sentence = _sentence(of, steps[place.step], stage.name, reference, count)
    found = [
        *(Wording((*lead, text)) for text in (whole, sentence)),
        Wording((*lead, *bare.steps)),
        *(Wording((text,)) for text in (whole, sentence)),
    ]
    return [*(one for one in dict.fromkeys(found) if all(one.steps)), bare]


def told_here(wording: Wording, worked: Worked, told: Sequence[str]) -> Wording:
    """Return the wording of a stage as it stands after what is told: markers are set, rows counted from 1.

    Args:
        wording: One way to say the stage.
        worked: The stage as it is worked.
        told: The steps before it; a description that is among them is not told again.
    """
    if worked.stage.technique.kind in ("stitch_pattern", "spread"):
        return wording
    *lead, last = [step for step in wording.steps if step not in told]
    markers = [one for step in lead for one in markers_of(step, worked.before)]
    one = "round" if worked.stage.in_rounds else "row"
    counted = f"Count from the next {one}: it is {one} 1. {last}"
    return replace(wording, steps=(*markers, *lead, counted))


def markers_of(description: str, stitches: int) -> tuple[str, ...]:
    """Return the step that sets the markers of a described row, where its own words set none.

    Args:
        description: The row as the pattern describes it.
        stitches: The stitches before it.

    >>> markers_of("*Work to 2 sts before the next marker, k2tog; repeat from * 5 more times.", 18)
    ('Place a marker after every 3 sts.',)
    """
    if _SETS.search(description):
        return ()
    times = _REPEATED.search(description)
    groups = int(times["more"]) + 1 if times else 0
    if "next marker" in description and groups and stitches % groups == 0:
        return (f"Place a marker after every {stitches // groups} sts.",)
    if "marked st" in description and stitches % 2:
        return ("Mark the middle st of the row.",)
    return ()


def defines(step: str) -> bool:
    """Return whether a step describes a row that the next one calls for."""
    return bool(_DEFINES.search(step))


def described(step: str, each: int) -> str:
    """Return the description of a row that changes as many stitches as a stage does; "" for none.

    One that does the same in several places is told for one of them.

    >>> described("The increase row, worked only where the next step says so: *k1, m1l, k1; repeat from * \
3 more times. (4 sts more)", 1)
    'The increase row, worked only where the next step says so: k1, m1l, k1. (1 st more)'
    """
    said = [int(number) for number in _CHANGES.findall(step)]
    if not defines(step):
        return ""
    if all(number == each for number in said):
        return step
    times = _REPEATED.search(step)
    if times is None or said != [each * (int(times["more"]) + 1)]:
        return ""
    once = _REPEATED.sub(lambda found: found["once"], step)
    return _CHANGES.sub(lambda found: found[0].replace(*_one_place(said[0], each)), once)


def _one_place(said: int, each: int) -> tuple[str, str]:
    """What a change is called in all places, and in one."""
    return f"{said} sts", "1 st" if each == 1 else f"{each} sts"


def description_before(steps: Sequence[str], place: int) -> str:
    """Return the last step before a place that describes a row; "" for none."""
    return next((step for step in reversed(steps[:place]) if defines(step)), "")


def _place(of: Teaching, stage: Stage, form: str, *, mirrored: bool) -> Place | None:
    """Return where the pattern works a stage in this form, else first; its mirror where it does it again."""
    places = [one for one in of.places.get(stage.name, ()) if one.form != "words"]
    if not stage.is_curve:
        return next(iter(places[1:] if mirrored and places[1:] else places), None)
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
        if _SIDED.search(text):
            text = _MEANWHILE.sub("", text)
            text = text[:1].upper() + text[1:]
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


def stripes_step(name: str, *, repeats: bool) -> tuple[str, ...]:
    """Return the step of stripes, said before anything is worked in them; of few they begin again."""
    again = " After the last stripe begin again with the first." if repeats else ""
    return (f"Stripes: {{{name}}}. Work what follows in these stripes.{again}",)


def mirror_begin(rows: int, *, in_rounds: bool, title: str) -> str:
    """Return the first step of the mirror: as the piece, up to its first mirrored stage."""
    return f"Work as the {title.lower()} for {rows} {_rows(in_rounds)}."


def pick_up_steps(of: Teaching, name: str, along: str, stitch: str, yarn: str) -> tuple[str, ...]:
    """Return the steps of an edge that is picked up along a side or along the foundation.

    Args:
        of: The graded pattern.
        name: The pick-up.
        along: The edge in words.
        stitch: The crochet stitch that the edge is worked in; "" for one of Tunisian or knitted stitches.
        yarn: The letter of its yarn; "" where the pattern has one yarn alone.
    """
    # A piece of turned crochet looks the same on both sides, and says nowhere which is the right one.
    turned = of.pattern.craft == "crochet"
    facing = f"With {yarn} and the right side facing" if yarn else "With the right side facing"
    facing = f"Either side may be the right side. {facing}" if turned else facing
    if stitch:
        picked = f"{facing} work {{{name}}} {stitch} along the {along}, turn."
    elif of.pattern.craft == "tunisian":
        picked = f"{facing} pick up {{{name}}} sts along the {along}, return."
    else:
        picked = f"{facing} pick up and knit {{{name}}} sts along the {along}."
    return (
        f"{picked} ({{{name}}} sts)",
        f"Along the edge: {{{name} in words}}",
        f"Work {EDGING_ROWS} more rows straight. ({{{name}}} sts)",
        end_words(of),
    )
