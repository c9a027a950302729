"""The studio's yarns and shades, and which of them play the colours of a pattern."""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.db import transaction
from django.db.models import ProtectedError, QuerySet

from catalogue.drafts.edits import hold_draft
from catalogue.models import Pattern, PatternYarn, Yarn, YarnShade
from grading.core.pattern.pattern import YarnEntry

# The two ways to say how a yarn is sold agree when they differ by no more than a label rounds.
AGREE = Decimal("0.02")
PLACES = Decimal("0.001")

Choice = tuple[Yarn, YarnShade | None]


class YarnInUse(Exception):
    """A yarn or shade that patterns use can't be deleted; its text names them."""


def complete_figures(
    *, put_up_g: Decimal | None, ball_length_m: Decimal | None, length_per_100g_m: Decimal | None
) -> tuple[Decimal, Decimal]:
    """Weight of a ball in g and length of 100 g in m, from any two of the three figures.

    Raises:
        ValueError: Too few are given, or the three do not agree; its text is one sentence.
    """
    given = [figure for figure in (put_up_g, ball_length_m, length_per_100g_m) if figure is not None]
    if len(given) < 2:
        raise ValueError("Give any two of the three figures: the third is worked out.")
    if put_up_g is None and ball_length_m is not None and length_per_100g_m is not None:
        put_up_g = ball_length_m / length_per_100g_m * 100
    elif length_per_100g_m is None and ball_length_m is not None and put_up_g is not None:
        length_per_100g_m = ball_length_m / put_up_g * 100
    if put_up_g is None or length_per_100g_m is None:
        raise AssertionError("Two of three figures always give the third.")
    if ball_length_m is not None:
        meant = put_up_g * length_per_100g_m / 100
        if abs(meant - ball_length_m) > AGREE * meant:
            raise ValueError(
                f"The figures do not agree: by the length of 100 g, {put_up_g.normalize():f} g are "
                f"{meant:.0f} m, not {ball_length_m.normalize():f} m. Leave one of the three empty."
            )
    return put_up_g.quantize(PLACES), length_per_100g_m.quantize(PLACES)


def delete_yarn(*, yarn: Yarn) -> None:
    """Delete a yarn with its shades.

    Raises:
        YarnInUse: A pattern uses it.
    """
    _refuse_if_used(yarn.name, PatternYarn.objects.filter(yarn=yarn).select_related("pattern"))
    _delete(yarn)


def delete_shade(*, shade: YarnShade) -> None:
    """Delete a shade.

    Raises:
        YarnInUse: A pattern uses it.
    """
    _refuse_if_used(shade.name, PatternYarn.objects.filter(shade=shade).select_related("pattern"))
    _delete(shade)


@transaction.atomic
def choose_yarns(*, pattern: Pattern, chosen: Mapping[str, Choice | None]) -> None:
    """Say which yarn and shade plays each colour; a colour without a choice has none."""
    hold_draft(pattern)
    for colour, choice in chosen.items():
        if choice is None:
            PatternYarn.objects.filter(pattern=pattern, colour=colour).delete()
            continue
        yarn, shade = choice
        PatternYarn.objects.update_or_create(
            pattern=pattern, colour=colour, defaults={"yarn": yarn, "shade": shade}
        )


def chosen_shades(pattern: Pattern) -> dict[str, dict[str, str]]:
    """The shade that plays each colour role, where one was chosen."""
    chosen = PatternYarn.objects.filter(pattern=pattern).select_related("yarn", "shade")
    return {
        one.colour: {"yarn": one.yarn.name, "shade": one.shade.name, "srgb": one.shade.srgb}
        for one in chosen
        if one.shade
    }


def figure_differences(roles: Iterable[YarnEntry], chosen: Iterable[PatternYarn]) -> list[str]:
    """Where a chosen yarn is sold otherwise than the sheet counts it, one sentence each."""
    by_colour = {one.colour: one.yarn for one in chosen}
    found = []
    for role in roles:
        yarn = by_colour.get(role.colour)
        if yarn is None:
            continue
        for counted, sold, unit in (
            (role.length_per_100g_m, yarn.length_per_100g_m, "m in 100 g"),
            (role.put_up_g, yarn.put_up_g, "g in a ball"),
        ):
            if counted and abs(counted - float(sold)) > float(AGREE) * counted:
                found.append(
                    f"Colour {role.colour}: the sheet counts {counted:g} {unit}, {yarn.name} has "
                    f"{float(sold):g}: "
                    "put another yarn in its place, or the amounts will be wrong."
                )
    return found


def _refuse_if_used(name: str, uses: QuerySet[PatternYarn]) -> None:
    """Name the patterns that stand in the way."""
    titles = sorted({one.pattern.title for one in uses})
    if titles:
        raise YarnInUse(
            f"“{name}” is used for a colour of {', '.join(titles)}: choose another one there first."
        )


def _delete(one: Yarn | YarnShade) -> None:
    """Delete what nobody uses, unless somebody chose it a moment ago."""
    try:
        one.delete()
    except ProtectedError:
        raise YarnInUse(f"“{one}” was chosen for a pattern a moment ago: look again.") from None
