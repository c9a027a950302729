"""Which yarn plays each colour, kept with an edit that changes it, so that undoing brings it back."""

from collections.abc import Iterable, Mapping
from typing import Any

from catalogue.models import Pattern, PatternYarn, Yarn, YarnShade

_KEPT = "chosen_yarns"


def keep_choices(pattern: Pattern, colours: Iterable[str]) -> dict[str, Any]:
    """What an edit keeps of the yarns that play some colours before it."""
    known = {one.colour: [one.yarn_id, one.shade_id] for one in PatternYarn.objects.filter(pattern=pattern)}
    return {_KEPT: {colour: known.get(colour) for colour in colours}}


def restore_choices(pattern: Pattern, kept: Mapping[str, Any]) -> None:
    """Choose again what played the colours; a yarn that was deleted since leaves its colour without one."""
    for colour, choice in kept.get(_KEPT, {}).items():
        yarn_pk, shade_pk = choice or (0, 0)
        yarn = Yarn.objects.filter(pk=yarn_pk).first()
        if yarn is None:
            PatternYarn.objects.filter(pattern=pattern, colour=colour).delete()
            continue
        shade = YarnShade.objects.filter(pk=shade_pk or 0, yarn=yarn).first()
        PatternYarn.objects.update_or_create(
            pattern=pattern, colour=colour, defaults={"yarn": yarn, "shade": shade}
        )
