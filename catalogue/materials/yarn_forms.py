"""Forms of yarns, shades, and of the yarns that a pattern uses."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms

from catalogue.materials.yarn_counts import read_yarn_count
from catalogue.materials.yarns import Choice, complete_figures
from catalogue.models import PatternYarn, Yarn, YarnShade
from grading.core.formula.dimensions import LENGTH, PLAIN, WEIGHT, YARN, Dimension
from grading.core.formula.errors import FormulaError
from grading.core.formula.literals import parse_literal
from grading.core.pattern.pattern import YarnEntry
from grading.entries.single_lines import LineField

SIX_PLACES = Decimal("0.000001")
NOTHING = ""


class FigureField(LineField):
    """A figure with its unit; without one it is in grams or metres."""

    def __init__(self, *, dimension: Dimension, example: str, by_count: bool = False, **options: Any) -> None:
        super().__init__(required=False, max_length=40, **options)
        self.dimension = dimension
        self.example = example
        self.by_count = by_count

    def clean(self, value: Any) -> Decimal | None:
        """Return grams or metres."""
        text = super().clean(value)
        if not text:
            return None
        number = self._number(text)
        if number is None or number <= 0:
            raise forms.ValidationError(f"“{text}” is not a figure above 0, such as “{self.example}”.")
        return Decimal(repr(number)).quantize(SIX_PLACES)

    def _number(self, text: str) -> float | None:
        """The number in g or m; None for another measure."""
        if self.by_count and (metres := read_yarn_count(text)) is not None:
            return metres
        try:
            quantity = parse_literal(text)
        except FormulaError:
            return None
        if quantity.dimension == PLAIN and "%" not in text:
            return quantity.number
        if quantity.dimension == LENGTH and self.dimension == YARN:
            return quantity.number / 1000
        return quantity.number if quantity.dimension == self.dimension else None


class YarnForm(forms.Form):
    """A yarn as it is sold; any two of its three figures."""

    name = LineField(max_length=120, help_text="For example: Larkmoss Skeinbury.")
    fibre = LineField(max_length=120, required=False, help_text="For example: 100 % wool.")
    put_up = FigureField(
        label="Weight of a ball",
        dimension=WEIGHT,
        example="50 g",
        help_text="In grams, or with another unit: “50 g”, “1.75 oz”.",
    )
    ball_length = FigureField(
        label="Length of a ball",
        dimension=YARN,
        example="110 m",
        help_text="In metres, or with another unit: “110 m”, “120 yd”.",
    )
    length_per_100g = FigureField(
        label="Length of 100 g",
        dimension=YARN,
        example="220 m",
        by_count=True,
        help_text="Any two of the three figures are enough. In tex or Nm too: “250 tex”, “Nm 2/28”.",
    )

    def __init__(self, data: Any = None, *, yarn: Yarn | None = None) -> None:
        super().__init__(data, initial=_figures_of(yarn))
        self.yarn = yarn
        self.helper = FormHelper()
        self.helper.add_input(Submit("save", "Save the yarn"))

    def clean_name(self) -> str:
        """A yarn is found by its name, so there is one of each."""
        name = str(self.cleaned_data["name"])
        same = Yarn.objects.filter(name__iexact=name).first()
        if same and same != self.yarn:
            raise forms.ValidationError(f"There is a yarn “{name}” already.")
        return name

    def clean(self) -> dict[str, Any]:
        """Work out the third figure."""
        cleaned = super().clean() or {}
        figures = [cleaned.get(name) for name in ("put_up", "ball_length", "length_per_100g")]
        if not self.errors:
            try:
                cleaned["figures"] = complete_figures(
                    put_up_g=figures[0], ball_length_m=figures[1], length_per_100g_m=figures[2]
                )
            except ValueError as problem:
                raise forms.ValidationError(str(problem)) from None
        return cleaned

    def save(self) -> Yarn:
        """Store the yarn."""
        yarn = self.yarn or Yarn()
        yarn.name, yarn.fibre = self.cleaned_data["name"], self.cleaned_data["fibre"]
        yarn.put_up_g, yarn.length_per_100g_m = self.cleaned_data["figures"]
        yarn.save()
        return yarn


class ShadeForm(forms.Form):
    """A shade of a yarn, as a colour of the screen."""

    name = LineField(max_length=80, help_text="For example: Peat.")
    srgb = forms.RegexField(
        label="Colour on the screen",
        regex=r"^#[0-9a-fA-F]{6}$",
        initial="#8a7a5c",
        widget=forms.TextInput(attrs={"type": "color", "class": "form-control form-control-color"}),
        error_messages={"invalid": "A colour is a “#” and six digits or letters a to f, such as “#4a3728”."},
        help_text="As near as a screen comes to the yarn by daylight.",
    )

    def __init__(
        self, data: Any = None, *, yarn: Yarn, shade: YarnShade | None = None, prefix: str | None = None
    ) -> None:
        initial = {"name": shade.name, "srgb": shade.srgb} if shade else None
        super().__init__(data, initial=initial, prefix=prefix)
        self.yarn, self.shade = yarn, shade
        self.helper = FormHelper()
        self.helper.add_input(
            Submit("save", "Save the shade" if shade else "Add the shade", css_class="btn-secondary")
        )

    def clean_name(self) -> str:
        """Two shades of a yarn have two names."""
        name = str(self.cleaned_data["name"])
        same = self.yarn.shades.filter(name__iexact=name).first()
        if same and same != self.shade:
            raise forms.ValidationError(f"{self.yarn.name} has a shade “{name}” already.")
        return name

    def save(self) -> YarnShade:
        """Store the shade."""
        shade = self.shade or YarnShade(yarn=self.yarn)
        shade.name, shade.srgb = self.cleaned_data["name"], self.cleaned_data["srgb"].lower()
        shade.save()
        return shade


class PatternYarnsForm(forms.Form):
    """One choice for each colour of a pattern."""

    def __init__(
        self, data: Any = None, *, roles: Sequence[YarnEntry], chosen: Sequence[PatternYarn]
    ) -> None:
        super().__init__(data)
        self.colours = [role.colour for role in roles]
        self.known = known_choices()
        now = {one.colour: choice_key(one.yarn, one.shade) for one in chosen}
        listed = [(NOTHING, "none chosen"), *((key, label) for key, (label, _) in self.known.items())]
        for place, role in enumerate(roles):
            self.fields[f"colour_{place}"] = forms.ChoiceField(
                label=f"Colour {role.colour}", choices=listed, required=False,
                initial=now.get(role.colour, NOTHING), help_text=role.label,
            )  # fmt: skip
        self.helper = FormHelper()
        self.helper.add_input(Submit("save", "Save the choice"))

    def choices(self) -> dict[str, Choice | None]:
        """What was chosen, by colour."""
        picked = [self.cleaned_data[f"colour_{place}"] for place in range(len(self.colours))]
        return {
            colour: self.known[key][1] if key else None
            for colour, key in zip(self.colours, picked, strict=True)
        }


def known_choices() -> dict[str, tuple[str, Choice]]:
    """Every shade, and every yarn without a shade, by key."""
    found: dict[str, tuple[str, Choice]] = {}
    for yarn in Yarn.objects.order_by("name").prefetch_related("shades"):
        for shade in sorted(yarn.shades.all(), key=lambda one: one.name.casefold()):
            found[choice_key(yarn, shade)] = f"{yarn.name}, {shade.name}", (yarn, shade)
        found[choice_key(yarn, None)] = f"{yarn.name}, no shade yet", (yarn, None)
    return found


def choice_key(yarn: Yarn, shade: YarnShade | None) -> str:
    """How a choice is sent."""
    return f"{yarn.pk}-{shade.pk if shade else 0}"


def _figures_of(yarn: Yarn | None) -> dict[str, str] | None:
    """A yarn as its form shows it."""
    if yarn is None:
        return None
    return {
        "name": yarn.name,
        "fibre": yarn.fibre,
        "put_up": f"{yarn.put_up_g.normalize():f} g",
        "ball_length": "",
        "length_per_100g": f"{yarn.length_per_100g_m.normalize():f} m",
    }
