"""Corrections at the steps that they concern, on a page to read."""

import re
from collections import Counter
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from html import unescape

from django.utils.html import strip_tags

from catalogue.editions.tool_sizes import sized_as, without_tool_sizes
from catalogue.helps.showing import OpenSection, OpenStep
from catalogue.public.size_corrections import ToldCorrection, told_corrections
from catalogue.versions.changed_sentences import for_sizes
from catalogue.versions.gaps import read_gap
from catalogue.versions.moved_steps import Followed
from catalogue.versions.printed_changes import NumberRow
from catalogue.versions.records import Record
from catalogue.versions.spots import numbered_step, spot_words, spots_of
from catalogue.versions.step_changes import Place

_HELP_MARK = re.compile(r'<(a|span) class="help-mark"[^>]*>.*?</\1>')


@dataclass(frozen=True)
class StepCorrections:
    """What is to be known before a step is worked: its corrections, each with its number on their page.

    `now` is the whole step as it should read: as the newer version has it, with the corrections to its words
    that no version has yet, which `swaps` are. It is empty where that can't be said. `printed` is that step
    as the newer version's edition has it. `amounts` are those of yarn that a newer version has otherwise.
    """

    told: list[tuple[int, ToldCorrection]]
    now: str = ""
    is_left_out: bool = False
    swaps: tuple[tuple[str, str], ...] = ()
    amounts: tuple[NumberRow, ...] = ()
    printed: str = ""


@dataclass(frozen=True)
class CorrectedStep(OpenStep):
    """A step with what is known to be wrong in it, if anything is."""

    corrections: StepCorrections | None


def corrections_at(
    followed: Followed, record: Record, printed: Mapping[str, str]
) -> dict[str, StepCorrections]:
    """The corrections of a version by the step of its record that they concern, "0.2"; for one size alone.

    `printed` are the steps of the newer version as its edition has them, by their places there.
    """
    at: dict[Place, list[tuple[int, ToldCorrection]]] = {}
    places = _places_by_words(record)
    for number, told in enumerate(told_corrections(followed), 1):
        for place in _places_of(told, record, places):
            at.setdefault(place, []).append((number, told))
    now = {step.old_at: step.new for step in followed.steps if step.old_at}
    now_printed = {
        step.old_at: printed.get(f"{step.new_at[0]}.{step.new_at[1]}", "")
        for step in followed.steps
        if step.old_at and step.new_at
    }
    return {
        f"{i}.{j}": StepCorrections(
            told,
            now.get((i, j), ""),
            now.get((i, j)) == "",
            tuple(_swap(one, followed) for _, one in told if _is_open_in(one, (i, j), record, places)),
            printed=_text(now_printed.get((i, j), "")),
        )
        for (i, j), told in at.items()
    }


def corrections_beside(followed: Followed, options: Mapping[str, str]) -> dict[str, StepCorrections]:
    """The corrections of what is printed beside the steps: "materials" and "gauge", where there are any.

    Amounts of yarn are those of the `options` that were chosen.
    """
    chosen = {f"{option} {choice}" for option, choice in options.items()}
    numbered = [pair for pair in enumerate(told_corrections(followed), 1) if pair[1].is_for_size]
    amounts = tuple(row for row in followed.numbers if _is_yarn_of(row.name, chosen))
    found = {
        part: StepCorrections(
            [pair for pair in numbered if pair[1].moving.applying.erratum.place == part],
            amounts=amounts if part == "materials" else (),
        )
        for part in ("materials", "gauge")
    }
    return {part: one for part, one in found.items() if one.told or one.amounts}


def _is_yarn_of(name: str, chosen: Container[str]) -> bool:
    """Whether a number is an amount of yarn, of a garment with these choices.

    >>> _is_yarn_of("yarn.A.sleeves long", {"sleeves long"}), _is_yarn_of("yarn.A.", {"sleeves long"})
    (True, True)
    >>> _is_yarn_of("yarn.A.sleeves none", {"sleeves long"}), _is_yarn_of("back_rows", set())
    (False, False)
    """
    part, _, rest = name.partition(".")
    words = rest.partition(".")[2]
    return part == "yarn" and (not words or all(one in chosen for one in words.split(", ")))


def with_corrections(sections: Sequence[OpenSection], at: Mapping[str, StepCorrections]) -> list[OpenSection]:
    """Sections whose steps have their corrections beside them."""
    return [
        replace(section, steps=[_with_correction(step, at.get(step.spot)) for step in section.steps])
        for section in sections
    ]


def _with_correction(step: OpenStep, known: StepCorrections | None) -> CorrectedStep:
    """A step with its corrections, and how the whole of it should read where that can be said."""
    if known and not known.is_left_out:
        own, now = _text(step.html), known.now
        if known.swaps:
            plain = now or without_tool_sizes(own)
            now = _swapped(plain, known.swaps) or now or _swapped(own, known.swaps)
        known = replace(known, now=sized_as(now, known.printed or own))
    return CorrectedStep(step.html, step.helps, step.spot, known)


def _text(html: str) -> str:
    """A printed step as plain text, without the marks of its helps."""
    return unescape(strip_tags(_HELP_MARK.sub("", html))).strip()


def _swapped(words: str, swaps: Sequence[tuple[str, str]]) -> str:
    """Words with the right ones in place of the wrong; nothing where any of these is not there just once.

    >>> _swapped("Work 34 rows in rib.", [("34 rows", "36 rows")])
    'Work 36 rows in rib.'
    >>> _swapped("Work 2 rows, then 2 rows more.", [("2 rows", "4 rows")])
    ''
    """
    for says, should_say in swaps:
        wrong = r"\s+".join(re.escape(word) for word in says.split())
        words, times = re.subn(rf"(?<![\w.]){wrong}(?!\w)", should_say.replace("\\", r"\\"), words)
        if times != 1:
            return ""
    return words


def _swap(told: ToldCorrection, followed: Followed) -> tuple[str, str]:
    """The wrong words of a step and the right ones, as the size that was chosen prints them."""
    kept, sizes = [followed.sizes.index(followed.size)], len(followed.sizes)
    return for_sizes(told.says, kept, sizes), for_sizes(told.should_say, kept, sizes)


def _is_open_in(told: ToldCorrection, step: Place, record: Record, places: dict[str, Place]) -> bool:
    """Whether a correction that no release has yet gives the wrong words of a step, and the right ones."""
    erratum = told.moving.applying.erratum
    if told.corrected_in or erratum.is_missing_step or not (told.says and told.should_say):
        return False
    return told.is_for_size and step in set(_own_place(told, record, places))


def _places_of(told: ToldCorrection, record: Record, places: dict[str, Place]) -> set[Place]:
    """The steps that a correction concerns; none where it is about other sizes."""
    found = {step.old_at for step in told.moving.steps if step.old_at} | set(told.moving.waits_at)
    if told.is_for_size:
        found |= set(_own_place(told, record, places))
    return found


def _own_place(told: ToldCorrection, record: Record, places: dict[str, Place]) -> Iterator[Place]:
    """The step that is wrong itself, or the one beside which a step is missing, wherever it is by now."""
    one = told.moving.applying
    if one.place != spot_words(one.erratum.place, record):
        if one.place in places:
            yield places[one.place]
    elif step := numbered_step(one.erratum.place):
        yield step
    elif gap := read_gap(one.erratum.place):
        yield gap.section, max(gap.after, 0)


def _places_by_words(record: Record) -> dict[str, Place]:
    """Steps by the words for their place, those alone that no other step has."""
    named = [(words, place) for place, words in dict(spots_of(record))["Steps"]]
    alike = Counter(words for words, _ in named)
    return {words: step for words, place in named if alike[words] == 1 and (step := numbered_step(place))}
