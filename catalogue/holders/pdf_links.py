"""Holders who have bought the PDF, by the studio's word, and their own links to it.

Anybody can sign up for notices with any version, so signing up gives no PDF: the studio names who has which
version. A link goes to the holder's own address, works for 30 days, and is dead once the studio withdraws it.
"""

from collections.abc import Iterable
from datetime import timedelta

from django.core.signing import BadSignature, SignatureExpired, TimestampSigner
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse

from catalogue.holders.holders import NewHolder, Stored, store_holders
from catalogue.models import Holder, Pattern, Version
from catalogue.models.link_tokens import new_token, read_own_name
from catalogue.studio.erasures import mark_erased, mark_of, marks
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address
from catalogue.versions.versions import published_title

LINK_LASTS = timedelta(days=30)
UNREACHED = ("bounced", "complained")
_SIGNER = TimestampSigner(salt="catalogue.holders.pdf")


class LinkExpired(Exception):
    """A link that once worked and is too old; its holder may ask for another."""

    def __init__(self, pattern: Pattern) -> None:
        super().__init__("The link is too old.")
        self.pattern = pattern


@transaction.atomic
def store_buyers(*, holders: Iterable[NewHolder], source: str) -> tuple[Stored, int]:
    """Store holders who have bought the PDF; return also how many named no version, and so have no link."""
    buyers = list(holders)
    stored = store_holders(holders=buyers, source=source)
    patterns = {one.pattern.pk for one in buyers}
    known = {(one.pattern_id, one.email.lower()): one for one in Holder.objects.filter(pattern__in=patterns)}
    bought = {
        (known[one.pattern.pk, one.email.strip().lower()], one.version)
        for one in buyers
        if one.version is not None
    }
    _note_bought(bought)
    return stored, sum(one.version is None for one in buyers)


@transaction.atomic
def give_pdf(*, holder: Holder, version: Version) -> bool:
    """The studio says that a holder has this version; their link goes to them. Say whether it could."""
    _note_bought({(holder, version)})
    return send_pdf_link(holder)


@transaction.atomic
def withdraw_pdfs(*, holder: Holder) -> None:
    """Nothing may be downloaded any more; links that were sent stay dead when one is given again."""
    if holder.pdf_token:
        mark_erased(_mark_of_link(holder))
    holder.pdf_versions.clear()
    Holder.objects.filter(pk=holder.pk).update(pdf_token="")


def withdraw_again() -> None:
    """Withdraw what was withdrawn after a backup that was put back."""
    known = marks()
    for holder in Holder.objects.exclude(pdf_token="").iterator():
        if _mark_of_link(holder) in known:
            withdraw_pdfs(holder=holder)


def ask_for_pdf(*, pattern: Pattern, email: str) -> None:
    """Somebody asks for their link: it goes to the address if the studio knows it as a buyer's."""
    holder = Holder.objects.filter(pattern=pattern, email__iexact=email.strip()).first()
    if holder is not None:
        send_pdf_link(holder)


def send_pdf_link(holder: Holder) -> bool:
    """Send a holder the link to the versions they have; False where there are none, or no letter arrives."""
    if holder.state in UNREACHED or not held_versions(holder).exists():
        return False
    context = {
        "title": published_title(holder.pattern),
        "url": f"{link_address()}{reverse('holder_pdf', args=[pdf_key(holder)])}",
        "days": LINK_LASTS.days,
    }
    return send_mail(to=holder.email, template="holder_pdf", context=context, about=holder)


def held_versions(holder: Holder) -> QuerySet[Version]:
    """The releases that the studio says a holder has, the newest first."""
    released = holder.pdf_versions.filter(kind="release", state="published", pattern=holder.pattern_id)
    return released.order_by("-major", "-minor")


def pdf_key(holder: Holder) -> str:
    """The signed key of a holder's link to their PDFs."""
    return _SIGNER.sign(f"{holder.pk}-{holder.pdf_token}")


def holder_of_pdf_key(key: str) -> Holder | None:
    """The holder whose link this is; None where it was never one, or was withdrawn.

    Raises:
        LinkExpired: It is one, and too old.
    """
    try:
        number, token = read_own_name(_SIGNER.unsign(key))
    except (BadSignature, ValueError):
        return None
    if not token:
        return None
    holder = Holder.objects.select_related("pattern").filter(pk=number, pdf_token=token).first()
    if holder is None:
        return None
    try:
        _SIGNER.unsign(key, max_age=LINK_LASTS)
    except SignatureExpired:
        raise LinkExpired(holder.pattern) from None
    return holder


def _mark_of_link(holder: Holder) -> str:
    """The mark of a withdrawn link; one that is given later has another."""
    return mark_of(f"pdf {holder.pdf_token}", holder.pk, holder.stored_at)


def _note_bought(bought: set[tuple[Holder, Version]]) -> None:
    """Note who has which version; a first one makes the name that stands in the links."""
    fresh = {holder for holder, _ in bought if not holder.pdf_token}
    for holder in fresh:
        holder.pdf_token = new_token()
    Holder.objects.bulk_update(fresh, ("pdf_token",), batch_size=500)
    through = Holder.pdf_versions.through
    rows = [through(holder_id=holder.pk, version_id=version.pk) for holder, version in bought]
    through.objects.bulk_create(rows, batch_size=500, ignore_conflicts=True)
