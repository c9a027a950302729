"""Corrections as a page tells them: whole, or to the maker of one size with that size's numbers alone."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.humanize.templatetags.humanize import apnumber

from catalogue.models import Erratum
from catalogue.versions.moved_steps import Followed, Moving
from grading.core.printing.numbers import number_list

_ENTRY = re.compile(r"[^\s()\[\]{},;]+")


@dataclass(frozen=True)
class ToldCorrection:
    """One correction: what it says and should say, and whether it concerns the size that was chosen.

    `concerns` says why it does not, and is empty where it does or no size was chosen; `corrected_in` where
    no release has the correction yet; `is_unseen` where what it says is a number that the copy does not
    print;
    `is_for_size` unless the maker of the chosen size has nothing to correct for it.
    """

    moving: Moving
    says: str
    should_say: str
    concerns: str
    corrected_in: str
    is_unseen: bool = False
    is_for_size: bool = True


def told_corrections(followed: Followed) -> list[ToldCorrection]:
    """The corrections of a version as its holders read them, in the order in which they make it."""
    in_order = sorted(followed.errata, key=lambda one: one.place)
    return [_told(one, followed.sizes, followed.size) for one in in_order]


def whom_they_concern(told: Sequence[ToldCorrection], size: str) -> str:
    """How many of the corrections concern a size, once for them all; empty without a size or a correction.

    >>> whom_they_concern([], "M")
    ''
    """
    if not (told and size):
        return ""
    many, concerned = len(told), sum(one.is_for_size for one in told)
    if many == 1:
        return f"It affects size {size}." if concerned else f"It does not affect size {size}."
    if concerned == many:
        return f"All {apnumber(many)} affect size {size}."
    if not concerned:
        return f"None of them affects size {size}."
    return f"{concerned} of {many} affect size {size}."


def _told(moving: Moving, sizes: Sequence[str], size: str) -> ToldCorrection:
    """One correction; of lists over all sizes only what the chosen one has."""
    erratum = moving.applying.erratum
    fixed = erratum.corrected_in
    corrected_in = fixed.number if fixed and fixed.kind == "release" else ""
    if not size:
        return ToldCorrection(moving, erratum.says, erratum.should_say, "", corrected_in, moving.is_unseen)
    says, should_say = (in_size(text, sizes, size) for text in (erratum.says, erratum.should_say))
    is_unseen = moving.is_unseen_as(says, should_say)
    reason = _why_not(erratum, size, is_same=says == should_say)
    concerns = f"No: {reason}." if reason else ""
    return ToldCorrection(moving, says, should_say, concerns, corrected_in, is_unseen, is_for_size=not reason)


def _why_not(erratum: Erratum, size: str, *, is_same: bool) -> str:
    """Why the maker of a size has nothing to correct; empty for one who has."""
    if erratum.sizes and size not in erratum.sizes:
        return f"it is about {', '.join(erratum.sizes)}"
    if is_same and erratum.says != erratum.should_say:
        return "nothing changes in it"
    return ""


def in_size(text: str, sizes: Sequence[str], size: str) -> str:
    """What a list over all sizes has for one of them; any other text as it is.

    >>> in_size("42 (42, 40)", ("S", "M", "L"), "L"), in_size("34 rows", ("S", "M"), "M")
    ('40', '34 rows')
    """
    entries = _ENTRY.findall(text)
    is_list = len(entries) == len(sizes) > 1 and number_list(entries) == text.strip()
    return entries[sizes.index(size)] if is_list and size in sizes else text
