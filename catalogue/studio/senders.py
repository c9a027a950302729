"""Whom e-mails come from."""

from email.utils import formataddr, parseaddr

from django.conf import settings

from catalogue.models import Studio
from catalogue.studio.mail_addresses import AddressUnfit, ascii_address
from grading.entries.single_lines import in_one_line


def sender() -> str:
    """The studio's name and address, or the installation's; its domain in ASCII, as mail servers want it."""
    studio = Studio.objects.first()
    name, address = (studio.name, studio.sender) if studio else parseaddr(settings.DEFAULT_FROM_EMAIL)
    try:
        return formataddr((in_one_line(name), ascii_address(address)))
    except AddressUnfit:  # it is refused by its name as soon as it is used
        return address
