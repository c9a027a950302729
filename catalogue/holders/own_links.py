"""A holder's link to see and erase what is held of them: sent to their address alone, for 30 days.

The key that stands in every notice never lapses and goes wherever an e-mail is forwarded, so it shows and
erases nothing: by it one unsubscribes, or has this link sent.
"""

from datetime import timedelta

from django.core.signing import SignatureExpired, TimestampSigner
from django.urls import reverse

from catalogue.holders.holders import holder_of_name, holder_url
from catalogue.models import Holder
from catalogue.models.link_tokens import own_name
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address
from catalogue.versions.versions import published_title

LINK_LASTS = timedelta(days=30)
# Why nobody is written to, by what is known of an address.
UNREACHED = {
    "bounced": "e-mails to this address come back. If it works again, press “This address works” first",
    "complained": "they reported an e-mail of yours as spam. Send them the PDF another way",
}
_SIGNER = TimestampSigner(salt="catalogue.holders.own")


class OwnLinkExpired(Exception):
    """A link that once worked and is too old; its holder may have another sent."""

    def __init__(self, holder: Holder) -> None:
        super().__init__("The link has expired.")
        self.holder = holder


def own_key(holder: Holder) -> str:
    """The signed key by which a holder sees and erases what is held of them."""
    return _SIGNER.sign(own_name(holder, holder.token))


def own_url(holder: Holder) -> str:
    """The public address where a holder sees and erases what is held of them."""
    return f"{link_address()}{reverse('holder_forget', args=[own_key(holder)])}"


def holder_of_own_key(key: str) -> Holder | None:
    """The holder whose link this is; None where it was never one.

    Raises:
        OwnLinkExpired: It is one, and too old.
    """
    holder = holder_of_name(_SIGNER, key)
    if holder is None:
        return None
    try:
        _SIGNER.unsign(key, max_age=LINK_LASTS)
    except SignatureExpired:
        raise OwnLinkExpired(holder) from None
    return holder


def send_own_link(holder: Holder) -> None:
    """Send a holder the link to what is held of them, unless their address is not written to."""
    if holder.state in UNREACHED:
        return
    context = {
        "title": published_title(holder.pattern),
        "url": own_url(holder),
        "days": LINK_LASTS.days,
        "leave_url": holder_url("unsubscribe", holder),
    }
    send_mail(to=holder.email, template="holder_own", context=context, about=holder)
