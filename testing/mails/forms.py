"""The designer's own words for an e-mail."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms

from catalogue.studio.form_parts import text_area
from grading.entries.single_lines import LineField
from testing.mails.mails import MailWording
from testing.mails.texts import MailKind, trouble_with


class MailTextForm(forms.Form):
    """Subject and text; both empty means the usual words."""

    subject = LineField(label="Subject", max_length=150, required=False)
    text = forms.CharField(label="Text", max_length=5_000, required=False, widget=text_area(14))

    def __init__(self, *args: Any, kind: MailKind, preview: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.kind = kind
        fields = ", ".join(f"{{{name}}}" for name in kind.fields)
        self.fields["text"].help_text = f"{fields} are filled in. Leave both empty for the usual words."
        show = Submit("show", "Preview", css_class="btn-outline-primary", formaction=preview)
        self.helper = FormHelper()
        self.helper.layout = Layout("subject", "text", show, Submit("send", "Keep these words"))

    def clean(self) -> dict[str, Any]:
        """Refuse unknown fields, a subject without text, and a text without its address."""
        cleaned = super().clean() or {}
        for name in ("subject", "text"):
            if trouble := trouble_with(cleaned.get(name) or "", self.kind):
                self.add_error(name, trouble)
        subject, text = cleaned.get("subject"), cleaned.get("text")
        if not self.errors and bool(subject) != bool(text):
            self.add_error("text" if subject else "subject", "Write both, or leave both empty.")
        if text and "{url}" not in text:
            self.add_error("text", "Put {url} where the link to the page should be.")
        return cleaned

    def words(self) -> MailWording | None:
        """The words as entered; None for the usual ones."""
        subject, text = self.cleaned_data["subject"], self.cleaned_data["text"]
        return MailWording(subject, text.replace("\r\n", "\n")) if text else None
