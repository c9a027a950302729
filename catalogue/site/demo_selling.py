"""What the demo's seller keeps: facts, shops, rights, dates, yarn that was given, and makers' questions."""

import datetime as dt

from django.utils import timezone

from catalogue.models import (
    MakerQuestion,
    Pattern,
    Person,
    RightsNote,
    SellingFacts,
    ShopLink,
    SupportPromise,
    TargetDate,
    Yarn,
    YarnSupport,
)
from catalogue.public.listings import list_pattern
from catalogue.publishing.publishing import Publication, publish_version
from catalogue.questions.pasted import without_sender
from catalogue.site.demo_dates import days_ago
from catalogue.site.demo_stages import make_draft
from catalogue.versions.frozen_rights import renew_rights

FINISHED_USE = (
    "You may sell what you make by hand from this pattern. Please name Larkmoss Studio as the designer. "
    "The pattern itself may not be passed on."
)
# Asked about which version of the pullover, on which step, how many days ago, as it came by e-mail.
QUESTIONS = (
    (
        "1.0",
        "sections[0].steps[2]",
        60,
        "I have 34 rows above the rib, and my body is too long. Is that right?",
    ),
    ("1.0", "sections[0].steps[2]", 55, "How many rows are there above the rib in size M?"),
    ("1.0", "sections[0].steps[2]", 41, "Are the rows of the rib part of the 34 rows?"),
    ("1.2", "sections[0].steps[2]", 6, "Do I mark the ends on the right side?"),
    (
        "1.2",
        "sections[3].steps[0]",
        3,
        "Hi,\nHow do I pick up stitches along row ends?\n\nBR\nIda Fulling\nSent from my phone",
    ),
)
ANSWER = "The rows of the rib are not counted there. Version 1.1 has the right number for your size."


def make_hat_of_a_magazine(*, by: Person) -> Pattern:
    """A hat whose rights are with a magazine for a while; its release prints that."""
    pattern = make_draft("plovermire_hat", by=by)
    today = timezone.localdate()
    RightsNote.objects.create(
        pattern=pattern,
        kind="magazine",
        whose="Fulling Lane Quarterly",
        says="First published in Fulling Lane Quarterly.",
        since=today - dt.timedelta(days=300),
        back_on=today + dt.timedelta(days=65),
    )
    SellingFacts.objects.create(
        pattern=pattern, techniques=["worked in the round"], tags=["gift", "small"], seasons=["winter"],
        finished_use=FINISHED_USE,
    )  # fmt: skip
    renew_rights(pattern)
    publish_version(
        Publication(
            pattern=pattern, kind="release", number="1.0", note="First release.", by=by, at=days_ago(100)
        )
    )
    return pattern


def say_what_finished_items_may_do(pattern: Pattern) -> None:
    """The cardigan: what its makers may do with what they made, as on the pullover."""
    SellingFacts.objects.create(pattern=pattern, finished_use=FINISHED_USE)
    renew_rights(pattern)


def make_sold_pullover(pattern: Pattern) -> None:
    """The pullover in two shops, with dates, questions, and a yarn that is no longer made."""
    SellingFacts.objects.create(
        pattern=pattern, techniques=["drop shoulder", "ribbing"], tags=["first garment", "unisex"],
        seasons=["autumn", "winter"], finished_use=FINISHED_USE,
        opening="A plain pullover to live in. You work it from the hem up, and every row is counted for you.",
    )  # fmt: skip
    for label in ("shop", "market"):
        address = f"https://{label}.larkmoss.example/brackenmere-pullover"
        ShopLink.objects.create(pattern=pattern, label=f"Larkmoss {label}", address=address)
    _add_dates(pattern)
    _add_questions(pattern)
    _add_yarn_support(pattern)
    renew_rights(pattern)
    list_pattern(pattern)


def _add_dates(pattern: Pattern) -> None:
    """One date that is past, two to come."""
    today = timezone.localdate()
    for what, days in (("Photos in the wood", -4), ("Newsletter", 9), ("Colourway in green", 40)):
        TargetDate.objects.create(pattern=pattern, what=what, due_on=today + dt.timedelta(days=days))


def _add_questions(pattern: Pattern) -> None:
    """Three makers asked about the same step before it was mended, one since."""
    versions = {one.number: one for one in pattern.versions.all()}
    first: MakerQuestion | None = None
    for number, place, days, says in QUESTIONS:
        kept = MakerQuestion.objects.create(
            pattern=pattern, version=versions[number], place=place, says=without_sender(says), same_as=None,
            asked_on=timezone.localdate() - dt.timedelta(days=days),
        )  # fmt: skip
        if first is None:
            first = kept
            MakerQuestion.objects.filter(pk=kept.pk).update(
                answer=ANSWER, answered_at=timezone.now(), clearer_in=versions["1.1"]
            )
        elif number == "1.0":
            MakerQuestion.objects.filter(pk=kept.pk).update(same_as=first)


def _add_yarn_support(pattern: Pattern) -> None:
    """Yarn from a mill, with one promise kept and one open; the yarn itself is no longer made."""
    today = timezone.localdate()
    other = Yarn.objects.create(
        name="Larkmoss Wendlebury", fibre="65 % wool, 35 % linen", put_up_g=50, length_per_100g_m=205
    )
    yarn = Yarn.objects.create(
        name="Larkmoss Orrendale", fibre="70 % wool, 30 % linen", put_up_g=50, length_per_100g_m=220,
        ended_on=today - dt.timedelta(days=20), substitute=other,
    )  # fmt: skip
    pattern.yarns.create(colour="A", yarn=yarn)
    support = YarnSupport.objects.create(
        giver="Fulling Lane Mill", email="mill@larkmoss.example", given="14 balls of Larkmoss Orrendale",
        pattern=pattern, yarn=yarn, got_on=today - dt.timedelta(days=200),
    )  # fmt: skip
    SupportPromise.objects.create(
        support=support, says="Name the mill in the release e-mail", done_on=today - dt.timedelta(days=90)
    )
    SupportPromise.objects.create(
        support=support, says="Send three photos of the pullover", due_on=today + dt.timedelta(days=5)
    )
