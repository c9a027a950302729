"""Forms of yarn support and of what was promised for it."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms

from catalogue.models import SupportPromise, YarnSupport
from catalogue.selling.forms import RowForm, date_input
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.mail_addresses import MailAddressField
from grading.entries.single_lines import LineField


class YarnSupportForm(RowForm[YarnSupport]):
    """Who gave what, for which pattern."""

    class Meta:
        model = YarnSupport
        fields: tuple[str, ...] = ("giver", "email", "given", "got_on", "yarn", "pattern", "note")
        field_classes = {"given": LineField}
        widgets = {"got_on": date_input()}
        labels = {"given": "What they gave", "got_on": "When it came", "pattern": "For the pattern"}
        help_texts = {"given": "For example: 12 balls of Larkmoss Skeinbury in Peat"}

    giver = LineField(label="Who gave it", max_length=120, help_text="For example: Fulling Lane Mill")
    email = MailAddressField(
        label="E-mail address",
        required=False,
        max_length=254,
        help_text="May stay empty. If somebody asks what you hold about them, it is found by this.",
    )
    note = forms.CharField(label="Note", required=False, max_length=1_000, widget=text_area(3))

    def __init__(self, data: Any = None, *, instance: YarnSupport | None = None) -> None:
        super().__init__(data, instance=instance)
        self.fields["giver"].required = self.instance.pk is None  # it stays empty once it was erased
        for name in ("yarn", "pattern"):
            self.fields[name].empty_label = "none"  # type: ignore[attr-defined]


class PromiseForm(forms.ModelForm[SupportPromise]):
    """One thing that was promised."""

    class Meta:
        model = SupportPromise
        fields: tuple[str, ...] = ("says", "due_on")
        field_classes = {"says": LineField}
        widgets = {"due_on": date_input()}
        labels = {"says": "What you promised", "due_on": "By"}
        help_texts = {"says": "For example: Name the mill in the release e-mail"}

    def __init__(self, data: Any = None) -> None:
        super().__init__(data)
        self.helper = FormHelper()
        self.helper.add_input(Submit("save", "Add the promise", css_class="btn-secondary"))


class AddressForm(forms.Form):
    """The address of somebody who asks what is held about them."""

    email = MailAddressField(label="E-mail address", max_length=254)

    def __init__(self, data: Any = None) -> None:
        super().__init__(data)
        self.helper = helper_with("Find what we hold")
