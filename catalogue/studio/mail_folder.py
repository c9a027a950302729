"""E-mails that land in a folder, one file each, and the reading of them."""

import email
import email.policy
import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage as ParsedMail
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend
from django.utils import timezone

_NAME = re.compile(r"\d{8}-\d{6}-[0-9a-f]{8}")
SHOWN = 200
KIND_HEADER = "X-Evenrow-Kind"
# E-mails from before they told their kind: what those were called that let their reader into an account.
_KEYS_WITHOUT_KIND = ("Your code to sign in", "Choose a new password")


class FolderBackend(BaseEmailBackend):
    """Writes every e-mail as a file of its own, complete or not at all."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """Write the e-mails; say how many."""
        folder = Path(settings.MAIL_DIR)
        folder.mkdir(parents=True, exist_ok=True)
        for mail in email_messages:
            now = timezone.now()  # to the microsecond: names stand in the order of writing
            name = f"{now:%Y%m%d-%H%M%S}-{now.microsecond:05x}{secrets.randbelow(16**3):03x}"
            unfinished = folder / f"{name}.part"
            try:
                unfinished.touch(mode=0o600)
                unfinished.write_bytes(mail.message().as_bytes())
                unfinished.replace(folder / f"{name}.eml")
            except BaseException:
                unfinished.unlink(missing_ok=True)
                raise
        return len(email_messages)


def lands_in_folder() -> bool:
    """Whether e-mails land in the folder, as no mail server is named: they reach nobody."""
    return settings.EMAIL_BACKEND.endswith(FolderBackend.__name__)


@dataclass(frozen=True)
class FolderMail:
    """An e-mail of the folder, as the page shows it."""

    name: str
    to: str
    subject: str
    text: str
    written_at: datetime
    kind: str

    def is_hidden_from(self, reader: str) -> bool:
        """Whether it lets others than the reader (by address) into their account; a demo shows all."""
        return self.kind == "key" and self.to.casefold() != reader.casefold() and not settings.IS_DEMO


def list_mails() -> list[FolderMail]:
    """The newest e-mails of the folder, newest first."""
    folder = Path(settings.MAIL_DIR)
    names = sorted((path.stem for path in folder.glob("*.eml")), reverse=True)[:SHOWN]
    return [mail for mail in map(read_mail, names) if mail]


def read_mail(name: str) -> FolderMail | None:
    """One e-mail by the name of its file, or None."""
    path = Path(settings.MAIL_DIR) / f"{name}.eml"
    if not _NAME.fullmatch(name) or not path.is_file():
        return None
    parsed = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    return FolderMail(
        name=name,
        to=str(parsed["To"]),
        subject=str(parsed["Subject"]),
        text=_plain_text(parsed),
        written_at=datetime.fromtimestamp(path.stat().st_mtime, tz=timezone.get_current_timezone()),
        kind=_kind_of(parsed),
    )


def _kind_of(parsed: ParsedMail) -> str:
    """What kind of e-mail it is, as it says itself."""
    if KIND_HEADER in parsed:
        return str(parsed[KIND_HEADER])
    return "key" if str(parsed["Subject"]).endswith(_KEYS_WITHOUT_KIND) else "letter"


def _plain_text(parsed: ParsedMail) -> str:
    """The text part; the HTML part says the same."""
    body = parsed.get_body(preferencelist=("plain",))
    return str(body.get_content()) if body else ""
