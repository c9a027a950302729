"""Special stitches: those that a step names, and whose method is told nowhere."""

import re
from collections.abc import Iterable, Iterator

from grading.core.instructions.references import helps_named, parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# Stitches that are made in more than one way, so that their name alone tells nobody how.
# Source: the yarn council's list of crochet abbreviations marks some of them as special; common practice.
_SPECIAL = {
    "bobble": r"bobbles?|bo",
    "bullion stitch": r"bullion stitch(?:es)?|bullions?",
    "cluster": r"clusters?|CL",
    "crocodile stitch": r"crocodile stitch(?:es)?",
    "fan": r"fan stitch(?:es)?|fans",
    "loop stitch": r"(?:loop|fur) stitch(?:es)?",
    "nupp": r"nupps?",
    "picot": r"picots?",
    "popcorn": r"popcorns?|pc",
    "puff stitch": r"puff stitch(?:es)?|puffs?|ps",
    "shell": r"shells?|sh",
    "spike stitch": r"spike stitch(?:es)?|spikes",
    "star stitch": r"star stitch(?:es)?",
    "V-stitch": r"V[- ](?:stitch(?:es)?|sts?)",
    "corded edging": r"corded edg(?:e|ing)",
    "crab stitch": r"crab stitch(?:es)?",
    "I-cord": r"[iI]-cords?",
    "cable": r"cabl(?:es?|ing)|C\d{1,2}[FBLR]",
}
# Fabrics that are made in more than one way as well. Source: common practice.
_FABRICS = (
    "alpine", "basket", "basketweave", "bean", "blackberry", "crunch", "drop", "feather", "griddle",
    "herringbone", "honeycomb", "lattice", "lemon peel", "linen", "pineapple", "raspberry", "ripple",
    "suzette", "trellis", "trinity", "waffle", "wave", "woven",
)  # fmt: skip
_SPECIAL |= {f"{name} stitch": rf"{name} stitch(?:es)?" for name in _FABRICS}
# Any other name of a stitch that a piece is worked in: “in griddle stitch”. Source: derived.
_IN_STITCH = re.compile(
    r"\b(?:in|of)(?: the)? ((?:[a-z]+[- ])?[a-z]+) (?:stitch|st)"
    r"(?![a-z-]| (?:in|of|to|at|marker|pattern|before))",
)
# What they are in that makers know, and words that tell which of several stitches is meant.
# Source: common practice.
_KNOWN_STITCHES = frozenset(
    {
        "a", "alternate", "an", "another", "any", "back", "base", "basic", "beginning", "blanket", "bottom",
        "center", "centre", "chain", "contrast", "corner", "crochet", "dc", "double", "double-knit", "each",
        "edge", "eighth", "end", "every", "extended", "fabric", "fifth", "first", "following", "fourth",
        "full", "g", "garter", "half", "hdc", "held", "htr", "k", "kitchener", "knit", "knitted", "last",
        "live", "main", "marked", "mattress", "middle", "moss", "new", "next", "ninth", "no", "one", "other",
        "p", "pattern", "picked-up", "plain", "post", "previous", "purl", "raised", "remaining", "rev",
        "reverse", "rib", "ribbing", "row", "running", "same", "sc", "second", "seed", "selvage", "selvedge",
        "seventh", "side", "simple", "single", "sixth", "slip", "slipped", "special", "st", "start",
        "stockinette", "stocking", "stranded", "tenth", "textured", "that", "the", "third", "this", "tks",
        "top", "tps", "tr", "treble", "tss", "tunisian", "turning", "twelfth", "which", "whip", "whole",
        "work", "worked", "your",
    }
)  # fmt: skip
# A method is told by what is done one after another. Source: derived.
_METHOD = re.compile(
    r"\b(?:yarn over|yo|yoh|yrh|insert|pull|draw|slip|hold|work|knit|purl|pick up|drop|same st|"
    r"\d+ (?:sc|dc|hdc|htr|tr|dtr|ch)|ch \d|[kp]\d)\b",
    re.IGNORECASE,
)
# Behind its name: “Bobble: …”, “bobble (…)”, “A bobble is …”.
_BEHIND = re.compile(r"\s*(?:stitch|st)?\s*(?:\([^)]{0,20}\)\s*)?(?:[:=(–—]|(?:is|are|means)\b)")
# Before it: “For each bobble work …”, “To make a picot, ch 3 …”.
_BEFORE = re.compile(r"\b(?:to (?:make|work|knit)|for) (?:a|an|each|every|the)\s+$", re.IGNORECASE)


def untold_methods(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of special stitches that are named and not described.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        A finding (warn) at the first step that names one; none where the pattern's special stitches, a help,
        an abbreviation or some step says how it is worked.

    Source: common practice.
    """
    steps = [
        (f"sections[{i}].steps[{j}]", words_only(step, parse_references(step)))
        for i, section in enumerate(pattern.sections)
        for j, step in enumerate(section.steps)
    ]
    own = dict(pattern.abbreviations)
    special = [f"{one.label.lower()} {one.short}" for one in pattern.special_stitches]
    special += [
        name.replace("_", " ")
        for name in helps_named(step for section in pattern.sections for step in section.steps)
    ]
    special += [one.label.lower() for one in pattern.stitch_patterns]
    told = " ".join(text for _, text in steps)
    for name, written in _SPECIAL.items():
        finder = re.compile(rf"(?<![A-Za-z-])(?:{written})(?![A-Za-z])")
        loose = re.compile(finder.pattern, re.IGNORECASE) if name not in own else finder
        where = next((place for place, text in steps if _uses(loose, text)), None)
        described = any(loose.search(one) for one in special) or any(
            _METHOD.search(meaning) for short, meaning in own.items() if finder.search(short)
        )
        if where and not described and not _is_described(loose, told):
            yield warn(where, f"“{name}” is named and its method is not: say once how it is worked.")
    known = [*special, *own, *own.values(), *(one.label for one in pattern.fabrics)]
    yield from _other_stitches(steps, told, known)


def _other_stitches(steps: list[tuple[str, str]], told: str, known: Iterable[str]) -> Iterator[Finding]:
    """Stitches that a piece is worked in, that are in no list and described nowhere."""
    names: dict[str, str] = {}
    for where, text in steps:
        for found in _IN_STITCH.finditer(text):
            words = found[1].replace("-", " ").split()
            name = found[1] if words[0] not in _KNOWN_STITCHES else words[-1]
            if words[-1] not in _KNOWN_STITCHES:
                names.setdefault(name, where)
    listed = " ".join(known).lower()
    for name, where in names.items():
        finder = re.compile(rf"(?<![A-Za-z-]){re.escape(name)} (?:stitch|st)(?![A-Za-z])", re.IGNORECASE)
        in_list = any(
            re.fullmatch(rf"(?:{written})", f"{name} stitch", re.IGNORECASE) for written in _SPECIAL.values()
        )
        if not in_list and name not in listed and not _is_described(finder, told):
            yield warn(where, f"“{name} stitch” is named and its method is not: say once how it is worked.")


def _uses(finder: re.Pattern[str], text: str) -> bool:
    """Whether a text uses a stitch, not a cable needle or the cord of a hook."""
    return any(
        not re.match(r"[- ](?:needle|cast|cord|hook)", text[found.end() :]) for found in finder.finditer(text)
    )


def _is_described(finder: re.Pattern[str], told: str) -> bool:
    """Whether some step says how a stitch is worked, beside its name."""
    return any(
        _METHOD.search(told[found.end() : found.end() + 200])
        for found in finder.finditer(told)
        if _BEHIND.match(told[found.end() :]) or _BEFORE.search(told[: found.start()])
    )
