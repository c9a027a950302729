"""Helps of the studio: stored, their links changed with a record, frozen with versions, taken out."""

import re
from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.db.models import Max

from catalogue.helps.showing import clock
from catalogue.models import FrozenHelp, Help, HelpLinkChange, HelpPicture, Pattern, Person, Step, Version
from catalogue.models.helps import CRAFTS, HANDS
from catalogue.photos.intake import picture_columns
from catalogue.photos.photos import remove_unused
from catalogue.photos.pictures import CleanPhoto
from catalogue.versions.glances import Seen, check_glance, paragraphs
from catalogue.versions.records import Record
from grading.core.instructions.references import helps_named

LONGEST_NAME = 60
_NOT_IN_A_NAME = re.compile(r"[^a-z0-9]+")


class HelpInUse(Exception):
    """A help that steps or versions name, so that it can't be taken out; the text says so in one sentence."""


@transaction.atomic
def save_help(*, found: Help | None, by: Person | None, seen: str | None = None, **typed: Any) -> Help:
    """Store a help; a link that becomes another is kept in its record, and is not checked yet.

    Raises:
        Moved: Somebody saved it after it was seen; nothing was stored.
        Help.DoesNotExist: Somebody deleted it.
    """
    if found is None:
        kept = Help(name=free_name(typed["title"]))
    else:
        kept = Help.objects.select_for_update().get(pk=found.pk)
        check_glance(seen, help_glance(kept))
    old = kept.link
    for key, value in typed.items():
        setattr(kept, key, value)
    if kept.link != old:
        kept.link_state, kept.link_answer, kept.link_checked_at = "", "", None
    kept.save()
    if found is not None and kept.link != old:
        HelpLinkChange.objects.create(help=kept, by=by, old=old, new=kept.link)
    return kept


def help_glance(found: Help) -> Seen:
    """What a page shows of a help while somebody changes it."""
    return {
        "Title": found.title,
        "How it is done": paragraphs(found.text),
        "Words that it explains": ", ".join(found.terms),
        "Craft": CRAFTS[found.craft],
        "Hand": HANDS[found.hand],
        "Level": found.level or "any level",
        "Link to a video": found.link,
        "From": clock(found.link_from_s),
        "To": clock(found.link_to_s),
    }


def free_name(title: str) -> str:
    """A name for steps, made from a title, that no other help has."""
    stem = _NOT_IN_A_NAME.sub("_", title.lower()).strip("_")[:LONGEST_NAME] or "help"
    stem = stem if stem[0].isalpha() else f"help_{stem}"
    taken = set(Help.objects.filter(name__startswith=stem).values_list("name", flat=True))
    number, name = 1, stem
    while name in taken:
        number += 1
        name = f"{stem}_{number}"
    return name


def add_pictures(*, found: Help, pictures: Sequence[tuple[CleanPhoto, str]], caption: str) -> None:
    """Store new pictures behind those that are there."""
    with transaction.atomic():
        last = found.pictures.aggregate(last=Max("position"))["last"] or 0
        HelpPicture.objects.bulk_create(
            HelpPicture(
                help=found,
                position=last + number,
                **picture_columns(clean, alt, caption),
            )
            for number, (clean, alt) in enumerate(pictures, 1)
        )


@transaction.atomic
def move_up(picture: HelpPicture) -> None:
    """Exchange a picture with the one before it; the first stays where it is."""
    order = list(picture.help.pictures.all())
    place = order.index(picture)
    if place:
        order[place - 1], order[place] = order[place], order[place - 1]
    for position, one in enumerate(order, 1):
        one.position = position
    HelpPicture.objects.bulk_update(order, ("position",))


@transaction.atomic
def delete_picture(picture: HelpPicture) -> None:
    """Take a picture out; its files stay where another row has them."""
    digest, files = picture.digest, picture.files
    picture.delete()
    remove_unused(digest, files)


@transaction.atomic
def delete_help(found: Help) -> None:
    """Take a help out with its pictures.

    Raises:
        HelpInUse: A version prints its short address, or a step names it.
    """
    frozen = FrozenHelp.objects.filter(help=found).select_related("version__pattern").first()
    if frozen:
        raise HelpInUse(
            f"{frozen.version.pattern} {frozen.version.number} prints the short link of “{found}”: it stays. "
            "You can change its words, pictures and link."
        )
    if used := patterns_naming(found):
        raise HelpInUse(
            f"Steps of {', '.join(one.title for one in used)} name “{found}”: take {{help {found.name}}} out "
            "of these steps first."
        )
    for picture in found.pictures.all():
        delete_picture(picture)
    found.delete()


def patterns_naming(found: Help) -> list[Pattern]:
    """The patterns whose steps name a help."""
    steps = Step.objects.filter(text__contains=found.name).select_related("section__pattern")
    naming = {step.section.pattern for step in steps if found.name in helps_named([step.text])}
    return sorted(naming, key=lambda one: one.title.casefold())


def freeze_helps(*, version: Version, record: Record) -> None:
    """Hold the helps that a version was frozen with."""
    codes = [one["code"] for one in record.get("helps", ())]
    FrozenHelp.objects.bulk_create(
        FrozenHelp(version=version, help=found) for found in Help.objects.filter(code__in=codes)
    )
