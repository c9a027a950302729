"""One holder's letter of a notice, with the headers by which it is left in one click (RFC 8058)."""

from html import escape
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.core.signing import BadSignature, Signer

from catalogue.holders import holder_url
from catalogue.mail_addresses import ascii_address, ascii_domain
from catalogue.mailing import sender
from catalogue.models import Notice, NoticeMail
from catalogue.notices import LEAVE_MARK, UNKNOWN

_SIGNER = Signer(salt="catalogue.notices", sep=".")


def write_letter(notice: Notice, mail: NoticeMail) -> EmailMultiAlternatives:
    """Write the letter of one holder.

    Raises:
        AddressUnfit: No letter can be written to the holder's address.
    """
    subject, text, html = notice.letters[letter_number(mail)]
    leave = holder_url("unsubscribe", mail.holder)
    headers = {
        "Message-ID": message_id(mail),
        "List-Unsubscribe": f"<{leave}>",
        "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
        "Auto-Submitted": "auto-generated",
    }
    to = ascii_address(mail.holder.email)
    letter = EmailMultiAlternatives(subject, text.replace(LEAVE_MARK, leave), sender(), [to], headers=headers)
    if html:
        letter.attach_alternative(html.replace(LEAVE_MARK, escape(leave)), "text/html")
    return letter


def letter_number(mail: NoticeMail) -> str:
    """The version that its holder has, by which the letter is chosen."""
    return mail.holder.version.number if mail.holder.version else UNKNOWN


def message_id(mail: NoticeMail) -> str:
    """The name of a letter, the same however often it is written, and one that nobody can make up."""
    host = ascii_domain(urlsplit(settings.STUDIO_URL).hostname or "localhost")
    return f"<notice.{_SIGNER.sign(str(mail.pk))}@{host}>"


def mail_of_message_id(name: str) -> NoticeMail | None:
    """The letter of a name."""
    local = name.strip().strip("<>").partition("@")[0].removeprefix("notice.")
    try:
        number = int(_SIGNER.unsign(local))
    except (BadSignature, ValueError):
        return None
    return NoticeMail.objects.select_related("holder").filter(pk=number).first()
