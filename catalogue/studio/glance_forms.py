"""Forms that carry what was seen when they were opened."""

from typing import cast

from django import forms
from django.http import HttpRequest, QueryDict


class GlanceForm(forms.Form):
    """A form about something that others may change meanwhile."""

    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def carry(self, seen: str) -> None:
        """Carry what is seen now, also where the form comes back with what was typed."""
        self.initial["seen"] = seen
        if self.is_bound:
            typed = cast("QueryDict", self.data).copy()
            typed["seen"] = seen
            self.data = typed


def sent_glance(request: HttpRequest) -> str:
    """What a form of one button carried of what was seen."""
    return str(request.POST.get("seen", ""))
