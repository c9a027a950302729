"""One letter of a notice: what the holders of one version are told, composed from what they read anew."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from catalogue.holders.first_lines import how_many_told, what_was_wrong, whom_it_concerns
from catalogue.models import Notice, Version
from catalogue.models.selling import open_shops
from catalogue.studio.mailing import compose_mail
from catalogue.studio.public_address import public_address
from catalogue.versions.records import read_record
from grading.core.printing.numbers import number_list

UNKNOWN = "unknown"
# Stands in a composed letter where each holder's own address comes.
LEAVE_MARK = "https://leave.invalid/"


@dataclass(frozen=True)
class NoticeLetter:
    """What the holders of one version are told, and how many they are."""

    number: str
    subject: str
    text: str
    html: str
    holders: int = 0
    listed: tuple[int, ...] = ()
    """Keys of the errata that it lists as corrected before."""
    newest: str = ""
    """The number of the release that a draft tells them to get."""

    @property
    def shown_text(self) -> str:
        """The text to look at: it says where each holder's own address stands."""
        return self.text.replace(LEAVE_MARK, "(here each holder's own address)")


def compose_letter(
    notice: Notice, newest: Version, number: str, words: str | None, told: dict[str, Any]
) -> NoticeLetter:
    """The letter to holders of one version; `told` has what they read anew and what was corrected before."""
    version = notice.version
    slug, title = version.pattern.slug, read_record(version.record)["title"]
    page = reverse("corrections", args=[slug, number]) if number != UNKNOWN else reverse("which", args=[slug])
    root, new = public_address(), told["followed"].errata
    context: dict[str, Any] = {
        "title": title,
        "number": "" if number == UNKNOWN else number,
        "new_number": newest.number,
        "words": notice.words if words is None else words,
        **told,
        "shops": open_shops(version.pattern),
        "sizes_line": number_list(told["followed"].sizes),
        "wrong": what_was_wrong(title, "" if number == UNKNOWN else number, told["followed"]),
        "pdf_url": root and root + reverse("ask_pdf", args=[slug]),
        "counted": how_many_told(len(new), len(told["earlier"]), len(told["waiting"])),
        "concerns": whom_it_concerns(told["followed"]),
        "url": root and root + page,
        "leave_url": root and LEAVE_MARK,
    }
    subject, text, html = compose_mail("notice", context)
    return NoticeLetter(number, subject, text, html, newest=newest.number)
