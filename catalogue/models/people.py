"""The people of a studio."""

from typing import Any, ClassVar

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models.functions import Lower


class PersonManager(BaseUserManager["Person"]):
    """Makes people from an e-mail address."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> "Person":
        """Store a person; without a password they can sign in by code alone."""
        person = self.model(email=email.strip().lower(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> "Person":
        """Find by address, whatever its case."""
        return self.get(email__iexact=username)


class Person(AbstractBaseUser, PermissionsMixin):
    """Somebody with an account: designer and editor by group, tester by a place in a call."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=80, blank=True)
    units = models.CharField(max_length=2, choices=[("cm", "centimetres"), ("in", "inches")], default="cm")
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(auto_now_add=True)
    erase_asked_at = models.DateTimeField(
        null=True, help_text="Asked to be erased then, which could not be done yet."
    )

    objects = PersonManager()
    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        constraints = (models.UniqueConstraint(Lower("email"), name="catalogue_person_email_any_case"),)

    def __str__(self) -> str:
        return self.name or self.email


class SignIn(models.Model):
    """That somebody signed in, when, and with which kind of browser; kept for a limited time."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="sign_ins")
    at = models.DateTimeField(auto_now_add=True, db_index=True)
    browser = models.CharField(max_length=60, help_text="Its kind and system, without a version.")

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.browser}"


class Invitation(models.Model):
    """A one-time address by which a designer or editor comes in; only the hash of its key is kept."""

    role = models.CharField(max_length=10, choices=[("designer", "designer"), ("editor", "editor")])
    email = models.EmailField(blank=True, help_text="Empty for the very first designer.")
    key_hash = models.CharField(max_length=64, unique=True)
    may_publish = models.BooleanField(default=False)
    pattern = models.ForeignKey(
        "catalogue.Pattern",
        models.CASCADE,
        null=True,
        related_name="+",
        help_text="The one pattern that an editor will see; none for all.",
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.role} {self.email}"


class Studio(models.Model):
    """The one studio of this installation."""

    name = models.CharField(max_length=80)
    sender = models.EmailField(help_text="The address that e-mails come from.")
    address = models.CharField(max_length=300, blank=True, help_text="Postal address for the colophon.")
    public_url = models.CharField(
        max_length=200, blank=True, default="", help_text="Printed in documents and e-mails."
    )
    time_zone = models.CharField(max_length=60, default="UTC")
    units = models.CharField(max_length=2, choices=[("cm", "centimetres"), ("in", "inches")], default="cm")

    def __str__(self) -> str:
        return self.name
