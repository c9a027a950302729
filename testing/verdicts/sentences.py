"""Verdicts in sentences that a designer understands; pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from testing.access.typed import MM_PER_UNIT

SURE = 0.95
FEWEST_ALIKE = 2  # makers of a size who tell the same
ALIKE_MM = 5.0  # errors closer than this are told as one, their mean; our own
VERDICT_WORDS = {
    "holds": "no error seen",
    "shift": "same error in every size",
    "slope": "error grows with size",
    "sizes": "off in some sizes",
    "undecided": "undecided",
}
CAUSES = {
    "shift": "one number that all sizes share, or a step that adds or leaves out the same in each",
    "slope": "the grading from size to size",
    "sizes": "a counting or typing error in {sizes}",
}
STRETCHED = (  # lengths alone, common practice: long rows of cloth pull the rows under them apart
    " If both agree with what was worked, the fabric grows there by its own weight: take fewer rows."
)
Found = Mapping[str, Any]


@dataclass(frozen=True)
class MakerTally:
    """How many makers a measurement rests on by size, without doubtful entries, and how they lie.

    `beyond` are those further off than the tolerance, `within` the others.
    """

    beyond: tuple[int, ...]
    within: tuple[int, ...]
    doubtful: int = 0
    held: tuple[int, ...] = ()
    """Makers who have a place in each size, whether or not they have measured yet; () = nobody more."""

    @property
    def makers(self) -> tuple[int, ...]:
        """Makers by size."""
        return tuple(map(sum, zip(self.beyond, self.within, strict=True)))


def verdict_sentence(label: str, found: Found, sizes: Sequence[str], units: str, tally: MakerTally) -> str:
    """Say what is wrong, by how much, where, on whose garments it rests, and how sure it is.

    >>> found = {"verdict": "sizes", "sizes": ["3X"], "error": [0, -18], "is_width": True,
    ...          "probability": 0.99}
    >>> verdict_sentence("Upper arm", found, ["2X", "3X"], "cm", MakerTally((0, 2), (1, 0)))
    'Upper arm is 1.8 cm too narrow in 3X: 2 makers of 3X; sure.'
    >>> verdict_sentence("Upper arm", found, ["2X", "3X"], "cm", MakerTally((0, 1), (1, 0)))
    'Upper arm is 1.8 cm too narrow in 3X: 1 maker of 3X; not sure, ask a second maker in 3X.'
    >>> found = {"verdict": "shift", "sizes": ["S", "M"], "error": [33, 33], "is_width": False,
    ...          "probability": 0.99}
    >>> verdict_sentence("Body", found, ["S", "M"], "cm", MakerTally((2, 1), (0, 1)))
    'Body is 3.3 cm too long on average over all sizes: 3 of 4 makers are beyond the tolerance; but 1 of 2 \
makers of M is within the tolerance; sure.'
    """
    return ": ".join(verdict_parts(label, found, sizes, units, tally))


def verdict_parts(
    label: str, found: Found, sizes: Sequence[str], units: str, tally: MakerTally
) -> tuple[str, str]:
    """The verdict, and what it rests on; together a sentence."""
    kind = found["verdict"]
    if kind == "undecided":
        return f"{label} is undecided", f"{_makers_by_size(sizes, tally.makers)}{_left_out(tally)}."
    if kind == "holds":
        but = _opposing(sizes, tally.beyond, tally.makers, "beyond the tolerance")
        rests = _makers_by_size(sizes, tally.makers)
        seen = "No clear error in" if _speaks_against(found, tally) else "No error seen in"
        ask = _ask_again(sizes, tally)
        return f"{seen} {label}", f"{rests}{but}{_untested(tally)}{_left_out(tally)}.{ask}"
    affected = _places(found["sizes"], sizes)
    rests = _makers_by_size([sizes[at] for at in affected], [tally.makers[at] for at in affected])
    if is_mean(found, sizes, tally):
        off = sum(tally.beyond[at] for at in affected)
        made = sum(tally.makers[at] for at in affected)
        rests = f"{off} of {made} makers {'is' if off == 1 else 'are'} beyond the tolerance"
    but = f"{_against(found, sizes, tally)}{_untested(tally)}{_left_out(tally)}"
    said = f"{label} {_said_error(found, sizes, units, tally)}"
    return said, f"{rests}{but}; {_certainty(found, sizes, tally)}.{_waited_for(found, sizes, tally)}"


def cause_sentence(found: Found, labels: Mapping[str, str]) -> str:
    """Say what the likely cause is, and which counts the measurement hangs on."""
    cause = CAUSES.get(found["verdict"])
    if cause is None:
        return ""
    gauge = lone_gauge_sentence(found.get("gauge_first", ()), labels)
    begins = f"{gauge} If the gauge is right" if gauge else "Likely cause"
    sentence = f"{begins}: {cause.format(sizes=joined(found['sizes']))}."
    counts = [f"“{labels.get(name, name)}”" for name in found["suspects"]]
    if not counts:
        return sentence
    grown = STRETCHED if is_grown(found) else ""
    looked_at = f"Look at {joined(counts)} and the steps that use them."
    return f"{sentence} {looked_at}{grown}{_last_of_all(found, labels)}"


def is_grown(found: Found) -> bool:
    """Whether a length is too long by the same in every size, as heavy cloth makes it.

    >>> is_grown({"verdict": "shift", "is_width": False, "error": [32, 32]})
    True
    >>> is_grown({"verdict": "shift", "is_width": True, "error": [32, 32]})
    False
    """
    is_long = found["verdict"] == "shift" and not found["is_width"]
    return is_long and all(one > 0 for one in found["error"] if one is not None)


def lone_gauge_sentence(gauges: Sequence[Found], labels: Mapping[str, str]) -> str:
    """Say whose gauge comes before the pattern, and what it would explain; nothing for no gauge.

    >>> lone_gauge_sentence(
    ...     [{"size": "XL", "direction": "stitches", "change": -0.06, "lines": ["bust", "arm"]}],
    ...     {"bust": "Bust", "arm": "Upper arm"})
    'Likely cause: the gauge of the only maker of XL. 6 % fewer stitches than sent explain Bust and Upper \
arm. Ask for the gauge of the garment itself.'
    """
    if not gauges:
        return ""
    sizes = joined(list(dict.fromkeys(one["size"] for one in gauges)))
    told = [
        f"{abs(one['change']):.0%} ".replace("%", " %")
        + f"{'more' if one['change'] > 0 else 'fewer'} {one['direction']} than sent explain "
        + joined([labels.get(name, name) for name in one["lines"]])
        for one in gauges
    ]
    explained = f"{'; '.join(told)}. Ask for the gauge of the garment itself."
    return f"Likely cause: the gauge of the only maker of {sizes}. {explained}"


def _last_of_all(found: Found, labels: Mapping[str, str]) -> str:
    """Which counts come last, and the sound measurement that speaks for each."""
    by_line: dict[str, list[str]] = {}
    for count, line in found.get("ruled_out", ()):
        by_line.setdefault(labels.get(line, line), []).append(f"“{labels.get(count, count)}”")
    return "".join(
        f" {joined(counts)} come{'s' if len(counts) == 1 else ''} last: {line} depends on "
        f"{'it' if len(counts) == 1 else 'them'} and is right."
        for line, counts in by_line.items()
    )


def undecided_sentences(
    measured: Found, labels: Mapping[str, str], sizes: Sequence[str], tallies: Mapping[str, MakerTally]
) -> list[str]:
    """Name the undecided measurements, those together that the same results may settle.

    >>> found = {"verdict": "undecided", "lacking": 2, "lacking_sizes": ["3X"]}
    >>> undecided_sentences({"arm": found}, {"arm": "Arm"}, ["2X", "3X"], {"arm": MakerTally((0, 0), (3, 1))})
    ['2 more results in 3X may settle: Arm (4 makers).']
    """
    settled_by: dict[str, list[str]] = {}
    for name, found in measured.items():
        if found["verdict"] == "undecided":
            line = f"{labels.get(name, name)} ({_makers(sum(tallies[name].makers))})"
            settled_by.setdefault(_more_results(found, sizes), []).append(line)
    return [f"{more} may settle: {', '.join(lines)}." for more, lines in settled_by.items()]


def unseen_sentence(sizes: Sequence[str], makers: Sequence[int]) -> str:
    """Say which sizes nobody measured; empty where somebody did in each.

    >>> unseen_sentence(["2X", "3X"], [3, 0])
    'No result yet in 3X.'
    """
    unseen = [size for size, count in zip(sizes, makers, strict=True) if count == 0]
    return f"No result yet in {joined(unseen)}." if unseen else ""


def sharing_sentence(names: Sequence[str], counts: Sequence[str], labels: Mapping[str, str]) -> str:
    """Name measurements that share an error together."""
    lines = joined([labels.get(name, name) for name in names])
    shared = joined([f"“{labels.get(name, name)}”" for name in counts])
    return f"{lines} depend on the same {shared}: one error there would explain them together."


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


def _makers(count: int) -> str:
    """Say how many makers."""
    return "1 maker" if count == 1 else f"{count or 'no'} makers"


def _makers_by_size(sizes: Sequence[str], makers: Sequence[int]) -> str:
    """Say how many makers stand behind each size that was made, those alike together.

    >>> _makers_by_size(["S", "M", "L", "XL"], [2, 2, 1, 0])
    '2 makers each of S and M, 1 maker of L'
    """
    by_count: dict[int, list[str]] = {}
    for size, count in zip(sizes, makers, strict=True):
        if count:
            by_count.setdefault(count, []).append(size)
    if not by_count:
        return "no maker of these sizes"
    each = {count: " each" if len(found) > 1 else "" for count, found in by_count.items()}
    return ", ".join(f"{_makers(count)}{each[count]} of {joined(found)}" for count, found in by_count.items())


def _untested(tally: MakerTally) -> str:
    """How many sizes nobody has measured."""
    count = sum(makers == 0 for makers in tally.makers)
    return f"; {count} size{'' if count == 1 else 's'} untested" if count else ""


def _left_out(tally: MakerTally) -> str:
    """How many entries are not counted."""
    count = tally.doubtful
    return f"; {count} doubtful entr{'y' if count == 1 else 'ies'} not counted" if count else ""


def _opposing(sizes: Sequence[str], off: Sequence[int], makers: Sequence[int], how: str) -> str:
    """Makers who say otherwise, by size: "; but both makers of 2X are beyond the tolerance".

    >>> _opposing(["L", "2X"], [0, 2], [2, 2], "beyond the tolerance")
    '; but both makers of 2X are beyond the tolerance'
    """
    said = []
    for size, count, all_of in zip(sizes, off, makers, strict=True):
        if count:
            who = {(1, 1): "the only maker", (2, 2): "both makers"}.get(
                (count, all_of), f"{count} of {all_of} makers"
            )
            if count == all_of > 2:
                who = f"all {count} makers"
            said.append((f"{who} of {size}", count))
    if not said:
        return ""
    verb = "is" if len(said) == 1 and said[0][1] == 1 else "are"
    return f"; but {joined([words for words, _ in said])} {verb} {how}"


def _ask_again(sizes: Sequence[str], tally: MakerTally) -> str:
    """What settles makers beyond the tolerance where the measurement holds all the same.

    >>> _ask_again(["L", "XL"], MakerTally((0, 1), (2, 1)))
    ' Ask who is off in XL to measure again, or ask one more maker there.'
    """
    off = [size for size, count in zip(sizes, tally.beyond, strict=True) if count]
    return f" Ask who is off in {joined(off)} to measure again, or ask one more maker there." if off else ""


def _against(found: Found, sizes: Sequence[str], tally: MakerTally) -> str:
    """What speaks against a verdict: makers of its sizes who are right, and of other sizes who are off."""
    affected = set(_places(found["sizes"], sizes))
    inside = [count if at in affected else 0 for at, count in enumerate(tally.within)]
    outside = [0 if at in affected else count for at, count in enumerate(tally.beyond)]
    right = _opposing(sizes, inside, tally.makers, "within the tolerance")
    return right + _opposing(sizes, outside, tally.makers, "beyond the tolerance too")


def _certainty(found: Found, sizes: Sequence[str], tally: MakerTally) -> str:
    """Sure only where every size spoken of that was made has two makers; else what is lacking."""
    affected = _places(found["sizes"], sizes)
    if wanted := for_second(found, sizes, tally.makers, tally.held):
        return f"not sure, ask a second maker in {joined(wanted, 'and')}"
    if thin := [sizes[at] for at in affected if tally.makers[at] == 1]:
        return f"not sure, the second in {joined(thin, 'and')} has not measured it yet"
    if all(tally.makers[at] == 0 for at in affected):
        return "not sure, nobody has made these sizes"
    if any(_may_be_right(found, at) for at in affected):
        return "likely"
    return "sure" if found["probability"] >= SURE else "likely"


def _waited_for(found: Found, sizes: Sequence[str], tally: MakerTally) -> str:
    """Why no second is asked for in the other sizes that rest on one maker.

    >>> found = {"verdict": "shift", "sizes": ["S", "M"]}
    >>> _waited_for(found, ["S", "M"], MakerTally((1, 1), (0, 0), held=(1, 2)))
    ' In M the second has a place and has not measured it yet.'
    """
    wanted = for_second(found, sizes, tally.makers, tally.held)
    affected = _places(found["sizes"], sizes)
    waits = [sizes[at] for at in affected if tally.makers[at] == 1 and sizes[at] not in wanted]
    if not wanted or not waits:
        return ""
    return f" In {joined(waits)} the second has a place and has not measured it yet."


def for_second(found: Found, sizes: Sequence[str], makers: Sequence[int], held: Sequence[int]) -> list[str]:
    """The sizes in which a wrong measurement rests on one maker, and nobody else has a place.

    Args:
        found: A verdict.
        sizes: All sizes.
        makers: How many have measured it, by size.
        held: How many have a place, by size; () where nobody has beside those.

    >>> for_second({"verdict": "sizes", "sizes": ["M", "L"]}, ["S", "M", "L"], [2, 1, 1], [2, 1, 2])
    ['M']
    """
    if found["verdict"] in ("holds", "undecided"):
        return []
    have = held or makers
    return [sizes[at] for at in _places(found["sizes"], sizes) if makers[at] == 1 and have[at] < FEWEST_ALIKE]


def _speaks_against(found: Found, tally: MakerTally) -> bool:
    """Whether both makers of a size, or all of more, are beyond, or an interval leaves no error out."""
    both = any(off == made >= FEWEST_ALIKE for off, made in zip(tally.beyond, tally.makers, strict=True))
    bounds = [one for one in found.get("interval", ()) if one]
    return both or any(low * high > 0 for low, high in bounds)


def _may_be_right(found: Found, at: int) -> bool:
    """Whether the interval of a size holds no error too."""
    bounds = found.get("interval", ())
    return bool(bounds and bounds[at]) and bounds[at][0] <= 0 <= bounds[at][1]


def is_mean(found: Found, sizes: Sequence[str], tally: MakerTally) -> bool:
    """Whether makers of the sizes told of by one amount are right: it is that of all of them together."""
    return _is_one_amount(found, sizes) and any(tally.within[at] for at in _places(found["sizes"], sizes))


def _is_one_amount(found: Found, sizes: Sequence[str]) -> bool:
    """Whether one amount tells the error of all sizes spoken of: a shift, or errors that are alike."""
    errors: list[float] = [found["error"][at] for at in _places(found["sizes"], sizes)]
    alike = max(errors) * min(errors) > 0 and max(errors) - min(errors) < ALIKE_MM
    verdict: str = found["verdict"]
    return verdict == "shift" or (verdict == "sizes" and alike)


def _places(affected: Sequence[str], sizes: Sequence[str]) -> list[int]:
    """The places of the sizes that a verdict speaks of."""
    return [at for at, size in enumerate(sizes) if size in affected or not affected]


def _said_error(found: Found, sizes: Sequence[str], units: str, tally: MakerTally) -> str:
    """Say by how much and where; of an error that grows, between the outermost sizes that were made."""
    by_size = dict(zip(sizes, found["error"], strict=True))
    if found["verdict"] == "slope":
        made = [size for size, makers in zip(sizes, tally.makers, strict=True) if makers] or list(sizes)
        first, last = made[0], made[-1]
        ends = [
            "right" if _may_be_right(found, list(sizes).index(end)) else _amount(by_size[end], found, units)
            for end in (first, last)
        ]
        return f"goes from {ends[0]} in {first} to {ends[1]} in {last}"
    if _is_one_amount(found, sizes):
        errors = [found["error"][at] for at in _places(found["sizes"], sizes)]
        amount, where = _amount(sum(errors) / len(errors), found, units), _where(found, sizes, tally)
        mean = " on average" if is_mean(found, sizes, tally) else ""
        return f"is {amount}{mean} {where.replace('in every size', 'over all sizes') if mean else where}"
    return "is " + joined([f"{_amount(by_size[size], found, units)} in {size}" for size in found["sizes"]])


def _amount(error_mm: float, found: Found, units: str) -> str:
    """An error in words: "1.8 cm too narrow"."""
    number = abs(error_mm) / MM_PER_UNIT[units]
    if number < 0.05:
        return "right"
    digits = f"{number:.1f}" if units == "cm" else f"{number:.2f}"
    more, less = ("wide", "narrow") if found["is_width"] else ("long", "short")
    return f"{digits} {units} too {more if error_mm > 0 else less}"


def _where(found: Found, sizes: Sequence[str], tally: MakerTally) -> str:
    """Name sizes as people do: "in every size", "in 3X and up", "in S and M"."""
    affected = found["sizes"]
    if len(affected) == len(sizes):
        return "in every size measured" if 0 in tally.makers else "in every size"
    tail = list(sizes[-len(affected) :]) if affected else []
    if len(affected) > 1 and list(affected) == tail:
        return f"in {affected[0]} and up"
    return f"in {joined(affected)}"
