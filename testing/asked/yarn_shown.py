"""Yarn as people of a call read it: what each colour takes, in grams and metres to buy."""

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from catalogue.editions.yarn_additions import metres_to_buy
from grading.core.pattern.pattern import YarnEntry
from grading.core.printing.numbers import number_list, print_grams_to_buy, print_whole
from grading.core.yarn.needs import CombinedNeed

AmountInWords = Callable[[CombinedNeed | None, YarnEntry, int | None], str]


@dataclass(frozen=True)
class YarnShown:
    """A yarn role and the grams it takes by size, as printed; empty where unknown."""

    colour: str
    label: str
    grams: str
    when: str = ""
    """The choices that it is needed with, where it is not for all."""
    metres: str = ""

    @property
    def name(self) -> str:
        """What the yarn is called; empty where it has no name but its colour."""
        return "" if self.label == f"Yarn {self.colour}" else self.label

    @property
    def words(self) -> str:
        """The colour with its name and grams, as “A Oatmeal 450 g”; the colour alone where it has no name."""
        return " ".join(filter(None, (self.colour, self.name, self.grams and f"{self.grams} g")))


def grams_in_words(need: CombinedNeed | None, yarn: YarnEntry, place: int | None) -> str:
    """The grams of a yarn in all sizes or in that of a place; nothing where it is not taken or unknown."""
    found = need.colours.get(yarn.colour) if need else None
    grams = found.weight_g.tolist() if found else []
    texts = [print_grams_to_buy(weight) if isfinite(weight) else None for weight in grams]
    if not any(grams):
        return ""
    return number_list(texts) if place is None else texts[place] or ""


def metres_in_words(need: CombinedNeed | None, yarn: YarnEntry, place: int | None) -> str:
    """The metres of a yarn in the same way, as the pattern prints them; nothing where no length is known."""
    found = need.colours.get(yarn.colour) if need else None
    if found is None or not any(found.weight_g.tolist()) or yarn.length_per_100g_m is None:
        return ""
    amounts = zip(found.length_m.tolist(), found.weight_g.tolist(), found.balls.tolist(), strict=True)
    texts = [
        print_whole(
            metres_to_buy(
                length_m,
                weight_g=weight_g,
                balls=balls if isfinite(balls) else None,
                put_up_g=yarn.put_up_g,
            )
        )
        if isfinite(length_m)
        else None
        for length_m, weight_g, balls in amounts
    ]
    return number_list(texts) if place is None else texts[place] or ""
