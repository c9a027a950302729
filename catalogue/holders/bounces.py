"""Bounces and complaints that come back by e-mail: read, and noted at the holder they are about."""

import email
import email.policy
import re
from collections.abc import Iterator
from email.message import Message
from typing import Literal

from django.db import transaction

from catalogue.holders.letters import mail_of_message_id
from catalogue.models import Holder

Kind = Literal["bounced", "complained"]
_NAME = re.compile(r"<notice\.[^<>\s@]{10,100}@[^<>\s]{1,253}>")
_STATUS = re.compile(r"(?im)^Status:\s*([245])\.")
MOST_CHARACTERS = 500_000


class BounceUnread(ValueError):
    """A text that is no bounce of ours; its text is one sentence."""


def note_bounce(text: str) -> str:
    """Note the bounce or complaint that an e-mail tells of; say what was noted, in a sentence."""
    try:
        kind = _kind(email.message_from_string(text[:MOST_CHARACTERS], policy=email.policy.default), text)
    except RecursionError:
        raise BounceUnread("It has too many e-mails inside each other: paste only the last one.") from None
    mail = next((found for name in _NAME.findall(text) if (found := mail_of_message_id(name))), None)
    if mail is None:
        raise BounceUnread("It names none of our e-mails: paste the whole e-mail, with its headers.")
    if kind is None:
        raise BounceUnread(
            "It says neither that the address has failed for good nor that somebody complained."
        )
    with transaction.atomic():
        holders = Holder.objects.filter(email=mail.holder.email).exclude(state="complained")
        if kind == "bounced":  # who left, or never confirmed, gets nothing, and is to stay so
            holders = holders.filter(state="wants")
        holders.update(state=kind)
        mail.says = "Came back." if kind == "bounced" else "Called unwanted."
        mail.save(update_fields=("says",))
    what = "does not work" if kind == "bounced" else "wants no notices"
    return f"{mail.holder.email} {what}: noted for all patterns."


def _kind(returned: Message, text: str) -> Kind | None:
    """Whether it tells of a complaint, or of an address that failed for good (RFC 3464, RFC 5965)."""
    for part in _parts(returned):
        if part.get_content_type() == "message/feedback-report":
            return "complained"
        if part.get_content_type() == "message/delivery-status":
            return "bounced" if "5" in _STATUS.findall(part.as_string()) else None
    if re.search(r"(?im)^Feedback-Type:\s*abuse", text):
        return "complained"
    return "bounced" if "5" in _STATUS.findall(text) else None


def _parts(returned: Message) -> Iterator[Message]:
    """Every part of an e-mail."""
    yield from returned.walk()
