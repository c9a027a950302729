"""One holder's letter of a notice, with the headers by which it is left in one click (RFC 8058)."""

from email.utils import parseaddr
from html import escape
from urllib.parse import quote, urlsplit

from django.core.mail import EmailMultiAlternatives
from django.core.signing import BadSignature, Signer

from catalogue.holders.holders import holder_url
from catalogue.holders.notice_letters import LEAVE_MARK, UNKNOWN
from catalogue.models import Notice, NoticeMail
from catalogue.models.link_tokens import own_name, read_own_name
from catalogue.studio.mail_addresses import ascii_address, ascii_domain
from catalogue.studio.public_address import link_address, public_address
from catalogue.studio.senders import sender

_SIGNER = Signer(salt="catalogue.notices", sep=".")


def write_letter(notice: Notice, mail: NoticeMail) -> EmailMultiAlternatives:
    """Write the letter of one holder.

    Raises:
        AddressUnfit: No letter can be written to the holder's address.
    """
    subject, text, html = notice.letters[letter_number(mail)]
    leave = holder_url("unsubscribe", mail.holder)
    headers = {"Message-ID": message_id(mail), **_leaving(leave), "Auto-Submitted": "auto-generated"}
    to = ascii_address(mail.holder.email)
    letter = EmailMultiAlternatives(subject, text.replace(LEAVE_MARK, leave), sender(), [to], headers=headers)
    if html:
        letter.attach_alternative(html.replace(LEAVE_MARK, escape(leave)), "text/html")
    return letter


def _leaving(leave: str) -> dict[str, str]:
    """How a mail program unsubscribes: by the holder's page, or by a letter where nobody can open that."""
    if public_address():
        return {"List-Unsubscribe": f"<{leave}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
    return {"List-Unsubscribe": f"<mailto:{quote(parseaddr(sender())[1], safe='@')}?subject=Unsubscribe>"}


def letter_number(mail: NoticeMail) -> str:
    """The version that its holder has, by which the letter is chosen."""
    return mail.holder.version.number if mail.holder.version else UNKNOWN


def message_id(mail: NoticeMail) -> str:
    """The name of a letter, the same however often it is written, and one that nobody can make up."""
    host = ascii_domain(urlsplit(link_address()).hostname or "localhost")
    return f"<notice.{_SIGNER.sign(own_name(mail, mail.holder.token))}@{host}>"


def mail_of_message_id(name: str) -> NoticeMail | None:
    """The letter of a name."""
    local = name.strip().strip("<>").partition("@")[0].removeprefix("notice.")
    try:
        number, token = read_own_name(_SIGNER.unsign(local))
    except (BadSignature, ValueError):
        return None
    return NoticeMail.objects.select_related("holder").filter(pk=number, holder__token=token).first()
