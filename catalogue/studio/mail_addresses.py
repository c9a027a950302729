"""E-mail addresses as mail servers want them: in ASCII, international domains as IDNA has them."""

import unicodedata

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import validate_email

NO_ADDRESS = "This is not an e-mail address: write it like ida@larkmoss.example."
# RFC 5892 keeps them, and the older IDNA that Python knows changes them into others: ß, ς, and two joiners.
_KEPT = frozenset("ß\u03c2\u200c\u200d")


class AddressUnfit(ValueError):
    """An address that no letter can be sent to or from; its text is one sentence."""


def ascii_address(address: str) -> str:
    """The address with its domain in ASCII (IDNA 2008, RFC 5891).

    Raises:
        AddressUnfit: There are other letters before the @, or the domain can't be written so.
    """
    local, _, domain = address.rpartition("@")
    if not local.isascii():
        raise AddressUnfit(
            f"{address} has characters before the @ that mail servers don't accept: check the address."
        )
    return f"{local}@{ascii_domain(domain)}"


def ascii_domain(domain: str) -> str:
    """A domain in ASCII."""
    try:
        return ".".join(_ascii_label(label) for label in domain.split("."))
    except UnicodeError:
        raise AddressUnfit(f"{domain} can't be the domain of an e-mail address: check the address.") from None


def validate_mail_address(address: str) -> None:
    """Refuse what is no address, or none that a letter can be sent to."""
    try:
        validate_email(address)
    except ValidationError:
        raise ValidationError(NO_ADDRESS, code="invalid") from None
    try:
        ascii_address(address)
    except AddressUnfit as unfit:
        raise ValidationError(str(unfit), code="invalid") from None


class MailAddressField(forms.EmailField):
    """An address that a letter can be sent to."""

    default_validators = (validate_mail_address,)  # type: ignore[assignment]


def _ascii_label(label: str) -> str:
    """One part of a domain; what makes a letter of ASCII is left as it is."""
    if label.isascii():
        return label
    if not _KEPT & set(label):
        return label.encode("idna").decode()
    kept = unicodedata.normalize("NFC", label.lower())
    return f"xn--{kept.encode('punycode').decode()}"
