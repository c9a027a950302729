"""What an edit changed in the numbers: counted, named and said in one sentence."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from textwrap import shorten
from typing import Any

from grading.core.instructions.print_changes import PrintChange

GradedJson = dict[str, Any]  # the JSON of a graded sheet
Findings = list[dict[str, Any]]
_NUMBERS = re.compile(r"[−-]?\d+(?:[.,]\d+)*[¼½¾]?|[¼½¾]")
TOLERANCE = 1e-9
MOST_PRINTED = 3
MOST_NAMED = 3
MOST_FINDINGS = 2
LONGEST_FINDING = 120


@dataclass(frozen=True)
class ChangedValue:
    """A value whose numbers changed: in which sizes, with the worked numbers before and after."""

    name: str
    sizes: tuple[str, ...]
    before: tuple[float | None, ...]
    after: tuple[float | None, ...]


@dataclass(frozen=True)
class ChangedCheck:
    """A check that fails, or holds again, in sizes where it did not before."""

    name: str
    sizes: tuple[str, ...]


@dataclass(frozen=True)
class Difference:
    """Everything that differs between two states of a sheet's results."""

    values: tuple[ChangedValue, ...] = ()
    now_fails: tuple[ChangedCheck, ...] = ()
    now_holds: tuple[ChangedCheck, ...] = ()
    new_findings: tuple[dict[str, Any], ...] = ()
    gone_findings: tuple[dict[str, Any], ...] = ()
    yarn_changed: bool = False
    names: frozenset[str] = frozenset()
    """Of the entries that are others than before, or have other numbers."""
    printed: tuple[PrintChange, ...] = ()
    all_sizes: tuple[str, ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)
    new_named: tuple[tuple[str, str], ...] = field(default=(), compare=False)
    """New findings by weight and words, one for each line and kind, those that stop publishing first."""
    gone_named: tuple[str, ...] = field(default=(), compare=False)
    """Those that are no findings any more; both are named of what was edited, not of what only would be."""

    @property
    def numbers(self) -> int:
        """How many numbers changed."""
        return sum(len(value.sizes) for value in self.values)

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes in which numbers changed, in the order in which they were met."""
        return tuple(dict.fromkeys(size for value in self.values for size in value.sizes))

    @property
    def sentence(self) -> str:
        """What changed, in one sentence."""
        return self._said(self.new_named)

    def _said(self, named: tuple[tuple[str, str], ...]) -> str:
        """The sentence, with these of the new findings by their words."""
        parts = [self._values_words] if self.values else []
        parts += [f"printed: {self._printed_words}"] if self.printed else []
        parts += [f"check “{_plain(one.name)}” now fails in {_join(one.sizes)}" for one in self.now_fails]
        parts += [f"check “{_plain(one.name)}” is now true in {_join(one.sizes)}" for one in self.now_holds]
        parts += self._new_findings_words(named)
        if self.gone_named:
            parts.append(f"{_count(len(self.gone_named), 'finding')} gone ({_first(self.gone_named)})")
        if not parts and self.yarn_changed:
            parts.append("only the yarn changes")
        return "; ".join(parts or ["no number changed"]) + "."

    @property
    def own_sentence(self) -> str:
        """The sentence where it stands by itself."""
        return _opened(self.sentence)

    @property
    def is_quiet(self) -> bool:
        """Whether nothing is to be said of the numbers: all are as they were."""
        return self.sentence == Difference().sentence

    @property
    def of_words(self) -> str:
        """The sentence after words were changed; the Stop of a step is told beside it."""
        named = tuple(one for one in self.new_named if one[0] != "stop")
        return "The numbers are as they were." if self.is_quiet else _opened(self._said(named))

    @property
    def ahead(self) -> str:
        """The sentence before anything is saved."""
        return "Saving changes no number." if self.is_quiet else f"Saving would change: {self.sentence}"

    def _new_findings_words(self, named: tuple[tuple[str, str], ...]) -> list[str]:
        """How many findings are new and the first of them, those that stop publishing before all."""
        told: list[str] = []
        for weight, word in (("stop", "new Stop"), ("warn", "new finding")):
            new = {(one["where"], one["says"]) for one in self.new_findings if one["weight"] == weight}
            number = len([one for one in self.new_named if one[0] == weight]) or len(new)
            says = tuple(words for of, words in named if of == weight)
            if number:
                so = ", so it can’t be published" if weight == "stop" else ""
                told.append(f"{_count(number, word)}{so}{f' ({_first(says)})' if says else ''}")
        return told

    @property
    def _values_words(self) -> str:
        """How many numbers changed in how many sizes, and in which lines: the first few by their labels."""
        counted = f"{_count(self.numbers, 'number')} in {_count(len(self.sizes), 'size')}"
        names = [f"“{self.labels.get(one.name, _plain(one.name))}”" for one in self.values]
        rest = len(names) - MOST_NAMED
        shown = tuple(names[:MOST_NAMED]) + ((_count(rest, "more line"),) if rest > 0 else ())
        return f"{counted} ({_join(shown)})"

    @property
    def _printed_words(self) -> str:
        """The first few numbers that print otherwise in the steps, with their sizes.

        Where many do and the lines behind them are named, how many, and from which size to which.
        """
        rest = len(self.printed) - MOST_PRINTED
        if rest <= 0 or not self.values:
            shown = [f"{became(one)}{self._where(one.sizes)}" for one in self.printed[:MOST_PRINTED]]
            return ", ".join(shown) + (f" and {rest} more" if rest > 0 else "")
        met = {size for one in self.printed for size in one.sizes}
        sizes = [size for size in self.all_sizes if size in met]
        span = f", sizes {sizes[0]} to {sizes[-1]}" if sizes[1:] else self._where(tuple(sizes))
        return f"{_count(len(self.printed), 'number')} in the steps{span}"

    def _where(self, sizes: tuple[str, ...]) -> str:
        """Sizes in brackets; nothing for a pattern of one size."""
        if len(self.all_sizes) == 1:
            return ""
        if sizes == self.all_sizes:
            return " (all sizes)"
        return f" ({'size' if len(sizes) == 1 else 'sizes'} {', '.join(sizes)})"


def difference_between(old: GradedJson, new: GradedJson) -> Difference:
    """Compare two graded sheets, size by size with the same label."""
    fails, holds = _changed_checks(old, new)
    come, gone = findings_between(old["findings"], new["findings"])
    return Difference(
        values=tuple(_changed_values(old, new)),
        now_fails=tuple(fails),
        now_holds=tuple(holds),
        new_findings=tuple(come),
        gone_findings=tuple(gone),
        yarn_changed=not same_figures(_yarn_figures(old, new), _yarn_figures(new, old)),
    )


def same_figures(one: Any, other: Any) -> bool:
    """Whether figures agree, numbers within the tolerance of comparisons, everything else exactly."""
    if one is other:
        return True
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) <= TOLERANCE * max(1, abs(one), abs(other))
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_figures, one, other))
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same_figures(one[key], other[key]) for key in one)
    return bool(one == other)


def _yarn_figures(of: GradedJson, other: GradedJson) -> list[Any]:
    """The yarn of each combination of choices; options that only one of both has make none of their own."""
    options = {name for need in other["yarn"] for name in need["options"]}
    figures: list[Any] = []
    for need in of["yarn"]:
        shared = {name: choice for name, choice in need["options"].items() if name in options}
        figure = {**need, "options": shared}
        if figure not in figures:
            figures.append(figure)
    return figures


def _changed_values(old: GradedJson, new: GradedJson) -> Iterator[ChangedValue]:
    """The values of the new sheet with the sizes in which their worked number is another."""
    for name, value in new["values"].items():
        before = dict(zip(old["sizes"], old["values"].get(name, {}).get("worked", ()), strict=False))
        after = dict(zip(new["sizes"], value["worked"], strict=False))
        sizes = tuple(size for size in after if not same_figures(before.get(size), after[size]))
        if sizes:
            yield ChangedValue(
                name, sizes, tuple(map(before.get, sizes)), tuple(after[size] for size in sizes)
            )


def _changed_checks(old: GradedJson, new: GradedJson) -> tuple[list[ChangedCheck], list[ChangedCheck]]:
    """Checks that fail where they did not, and that hold where they failed."""
    fails, holds = [], []
    for name, results in new["checks"].items():
        before = dict(zip(old["sizes"], old["checks"].get(name, ()), strict=False))
        now = list(zip(new["sizes"], results, strict=False))
        failing = tuple(size for size, held in now if held is False and before.get(size) is not False)
        holding = tuple(size for size, held in now if held is True and before.get(size) is False)
        fails += [ChangedCheck(name, failing)] if failing else []
        holds += [ChangedCheck(name, holding)] if holding else []
    return fails, holds


def findings_between(old: Findings, new: Findings) -> tuple[Findings, Findings]:
    """The findings that came and those that went; one that has only other numbers has stayed."""
    before, after = _by_kind(old), _by_kind(new)
    came = [found for key, found in after.items() if key not in before]
    return came, [found for key, found in before.items() if key not in after]


def _by_kind(findings: Findings) -> dict[tuple[Any, ...], dict[str, Any]]:
    """Findings by what makes one the same as before: place, size, weight and words without their numbers."""
    return {
        (one["where"], one["size"], one["weight"], _NUMBERS.sub("#", one["says"])): one for one in findings
    }


def became(one: PrintChange) -> str:
    """What became of a printed number."""
    if not one.before:
        return f"{one.after} is new"
    return f"{one.before} → {one.after}" if one.after else f"{one.before} is gone"


def _count(number: int, word: str) -> str:
    """A number with its word."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _first(says: tuple[str, ...]) -> str:
    """The first two of some sentences, cut where they are long, and how many more there are.

    >>> _first(("Edge: smaller in M.", "Back: no number", "Neck: no number"))
    'Edge: smaller in M; Back: no number; 1 more'
    """
    rest = len(says) - MOST_FINDINGS
    shown = [shorten(one.rstrip("."), LONGEST_FINDING, placeholder=" …") for one in says[:MOST_FINDINGS]]
    return "; ".join([*shown, f"{rest} more"] if rest > 0 else shown)


def _opened(sentence: str) -> str:
    """A sentence with its first letter large."""
    return sentence[:1].upper() + sentence[1:]


def _plain(name: str) -> str:
    """A name as words."""
    return name.replace("_", " ")


def _join(words: tuple[str, ...]) -> str:
    """A list in words, as of sizes."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
