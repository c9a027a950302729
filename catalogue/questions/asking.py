"""A question sent by the form of a pattern: kept without who asked, and told to the studio."""

import re
from dataclasses import dataclass

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from catalogue.models import MakerQuestion, Studio, Version
from catalogue.questions.pasted import without_sender
from catalogue.questions.questions import keep_question, place_words
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address
from catalogue.versions.records import Record
from catalogue.versions.spots import spots_of


@dataclass(frozen=True)
class Asker:
    """Who waits for an answer: they stand in the e-mail to the studio, and nowhere else."""

    email: str
    name: str = ""


@dataclass(frozen=True)
class About:
    """What is asked about: a release, the step that the address named, and what the asker said of it."""

    version: Version
    place: str = ""
    size: str = ""
    where: str = ""

    def in_front_of(self, words: str) -> str:
        """The words of a question behind the size and the place that were typed."""
        said = ", ".join(filter(None, [f"Size {self.size}" if self.size else "", self.where]))
        return f"{said}: {words}" if said else words


def typed_step(typed: str, record: Record) -> str:
    """The step that somebody named as their copy does, “Front, step 2”; empty where it is not one alone."""
    asked = _plain(typed)
    found = [place for place, words in dict(spots_of(record))["Steps"] if _plain(words) == asked]
    return str(found[0]) if len(found) == 1 else ""


def _plain(words: str) -> str:
    """Words without case, marks and spaces, as two people write them.

    >>> _plain("front step 2.") == _plain("Front, step 2")
    True
    """
    return " ".join(re.findall(r"\w+", words.casefold()))


class NotSent(ValueError):
    """A question that could not be told to the studio; its text is one sentence."""


@transaction.atomic
def send_question(*, studio: Studio, about: About, says: str, asker: Asker) -> MakerQuestion:
    """Keep a question without who asked, and send it to the studio in an e-mail that answers go back from.

    Raises:
        NotSent: Nothing is left of it without its sender, or the e-mail could not be made.
    """
    words, version = without_sender(says), about.version
    if not words:
        raise NotSent("Only a greeting or a name was left: write the question itself.")
    kept = keep_question(
        pattern=version.pattern,
        version=version,
        place=about.place,
        says=about.in_front_of(words),
        asked_on=timezone.localdate(),
    )
    context = {
        "version": version,
        "where": about.where or place_words(kept),
        "size": about.size,
        "says": says,
        "asker": asker,
        "url": link_address() + reverse("question", args=[version.pattern.slug, kept.pk]),
    }
    is_made = send_mail(
        to=studio.sender, template="question_asked", context=context, about=kept, reply_to=asker.email
    )
    if not is_made:
        raise NotSent("The question could not be sent: try again.")
    return kept
