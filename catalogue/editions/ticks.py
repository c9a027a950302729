"""Boxes to tick: before every row of the steps of one size, and round the numbers of rows that are listed."""

import re

from django.utils.safestring import SafeString

BOX = '<span class="box"></span>'
STEP_BOX = '<span class="box step-box"></span>'
# What the box of a step stands before: its first words, or the label that stands above these.
FIRST_WORDS = re.compile("<p>")
FIRST_LINE = re.compile('<p(?: class="only-for")?>')
# More rows than these are told by one box.
MOST_BOXES = 12

_ROWS = re.compile(r'<span class="rows">(.*?)</span>', re.DOTALL)
_LISTED = re.compile(r"\b(?:rows|rounds) (?:\d+, )+\d+(?:,? and \d+)?\b")
# The rows of a long run and, where it leads on to one or two rows more, these.
_RUN = re.compile(r"\bevery (?:(\d+)(?:st|nd|rd|th) )?(?:row|round) from (\d+) to (\d+)\b([,.;]?)")
_AFTER_RUN = re.compile(r"(?<=, then )(?:rows?|rounds?) \d+(?: and \d+)?(?=[,.;)]| \(|</)")
# A run of more rows than these has no strip of boxes; in a strip so many boxes stand close together.
MOST_IN_STRIP, STRIP_GROUP = 100, 10
_NUMBER = re.compile(r"\d+")
_LINE_HEAD = re.compile(r"(?:Row|Round)s? ((?:\d+(?:, | and | to | through )?)+):")
# Rows that lie between those that have boxes.
_BETWEEN = re.compile(r"Work (?:all other rows|rows? \d[^.]*) straight")
_SPAN = re.compile(r"(\d+) (?:to|through) (\d+)")


def ticked(step: SafeString, first: re.Pattern[str] = FIRST_LINE, *, has_strips: bool = True) -> SafeString:
    """A printed step with a box, and one for every row that it tells; its words stay as they are.

    Since the third wording a long run of rows has a strip of boxes, and what follows it boxes as well.
    """
    with_rows = _LISTED.sub(_boxed_numbers, _ROWS.sub(_ticked_lines, step))
    if has_strips:
        with_rows = _RUN.sub(_with_strip, _AFTER_RUN.sub(_boxed_numbers, with_rows))
    found = first.search(with_rows)
    at = found.end() if found else 0
    return SafeString(f"{with_rows[:at]}{STEP_BOX}{with_rows[at:]}")


def _boxed_numbers(found: re.Match[str]) -> str:
    """Numbers of rows, each in a box, with the mark that follows it: no line begins with a comma."""
    return _NUMBER.sub(lambda number: f'<span class="row-number">{number.group()}</span>', found.group())


def _with_strip(found: re.Match[str]) -> str:
    """A run of rows with a box for each of them behind its words."""
    boxes = (int(found[3]) - int(found[2])) // int(found[1] or 1) + 1
    if not 1 < boxes <= MOST_IN_STRIP:
        return found[0]
    groups = [min(STRIP_GROUP, boxes - at) for at in range(0, boxes, STRIP_GROUP)]
    strip = " ".join(f'<span class="strip-boxes">{BOX * many}</span>' for many in groups)
    return f"{found[0]} {strip}"


def _ticked_lines(found: re.Match[str]) -> str:
    """Lines of rows, each with as many boxes as it has rows."""
    lines = found.group(1).split("<br>")
    boxed = (f'<span class="row">{BOX * _boxes(line)} {line}</span>' for line in lines)
    return f'<span class="rows">{"".join(boxed)}</span>'


def _boxes(line: str) -> int:
    """How many boxes a line has: one for each row where it says which these are.

    Rows that are worked straight between others have none: they are not worked after the line above.
    """
    head = _LINE_HEAD.match(line)
    if head is None:
        return 0 if _BETWEEN.match(line) else 1
    within = sum(int(last) - int(first) - 1 for first, last in _SPAN.findall(head.group(1)))
    rows = len(_NUMBER.findall(head.group(1))) + within
    return rows if 1 < rows <= MOST_BOXES else 1
