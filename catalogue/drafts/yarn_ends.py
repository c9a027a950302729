"""Yarns that are not made any more and that a draft uses: each a warning with the page of the yarn."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from django.db.models import Exists, F, OuterRef, Q, TextField, Value
from django.urls import reverse

from catalogue.models import Pattern, PatternYarn, Yarn
from grading.sheets.documents import Document


@dataclass(frozen=True)
class YarnEnd:
    """A yarn that is no longer made, as a finding: what it says, and the page on which to see to it."""

    yarn: Yarn
    weight: Literal["warn"] = "warn"

    @property
    def says(self) -> str:
        """The finding in a sentence."""
        other = self.yarn.substitute
        instead = f"substitute {other.name}" if other and not other.is_ended else "choose another yarn"
        return f"{self.yarn.name} is no longer made; {instead}."

    @property
    def place(self) -> str:
        """What its link names."""
        return "what takes its place"

    @property
    def page(self) -> str:
        """The page of the yarn that tells what to take in its place."""
        return reverse("yarn_ended", args=[self.yarn.pk])


def yarn_ends(pattern: Pattern, document: Document) -> list[YarnEnd]:
    """The ended yarns that a draft has chosen for a colour, or that its sheet names; one query."""
    said = "\n".join(str(one.get("label", "")) for one in document.get("yarns", []))
    uses = PatternYarn.objects.filter(pattern=pattern, yarn=OuterRef("pk"))
    known = list(
        Yarn.objects.annotate(is_chosen=Exists(uses))
        .alias(said=Value(said, TextField()))
        .filter(Q(is_chosen=True) | Q(said__contains=F("name")))
        .select_related("substitute")
        .order_by("name")
    )
    found = dict.fromkeys([*(one for one in known if one.is_chosen), *named_in(said, known)])
    return [YarnEnd(yarn) for yarn in found if yarn.is_ended]


def named_yarns(names: Iterable[str]) -> list[Yarn]:
    """The studio's yarns that some texts name, whether they are made or not."""
    said = "\n".join(names)
    known = Yarn.objects.alias(said=Value(said, TextField())).filter(said__contains=F("name"))
    return named_in(said, known.select_related("substitute"))


def named_in(said: str, known: Iterable[Yarn]) -> list[Yarn]:
    """Those of some yarns that a text names; of two names one of which begins the other, the longer one."""
    found: list[Yarn] = []
    for yarn in sorted(known, key=lambda one: (-len(one.name), one.name)):
        said, count = re.subn(rf"(?<!\w){re.escape(yarn.name)}(?!\w)", "\n", said)
        found += [yarn] if count else []
    return found
