"""Names of people, as they stand at the head of letters."""

import re

from django.core.exceptions import ValidationError

# What mail programs make a link of: a scheme, “www.”, or words joined by a full stop, of whatever script.
# Nothing in it repeats: a name of a million letters is looked at once, not once from each letter.
_LINK = re.compile(r"[a-z]:/|/{2}|\bwww\b|(?<=[^\W_][^\W_])[.\u3002\uff0e\uff61][^\W\d_]{2}", re.IGNORECASE)


def no_link(name: str) -> None:
    """Refuse a name that would be a link in a letter."""
    if _LINK.search(name):
        raise ValidationError(
            "A name can't contain a web link: leave it out, or put a space after each full stop."
        )
