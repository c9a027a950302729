"""What is asked when a pattern begins from a construction."""

from typing import Any

from django import forms

from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import Construction, fabrics, lacking
from grading.beginnings.excusing import with_steps_excused
from grading.core.formula.typed_numbers import TypedNumberError, read_typed_number
from grading.core.sizes.tables import SizeTable, bare_size
from grading.entries.facts_forms import LONGEST_TITLE, UNITS
from grading.entries.layouts import columns_layout
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document
from grading.sizes.tables import own_tables, published_tables, sizes_named, table_words

COMPARE = "Compare a table that is not yet checked with the published one before you grade."


class CountField(forms.FloatField):
    """A number of stitches, rows or grams; typed as on every page."""

    def __init__(self, **options: Any) -> None:
        usual = {"min_value": 0.5, "max_value": 1000}
        super().__init__(widget=forms.TextInput(attrs={"inputmode": "decimal"}), **{**usual, **options})

    def to_python(self, value: Any) -> Any:
        """The number, as every page reads typed numbers."""
        if not isinstance(value, str) or not value.strip():
            return super().to_python(value)
        try:
            typed = read_typed_number(value)
        except TypedNumberError as error:
            raise forms.ValidationError(str(error))
        if typed.unit:
            raise forms.ValidationError(f"Write only the number, without “{typed.unit}”.")
        return float(typed.number)


class BeginningForm(forms.Form):
    """What a designer knows before the first row: fabric, sizes, swatch, ease, options."""

    title = LineField(max_length=LONGEST_TITLE, help_text="Such as: Larkmoss Winter Pullover")
    fabric = forms.ChoiceField(label="Craft and fabric")
    stitches = CountField(
        label="Stitches over 10 cm (4 in)", help_text="Counted on the swatch after blocking."
    )
    rows = CountField(label="Rows over 10 cm (4 in)")
    tool = CountField(
        label="Hook or needle of the swatch, mm",
        required=False,
        max_value=100,
        help_text="It is printed beside the gauge. A “smaller” one is smaller than this.",
    )
    weight = CountField(
        label="Weight of the swatch, g",
        required=False,
        help_text="Of a square of 10 cm (4 in). If you weighed another swatch, say below how large. "
        "Yarn is worked out from it. You can add it later, but there is no PDF without it, not even a draft.",
    )
    worked_stitches = CountField(
        label="Stitches of the weighed swatch",
        required=False,
        help_text="Only if it is not a square of 10 cm (4 in).",
    )
    worked_rows = CountField(label="Rows of the weighed swatch", required=False)
    table = forms.ChoiceField(label="Size table", widget=forms.RadioSelect)
    sizes = LineField(
        max_length=1000,
        required=False,
        help_text="Leave it empty for all of the table, or write such as: S to 3X. Or: S, M, L",
    )
    sample = LineField(
        label="Size of the sample",
        max_length=40,
        required=False,
        help_text="Leave empty for the middle size.",
    )
    ease = forms.ChoiceField(widget=forms.RadioSelect)
    options = forms.MultipleChoiceField(
        label="Let the maker choose", required=False, widget=forms.CheckboxSelectMultiple
    )
    home_units = forms.ChoiceField(label="Units it is written in", choices=UNITS, widget=forms.RadioSelect)

    def __init__(self, data: Any = None, *, construction: Construction, units: str) -> None:
        self.construction = construction
        tables = {**own_tables(), **published_tables()}
        self.tables = {key: table for key, table in tables.items() if not lacking(construction, table)}
        self.left_out = [
            (table.name, lacking(construction, table))
            for key, table in tables.items()
            if key not in self.tables
        ]
        first = next(iter(self.tables), "")
        super().__init__(data, initial={"home_units": units, "ease": construction.ease, "table": first})
        self._offer("fabric", [(key, _fabric_words(key)) for key in construction.fabrics])
        self._offer("table", [(key, table_words(table)) for key, table in self.tables.items()])
        self._offer(
            "ease",
            [
                (word, _ease_words(word, of, construction.eased_over))
                for word, of in construction.eases.items()
            ],
        )
        self.fields["ease"].help_text = construction.ease_source
        if any(table.is_unchecked for table in self.tables.values()):
            self.fields["table"].help_text = COMPARE
        options = [
            (one["name"], f"{one['label']}: {' or '.join(one['choices'])}") for one in construction.options
        ]
        self._offer("options", options)
        if not options:
            del self.fields["options"]
        self.helper = columns_layout(
            [],
            [
                [
                    "title",
                    "fabric",
                    ("stitches", "rows"),
                    ("tool", "weight"),
                    ("worked_stitches", "worked_rows"),
                ],
                ["table", ("sizes", "sample"), "ease", *(["options"] if options else []), "home_units"],
            ],
            "Begin",
        )

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        """Give a field its choices."""
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Find the sizes in the table, and the sample among them."""
        cleaned = super().clean() or {}
        if "table" in cleaned:
            table = self.tables[cleaned["table"]]
            cleaned["sizes"] = self._sizes(table, cleaned.get("sizes", ""))
            cleaned["sample"] = self._sample(cleaned["sizes"], cleaned.get("sample", ""))
        if bool(cleaned.get("worked_stitches")) != bool(cleaned.get("worked_rows")):
            self.add_error("worked_rows", "Give both stitches and rows of the weighed swatch, or neither.")
        return cleaned

    def _sizes(self, table: SizeTable, typed: str) -> tuple[str, ...]:
        """The sizes that were named, in the order of the table."""
        sizes, problem = sizes_named(table, typed)
        if problem:
            self.add_error("sizes", problem)
        return sizes

    def _sample(self, sizes: tuple[str, ...], typed: str) -> str:
        """The size of the sample, the middle one where none is named."""
        found = next((size for size in sizes if bare_size(size) == bare_size(typed)), "")
        if typed and not found:
            self.add_error("sample", f"“{typed}” is not one of the sizes, which are {', '.join(sizes)}.")
        return found or sizes[len(sizes) // 2]

    def document(self) -> Document:
        """The new pattern."""
        typed = self.cleaned_data
        stitches, rows = typed["stitches"], typed["rows"]
        start = Start(
            title=typed["title"],
            fabric=typed["fabric"],
            table=self.tables[typed["table"]],
            sizes=typed["sizes"],
            swatch=BegunSwatch(
                stitches,
                rows,
                typed["weight"],
                typed["worked_stitches"] or stitches,
                typed["worked_rows"] or rows,
            ),
            ease=self.construction.eases[typed["ease"]][0 if typed["home_units"] == "cm" else 1],
            sample=typed["sample"],
            home_units=typed["home_units"],
            options=frozenset(typed.get("options", ())),
            tool_mm=typed["tool"],
        )
        return with_steps_excused(begun_document(self.construction, start))


def _fabric_words(key: str) -> str:
    """A fabric with its craft."""
    fabric = fabrics()[key]
    return f"{fabric['craft'].capitalize()}: {fabric['label'].lower()}"


def _ease_words(word: str, ease: tuple[str, str], over: str) -> str:
    """An ease in words, with its numbers; a word such as “as wide as the arms reach” says it all."""
    cm, inches = ease
    if word.startswith("as "):
        return word
    if cm.startswith("0 "):
        return f"{word}: as wide as {over}"
    way = "less" if cm.startswith("-") else "more"
    return f"{word}: {cm.lstrip('-')} ({inches.lstrip('-')}) {way} than {over}"
