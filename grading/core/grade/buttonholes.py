"""Buttonholes against the buttons that go through them."""

import re
from collections.abc import Iterator

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# A hole is a little smaller than its button, for it stretches; a smaller one than this share tears at it.
# Source: common practice.
LEAST_SHARE = 0.8
_BUTTONS = re.compile(r"\bbuttons?\b", re.IGNORECASE)
_BUTTONHOLE = re.compile(r"\bbuttonholes?\b", re.IGNORECASE)
_EACH = re.compile(r"\b(?:for each|each (?:button)?hole)\b", re.IGNORECASE)
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+")
# Stitches that are left out: "ch 2, skip 2 sts", "ch 3, miss the next 3 dc", "bind off 3 sts"; not "for the
# armhole".
_LEFT_OUT = r"(?:the )?(?:next )?(\d+) [a-z]"
_ELSEWHERE = r"(?![^.,;:]*\b(?:armholes?|necks?|neckline|underarms?|shoulders?)\b)"
_HOLE = re.compile(
    rf"\b(?:ch \d+(?:,| and) (?:skip|miss|sk) {_LEFT_OUT}|(?:bind|cast) off {_LEFT_OUT}){_ELSEWHERE}",
    re.IGNORECASE,
)
# A row of holes with a repeat: "{buttons} buttonholes: …, *ch 2, skip 2 sts, …; repeat from * {buttons - 2}
# more times, ch 2, skip 2 sts".
_ROW = re.compile(
    r"\{(?P<name>[a-z]\w*)\} buttonholes?\b(?P<before>[^*]*)\*(?P<again>[^*]*); repeat from \* "
    r"\{(?P=name) ?(?P<sign>[-−+]) ?(?P<number>\d+)\} more times(?P<after>[^*]*)"
)
_NUMBER = r"(?:\{(?P<name>[a-z]\w*)(?P<more> ?[-−+] ?\d+)?\}|(?P<typed>\d+))"
_HOLES_MADE = re.compile(rf"{_NUMBER} buttonholes?\b", re.IGNORECASE)
_SEWN = re.compile(rf"\bsew (?:on )?(?:the )?{_NUMBER} buttons?\b", re.IGNORECASE)
_MM = re.compile(r"(\d+(?:\.\d+)?) ?mm\b")


def buttonhole_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Find buttonholes too narrow or too many for the buttons, and rows that make others than they say.

    Args:
        pattern: The pattern.

    Yields:
        A finding (warn) at each step that makes such a hole or row.

    Source: derived; the share is common practice.
    """
    yield from _miscounted(pattern)
    yield from _narrow(pattern)
    yield from _other_buttons(pattern)


def _other_buttons(pattern: PatternFile) -> Iterator[Finding]:
    """Buttons to be sewn on that are more or fewer than the holes made for them."""
    holes = [_counted(found) for *_, step in _steps(pattern) for found in _HOLES_MADE.finditer(step)]
    for i, j, step in _steps(pattern):
        for found in _SEWN.finditer(step):
            name, more = _counted(found)
            told = {other for of, other in holes if of == name}
            if told and more not in told:
                off = more - min(told)
                says = (
                    f"“{found.group()}” are {abs(off)} {'more' if off > 0 else 'fewer'} than the "
                    "buttonholes: make them as many."
                )
                yield warn(f"sections[{i}].steps[{j}]", says)


def _steps(pattern: PatternFile) -> Iterator[tuple[int, int, str]]:
    """Every step, with the places of its section and itself."""
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            yield i, j, step


def _counted(found: re.Match[str]) -> tuple[str, int]:
    """A number as a name and what is added to it; a typed one has no name."""
    more = int((found["more"] or "0").replace(" ", "").replace("−", "-"))
    return found["name"] or "", more + int(found["typed"] or 0)


def _miscounted(pattern: PatternFile) -> Iterator[Finding]:
    """Rows whose repeat does not make as many holes as there are buttons."""
    for i, j, step in _steps(pattern):
        for row in filter(None, map(_ROW.search, _said(step))):
            again, once = (
                sum(len(_HOLE.findall(row[part])) for part in parts)
                for parts in (("again",), ("before", "after"))
            )
            times = int(row["number"]) * (1 if row["sign"] == "+" else -1)
            off = once + 1 + times
            if again == 1 and off:
                says = (
                    f"The repeat makes {abs(off)} {'more' if off > 0 else 'fewer'} than "
                    f"{{{row['name']}}}: work it {{{row['name']} - {once + 1}}} more times."
                )
                yield warn(f"sections[{i}].steps[{j}]", says)


def _narrow(pattern: PatternFile) -> Iterator[Finding]:
    """Holes that are too narrow for the buttons, at the gauge of the loosest fabric."""
    sizes = [_MM.search(one.size or "") for one in pattern.notions if _BUTTONS.search(one.label)]
    buttons_mm = [float(one.group(1)) for one in sizes if one]
    gauges = [one.stitches_per_mm for one in pattern.fabrics if one.stitches > 0]
    if not buttons_mm or not gauges:
        return
    for i, j, step in _steps(pattern):
        hole = next(filter(None, map(_HOLE.search, _said(step))), None)
        stitches = int(hole.group(1) or hole.group(2)) if hole else 0
        widest_mm = stitches / min(gauges)
        if hole and widest_mm < LEAST_SHARE * min(buttons_mm):
            hole_words = f"{stitches} {'st' if stitches == 1 else 'sts'}"
            says = (
                f"A buttonhole of {hole_words} is {widest_mm:.1f} mm wide, the "
                f"button {min(buttons_mm):g} mm: leave out more stitches, or choose a smaller button."
            )
            yield warn(f"sections[{i}].steps[{j}]", says)


def _said(step: str) -> Iterator[str]:
    """The sentences of a step that speak of a buttonhole, and what follows one and is said of each."""
    before = ""
    for sentence in _SENTENCE_END.split(step):
        if _BUTTONHOLE.search(sentence) or (_BUTTONHOLE.search(before) and _EACH.search(sentence)):
            yield sentence
        before = sentence
