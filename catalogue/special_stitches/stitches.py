"""Special stitches of the studio: each saving is a state that stays, so that patterns keep what they took."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, TextField
from django.db.models.functions import Cast

from catalogue.models import HelpPicture, Pattern, Person, SpecialStitch, StitchPicture, StitchState
from catalogue.models.special_stitches import STITCH_CRAFTS, STITCH_TERMS
from catalogue.photos.intake import picture_columns
from catalogue.photos.photos import remove_unused
from catalogue.photos.pictures import CleanPhoto
from catalogue.versions.glances import Seen, check_glance, paragraphs

WORDS = ("label", "short", "craft", "terms", "method", "multiple", "plus", "rows")
_PICTURED = ("alt", "caption", "width_px", "height_px", "digest", "files")


class StitchInUse(Exception):
    """A special stitch that patterns have, so that it can't be deleted; the text says so in one sentence."""


def newest_states() -> list[StitchState]:
    """Each special stitch as it is now, by its name."""
    newest = StitchState.objects.filter(number=F("stitch__number")).select_related("stitch")
    return sorted(newest.prefetch_related("pictures"), key=lambda one: one.label.casefold())


def newest_state(stitch: SpecialStitch) -> StitchState:
    """A special stitch as it is now."""
    return StitchState.objects.select_related("stitch").get(stitch=stitch, number=stitch.number)


@transaction.atomic
def save_stitch(
    *, stitch: SpecialStitch | None, by: Person | None, seen: str | None = None, **typed: Any
) -> StitchState:
    """Store a special stitch as typed; its pictures go on, and words that are the same make no new state.

    Raises:
        Moved: Somebody saved it after it was seen; nothing was stored.
    """
    if stitch is None:
        stitch = SpecialStitch.objects.create()
        return _add_state(stitch, typed, [], by)
    stitch = SpecialStitch.objects.select_for_update().get(pk=stitch.pk)
    before = newest_state(stitch)
    check_glance(seen, stitch_glance(before))
    if words_of(before) == {**words_of(before), **typed}:
        return before
    return _add_state(stitch, {**words_of(before), **typed}, list(before.pictures.all()), by)


def stitch_glance(state: StitchState) -> Seen:
    """What a page shows of a special stitch while somebody changes it."""
    return {
        "Name": state.label,
        "Abbreviation": state.short,
        "How it is worked": paragraphs(state.method),
        "Craft": STITCH_CRAFTS[state.craft],
        "Terms it is written in": STITCH_TERMS[state.terms],
        "Rows that show it": {f"row {number}": row for number, row in enumerate(state.rows, 1)},
        "Multiple": state.multiple,
        "Plus": state.plus,
    }


def words_of(state: StitchState) -> dict[str, Any]:
    """What a state says, without its pictures."""
    return {key: getattr(state, key) for key in WORDS}


def add_pictures(
    *, stitch: SpecialStitch, pictures: Sequence[tuple[CleanPhoto, str]], caption: str, by: Person | None
) -> None:
    """Store new pictures behind those that are there."""
    new = [
        StitchPicture(
            **picture_columns(clean, alt, caption),
        )
        for clean, alt in pictures
    ]
    _change_pictures(stitch, by, lambda before: [*before, *new])


def move_up(picture: StitchPicture, *, by: Person | None) -> None:
    """Exchange a picture with the one before it; the first stays where it is."""

    def moved(before: list[StitchPicture]) -> list[StitchPicture]:
        place = before.index(picture)
        order = [*before[:place], *before[place + 1 :]]
        return [*order[: max(0, place - 1)], picture, *order[max(0, place - 1) :]]

    _change_pictures(picture.state.stitch, by, moved)


def delete_picture(picture: StitchPicture, *, by: Person | None) -> None:
    """Take a picture out of the newest state; patterns that took it over keep it."""
    _change_pictures(picture.state.stitch, by, lambda before: [one for one in before if one != picture])


@transaction.atomic
def _change_pictures(
    stitch: SpecialStitch, by: Person | None, change: Callable[[list[StitchPicture]], list[StitchPicture]]
) -> None:
    """Store a state with other pictures."""
    stitch.number = SpecialStitch.objects.select_for_update().get(pk=stitch.pk).number
    before = newest_state(stitch)
    _add_state(stitch, words_of(before), change(list(before.pictures.all())), by)


def _add_state(
    stitch: SpecialStitch,
    words: dict[str, Any],
    pictures: Sequence[StitchPicture | HelpPicture],
    by: Person | None,
) -> StitchState:
    """Store the next state."""
    stitch.number += 1
    stitch.save(update_fields=("number",))
    state = StitchState.objects.create(stitch=stitch, number=stitch.number, by=by, **words)
    StitchPicture.objects.bulk_create(
        StitchPicture(state=state, position=place, **{key: getattr(one, key) for key in _PICTURED})
        for place, one in enumerate(pictures, 1)
    )
    return state


@dataclass(frozen=True)
class Use:
    """A pattern that has a special stitch, and the number of the state whose words it has."""

    pattern: Pattern
    number: int


def patterns_using() -> dict[str, list[Use]]:
    """The patterns that have each special stitch, by its code."""
    using: dict[str, list[Use]] = {}
    written = Pattern.objects.annotate(written=Cast("header", TextField()))
    for pattern in written.filter(written__contains='"of_studio"').order_by("title"):
        for one in pattern.header.get("special_stitches", ()):
            if "of_studio" in one:
                using.setdefault(one["of_studio"], []).append(Use(pattern, one.get("state", 0)))
    return using


@transaction.atomic
def delete_stitch(stitch: SpecialStitch) -> None:
    """Delete a special stitch with all its states.

    Raises:
        StitchInUse: A pattern has it.
    """
    if used := patterns_using().get(stitch.code):
        raise StitchInUse(
            f"{', '.join(one.pattern.title for one in used)} {'has' if len(used) == 1 else 'have'} "
            f"“{newest_state(stitch)}”: take it out there first."
        )
    files = {
        one.digest: one.files for one in StitchPicture.objects.filter(state__stitch=stitch).order_by("pk")
    }
    stitch.delete()
    for digest, kept in files.items():
        remove_unused(digest, kept)
