"""A sheet as a workbook with live formulas: one row per line, one column per size, lengths in mm."""

from dataclasses import dataclass, field
from functools import partial

from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.rounding import WHOLE, WorkableStep
from grading.core.grade.grade import Graded
from grading.core.pattern.pattern import (
    CountOrName,
    CurveEntry,
    PatternFile,
    PickUpEntry,
    Rounding,
    ValueEntry,
)
from grading.core.shaping.curves import STRAIGHT
from grading.core.sheet.calculation import Calculation
from grading.core.sheet.sheet import Line
from grading.workbooks.live_formulas import (
    NULL,
    LiveFormula,
    formula_number,
    quarter_ellipse,
    rounded,
    straight_edge,
)

UNITS = {
    "length": "mm",
    "weight": "g",
    "yarn": "m",
    "stitches": "stitches",
    "rows": "rows",
    "count": "",
    "ratio": "",
    "area": "stitches × rows",
}
HEAD = ("Name", "Label", "Unit", "Kind", "Rounded", "As typed")
FABRIC_HEAD = (
    "Name",
    "Label",
    "Stitches",
    "Rows",
    "Over, mm",
    "Stitches per mm",
    "Rows per mm",
    "Multiple",
    "Plus",
)
FABRIC_COLUMNS = {"stitches": "F", "rows": "G", "multiple": "H", "plus": "I"}


@dataclass(frozen=True)
class Live:
    """A cell worked out by a formula; see grading.workbooks.live_formulas for how its text is written."""

    text: str


Cell = str | float | Live | None


@dataclass
class Page:
    """One sheet of the workbook: a head and rows of cells."""

    name: str
    head: tuple[str, ...]
    rows: list[list[Cell]] = field(default_factory=list)

    def add(self, cells: list[Cell]) -> int:
        """Add a row and return its number as spreadsheets count."""
        self.rows.append(cells)
        return len(self.rows) + 1


@dataclass(frozen=True)
class Workbook:
    """All pages, first to last."""

    pages: tuple[Page, ...]


def workbook_of(graded: Graded) -> Workbook:
    """Return a graded pattern's sheet as a workbook that works itself out."""
    return _Maker(graded).made()


class _Maker:
    """Fills the pages; `places` says where the numbers of each name stand."""

    def __init__(self, graded: Graded) -> None:
        self.graded, self.pattern = graded, graded.pattern
        head = (*HEAD, *graded.sizes)
        self.body, self.values = Page("Body", head), Page("Values", head)
        self.checks, self.workings = Page("Checks", head), Page("Workings", head)
        self.fabrics = Page("Fabrics", FABRIC_HEAD)
        self.places: dict[str, str] = {}

    def made(self) -> Workbook:
        """Return the workbook."""
        self._add_body()
        self._add_fabrics()
        self._add_lines()
        self._add_checks()
        about = Page("About", (self.pattern.title,), [[line] for line in _about(self.pattern)])
        return Workbook((about, self.body, self.fabrics, self.values, self.checks, self.workings))

    def _row(self, described: tuple[str, str, str, str, str, str], cells: list[Cell]) -> list[Cell]:
        """A row of a page with one column per size."""
        return [*described, *cells]

    def _same(self, text: str) -> list[Cell]:
        """The same formula for each size."""
        return [Live(text)] * len(self.graded.sizes)

    def _add_body(self) -> None:
        """Body measurements, and the numbers of the sizes."""
        numbers: list[Cell] = [float(at) for at in range(1, len(self.graded.sizes) + 1)]
        row = self.body.add(self._row(("size_number", "Number of the size", "", "", "", ""), numbers))
        self.places["size_number"] = f"[Body.{row}]"
        for one in self.pattern.body:
            cells: list[Cell] = [Live(NULL) if entry is None else entry for entry in one.entries]
            described = (one.name, one.label, "mm", "length", "", f"typed in {one.unit}")
            self.places[one.name] = f"[Body.{self.body.add(self._row(described, cells))}]"

    def _add_fabrics(self) -> None:
        """Gauges and multiples."""
        for one in self.pattern.fabrics:
            row = len(self.fabrics.rows) + 2
            per_mm: list[Cell] = [Live(f"[Fabrics.{column}{row}]/[Fabrics.E{row}]") for column in "CD"]
            gauge: list[Cell] = [one.stitches, one.rows, one.over_mm]
            self.fabrics.add([one.name, one.label, *gauge, *per_mm, float(one.multiple), float(one.plus)])
            for part, column in FABRIC_COLUMNS.items():
                self.places[f"{one.name}.{part}"] = f"[Fabrics.{column}{row}]"

    def _add_lines(self) -> None:
        """Values, pick-ups and lengths of curves; all have their places before any is written."""
        lines = self.graded.calculation.program.lines
        for at, line in enumerate(lines):
            self.places[line.name] = f"[Values.{at + 2}]"
        blank = _blank_lines(self.graded.calculation)
        curves = [curve for curve in self.pattern.curves if curve.fabric is not None]
        makers = [
            *(partial(self._value, value) for value in self.pattern.values),
            *(partial(self._pick_up, pick_up) for pick_up in self.pattern.pick_ups),
            *(partial(self._curve, curve) for curve in curves),
        ]
        for at, (line, make) in enumerate(zip(lines, makers, strict=True)):
            described, cells = make(line=line, blank=at in blank)
            self.values.add(self._row(described, cells))

    def _value(
        self, value: ValueEntry, *, line: Line, blank: bool
    ) -> tuple[tuple[str, str, str, str, str, str], list[Cell]]:
        """A value: its formula, or its numbers, rounded."""
        typed = value.formula or f"{value.source}, one number for each size"
        described = (
            value.name,
            value.label,
            UNITS[value.kind],
            value.kind,
            _rounding_words(value.rounding, line.step),
            typed,
        )
        if blank:
            return described, self._same(NULL)
        if value.formula is not None:
            text = self._translated(value.name, value.formula)
            return described, self._same(self._rounded(text, value.rounding, line.step))
        return described, [self._entry(entry, value.rounding, line.step) for entry in value.entries or ()]

    def _entry(self, entry: float | None, rounding: Rounding | None, step: WorkableStep | None) -> Cell:
        """One number of a list or of steps: as it is, or rounded."""
        if entry is None:
            return Live(NULL)
        if step is None:
            return entry
        return Live(self._rounded(formula_number(entry), rounding, step))

    def _rounded(self, text: str, rounding: Rounding | None, step: WorkableStep | None) -> str:
        """A formula with its rounding; that of a fabric looks at the fabric's cells."""
        if step is None:
            return text
        if rounding is None or rounding.fabric is None:
            return rounded(text, step)
        cells = (self.places[f"{rounding.fabric}.multiple"], self.places[f"{rounding.fabric}.plus"])
        return rounded(text, step, cells)

    def _translated(self, name: str, formula: str) -> str:
        """A formula as typed, with the places of its names."""
        return LiveFormula(self.places, partial(self._keep, name)).text(parse_formula(formula).tree)

    def _keep(self, name: str, text: str) -> str:
        """Put a part of a line in a row of its own and return its place."""
        row = self.workings.add(self._row((name, "Part of this line", "", "", "", ""), self._same(text)))
        return f"[Workings.{row}]"

    def _pick_up(
        self, pick_up: PickUpEntry, *, line: Line, blank: bool
    ) -> tuple[tuple[str, str, str, str, str, str], list[Cell]]:
        """The stitches of a pick-up."""
        step = line.step or WHOLE
        typed = f"{pick_up.count}: {pick_up.stitches} per {pick_up.per}"
        words = _rounding_words(pick_up.rounding, step)
        described = (pick_up.name, "Stitches picked up", "stitches", "stitches", words, typed)
        if blank:
            return described, self._same(NULL)
        text = f"{self._cell(pick_up.count)}*{pick_up.stitches}/{pick_up.per}"
        return described, self._same(self._rounded(text, pick_up.rounding, step))

    def _curve(
        self, curve: CurveEntry, *, line: Line, blank: bool
    ) -> tuple[tuple[str, str, str, str, str, str], list[Cell]]:
        """The length of a curve's smooth edge."""
        typed = f"{curve.shape}: {curve.width} stitches, {curve.depth} steps of {curve.every} rows"
        described = (line.name, "Length of the smooth edge", "mm", "length", "", typed)
        if blank:
            return described, self._same(NULL)
        width, depth = self._cell(curve.width), self._cell(curve.depth)
        stitches, rows = (self.places[f"{curve.fabric}.{part}"] for part in ("stitches", "rows"))
        across, down = f"{width}/{stitches}", f"{depth}*{curve.every}/{rows}"
        edge = straight_edge if curve.shape == STRAIGHT else quarter_ellipse
        length = edge(across, down, partial(self._keep, line.name))
        sound = f"AND({stitches}>0;{rows}>0;{width}>=0;{depth}>=0)"
        return described, self._same(f"IF({sound};{length};{NULL})")

    def _cell(self, entry: CountOrName) -> str:
        """The place of a name, or a number."""
        return self.places[entry] if isinstance(entry, str) else formula_number(entry)

    def _add_checks(self) -> None:
        """Checks: true or false for each size."""
        for check in self.pattern.checks:
            described = (check.name, check.says, "", f"check ({check.weight})", "", check.holds)
            self.checks.add(self._row(described, self._same(self._check_text(check.name, check.holds))))

    def _check_text(self, name: str, holds: str) -> str:
        """The formula of a check; nothing is known of one that cannot be read."""
        where = f"checks.{name}"
        stops = any(one.where == where and one.weight == "stop" for one in self.graded.findings)
        is_unknown = all(result is None for result in self.graded.checks[name])
        try:
            return NULL if stops and is_unknown else self._translated(name, holds)
        except (FormulaError, KeyError):
            return NULL


def _blank_lines(made: Calculation) -> set[int]:
    """The lines that cannot be worked out, because of a mistake in them or in what they hang on."""
    return set(range(len(made.program.lines))) - set(made.program.order)


def _rounding_words(rounding: Rounding | None, step: WorkableStep | None) -> str:
    """How a line is rounded, in words."""
    if step is None:
        return ""
    if rounding is not None and rounding.fabric is not None:
        return f"{step.to}, by fabric {rounding.fabric}"
    return f"{step.to}, multiple of {step.multiple:g} plus {step.plus:g}"


def _about(pattern: PatternFile) -> list[str]:
    """What a reader of the workbook must know."""
    return [
        f"Craft: {pattern.craft}.",
        "The sheet of this pattern with live formulas: one row per line, one column per size.",
        "Lengths are in mm, weights in g, lengths of yarn in m, gauges per mm; the column Unit says which.",
        "Change a number on Body or Fabrics and everything that uses it is worked out again.",
        "#N/A means that a number is not known; whatever needs it is not known either.",
        "Rounding ignores 0.000000001 of a multiple, comparisons 0.000000001 of the larger number.",
        "Workings has the parts of long formulas, and the steps by which the length of a curve is found.",
    ]
