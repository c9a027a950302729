"""Apostrophes as the trade prints them."""

import re

# Between letters, or after the s of an owner of many; what follows a number is a mark of inches or feet.
_TYPED = re.compile(r"(?<=[^\W\d_])'(?=[^\W\d_])|(?<=[sS])'(?=\s|$)")


def with_apostrophes(text: str) -> str:
    """Turn the apostrophes that a keyboard has into those that are printed.

    Args:
        text: Words of the author.

    Returns:
        The same, with ’ within words and after the s of an owner.

    Source: common practice.

    >>> with_apostrophes("Child's Jacket, the makers' choice, 5' long")
    "Child’s Jacket, the makers’ choice, 5' long"
    """
    return _TYPED.sub("’", text)
