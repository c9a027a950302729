"""Stitches that makers counted after a written row, beside what the account says there."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction

from catalogue.instructions.row_accounts import lines_of
from catalogue.instructions.row_words import Reader, short_words
from catalogue.models import Pattern
from catalogue.versions.glances import Figure, check_glance, read_glance, written_glance
from grading.core.instructions.facts import facts_of
from testing.asked.figures import Figures
from testing.models import Entry, Placement
from testing.results.results import add_remark, save_entry

LONGEST_ROW = 80


@dataclass(frozen=True)
class CountedRow:
    """A written row that a maker may have counted: its place, and the stitches that it should leave."""

    name: str
    place: str
    title: str
    words: str
    shown: str
    worked: int


def counted_rows(figures: Figures, size: str) -> list[CountedRow]:
    """The rows of a version that leave a count in this size, in order."""
    facts = facts_of(figures.pattern, figures.graded)
    if size not in figures.pattern.sizes:
        return []
    number = figures.pattern.sizes.index(size)
    found: dict[str, CountedRow] = {}
    for line in lines_of(figures.graded):
        worked = line.sizes[number].stitches
        if line.sizes[number].audited is None or worked is None:
            continue
        title = figures.pattern.sections[line.section].title
        words = "".join(piece.text for piece in short_words(line, Reader(facts, (number,))))
        shown = f"{title}, step {line.step + 1}: {_shortened(' '.join(words.split()))}"
        name, place = (
            f"{line.section}.{line.step}.{line.start}",
            f"sections[{line.section}].steps[{line.step}]",
        )
        found.setdefault(name, CountedRow(name, place, title, line.text.strip(), shown, worked))
    return list(found.values())


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_ROW else f"{text[:LONGEST_ROW].rstrip()} …"


def counts_glance(placement: Placement) -> dict[str, Figure]:
    """What a maker has told so far of their rows: the stitches after each."""
    told = Entry.objects.filter(result__placement=placement, part="counted")
    return {one.name: one.meant["stitches"] for one in told}


@transaction.atomic
def save_count(*, placement: Placement, row: CountedRow, stitches: int, seen: str | None = None) -> bool:
    """Keep what a maker has after a row; False where the account says otherwise, which becomes a remark.

    Raises:
        Moved: Another count of this row came in since the page was opened.
    """
    Placement.objects.select_for_update().filter(pk=placement.pk).first()
    before = counts_glance(placement).get(row.name)
    if seen is not None and before not in (None, stitches):
        known = read_glance(seen).get(row.name)
        check_glance(written_glance({row.shown: known} if known is not None else {}), {row.shown: before})
    meant = {"stitches": stitches, "worked": row.worked, "title": row.title, "row": row.words}
    save_entry(
        placement=placement, part="counted", name=row.name, typed={"stitches": str(stitches)}, meant=meant
    )
    if stitches == row.worked:
        return True
    text = f"After “{row.shown}” I have {stitches} sts, and the pattern comes to {row.worked}."
    add_remark(placement=placement, place=row.place, text=text, kind="count")
    return False


def counts_of_makers(pattern: Pattern) -> Mapping[tuple[str, str, str], str]:
    """What makers have after the rows of a pattern, by section, words and size: “1 maker: 73”."""
    entries = Entry.objects.filter(part="counted", result__call__pattern=pattern)
    counts: dict[tuple[str, str, str], Counter[int]] = defaultdict(Counter)
    for entry in entries.select_related("result"):
        meant = entry.meant
        counts[meant["title"], meant["row"], entry.result.size][meant["stitches"]] += 1
    return {row: ", ".join(_makers(*one) for one in found.most_common()) for row, found in counts.items()}


def _makers(stitches: int, makers: int) -> str:
    return f"{makers} {'maker' if makers == 1 else 'makers'}: {stitches}"
