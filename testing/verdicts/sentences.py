"""Verdicts in sentences that a designer understands; pure."""

from collections.abc import Mapping, Sequence
from typing import Any

from testing.access.typed import MM_PER_UNIT

SURE = 0.95
LOOKS_LIKE = {
    "inches": "inches written as centimetres",
    "flat": "a width laid flat",
    "doubled": "a doubled width",
    "digits": "two digits swapped",
    "neighbour": "the value of another line",
    "unclear": "nothing that the other results explain",
}
VERDICT_WORDS = {
    "holds": "holds",
    "shift": "off by the same",
    "slope": "grows wrongly over the sizes",
    "sizes": "off in some sizes",
    "undecided": "undecided",
}
CAUSES = {
    "shift": "one number that all sizes share, or a step that adds or leaves out the same in each",
    "slope": "the grading from size to size",
    "sizes": "a counting or typing error in {sizes}",
}
Found = Mapping[str, Any]


def verdict_sentence(label: str, found: Found, sizes: Sequence[str], units: str) -> str:
    """Say what is wrong, by how much, where, on what it rests and how sure it is.

    >>> found = {"verdict": "sizes", "sizes": ["3X"], "error": [0, -18], "is_width": True,
    ...          "rests_on": 7, "probability": 0.99}
    >>> verdict_sentence("Upper arm", found, ["2X", "3X"], "cm")
    'Upper arm is 1.8 cm too narrow in 3X; 7 results; sure.'
    """
    rests = f"{_results(found['rests_on'])}"
    kind = found["verdict"]
    if kind == "holds":
        return f"{label} holds; {rests}."
    if kind == "undecided":
        return f"{label} is undecided; {rests}."
    sure = "sure" if found["probability"] >= SURE else "likely"
    return f"{label} {_said_error(found, sizes, units)}; {rests}; {sure}."


def cause_sentence(found: Found, labels: Mapping[str, str]) -> str:
    """Say what the likely cause is, and which counts the measurement hangs on."""
    cause = CAUSES.get(found["verdict"])
    if cause is None:
        return ""
    sentence = f"Likely cause: {cause.format(sizes=joined(found['sizes']))}."
    counts = [f"“{labels.get(name, name)}”" for name in found["suspects"]]
    return f"{sentence} Look at {joined(counts)} and the steps that use them." if counts else sentence


def undecided_sentences(measured: Found, labels: Mapping[str, str], sizes: Sequence[str]) -> list[str]:
    """Name the undecided measurements, those together that the same results would settle.

    >>> found = {"verdict": "undecided", "rests_on": 4, "lacking": 2, "lacking_sizes": ["3X"]}
    >>> undecided_sentences({"arm": found, "hem": found}, {"arm": "Upper arm", "hem": "Hem"}, ["2X", "3X"])
    ['2 more results in 3X would settle: Upper arm (4 results), Hem (4 results).']
    """
    settled_by: dict[str, list[str]] = {}
    for name, found in measured.items():
        if found["verdict"] == "undecided":
            line = f"{labels.get(name, name)} ({_results(found['rests_on'])})"
            settled_by.setdefault(_more_results(found, sizes), []).append(line)
    return [f"{more} would settle: {', '.join(lines)}." for more, lines in settled_by.items()]


def unseen_sentence(found: Found, sizes: Sequence[str]) -> str:
    """Say which sizes nobody measured; empty where somebody did in each.

    >>> unseen_sentence({"results": [3, 0]}, ["2X", "3X"])
    'No result yet in 3X.'
    """
    unseen = [size for size, count in zip(sizes, found["results"], strict=True) if count == 0]
    return f"No result yet in {joined(unseen)}." if unseen else ""


def doubt_sentence(doubt: Found, labels: Mapping[str, str]) -> str:
    """Say what a doubtful entry looks like."""
    if doubt["looks_like"] == "neighbour":
        return f"looks like the value of “{labels.get(doubt['neighbour'], doubt['neighbour'])}”"
    return f"looks like {LOOKS_LIKE[doubt['looks_like']]}"


def sharing_sentence(names: Sequence[str], counts: Sequence[str], labels: Mapping[str, str]) -> str:
    """Name measurements that share an error together."""
    lines = joined([labels.get(name, name) for name in names])
    shared = joined([f"“{labels.get(name, name)}”" for name in counts])
    return f"{lines} hang on the same {shared}: one error there would explain them together."


def joined(words: Sequence[str], last: str = "and") -> str:
    """Join words as in a sentence.

    >>> joined(["S", "M", "L"])
    'S, M and L'
    """
    return f" {last} ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def _more_results(found: Found, sizes: Sequence[str]) -> str:
    """Say which results an undecided measurement lacks."""
    more = "1 more result" if found["lacking"] == 1 else f"{found['lacking']} more results"
    lacking = found["lacking_sizes"]
    if len(lacking) == len(sizes):
        return more
    seen = [size for size in sizes if size not in lacking]
    if len(seen) < len(lacking):
        return f"{more} in any size but {joined(seen)}"
    return f"{more} in {joined(lacking, 'or')}"


def _results(count: int) -> str:
    """Say how many results."""
    return "1 result" if count == 1 else f"{count or 'no'} results"


def _said_error(found: Found, sizes: Sequence[str], units: str) -> str:
    """Say by how much and where."""
    by_size = dict(zip(sizes, found["error"], strict=True))
    if found["verdict"] == "slope":
        first, last = sizes[0], sizes[-1]
        ends = (_amount(by_size[first], found, units), _amount(by_size[last], found, units))
        return f"goes from {ends[0]} in {first} to {ends[1]} in {last}"
    errors = [by_size[size] for size in found["sizes"]] or list(by_size.values())
    alike = max(errors) * min(errors) > 0
    if found["verdict"] == "shift" or (alike and max(errors) - min(errors) < MM_PER_UNIT[units]):
        return f"is {_amount(sum(errors) / len(errors), found, units)} {_where(found, sizes)}"
    return "is " + joined([f"{_amount(by_size[size], found, units)} in {size}" for size in found["sizes"]])


def _amount(error_mm: float, found: Found, units: str) -> str:
    """An error in words: "1.8 cm too narrow"."""
    number = abs(error_mm) / MM_PER_UNIT[units]
    if number < 0.05:
        return "right"
    digits = f"{number:.1f}" if units == "cm" else f"{number:.2f}"
    more, less = ("wide", "narrow") if found["is_width"] else ("long", "short")
    return f"{digits} {units} too {more if error_mm > 0 else less}"


def _where(found: Found, sizes: Sequence[str]) -> str:
    """Name sizes as people do: "in every size", "in 3X and up", "in S and M"."""
    affected = found["sizes"]
    if len(affected) == len(sizes):
        return "in every size measured" if 0 in found.get("results", ()) else "in every size"
    tail = list(sizes[-len(affected) :]) if affected else []
    if len(affected) > 1 and list(affected) == tail:
        return f"in {affected[0]} and up"
    return f"in {joined(affected)}"
