"""Where the studio is found: the address that others open, and the one that every link begins with."""

from django.conf import settings

from catalogue.models import Studio
from catalogue.studio.web_addresses import is_loopback


def public_address(studio: Studio | None = None) -> str:
    """The address that documents may print; empty where only this machine could open it.

    EVENROW_URL wins over what the studio's settings say, which whoever has read them hands over. The demo
    prints its own, so that there is a whole document to look at.
    """
    known = settings.STUDIO_URL or (studio.public_url if studio else _kept_address())
    if known and not is_loopback(known):
        return known
    return (known or str(settings.LOCAL_URL)) if settings.IS_DEMO else ""


def link_address() -> str:
    """What links begin with: the public address, or else where the server listens."""
    known = settings.STUDIO_URL or _kept_address()
    return known or str(settings.LOCAL_URL)


def _kept_address() -> str:
    """What the studio's settings say."""
    return Studio.objects.values_list("public_url", flat=True).first() or ""
