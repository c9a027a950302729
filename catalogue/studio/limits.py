"""How often the same client or the same address may have something done; the figures are settings.

The sign-in library counts, in a cache that lies in the database: all processes count together, and each try
is counted before anything is done about it.
"""

from datetime import timedelta

from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import salted_hmac

from catalogue.models import Tally
from catalogue.studio.sign_in_library import Counted, client_address, count_try

JUST_NOW = timedelta(minutes=10)  # the very same again is a button that was pressed twice
TOO_MANY_LETTERS = (
    "Too many e-mails were asked for from your connection: wait an hour, then send this again. What you "
    "typed is still here."
)
WRITTEN_TO_ALREADY = (
    "Several e-mails to this address were asked for already. Check its inbox and spam folder, or send this "
    "again tomorrow. What you typed is still here."
)


def count(request: HttpRequest, action: str, *of: str) -> Counted | None:
    """Count one more of an action, of what is named or of the client; None when it is one too many."""
    return count_try(request, action, " ".join(of).lower())


def client_of(request: HttpRequest) -> str:
    """Where a request comes from, as far as the limits tell it."""
    return client_address(request)


def refuse_letter(request: HttpRequest, address: str) -> str:
    """Count a letter that a visitor has sent to an address; say why it does not go, or nothing."""
    if not count(request, "letters_of_client"):
        return TOO_MANY_LETTERS
    if not count(request, "letters_of_client_to_address", address, client_of(request)):
        return WRITTEN_TO_ALREADY
    return "" if count(request, "letters_to_address", address) else WRITTEN_TO_ALREADY


def is_sent_again(request: HttpRequest) -> bool:
    """Whether a visitor's form came in filled in alike within ten minutes, as by a double tap or a reload.

    Ask in the transaction that stores what was sent: what is undone there was not sent.
    """
    typed = sorted((name, said) for name, said in request.POST.lists() if name != "csrfmiddlewaretoken")
    return not count(request, "same_form", request.get_full_path(), str(typed))


def forget_old_tallies() -> int:
    """Delete what is counted no more; return how much."""
    return int(Tally.objects.filter(expires__lt=timezone.now()).delete()[0])


def hidden_key(key: str, key_prefix: str, version: int) -> str:
    """The name of a count in the cache: neither addresses nor clients are kept."""
    return salted_hmac("catalogue.limits", f"{key_prefix} {version} {key}", algorithm="sha256").hexdigest()
