"""Forms of holders and notices, for the studio and for visitors."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms

from catalogue.holders.holders import NewHolder
from catalogue.holders.tables import LONGEST_ADDRESS, ReadHolders, known_columns, read_holders
from catalogue.models import Pattern, Version
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.studio.mail_addresses import MailAddressField
from grading.entries.single_lines import LineField
from grading.sizes.table_forms import BroughtForm
from grading.tables.files import RawTable, table_text

EXAMPLE = "address,pattern,version,date\nida@larkmoss.example,Brackenmere Pullover,1.0,2026-05-03"


class HolderForm(forms.Form):
    """One holder, typed in."""

    email = MailAddressField(
        label="E-mail address",
        max_length=LONGEST_ADDRESS,
        help_text="For example: ida@larkmoss.example.",
    )
    pattern = forms.ModelChoiceField(Pattern.objects.order_by("title"), empty_label=None)
    number = LineField(
        label="Version",
        required=False,
        max_length=9,
        help_text="For example: 1.0. Empty where it is unknown.",
    )
    held_since = forms.DateField(
        label="Date", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    has_pdf = forms.BooleanField(
        label="Has bought the PDF of this version",
        required=False,
        help_text="They can then ask for a link to a PDF for their size.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = helper_with("Add the holder")

    def clean(self) -> dict[str, Any]:
        """Find the version of the number."""
        cleaned = super().clean() or {}
        number, pattern = cleaned.get("number", "").strip(), cleaned.get("pattern")
        cleaned["version"] = next((one for one in _releases(pattern) if one.number == number), None)
        if number and pattern and cleaned["version"] is None:
            self.add_error(
                "number", f"{pattern.title} has no release “{number}”: check the number, or leave it empty."
            )
        if cleaned.get("has_pdf") and not number:
            self.add_error("number", "Write the version that they have bought, for example 1.0.")
        return cleaned

    def holder(self) -> NewHolder:
        """The holder as typed."""
        data = self.cleaned_data
        return NewHolder(data["email"], data["pattern"], data["version"], data["held_since"])


class HoldersForm(BroughtForm):
    """A table of holders, as a file or pasted: looked at first, then stored."""

    found: ReadHolders | None = None

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["text"].help_text = "Columns: address, pattern, version, date. Nothing else is stored."
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.add_input(Submit("check", "Look at it"))

    def read(self, raw: RawTable, cleaned: dict[str, Any]) -> None:
        """Make holders of the rows; other columns go no further."""
        self.found = read_holders(raw)
        cleaned["text"] = table_text(known_columns(raw))


class BounceForm(forms.Form):
    """A returned e-mail."""

    text = forms.CharField(
        label="The whole returned e-mail",
        max_length=500_000,
        strip=False,
        widget=text_area(10),
        help_text="With its headers: in most mail programs “Show source”.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = helper_with("Note it")


class NoticeForm(GlanceForm):
    """What the studio says in a notice, besides what is corrected."""

    words = forms.CharField(
        label="Words of your own",
        required=False,
        max_length=2_000,
        widget=text_area(4),
        help_text="For example: “The new version is in your account with us.” Shown below the corrections.",
    )


class SignUpForm(forms.Form):
    """A visitor who wants to be told of corrections."""

    email = MailAddressField(
        label="Your e-mail address",
        max_length=LONGEST_ADDRESS,
        help_text="Used only for e-mails about corrections.",
    )
    version = forms.ModelChoiceField(
        Version.objects.none(), required=False, empty_label="I don't know", label="The version that you have"
    )

    def __init__(self, *args: Any, pattern: Pattern, **more: Any) -> None:
        super().__init__(*args, **more)
        field: Any = self.fields["version"]
        field.queryset = pattern.versions.filter(kind="release", state="published").defer("record")
        field.label_from_instance = lambda version: version.number
        self.helper = helper_with("E-mail me about corrections")


class AskPdfForm(forms.Form):
    """A buyer who wants the link to their PDF."""

    email = MailAddressField(
        label="The e-mail address that you bought it with",
        max_length=LONGEST_ADDRESS,
        help_text="The link goes there, and to no other address.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = helper_with("Send me the link")


def _releases(pattern: Pattern | None) -> list[Version]:
    """The releases of a pattern."""
    if pattern is None:
        return []
    return list(pattern.versions.filter(kind="release", state="published").defer("record"))
