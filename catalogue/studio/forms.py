"""Forms of the whole studio."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password

from catalogue.models import Person, Studio
from catalogue.studio.form_parts import helper_with
from catalogue.studio.mail_addresses import MailAddressField
from catalogue.studio.people import StudioAnswers
from catalogue.studio.person_names import no_link
from catalogue.studio.roles import DESIGNER, EDITOR
from catalogue.studio.web_addresses import is_loopback, read_web_address
from grading.entries.single_lines import LineField

# Zones are named by place; the others are old names, offsets and the machine's own.
_PLACES = (
    *("Africa/", "America/", "Antarctica/", "Arctic/", "Asia/", "Atlantic/"),
    *("Australia/", "Europe/", "Indian/", "Pacific/"),
)


class StudioForm(forms.ModelForm[Studio]):
    """The studio's own settings."""

    class Meta:
        model = Studio
        fields: tuple[str, ...] = ("name", "sender", "address", "public_url", "time_zone", "units")
        labels = {
            "name": "Name of the studio",
            "address": "Postal address",
            "public_url": "Public address of the studio",
            "units": "Units",
        }
        field_classes = {"name": LineField, "address": LineField, "public_url": LineField}
        help_texts = {
            "name": "For example: Larkmoss Studio",
            "address": "Printed in the colophon of patterns and under e-mails; may stay empty.",
            "public_url": "Where others open the studio, for example https://larkmoss.example. It is printed "
            "in documents and e-mails. Leave it empty if only this machine can open the studio.",
        }

    sender = MailAddressField(
        label="Address that e-mails come from",
        max_length=254,
        help_text="For example: hello@larkmoss.example",
    )
    time_zone = forms.ChoiceField(
        label="Time zone", initial="UTC", help_text="Deadlines and dates follow it."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zones = sorted(zone for zone in available_timezones() if zone == "UTC" or zone.startswith(_PLACES))
        self.fields["time_zone"].choices = [(zone, zone.replace("_", " ")) for zone in zones]  # type: ignore[attr-defined]
        self.helper = helper_with("Save")

        if settings.STUDIO_URL and "public_url" in self.fields:
            self.fields[
                "public_url"
            ].help_text = (
                f"EVENROW_URL is set to {settings.STUDIO_URL}, which is used whatever you type here."
            )

    def clean_public_url(self) -> str:
        """An address that others can open, or none."""
        typed: str = self.cleaned_data["public_url"]
        if not typed:
            return ""
        try:
            address = read_web_address(typed)
        except ValueError as problem:
            raise forms.ValidationError(str(problem))
        if is_loopback(address):
            raise forms.ValidationError(
                f"Only this machine can open {address}: leave it empty until others can open the studio."
            )
        return address

    def answers(self) -> StudioAnswers:
        """What was asked about the studio."""
        return StudioAnswers(**{name: self.cleaned_data[name] for name in self.Meta.fields})


class PasswordMixin(forms.Form):
    """Asks for a name and a password that is hard to guess."""

    person_name = LineField(
        label="Your name", max_length=80, validators=[no_link], help_text="As others in the studio see it."
    )
    password = forms.CharField(
        label="Password",
        min_length=10,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 10 characters. Best are several words that only you would combine.",
    )

    def clean(self) -> dict[str, Any]:
        """Refuse passwords that are easy to guess."""
        known = super().clean() or self.cleaned_data
        if password := known.get("password"):
            person = Person(email=known.get("email", ""), name=known.get("person_name", ""))
            try:
                validate_password(password, person)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return known


class SetupForm(PasswordMixin, StudioForm):
    """The studio and its first designer."""

    class Meta(StudioForm.Meta):
        fields = ("name", "sender", "address", "time_zone", "units")

    email = MailAddressField(label="Your e-mail address", max_length=254, help_text="You sign in with it.")
    field_order = ("person_name", "email", "password", *Meta.fields)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper_with("Open the studio")


class InvitationForm(PasswordMixin):
    """What an invited person gives to come in."""

    helper = helper_with("Join")


class InviteForm(forms.Form):
    """Whom to invite."""

    email = MailAddressField(
        label="E-mail address", max_length=254, help_text="For example: ida@larkmoss.example"
    )
    role = forms.ChoiceField(
        label="As",
        choices=[
            (EDITOR, "editor: reads and corrects, adds errata"),
            (DESIGNER, "designer: may do everything"),
        ],
    )
    may_publish = forms.BooleanField(label="May publish versions", required=False)
    helper = helper_with("Send the invitation", action="people_invite")


class AccountForm(forms.ModelForm[Person]):
    """What people settle for themselves."""

    class Meta:
        model = Person
        fields = ("name", "units")
        labels = {"name": "Name", "units": "Lengths in"}
        field_classes = {"name": LineField}

    helper = helper_with("Save")

    def clean_name(self) -> str:
        """A name holds no web address."""
        no_link(name := self.cleaned_data["name"])
        return str(name)
