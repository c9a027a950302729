"""What a maker has chosen, as makers say it: “with long sleeves”, “without pockets”, “with folded brim”."""

import re
from collections.abc import Mapping, Sequence

from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.wording import listed, small

YES, NO = ("yes", "with", "on", "true"), ("no", "none", "without", "off", "false")
COLOURS = ("colour", "colours", "color", "colors")
# What stands before the thing in the label of an option: "With pockets?", "A hood", "Which thumb".
_LEAD = re.compile(r"(?:(?:with|without|which|add|a|an|the)\s+)+(?=\S)", re.IGNORECASE)
_ARTICLE = re.compile(r"(?:a|an|the)\s+(?=\S)", re.IGNORECASE)
_PLACES = {
    *("above", "across", "along", "at", "below", "by", "for", "from", "in", "into", "of", "on", "over"),
    *("to", "under", "with", "without"),
}
# Participles of things that are not said with "ed".
_DONE = ("made", "sewn", "worn")
_ONE, _MORE = ("one", "1"), re.compile(r"\d+|two|three|four|five|six|seven|eight|nine|ten|twelve")


def choice_words(when: Sequence[tuple[str, Sequence[str]]], pattern: PatternFile) -> str:
    """Say for which choices something is, within a sentence.

    Args:
        when: Options with the choices for which it holds.
        pattern: The pattern as read.

    Returns:
        As "with long sleeves and pockets"; what no rule fits, as "hem: rib stitch"; empty for no condition.

    Source: common practice.
    """
    return choices_said(when, {option.name: option.label for option in pattern.options})


def choices_said(when: Sequence[tuple[str, Sequence[str]]], labels: Mapping[str, str]) -> str:
    """Say choices as `choice_words` does, by the labels of the options alone.

    Args:
        when: Options with their choices.
        labels: What people read for each option, by its name.

    Returns:
        As "with long sleeves and pockets"; empty for no choice.

    Source: common practice.

    >>> choices_said([("sleeves", ["none"])], {"sleeves": "Sleeves"})
    'without sleeves'
    """
    told = [" or ".join(_told(labels.get(name, name), choices)) for name, choices in when]
    if any(": " in one for one in told):
        return "; ".join(told)
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
    """Return one phrase for each choice; those that are said alike of the same thing stand together."""
    label = label.strip(" ?:") or label
    lead = _LEAD.match(label)
    thing = small(label[lead.end() :] if lead else label)
    is_without = label.casefold().startswith("without ")
    phrases = {choice: _phrase(thing, choice, is_without=is_without) for choice in choices}
    described = [one for one in choices if not phrases[one] and _is_adjective(one, thing)]
    others = [one for one in choices if not phrases[one] and one not in described]
    told = [
        phrases[one]
        or (
            _described(thing, " or ".join(small(each) for each in described))
            if one in described
            else f"{small(label)}: {' or '.join(others)}"
        )
        for one in choices
    ]
    return list(dict.fromkeys(told))


def _phrase(thing: str, choice: str, *, is_without: bool) -> str:
    """Say a choice that is no adjective; nothing where no rule fits. "Without pockets: yes" has none."""
    lower = _ARTICLE.sub("", choice.casefold(), count=1)
    words = lower.split()
    said = small(choice)
    if lower in (*YES, *NO):
        is_turned = is_without and lower not in ("with", "without")
        return _yes_or_no(thing, is_yes=(lower in YES) != is_turned)
    if lower in _forms(thing):
        return f"with {thing}"
    if lower.removeprefix("no ") in _forms(thing) or lower.removesuffix("less") in _forms(thing):
        return f"without {thing}"
    if words[0] in ("with", "without"):
        return said
    if _is_done(thing):
        return f"{thing} {said}"
    if words[0] == "no":
        return f"with {said}"
    if words[1:] and words[-1] in COLOURS:
        return f"in {said}"
    if any(lower.endswith(f" {form}") for form in _forms(thing)):
        return f"with {said}"
    if words[0] in _PLACES and words[1:] and not _has_place(thing):
        return f"with the {thing} {said}"
    return f"with {said}" if is_plural(words[-1]) and not _has_place(lower) else ""


def _yes_or_no(thing: str, *, is_yes: bool) -> str:
    """Say that there is a thing or none, and of what is done that it is or not."""
    if not _is_done(thing):
        return f"{'with' if is_yes else 'without'} {thing}"
    before, _, done = thing.rpartition(" ")
    return " ".join(word for word in (before, "" if is_yes else "not", done) if word)


def _is_adjective(choice: str, thing: str) -> bool:
    """Whether a choice is one word that says how something is, or how many of them there are."""
    lower = choice.casefold()
    is_many_of_one = _MORE.fullmatch(lower) and not is_plural(thing)
    return len(choice.split()) == 1 and lower not in _PLACES and not _has_place(thing) and not is_many_of_one


def _described(thing: str, adjective: str) -> str:
    """Put what says how something is before it."""
    lead = "in" if thing in COLOURS else "with"
    is_one = adjective.casefold() in _ONE and is_plural(thing)
    return f"{lead} {adjective} {thing.removesuffix('s') if is_one else thing}"


def _is_done(thing: str) -> bool:
    """Whether the name of an option tells what is done, as in "worked", "lined" or "sleeves joined"."""
    word = thing.split()[-1]
    return word in _DONE or (len(word) > 3 and word.endswith("ed") and not word.endswith("eed"))


def is_plural(word: str) -> bool:
    """Tell whether a word names several things, as far as its letters tell.

    Args:
        word: A noun, or words that end with one.

    Returns:
        Whether it ends with the s of several.

    >>> [word for word in ("V-sts", "repeats", "bus", "cross", "s") if is_plural(word)]
    ['V-sts', 'repeats']
    """
    return len(word) > 1 and word.endswith("s") and not word.endswith(("is", "less", "ss", "us"))


def _has_place(words: str) -> bool:
    """Whether words say where something is, or of what."""
    return not _PLACES.isdisjoint(words.casefold().split())


def _forms(thing: str) -> tuple[str, ...]:
    """A thing in the singular and in the plural."""
    return (thing.casefold(), f"{thing.casefold()}s", thing.casefold().removesuffix("s"))
