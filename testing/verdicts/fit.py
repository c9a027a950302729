"""How garments fit their wearers, by area and size; told to the studio alone, apart from the verdicts."""

from collections import Counter
from dataclasses import dataclass

from testing.asked.figures import call_figures
from testing.asked.fit import AREAS, fit_words
from testing.models import Entry, TestCall


@dataclass(frozen=True)
class FitRow:
    """One area: what was said of it in each size."""

    label: str
    sizes: list[str]


@dataclass(frozen=True)
class FitTable:
    """What testers said, by area and size."""

    sizes: tuple[str, ...]
    rows: list[FitRow]
    on_others: int
    testers: int


def fit_table(call: TestCall) -> FitTable:
    """Tally what testers said of the fit; without rows where nobody said anything."""
    said = Entry.objects.filter(result__call=call, part="fit")
    answers = list(said.values_list("result_id", "result__size", "name", "meant"))
    tally = Counter((area, size, meant["fit"]) for _, size, area, meant in answers)
    told = {area for _, _, area, _ in answers}
    sizes = tuple(call_figures(call).pattern.sizes)
    rows = [
        FitRow(label, [_cell(tally, area, size) for size in sizes])
        for area, label in AREAS.items()
        if area in told
    ]
    on_others = {result for result, _, _, meant in answers if meant["on"] == "other"}
    return FitTable(sizes, rows, len(on_others), len({result for result, *_ in answers}))


def _cell(tally: Counter[tuple[str, str, str]], area: str, size: str) -> str:
    """One size of an area: "1 too tight, 2 right"; empty where nobody said anything."""
    counted = {words: tally[area, size, fit] for fit, words in fit_words(area).items()}
    return ", ".join(f"{number} {words}" for words, number in counted.items() if number)
