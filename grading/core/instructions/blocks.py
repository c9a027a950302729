"""Blocks of a step that are printed for some sizes or some choices only.

    ::: only sizes=M..XL
    ::: only sizes=S,"0-3 m"
    ::: when sleeves=long belt="with buckle",none

A choice of several words needs quotation marks only where the pattern has no such choice.
Each is closed by a line `:::` within the same step. A block may stand in another: then both hold.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from grading.core.instructions.reference_checks import nearest_name
from grading.core.instructions.references import Problem

DEEPEST = 5

LONGEST_CONDITION = 2000

_QUOTED = r"\"[^\"]*\"|“[^”]*”"
_SIZE = re.compile(rf"[ \t]*({_QUOTED}|[^\s,\"“”]+?)(?:\.\.({_QUOTED}|[^\s,\"“”]+))?[ \t]*(?:,|$)")
_CHOICE = rf"(?:{_QUOTED}|[^\s,\"“”=]+)"


@dataclass(frozen=True)
class BlockCondition:
    """What must hold for a block: positions of sizes (None = all), and choices of options."""

    sizes: tuple[int, ...] | None = None
    when: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True)
class Passage:
    """Lines of a step with the conditions of the blocks around them, outermost first."""

    text: str
    offset: int
    conditions: tuple[BlockCondition, ...] = ()


@dataclass(frozen=True)
class Passages:
    """A step cut at its blocks, with what could not be read."""

    passages: tuple[Passage, ...]
    problems: tuple[Problem, ...]


@dataclass
class _Open:
    """The passages read so far and the blocks that are still open."""

    conditions: list[BlockCondition] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    offset: int = 0
    passages: list[Passage] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def end_passage(self, next_offset: int) -> None:
        """Keep the lines read so far as a passage; the next begins at the offset."""
        text = "".join(self.lines)
        if text.strip():
            self.passages.append(Passage(text, self.offset, tuple(self.conditions)))
        self.lines, self.offset = [], next_offset


def read_blocks(text: str, sizes: Sequence[str], options: Mapping[str, Sequence[str]]) -> Passages:
    r"""Cut a step at its blocks.

    Args:
        text: The words of the step.
        sizes: Labels of the sizes, smallest first.
        options: The choices of each option, by name.

    Returns:
        Passages in order, each with the conditions of the blocks around it, and a problem for
        each line of colons that can't be read. A block that can't be read is kept for all sizes.

    >>> found = read_blocks("::: only sizes=M..L\nA\n:::\nB", ["S", "M", "L"], {})
    >>> [(one.text, one.conditions) for one in found.passages]
    [('A\n', (BlockCondition(sizes=(1, 2), when=()),)), ('B', ())]
    """
    state = _Open()
    place = 0
    for line in text.splitlines(keepends=True):
        if line.lstrip(" ").startswith(":::"):
            state.end_passage(place + len(line))
            _pass_fence(state, line.strip().lstrip(":").strip(), place, (sizes, options))
        else:
            state.lines.append(line)
        place += len(line)
    state.end_passage(place)
    state.problems += [
        Problem(start, "This block is not closed: end it with a line ::: in the same step.")
        for start in state.starts
    ]
    return Passages(tuple(state.passages), tuple(state.problems))


_Known = tuple[Sequence[str], Mapping[str, Sequence[str]]]


def _pass_fence(state: _Open, words: str, place: int, known: _Known) -> None:
    """Open or close a block at a line of colons."""
    if words:
        condition, says = read_condition(words, *known)
        if len(state.conditions) >= DEEPEST:
            says = [*says, f"At most {DEEPEST} blocks can be inside each other: close one first."]
        state.conditions.append(condition)
        state.starts.append(place)
        state.problems += [Problem(place, one) for one in says]
    elif state.starts:
        state.conditions.pop()
        state.starts.pop()
    else:
        says_closed = "This ::: closes no block: take it out, or open a block before it."
        state.problems.append(Problem(place, says_closed))


def read_condition(
    words: str, sizes: Sequence[str], options: Mapping[str, Sequence[str]]
) -> tuple[BlockCondition, list[str]]:
    """Read what stands after the colons that open a block.

    Args:
        words: "only sizes=M..XL" or "when sleeves=long".
        sizes: Labels of the sizes, smallest first.
        options: The choices of each option, by name.

    Returns:
        The condition (sizes as positions from 0), and a sentence for each thing wrong with it.

    >>> read_condition("when sleeves=none", ["S"], {"sleeves": ["long", "none"]})[0].when
    (('sleeves', ('none',)),)
    """
    if len(words) > LONGEST_CONDITION:
        return BlockCondition(), [f"This line is longer than {LONGEST_CONDITION} characters: shorten it."]
    if words.startswith("only sizes="):
        return _read_sizes(words.removeprefix("only sizes="), sizes)
    if words.startswith("when "):
        return _read_when(words.removeprefix("when "), options)
    return BlockCondition(), [
        "A block begins with ::: only sizes=M..XL or ::: when option=choice: write one of them."
    ]


def _bare(word: str) -> str:
    """Take the quotation marks off a word."""
    return word[1:-1].strip() if word[:1] in ('"', "“") else word.strip()


def _read_sizes(words: str, sizes: Sequence[str]) -> tuple[BlockCondition, list[str]]:
    """Read a list of sizes and ranges of sizes."""
    kept: set[int] = set()
    says: list[str] = []
    place = 0
    while place < len(words):
        found = _SIZE.match(words, place)
        if found is None:
            says.append(f'{words[place:]} names no sizes: write sizes=M..XL or sizes=S,"0-3 m".')
            break
        first, last = _bare(found.group(1)), _bare(found.group(2) or found.group(1))
        unknown = [label for label in dict.fromkeys((first, last)) if label not in sizes]
        says += [_unknown("size", label, sizes) for label in unknown]
        if not unknown:
            kept |= set(range(sizes.index(first), sizes.index(last) + 1))
        place = found.end()
    if not kept and not says:
        says.append("This block names no size: write sizes=M..XL, the smaller size first.")
    return BlockCondition(sizes=tuple(sorted(kept)) if kept else None), says


def _unknown(noun: str, name: str, known: Iterable[str]) -> str:
    """Say that a size, option or choice is unknown, with the nearest one."""
    nearest = nearest_name(name, known)
    listed = f"did you mean {nearest}?" if nearest else f"choose from {', '.join(known) or 'none'}."
    return f"There is no {noun} {name}: {listed}"


def _read_when(words: str, options: Mapping[str, Sequence[str]]) -> tuple[BlockCondition, list[str]]:
    """Read one or more conditions option=choice,choice."""
    when: list[tuple[str, tuple[str, ...]]] = []
    says: list[str] = []
    choice, condition = _patterns_of(options)
    place = 0
    while place < len(words):
        found = condition.match(words, place)
        if found is None:
            says.append(f"{words[place:]} names no option and choice: write option=choice.")
            break
        option = found.group(1)
        choices = tuple(_bare(one) for one in choice.findall(found.group(2)))
        wrong = _wrong_choices(option, choices, options)
        says += wrong
        if not wrong:
            when.append((option, choices))
        place = found.end()
    return BlockCondition(when=tuple(when)), says


def _patterns_of(options: Mapping[str, Sequence[str]]) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """What a choice and a condition look like; a known choice of several words needs no quotation marks."""
    known = {choice for choices in options.values() for choice in choices if re.search(r"\s", choice)}
    ends = r"(?=[ \t]*(?:,|$)|[ \t]+[^\s=]+=)"
    spaced = [re.escape(choice) + ends for choice in sorted(known, key=len, reverse=True)]
    choice = f"(?:{'|'.join([*spaced, _CHOICE])})"
    choices = rf"{choice}(?:[ \t]*,[ \t]*{choice})*"
    return re.compile(choice), re.compile(rf"[ \t]*([^\s=]+)=({choices})(?:[ \t]+|$)")


def _wrong_choices(option: str, choices: Sequence[str], options: Mapping[str, Sequence[str]]) -> list[str]:
    """Say which option or choices are unknown."""
    if option not in options:
        return [_unknown("option", option, options)]
    known = options[option]
    return [_unknown(f"choice of {option}", one, known) for one in choices if one not in known]


def choices_left(when: Iterable[tuple[str, Sequence[str]]]) -> bool:
    """Tell whether conditions on options can hold together.

    Args:
        when: Options with the choices for which something is; an option may stand there twice.

    Returns:
        False when two of them leave an option no choice.

    >>> choices_left([("sleeves", ("long", "short")), ("sleeves", ("short", "none"))])
    True
    >>> choices_left([("sleeves", ("long",)), ("sleeves", ("none",))])
    False
    """
    left: dict[str, set[str]] = {}
    for option, choices in when:
        left[option] = left.get(option, set(choices)) & set(choices)
    return all(left.values())


def sizes_kept(conditions: Iterable[BlockCondition], count: int) -> tuple[int, ...]:
    """Return the sizes for which all conditions hold.

    Args:
        conditions: Conditions of the blocks around a passage.
        count: Number of sizes of the pattern.

    Returns:
        Positions from 0, in size order; empty when no size is left.

    >>> sizes_kept([BlockCondition(sizes=(1, 2)), BlockCondition(sizes=(2, 3))], 4)
    (2,)
    """
    kept = set(range(count))
    for condition in conditions:
        if condition.sizes is not None:
            kept &= set(condition.sizes)
    return tuple(sorted(kept))
