"""Forms of sections and steps."""

from collections.abc import Sequence
from typing import Any

from django import forms

from catalogue.studio.form_parts import helper_with, text_area
from grading.core.instructions.steps import LONGEST_STEP
from grading.core.pattern.pattern import OptionEntry, PatternFile
from grading.entries.single_lines import LineField

# A row as it is written in each craft, and in crochet in each of its terms.
EXAMPLES = {
    "crochet US": "Row 1: sc in 2nd ch from hook and in each ch to the end, turn. ({%} sts)",
    "crochet UK": "Row 1: 1 dc in 2nd ch from hook and in each ch to the end, turn. ({%} sts)",
    "tunisian": "Row 1: tss in each st to the end; return pass. ({%} sts)",
    "knitting": "Row 1 (RS): k to the end. ({%} sts)",
}


def step_help(pattern: PatternFile) -> str:
    """How a step is written: an example in the craft of a pattern, with a line of its own in braces."""
    craft = pattern.craft
    row = EXAMPLES.get(craft) or EXAMPLES[f"{craft} {pattern.home_terms}"]
    counted = next((one.name for one in pattern.values if one.kind == "stitches"), "back_stitches")
    return (
        "A number is never typed: write the name of a value in braces. For example: "
        f"“{row.replace('%', counted)}” Lengths too: “{{3 cm}}”."
    )


class StepForm(forms.Form):
    """The words of one step."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    text = forms.CharField(
        label="Step",
        max_length=LONGEST_STEP,
        strip=False,
        widget=text_area(8),
    )

    def __init__(self, *args: Any, pattern: PatternFile, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["text"].help_text = step_help(pattern)
        self.helper = helper_with("Save the step")

    def clean_text(self) -> str:
        """Browsers send line ends of their own: a pattern file has plain ones."""
        return str(self.cleaned_data["text"]).replace("\r\n", "\n").replace("\r", "\n").rstrip()


class SectionForm(forms.Form):
    """A section's title, and the choices that it is printed for."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    title = LineField(max_length=120, help_text="For example: “Left front (as worn)”.")

    def __init__(self, *args: Any, options: Sequence[OptionEntry], **more: Any) -> None:
        super().__init__(*args, **more)
        self.options = options
        for option in options:
            self.fields[f"when_{option.name}"] = forms.MultipleChoiceField(
                label=f"Printed when “{option.label}” is",
                choices=[(choice, choice) for choice in option.choices],
                required=False,
                widget=forms.CheckboxSelectMultiple,
                help_text="None ticked: always.",
            )
        self.helper = helper_with("Save the section")

    def when(self) -> dict[str, Any] | None:
        """The condition as the pattern file has it; all or none of the choices is no condition."""
        found: dict[str, Any] = {}
        for option in self.options:
            chosen = self.cleaned_data[f"when_{option.name}"]
            if chosen and len(chosen) < len(option.choices):
                found[option.name] = chosen[0] if len(chosen) == 1 else chosen
        return found or None
