"""Numbers typed into the steps where a value of the sheet may be meant.

A number of the sheet is never typed; many other numbers of the trade are: "row 3", "every 2nd row", "ch 1",
"2 dc in the next st", "(2 sts more)". The words around a number tell them apart:

- a list with a number for each size, "40 (44, 48)", is always the sheet's;
- so is a count in brackets that closes a row, "(49 sts)", however small;
- so is a number of 10 or more that counts stitches, rows, rounds or times ("40 rows", "k40", "ch 61",
  "cast on 61", "until there are 44"), and one that counts what a value is named after ("5 buttons" where
  there is a value `buttons`);
- smaller counts after a word of working ("work 6 rows"), the end of a long run of rows ("rows 2–44") and
  single lengths are the sheet's only where one of its values is that number: they are doubtful;
- all others stay as they are typed: names ("row 12", "rounds 3 and 14", "size 40", "a multiple of 12 plus
  3"), changes ("12 sts fewer"), "every 12 rows", stitches worked into one place ("12 dc in the ring"), what
  is repeated between stars or in brackets, tools in mm, and text in backticks.

Source: common practice.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from grading.core.instructions.blocks import Passage, read_blocks, sizes_kept
from grading.core.instructions.references import MM_PER_UNIT, parse_references, words_only
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile

LEAST_COUNT = 10  # common practice: smaller numbers are mostly places and repeats of the fabric
LEAST_RUN = 10
LEAST_DOUBTFUL = 2
COUNTS = ("stitches", "rows", "count")

# Words after a number and "in" that make it inches rather than "1 in each stitch".
_AFTER_INCHES = r"long|wide|deep|high|tall|square|apart|from|above|below|of|across|or|and|by|x|×"
LENGTH_UNIT = (
    r"(?:(?:mm|cm|inches|inch|yards?|yds?|metres?|meters?)\b"
    rf"|in\b(?=\s*(?:$|[.,;:)/\n]|(?:{_AFTER_INCHES})\b))|[″\"](?!\w))"
)
BARE_LENGTH = re.compile(rf"(?<![\w.])\d+(?:\.\d+)?\s?(?:[¼½¾]\s?)?{LENGTH_UNIT}", re.IGNORECASE)

_ENTRY = r"\d{1,6}(?:\.\d{1,3})?(?:\s?[¼½¾])?"
_CELL = rf"(?:{_ENTRY}|[–-])"
_GROUP = rf"\s?[(\[]\s?{_CELL}(?:(?:\s*[,;]\s*|\s+){_CELL})*\s?[)\]]"
_NUMBER = re.compile(
    rf"(?P<number>{_ENTRY}(?P<sizes>(?:{_GROUP})*))(?P<unit>\s?{LENGTH_UNIT})?", re.IGNORECASE
)
_CELLS = re.compile(_CELL)
_PARTS = {"¼": 0.25, "½": 0.5, "¾": 0.75}

_BASES = "sc|hdc|dc|htr|tr|dtr|trtr|ss|tss|tks|tps|tfs|trs"
_WORKED_STITCH = rf"(?:fp|bp|e|t)?(?:{_BASES})s?"
_STITCHES = rf"sts?|stitch(?:es)?|lps?|loops?|chs?|chains?|{_WORKED_STITCH}"
_ROWS = r"rows?|rounds?|rnds?|ridges?"
_TIMES = r"times|repeats?|reps?"
_SMALL_WORDS = (
    "in|into|on|onto|of|from|to|at|and|or|then|by|with|for|every|each|until|before|after|the|a|per|as"
)
_ADJECTIVES = rf"(?:(?!(?:{_SMALL_WORDS}|between|over|across)\b)[a-z]+[ -]){{0,2}}?"
_COUNTED = re.compile(
    rf"\s+{_ADJECTIVES}(?:(?P<stitches>{_STITCHES})|(?P<rows>{_ROWS})|(?P<count>{_TIMES}))"
    rf"(?![\w-])(?!\s+(?:{_ROWS}|ends?)\b)",
    re.IGNORECASE,
)
_INTO_ONE = re.compile(rf"\s+(?:{_WORKED_STITCH})\s+(?:in|into)\s+(?!all\b)", re.IGNORECASE)
_CHANGE = re.compile(r"\s+(?:more|fewer|less|extra|increased|decreased|added|lost|inc|dec)\b", re.IGNORECASE)
_MORE = re.compile(r"\s+(?:more|further|extra|other|another)\b", re.IGNORECASE)
_IN_ALL = r"(?:\s+(?:in all|in total|total|altogether|now|left|remain|remaining|each side|on each \w+))?"
_CLOSED = re.compile(rf"\s+(?:(?P<stitches>{_STITCHES})|(?P<rows>{_ROWS})){_IN_ALL}\s*[)\]]", re.IGNORECASE)
_PHRASE_ENDS = re.compile(r"\s*(?:$|[.,;:)\n]|(?:on|in all|in total)\b)", re.IGNORECASE)
_WORD = re.compile(r"\s+([a-z]{3,})(?![\w-])", re.IGNORECASE)
_NO_WORD_END = re.compile(r"[\w/]|[.–-]\w")

_HUNG = re.compile(r"(?<![A-Za-z])(?:k|p|ch)$", re.IGNORECASE)
_AFTER_WORD = re.compile(r"[\w./]$|[A-Za-z][–-]$")
_RUN = re.compile(rf"\b(?:{_ROWS})\s+(\d{{1,6}})\s*(?:[–—-]|to|through)\s*$", re.IGNORECASE)
_RUN_BEFORE = re.compile(
    rf"\b(?:{_ROWS})\s+(\d{{1,6}})\s*(?:[–—-]|to|through)\s*(\d{{1,6}})\b", re.IGNORECASE
)
_NAMED = re.compile(
    r"\b(?:row|round|rnd|step|size|chart|section|page|part|figure|photo|hook|needle|marker|day|week|note|number"
    r"|colou?r|st|stitch|version|no)s?\.?\s+(?:\d+(?:\s*,\s*|\s*[&–—-]\s*|\s+(?:and|or|to|through)\s+))*$",
    re.IGNORECASE,
)
_MULTIPLE = re.compile(r"\bmultiples? of\s+(?:\d+\s*(?:sts?|stitches)?\s*(?:\+|plus)\s*)?$", re.IGNORECASE)
_EVERY = re.compile(r"\b(?:every|each|per)\s+$", re.IGNORECASE)
_CASTING = re.compile(
    r"\b(?:cast(?:ing)? (?:on|off)|bind(?:ing)? off|co|bo|ch|chain|pick up(?: and knit)?|knit|purl)\s+$",
    re.IGNORECASE,
)
_TOTAL = re.compile(
    r"\b(?:there (?:are|were|should be|will be)|you (?:have|should have|will have)|total(?: of)?|until|=)"
    r"\s+(?:now\s+)?$",
    re.IGNORECASE,
)
_WORKING = re.compile(
    r"\b(?:cast(?:ing)? (?:on|off)|bind(?:ing)? off|work|knit|purl|crochet|rib|until"
    r"|there are(?: now)?)\s+$",
    re.IGNORECASE,
)
_REPEATED = re.compile(
    r"(?<!from )\*[^*]*\*"
    r"|[\[(][^\[\]()]{0,300}[\])]\s*(?:(?:\w{1,9}|\ue000{1,99})\s+(?:more\s+)?times|twice)\b"
)
_SEEN_BEFORE, _SEEN_AFTER = 90, 60


@dataclass(frozen=True)
class NumberInStep:
    """A number, or a list of one for each size, that stands in a step where a value may be meant.

    `offset` counts from 0 in the step; `source` is as typed, a length with its unit; `shown` has what it
    counts as well. `numbers` are counts or mm, None for a dash in a list; `kinds` are the kinds of values
    that it may be; `places` are the sizes (from 0) that the words are printed for; `name` is the value that
    what is counted is named after.
    """

    offset: int
    source: str
    shown: str
    numbers: tuple[float | None, ...]
    kinds: tuple[str, ...]
    places: tuple[int, ...]
    unit: str = ""
    name: str = ""
    is_closing: bool = False
    is_doubtful: bool = False

    @property
    def is_list(self) -> bool:
        """Whether there is a number for each size."""
        return len(self.numbers) > 1


@dataclass(frozen=True)
class _Spot:
    """A number with the words around it."""

    source: str
    numbers: tuple[float | None, ...]
    unit: str
    before: str
    after: str

    @property
    def hangs(self) -> bool:
        """Whether it hangs on what is worked: k40."""
        return _HUNG.search(self.before) is not None

    @property
    def is_count(self) -> bool:
        """Whether it is a whole number."""
        return all(number is None or number == int(number) for number in self.numbers)


@dataclass(frozen=True)
class _Reading:
    """What a number may be."""

    kinds: tuple[str, ...]
    noun: str = ""
    name: str = ""
    is_closing: bool = False
    is_doubtful: bool = False


def written_length(typed: str) -> str:
    """Return a typed length as it could stand in braces.

    Args:
        typed: A number with its unit, as BARE_LENGTH finds it.

    Returns:
        The length, or an example where it can't be written so.

    >>> written_length("2 inches"), written_length('3"')
    ('2 in', '3 in')
    """
    found = re.match(r"(\d+(?:\.\d+)?)\s?(mm|cm|in|yd|m)", typed.lower().replace("yard", "yd"))
    if typed.endswith(("″", '"')):
        found = re.match(r"(\d+(?:\.\d+)?)\s?()", typed)
    return f"{found.group(1)} {found.group(2) or 'in'}" if found else "3 cm"


def typed_numbers(text: str, pattern: PatternFile) -> list[NumberInStep]:
    """Find the numbers of a step where a value may be meant.

    Args:
        text: The step as the author wrote it.
        pattern: The pattern as read; its numbers are not looked at.

    Returns:
        The numbers in order, by the rule of this module.

    Source: common practice.

    >>> pattern = PatternFile("", "knitting", "cm", "UK", ("S", "M"))
    >>> [one.shown for one in typed_numbers("Row 12: k2, p2. Work 40 rows. (49 sts)", pattern)]
    ['40 rows', '(49 sts)']
    """
    names = {
        name: value.name for value in pattern.values if value.kind == "count" for name in _nouns(value.name)
    }
    found: list[NumberInStep] = []
    for passage in read_blocks(text, pattern.sizes, pattern.option_choices()).passages:
        places = sizes_kept(passage.conditions, len(pattern.sizes))
        typed = _typed_in(passage, places, names)
        found += (one for one in typed if not _counts_a_stitch_pattern(text[one.offset :], pattern))
    return found


_ROWS_OF_PATTERN = re.compile(r"(\d+) (?:rows|rounds|rnds) (?:of|in) \{([a-z][a-z0-9_]*)\}")


def _counts_a_stitch_pattern(words: str, pattern: PatternFile) -> bool:
    """Return whether words begin with the rows of a stitch pattern, as `13 rounds of {waves}`."""
    found = _ROWS_OF_PATTERN.match(words)
    return found is not None and any(one.name == found.group(2) for one in pattern.stitch_patterns)


def _nouns(name: str) -> tuple[str, str]:
    """Return what a maker calls the things that a value counts, several and one."""
    words = name.replace("_", " ")
    return words, words.removesuffix("s")


def _typed_in(passage: Passage, places: tuple[int, ...], names: dict[str, str]) -> Iterator[NumberInStep]:
    """Find the typed numbers of a passage."""
    words = words_only(passage.text, parse_references(passage.text, passage.offset), passage.offset)
    for stretch, start, quoted in cut_at_left_alone(words):
        if quoted:
            continue
        repeats = [found.span() for found in _REPEATED.finditer(stretch)]
        for found in _NUMBER.finditer(stretch):
            spot = _spot(stretch, found)
            repeated = any(first <= found.start() < last for first, last in repeats)
            reading = _reading(spot, names, repeated=repeated) if spot else None
            if spot and reading:
                yield _typed(passage.offset + start + found.start(), spot, reading, places)


def _typed(offset: int, spot: _Spot, reading: _Reading, places: tuple[int, ...]) -> NumberInStep:
    """Put together what is known of a typed number."""
    lead = _HUNG.search(spot.before) or _CASTING.search(spot.before)
    shown = f"{lead.group() if lead else ''}{spot.source}{reading.noun}"
    return NumberInStep(
        offset,
        spot.source,
        f"({shown})" if reading.is_closing else shown,
        spot.numbers,
        reading.kinds,
        places,
        spot.unit,
        reading.name,
        reading.is_closing,
        reading.is_doubtful,
    )


def _spot(words: str, found: re.Match[str]) -> _Spot | None:
    """Return a number with the words around it; None where it is part of a word, a date or a fraction."""
    before = words[max(0, found.start() - _SEEN_BEFORE) : found.start()]
    after = words[found.end() : found.end() + _SEEN_AFTER]
    if _NO_WORD_END.match(after) and not (found["unit"] or "").endswith(("″", '"')):
        return None
    if _AFTER_WORD.search(before) and not _HUNG.search(before):
        return None
    cells = tuple(_number_of(cell) for cell in _CELLS.findall(found["number"]))
    unit = _unit_of(found["unit"] or "")
    numbers = tuple(None if cell is None else cell * MM_PER_UNIT.get(unit, 1.0) for cell in cells)
    return _Spot(found.group(), numbers, unit, before, after)


def _number_of(cell: str) -> float | None:
    """Return the number of one size; None for a dash."""
    whole, part = cell.rstrip("¼½¾ "), _PARTS.get(cell[-1:], 0.0)
    return float(whole) + part if whole[:1].isdigit() else None


def _unit_of(typed: str) -> str:
    """Return the unit that a number is typed in; empty for a count."""
    unit = typed.strip().lower()
    if unit in ("″", '"') or unit.startswith("in"):
        return "in"
    return {"y": "yd", "m": "mm" if unit == "mm" else "m"}.get(unit[:1], unit)


def _reading(spot: _Spot, names: dict[str, str], *, repeated: bool) -> _Reading | None:
    """Return what a number may be; None where it stays as it is typed."""
    if spot.unit:
        return _length(spot)
    if not spot.is_count:
        return None
    if closed := _closing(spot):
        return closed
    if len(spot.numbers) > 1:
        noun = _COUNTED.match(spot.after)
        kind = (noun.lastgroup,) if noun and noun.lastgroup else COUNTS
        return _Reading(kind, noun.group() if noun else "")
    if repeated or _is_fixed(spot):
        return None
    return _counted(spot, names)


def _length(spot: _Spot) -> _Reading | None:
    """Return a length; one of a tool or of yarn stays as it is typed."""
    if spot.unit not in ("cm", "in"):
        return None
    return _Reading(("length",), is_doubtful=len(spot.numbers) == 1)


def _closing(spot: _Spot) -> _Reading | None:
    """Return a count in brackets that closes a row."""
    closed = _CLOSED.match(spot.after) if spot.before.rstrip().endswith(("(", "[")) else None
    if closed is None or closed.lastgroup is None or _is_of_its_run(spot):
        return None
    if _is_small_part(spot):
        return None
    return _Reading((closed.lastgroup,), closed.group().rstrip(" )]"), is_closing=True)


def _is_small_part(spot: _Spot) -> bool:
    """Whether a few stitches are cast on as typed just before, as for a belt: `Ch 8. …. (8 sts)`."""
    if len(spot.numbers) != 1 or spot.numbers[0] is None or spot.numbers[0] >= LEAST_COUNT:
        return False
    return (
        re.search(rf"\b(?:cast on|co|ch|chain) {spot.source}\b(?! \+)", spot.before, re.IGNORECASE)
        is not None
    )


def _is_of_its_run(spot: _Spot) -> bool:
    """Return whether a number only counts the rows that were told before it: rows 2 to 4 … (3 rows)."""
    runs = list(_RUN_BEFORE.finditer(spot.before))
    return bool(runs) and spot.numbers == (int(runs[-1].group(2)) - int(runs[-1].group(1)) + 1,)


def _is_fixed(spot: _Spot) -> bool:
    """Return whether the words before a number say that it is the same in every size."""
    counts_something = _COUNTED.match(spot.after) is not None
    named = _NAMED.search(spot.before) is not None and not counts_something
    return (named and _run_length(spot) < LEAST_RUN) or any(
        fixed.search(spot.before) for fixed in (_MULTIPLE, _EVERY)
    )


def _run_length(spot: _Spot) -> float:
    """Return how many rows a run of rows has that a number ends; 0 for none."""
    run = _RUN.search(spot.before)
    return (spot.numbers[0] or 0) - int(run.group(1)) + 1 if run else 0


def _counted(spot: _Spot, names: dict[str, str]) -> _Reading | None:
    """Return what a single number counts."""
    number = spot.numbers[0] or 0
    if _run_length(spot) >= LEAST_RUN:
        return _Reading(("rows",), is_doubtful=True)
    word = _WORD.match(spot.after)
    if word and word.group(1).lower() in names and number >= LEAST_DOUBTFUL:
        return _Reading(("count",), word.group(), names[word.group(1).lower()])
    noun = _COUNTED.match(spot.after)
    kinds = _kinds(spot, noun)
    if not kinds or (noun and _CHANGE.match(spot.after, noun.end())) or _INTO_ONE.match(spot.after):
        return None
    reading = _Reading(kinds, noun.group() if noun else "")
    if number >= LEAST_COUNT:
        return reading
    is_worked = noun is not None and _WORKING.search(spot.before) and not _MORE.match(spot.after)
    return _Reading(kinds, reading.noun, is_doubtful=True) if is_worked and number >= LEAST_DOUBTFUL else None


def _kinds(spot: _Spot, noun: re.Match[str] | None) -> tuple[str, ...]:
    """Return the kinds of values that a number may be, by what stands after it or before it."""
    if noun and noun.lastgroup:
        return (noun.lastgroup,)
    if spot.hangs or _CASTING.search(spot.before):
        return ("stitches",)
    return COUNTS if _TOTAL.search(spot.before) and _PHRASE_ENDS.match(spot.after) else ()
