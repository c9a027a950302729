"""Copy a pattern, or bring a block of another into it: a sleeve with its values, shapings and steps."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Layout, Submit
from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.patterns import SlugTaken, load_pattern, patterns_for
from catalogue.drafts.saving import errors_of, save, signed_in_person
from catalogue.studio.roles import whole_studio_required
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.entries.copying import brought, spots_of
from grading.entries.facts_forms import LONGEST_TITLE
from grading.entries.single_lines import LineField
from grading.grid.refusals import refusal_in_words
from grading.sheets.documents import Document


class CopyForm(forms.Form):
    """The title of a copy."""

    title = LineField(max_length=LONGEST_TITLE, help_text="The link of its page is made from it.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.layout = Layout("title", Submit("", "Make the copy"))


class BringForm(forms.Form):
    """What shall come from another pattern: sections first, the rest folded."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    take = forms.MultipleChoiceField(
        label="Sections, each with all that it uses", required=False, widget=forms.CheckboxSelectMultiple
    )
    parts = forms.MultipleChoiceField(label="Take", required=False, widget=forms.CheckboxSelectMultiple)

    def __init__(self, data: Any = None, *, target: Draft, source: Document) -> None:
        super().__init__(data, initial={"revision": target.revision})
        self.target, self.source = target.document, source
        self.document: Document = target.document
        self.new: list[str] = []
        self.kept: list[str] = []
        sections, parts = spots_of(source)
        self.fields["take"].choices = sections  # type: ignore[attr-defined]
        self.fields["parts"].choices = parts  # type: ignore[attr-defined]
        is_open = "" if sections and not self["parts"].value() else " open"
        fold = HTML(f"<details{is_open}><summary>What comes with the sections, each by itself</summary>")
        folded = [fold, "parts", HTML("</details>")] if parts else []
        self.helper = FormHelper()
        self.helper.layout = Layout(
            "revision", *(["take"] if sections else []), *folded, Submit("", "Bring it in")
        )

    def clean(self) -> dict[str, Any]:
        """Build the document with the block."""
        cleaned = super().clean() or {}
        wanted = [*cleaned.get("take", []), *cleaned.get("parts", [])]
        if not self.errors and not wanted:
            self.add_error(None, "Tick what to copy.")
        elif not self.errors:
            self.document, self.new, self.kept = brought(self.target, self.source, wanted)
            try:
                read_pattern(self.document)
            except PatternFileError as error:
                self.add_error(None, refusal_in_words(error, self.document))
        return cleaned


@whole_studio_required
@require_http_methods(["GET", "HEAD", "POST"])
def pattern_copy(request: HttpRequest, slug: str) -> HttpResponse:
    """Make a new draft of all that a draft holds; versions, calls and photos stay with the old one."""
    draft = open_draft(request.user, slug)
    form = CopyForm(request.POST or None, initial={"title": f"{draft.pattern.title}, copy"})
    if form.is_bound and form.is_valid():
        document = {**draft.document, "title": form.cleaned_data["title"]}
        try:
            made = load_pattern(document=document, by=signed_in_person(request))
        except SlugTaken:
            form.add_error("title", "There is a pattern with this title already: choose another title.")
        else:
            messages.success(request, f"{made.title} is created as a separate draft.")
            return redirect("desk_pattern", made.slug)
    context = {"pattern": draft.pattern, "tab": "", "form": form, "heading": "Copy this pattern",
               "back": reverse("desk_pattern", args=[slug]), "sizes": draft.document["sizes"],
               "their_edits": []}  # fmt: skip
    return render(request, "catalogue/sheet_form.html", context)


@whole_studio_required
@require_http_methods(["GET", "HEAD"])
def bring(request: HttpRequest, slug: str) -> HttpResponse:
    """Choose the pattern that something shall come from."""
    draft = open_draft(request.user, slug)
    others = patterns_for(request.user).exclude(pk=draft.pattern.pk).order_by("title")
    return render(request, "catalogue/bring.html", {"pattern": draft.pattern, "tab": "", "others": others})


@whole_studio_required
@require_http_methods(["GET", "HEAD", "POST"])
def bring_from(request: HttpRequest, slug: str, source: str) -> HttpResponse:
    """Bring sections and entries of another pattern into this one, with all that they hang on."""
    draft, other = open_draft(request.user, slug), open_draft(request.user, source)
    form = BringForm(request.POST or None, target=draft, source=other.document)
    back = reverse("desk_pattern", args=[slug])
    heading, sizes = f"Copy from {other.pattern.title}", draft.document["sizes"]
    context = {"pattern": draft.pattern, "tab": "", "form": form, "back": back, "their_edits": [],
               "heading": heading, "sizes": sizes}  # fmt: skip
    if not form.is_bound or not form.is_valid():
        context["errors"] = errors_of(form)
        return render(request, "catalogue/sheet_form.html", context)
    if form.kept:
        messages.warning(request, f"Already here, and kept as they are: {', '.join(form.kept)}.")
    return save(request, draft, form, "catalogue/sheet_form.html", context, back)
