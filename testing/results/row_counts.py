"""Stitches that makers counted after a written row, beside what the account says there."""

import re
from collections import Counter, defaultdict
from collections.abc import Mapping

from django.db import transaction

from catalogue.models import Pattern
from catalogue.versions.glances import Figure, check_glance, read_glance, written_glance
from testing.models import Entry, Placement, Remark
from testing.results.counted_rows import CountedRow
from testing.results.results import add_remark, save_entry

_WITHIN = re.compile(r"\(((?:row|round) \d+)\)$")


def counts_glance(placement: Placement) -> dict[str, Figure]:
    """What a maker has told so far of their rows: the stitches after each."""
    told = Entry.objects.filter(result__placement=placement, part="counted")
    return {one.name: one.meant["stitches"] for one in told}


@transaction.atomic
def save_count(
    *, placement: Placement, row: CountedRow, stitches: int, seen: str | None = None
) -> bool | None:
    """Keep what a maker has after a row; None where nobody knows what it should be.

    False where the account says otherwise: that becomes a remark. It goes when another count replaces this.

    Raises:
        Moved: Another count of this row came in since the page was opened.
    """
    Placement.objects.select_for_update().filter(pk=placement.pk).first()
    told = Entry.objects.filter(result__placement=placement, part="counted", name=row.name).first()
    before = told.meant["stitches"] if told else None
    if seen is not None and before not in (None, stitches):
        known = read_glance(seen).get(row.name)
        check_glance(written_glance({row.shown: known} if known is not None else {}), {row.shown: before})
    meant = {
        "stitches": stitches,
        "worked": row.worked,
        "title": row.title,
        "row": row.words,
        "shown": row.shown,
        "is_joint": row.is_joint,
    }
    agrees = None if row.worked is None else stitches == row.worked
    if told is not None and told.meant != meant:
        _take_back_remark(told)
    save_entry(
        placement=placement, part="counted", name=row.name, typed={"stitches": str(stitches)}, meant=meant
    )
    if agrees is False:
        add_remark(placement=placement, place=row.place, text=_says(meant), kind="count")
    return agrees


def _says(meant: Mapping[str, object]) -> str:
    """The remark that a count makes where the account says otherwise.

    >>> _says({"title": "Yoke", "shown": "Yoke, step 4: Work … (round 20)", "stitches": 190, "worked": 192})
    'Yoke, step 4, round 20: I have 190, the pattern 192.'
    """
    title, shown = f"{meant.get('title')}, ", str(meant.get("shown"))
    step = shown.removeprefix(title).partition(":")[0]
    row = _WITHIN.search(shown)
    at = f", {row[1]}" if row else ""
    return f"{title}{step}{at}: I have {meant.get('stitches')}, the pattern {meant.get('worked')}."


def _said_before(meant: Mapping[str, object]) -> str:
    """The words of such a remark as they once were; those that are stored have them still."""
    shown, stitches, worked = (meant.get(name) for name in ("shown", "stitches", "worked"))
    return f"After “{shown}” I have {stitches} sts, and the pattern comes to {worked}."


def _take_back_remark(told: Entry) -> None:
    """Delete the remark that a count made by itself, unless the studio has made an erratum of it.

    It stays where another count, of other words of the same step, says the same.
    """
    words = {_says(told.meant), _said_before(told.meant)}
    others = Entry.objects.filter(result_id=told.result_id, part="counted").exclude(pk=told.pk)
    words -= {_says(other.meant) for other in others}
    remarks = Remark.objects.filter(result_id=told.result_id, kind="count", erratum=None)
    remarks.filter(text__in=words).delete()


def counts_of_makers(pattern: Pattern) -> Mapping[tuple[str, str, str], str]:
    """What makers have after the rows of a pattern, by section, words and size: “1 maker: 73”."""
    entries = Entry.objects.filter(part="counted", result__call__pattern=pattern)
    counts: dict[tuple[str, str, str], Counter[str]] = defaultdict(Counter)
    for entry in entries.select_related("result"):
        meant = entry.meant
        counts[meant["title"], meant["row"], entry.result.size][_counted_words(entry)] += 1
    return {row: ", ".join(_makers(*one) for one in found.most_common()) for row, found in counts.items()}


def _counted_words(entry: Entry) -> str:
    """A count, with the row within a step, and whether another step is worked in the same rows."""
    row = _WITHIN.search(str(entry.meant.get("shown"))) if entry.name.split(".")[3:] else None
    at = f" in {row[1]}" if row else ""
    return f"{entry.meant['stitches']}{at}{', with the next step' if entry.meant.get('is_joint') else ''}"


def _makers(counted: str, makers: int) -> str:
    return f"{makers} {'maker' if makers == 1 else 'makers'}: {counted}"
