"""What a maker has chosen, as makers say it: “with long sleeves”, “without pockets”, “with folded brim”."""

import re
from collections.abc import Sequence

from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.wording import listed

YES, NO = ("yes",), ("no", "none", "without")
COLOURS = ("colour", "colours", "color", "colors")
_NUMBER = re.compile(r"\d+|one|two|three|four|five|six|seven|eight|nine|ten|twelve")
# A name as typed: a V, a word with a capital within. All else begins small within a sentence.
_ORDINARY = re.compile(r"[A-Z][a-z]")


def choice_words(when: Sequence[tuple[str, Sequence[str]]], pattern: PatternFile) -> str:
    """Say for which choices something is, within a sentence.

    Args:
        when: Options with the choices for which it holds.
        pattern: The pattern as read.

    Returns:
        As "with long sleeves and pockets"; empty for no condition.

    Source: common practice.
    """
    labels = {option.name: option.label for option in pattern.options}
    told = [" or ".join(_told(labels.get(name, name), choices)) for name, choices in when]
    return listed([_after(told[place - 1], one) if place else one for place, one in enumerate(told)])


def choice_noun(name: str, choice: str, pattern: PatternFile) -> str:
    """Say what one choice brings, to stand after "with" or "for".

    Args:
        name: An option.
        choice: One of its choices.
        pattern: The pattern as read.

    Returns:
        As "long sleeves", "pockets" or "no sleeves".
    """
    told = choice_words([(name, (choice,))], pattern)
    lead, _, noun = told.partition(" ")
    return {"with": noun, "in": noun, "without": f"no {noun}"}.get(lead, told)


def only_with(label: str, told: str, wording: int = NEWEST_WORDING) -> str:
    """Name a part with the choice that it is for, where its own name does not tell it.

    Args:
        label: The name of a part, as printed.
        told: For which choices or sizes it is, as printed; empty for all.
        wording: State of our sentences.

    Returns:
        As "Cuff rib (with long sleeves)", but "Long cuff" alone where that is what is chosen.

    >>> only_with("Tie (make 4)", "with ties"), only_with("Long cuff", "with long cuff")
    ('Tie (make 4; with ties)', 'Long cuff')
    """
    if told and wording <= WIDE_WORDING:
        return f"{label} ({told})"
    if not told or told.casefold() == f"with {label.casefold()}":
        return label
    return f"{label[:-1]}; {told})" if label.endswith(")") else f"{label} ({told})"


def _after(before: str, told: str) -> str:
    """Say "with" once for choices that follow one another."""
    is_alike = before.startswith("with ") and " or " not in before + told
    return told.removeprefix("with ") if is_alike else told


def _told(label: str, choices: Sequence[str]) -> list[str]:
    """Return one phrase for each choice; adjectives of the same thing stand together before it."""
    thing = _within(label.strip(" ?:").removeprefix("With ").removeprefix("with "))
    adjectives = [one for one in choices if _is_adjective(one, thing)]
    phrases = []
    for choice in choices:
        if choice not in adjectives:
            phrases.append(_phrase(thing, choice))
        elif choice == adjectives[0]:
            phrases.append(_described(thing, " or ".join(_within(one) for one in adjectives)))
    return list(dict.fromkeys(phrases))


def _is_adjective(choice: str, thing: str) -> bool:
    """Whether a choice is one word that says how something is, or how many of them there are."""
    lower = choice.casefold()
    is_thing = lower.endswith("s") and not lower.endswith(("ss", "less")) and not _NUMBER.fullmatch(lower)
    return " " not in choice and lower not in (*YES, *NO) and lower not in _forms(thing) and not is_thing


def _described(thing: str, adjective: str) -> str:
    """Put what says how something is before it."""
    if thing.endswith("ed"):
        return f"{thing} {adjective}"
    if adjective.casefold() in ("one", "1") and thing.endswith("s") and not thing.endswith("ss"):
        return f"with {adjective} {thing.removesuffix('s')}"
    return f"{'in' if thing in COLOURS else 'with'} {adjective} {thing}"


def _phrase(thing: str, choice: str) -> str:
    """Say a choice that is no adjective: yes and no, the thing itself, other things, or several words."""
    lower = choice.casefold()
    if lower in YES or lower in _forms(thing):
        return f"with {thing}"
    if lower in NO:
        return f"without {thing}"
    if lower.startswith(("with ", "without ")):
        return lower[:1] + choice[1:]
    words = lower.split()
    if lower.startswith("no ") or (words[-1].endswith("s") and not words[-1].endswith(("ss", "less"))):
        return f"with {_within(choice)}"
    return f"{thing} {choice}" if thing.endswith("ed") else f"with the {thing} {_within(choice)}"


def _forms(thing: str) -> tuple[str, ...]:
    """A thing in the singular and in the plural."""
    return (thing.casefold(), f"{thing.casefold()}s", thing.casefold().removesuffix("s"))


def _within(words: str) -> str:
    """Begin small, as within a sentence; what is written otherwise stays: a V."""
    return words[:1].lower() + words[1:] if _ORDINARY.match(words) else words
