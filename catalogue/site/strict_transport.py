"""How far a studio's promise goes that it is reached by TLS alone."""

from django.core.exceptions import ImproperlyConfigured

WORDS = ("", "subdomains", "preload")


def read_hsts(word: str) -> tuple[bool, bool]:
    """Whether the promise holds for all names below the studio's, and whether browsers may ship it.

    Without a word it is made for the studio's own name alone: others may serve what lies beside it, and a
    promise that browsers ship is not taken back for months.
    """
    if word not in WORDS:
        raise ImproperlyConfigured(f"EVENROW_HSTS must be subdomains or preload, not “{word[:80]}”.")
    return word in ("subdomains", "preload"), word == "preload"
