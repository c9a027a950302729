"""Amounts of yarn of a record by what is chosen, and what a choice takes that is new."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from catalogue.versions.records import Record
from grading.core.pattern.entries import read_weight

Weights = list[float | None]
Chosen = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class NewChoice:
    """What a choice that is new takes more than the default: g, one for each size."""

    name: str
    label: str
    more: Weights


def amounts(record: Record) -> dict[tuple[str, Chosen], Weights]:
    """Weights, g, one for each size, by colour and what is chosen."""
    return {
        (colour, tuple(sorted(need["options"].items()))): figures["weight"]
        for need in record["results"]["yarn"]
        for colour, figures in need["colours"].items()
    }


def ball_weights(record: Record) -> dict[str, float]:
    """What a ball of each colour weighs, g; colours that name no ball are left out."""
    yarns = record["pattern"].get("yarns", [])
    return {one["colour"]: read_weight(one["put_up"], "$.yarns") for one in yarns if "put_up" in one}


def yarn_key(colour: str, chosen: Chosen) -> tuple[str, str, str]:
    """Name, label and kind of an amount."""
    words = ", ".join(f"{option} {choice}" for option, choice in chosen)
    label = f"Yarn, colour {colour}" + (f" ({words})" if words else "")
    return f"yarn.{colour}.{words}", label, "weight"


def as_chosen_in(chosen: Chosen, record: Record, other: Record) -> Chosen | None:
    """The same combination without the options that another record lacks; None where it can't have it.

    An option that the other lacks stands at its default, which is what the other was made with.
    """
    mine, theirs = _options(record), _options(other)
    kept = []
    for option, choice in chosen:
        if option in theirs:
            if choice not in theirs[option][1]:
                return None
            kept.append((option, choice))
        elif option in mine and choice != mine[option][0]:
            return None
    # Options that this record lacks stand at the default of the other.
    kept += [(name, default) for name, (default, _) in theirs.items() if name not in dict(chosen)]
    return tuple(sorted(kept))


def new_choices(old: Record, new: Record) -> Iterator[NewChoice]:
    """Each choice that the old record lacks, with what it takes more of each colour."""
    known, defaults = amounts(new), {name: default for name, (default, _) in _options(new).items()}
    kept = _options(old)
    found = []
    for (colour, chosen), weights in known.items():
        if as_chosen_in(chosen, new, old) is not None:
            continue
        fresh = tuple(one for one in chosen if one[1] not in kept.get(one[0], ("", ()))[1])
        fresh = tuple((option, choice) for option, choice in fresh if choice != defaults.get(option))
        at_default = tuple((one, defaults[one] if (one, its) in fresh else its) for one, its in chosen)
        before = known.get((colour, at_default), [0.0] * len(weights))
        more = [None if a is None else a - (b or 0.0) for a, b in zip(weights, before, strict=True)]
        found.append((colour, fresh, chosen, more))
    found.sort(key=lambda one: one[:2])
    for (colour, fresh), group in groupby(found, key=lambda one: one[:2]):
        each = [(chosen, more) for *_, chosen, more in group]
        is_even = all(_rounded(more) == _rounded(each[0][1]) for _, more in each)
        for chosen, more in each[:1] if is_even else each:
            yield _new_choice(colour, fresh if is_even else chosen, more, new)


def _new_choice(colour: str, chosen: Chosen, more: Weights, record: Record) -> NewChoice:
    """A choice in the words that makers read."""
    labels = {one["name"]: one["label"] for one in record["pattern"].get("options", [])}
    words = ", ".join(f"{labels.get(option, option)}: {choice}" for option, choice in chosen)
    name = yarn_key(colour, chosen)[0]
    return NewChoice(f"{name} more", f"Yarn, colour {colour}, new choice ({words})", more)


def _rounded(weights: Weights) -> list[int | None]:
    """Weights as they are printed."""
    return [None if one is None else round(one) for one in weights]


def _options(record: Record) -> dict[str, tuple[str, tuple[str, ...]]]:
    """The default and the choices of each option of a record that changes its yarn, by name."""
    named = {option for need in record["results"]["yarn"] for option in need["options"]}
    options = record["pattern"].get("options", [])
    return {one["name"]: (one["default"], tuple(one["choices"])) for one in options if one["name"] in named}
