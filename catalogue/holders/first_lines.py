"""How a letter to holders begins: what was wrong, whether it concerns their size, and where to read it."""

from django.contrib.humanize.templatetags.humanize import apnumber

from catalogue.versions.moved_steps import Followed
from grading.core.printing.wording import listed

MOST_PLACES = 3


def what_was_wrong(title: str, number: str, followed: Followed) -> str:
    """The places that are wrong in a version, the first few by name; a number may be unknown."""
    places = list(dict.fromkeys(one.applying.place for one in followed.errata))
    more = len(places) - MOST_PLACES
    named = [*places[:MOST_PLACES], *([f"{more} more"] if more > 0 else [])]
    where = f"{title} {number}" if number else f"some versions of {title}"
    return f"Wrong in {where}: {'; '.join(named)}."


def whom_it_concerns(followed: Followed) -> str:
    """The sizes that any of it concerns; an erratum that names none concerns them all."""
    named = [set(one.applying.erratum.sizes) for one in followed.errata]
    concerned = [size for size in followed.sizes if any(not sizes or size in sizes for sizes in named)]
    if len(concerned) == len(followed.sizes) or not concerned:
        return "It affects every size."
    noun = "size" if len(concerned) == 1 else "sizes"
    return f"It affects only {noun} {listed(concerned)}."


def how_many_told(new: int, earlier: int, waiting: int) -> str:
    """How many corrections a letter has in all, by kind; empty where all are new.

    >>> how_many_told(1, 4, 0)
    'One new correction; four that you may have had before.'
    >>> how_many_told(2, 0, 1)
    'Two new corrections; one that no version has yet.'
    >>> how_many_told(3, 0, 0)
    ''
    """
    if not (earlier or waiting):
        return ""
    told = [f"{apnumber(new)} new correction{'' if new == 1 else 's'}".capitalize()]
    if earlier:
        told.append(f"{apnumber(earlier)} that you may have had before")
    if waiting:
        told.append(f"{apnumber(waiting)} that no version has yet")
    return f"{'; '.join(told)}."
