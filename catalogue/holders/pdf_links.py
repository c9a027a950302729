"""Holders who have bought the PDF, by the studio's word, and their own links to it.

Anybody can sign up for notices with any version, so signing up gives no PDF: the studio names who has which
version. A link goes to the holder's own address, works for 30 days, and is dead once the studio withdraws it.
"""

from collections.abc import Iterable

from django.core.signing import BadSignature, SignatureExpired, TimestampSigner
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse

from catalogue.holders.holders import NewHolder, Stored, holder_url, store_holders
from catalogue.holders.own_links import LINK_LASTS, UNREACHED, own_url
from catalogue.models import Holder, Pattern, Version
from catalogue.models.link_tokens import new_token, read_own_name
from catalogue.studio.erasures import mark_erased, mark_of, marks
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address
from catalogue.versions.versions import published_title

NOT_MADE = "the e-mail could not be made. Tell whoever runs the server"
_SIGNER = TimestampSigner(salt="catalogue.holders.pdf")


class LinkExpired(Exception):
    """A link that once worked and is too old; its holder may ask for another."""

    def __init__(self, pattern: Pattern) -> None:
        super().__init__("The link has expired.")
        self.pattern = pattern


@transaction.atomic
def store_buyers(*, holders: Iterable[NewHolder], source: str) -> tuple[Stored, int]:
    """Store holders who have bought the PDF; return also how many of them have no version, and so no link."""
    buyers = list(holders)
    stored = store_holders(holders=buyers, source=source)
    patterns = {one.pattern.pk for one in buyers}
    rows = Holder.objects.select_for_update().filter(pattern__in=patterns)
    known = {(one.pattern_id, one.email.lower()): one for one in rows}
    named = [(known[one.pattern.pk, one.email.strip().lower()], one.version) for one in buyers]
    _note_bought({(holder, version) for holder, version in named if version is not None})
    has_some = Holder.pdf_versions.through.objects.filter(holder__pattern__in=patterns)
    return stored, len({holder.pk for holder, _ in named} - set(has_some.values_list("holder_id", flat=True)))


@transaction.atomic
def give_pdf(*, holder: Holder, version: Version) -> str:
    """The studio says that a holder has this version; their link goes to them. Say why not, if it can't."""
    held = _hold(holder)
    _note_bought({(held, version)})
    holder.pdf_token = held.pdf_token
    return send_pdf_link(held)


@transaction.atomic
def withdraw_pdfs(*, holder: Holder) -> None:
    """Nothing may be downloaded any more; links that were sent stay dead when one is given again."""
    held = _hold(holder)
    if held.pdf_token:
        mark_erased(_mark_of_link(held))
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


def send_pdf_link(holder: Holder) -> str:
    """Send a holder the link to the versions they have; say why not, where it can't be done."""
    if holder.state in UNREACHED:
        return UNREACHED[holder.state]
    if not held_versions(holder).exists():
        return "they have no release"
    context = {
        "title": published_title(holder.pattern),
        "url": f"{link_address()}{reverse('holder_pdf', args=[pdf_key(holder)])}",
        "days": LINK_LASTS.days,
        "own_url": own_url(holder),
        "leave_url": holder_url("unsubscribe", holder),
    }
    is_made = send_mail(to=holder.email, template="holder_pdf", context=context, about=holder)
    return "" if is_made else NOT_MADE


def held_versions(holder: Holder) -> QuerySet[Version]:
    """The releases that the studio says a holder has, the newest first, without their records."""
    released = holder.pdf_versions.filter(kind="release", state="published", pattern=holder.pattern_id)
    return released.order_by("-major", "-minor").defer("record")


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


def _hold(holder: Holder) -> Holder:
    """The row as it is now, which nobody changes meanwhile: links that are given at once have one name."""
    rows = Holder.objects.select_for_update(of=("self",)).select_related("pattern")
    return rows.filter(pk=holder.pk).first() or holder


def _note_bought(bought: set[tuple[Holder, Version]]) -> None:
    """Note who has which version, their rows held; a first one makes the name that stands in the links."""
    fresh = {holder for holder, _ in bought if not holder.pdf_token}
    for holder in fresh:
        holder.pdf_token = new_token()
    Holder.objects.bulk_update(fresh, ("pdf_token",), batch_size=500)
    through = Holder.pdf_versions.through
    rows = [through(holder_id=holder.pk, version_id=version.pk) for holder, version in bought]
    through.objects.bulk_create(rows, batch_size=500, ignore_conflicts=True)
