"""What another weight of a ball means for the patterns that use a yarn: how many balls each of them takes."""

from collections.abc import Iterator, Sequence
from decimal import Decimal

import numpy as np

from catalogue.models import PatternYarn, Yarn
from grading.core.yarn.needs import balls_for
from grading.models import SheetSize, YarnNeed


def ball_changes(yarn: Yarn, old_put_up_g: Decimal) -> Iterator[str]:
    """One sentence for each pattern, colour and choice of options whose balls are others than before."""
    uses = PatternYarn.objects.filter(yarn=yarn).select_related("pattern__sheet").order_by("pattern__title")
    for use in uses:
        sheet = use.pattern.sheet
        sizes = list(
            SheetSize.objects.filter(sheet=sheet).order_by("position").values_list("name", flat=True)
        )
        for need in YarnNeed.objects.filter(sheet=sheet, colour=use.colour):
            before = _balls(need.weight_g, old_put_up_g)
            after = _balls(need.weight_g, yarn.put_up_g)
            moved = _moved(sizes, before, after)
            if moved:
                chosen = ", ".join(f"{option} {choice}" for option, choice in need.options.items())
                where = f"{use.pattern.title}, colour {use.colour}{f' ({chosen})' if chosen else ''}"
                yield f"{where}, balls: {moved}."


def _balls(weights_g: Sequence[float | None], put_up_g: Decimal) -> list[float]:
    """Balls of each size; NaN where the weight is unknown."""
    weights = np.array([np.nan if weight is None else weight for weight in weights_g], dtype=float)
    return [float(balls) for balls in balls_for(weights, float(put_up_g))]


def _moved(sizes: Sequence[str], before: Sequence[float], after: Sequence[float]) -> str:
    """The sizes whose balls are others, each with both numbers."""
    return ", ".join(
        f"{size} {old:.0f} → {new:.0f}"
        for size, old, new in zip(sizes, before, after, strict=True)
        if not np.isnan(old) and old != new
    )
