"""Passwords that everybody tries first are refused: common ones, and those that are made of one."""

import string

from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError

from catalogue.models import Person

AROUND = string.digits + string.punctuation + string.whitespace
# What is shorter, or less of a password, may stand beside figures that nobody guesses.
SHORTEST, LEAST_SHARE = 4, 1 / 3


class NearlyCommonPasswordValidator(CommonPasswordValidator):
    """Refuses the passwords of a list, also with figures and signs around them, or written twice.

    Most of the list is shorter than a password may be here: people make it longer in these ways.
    """

    def validate(self, password: str, user: Person | None = None) -> None:
        """Raise ValidationError for a password that is common or made of one."""
        super().validate(password, user)
        if self._made_of(password.strip().lower()):
            raise ValidationError(
                "This password is too common, with something added: choose other words.",
                code="password_too_common",
            )

    def _made_of(self, password: str) -> bool:
        """Whether a word of the list is all that is left without the figures and signs around it."""
        word, half = password.strip(AROUND), password[: len(password) // 2]
        if half * 2 == password and half in self.passwords:
            return True
        return len(word) >= max(SHORTEST, len(password) * LEAST_SHARE) and word in self.passwords
