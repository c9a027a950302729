"""Results files: a pattern and what its testers sent in, or one sentence that says why not; pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from grading.core.formula.dimensions import COUNT_KINDS, LENGTH, WEIGHT, YARN, Dimension
from grading.core.formula.errors import FormulaError, PatternFileError
from grading.core.formula.literals import parse_literal
from grading.core.grade.grade import Graded, grade
from grading.core.pattern.file import read_json, read_pattern
from grading.core.pattern.pattern import OVER_MM, PatternFile
from grading.core.pattern.schema import require_file_fit
from testing.asked.expected import Ground
from testing.asked.swaps import swapped_digits
from testing.assessment.gathering import AssessedMeasurement, SentGarment
from testing.assessment.yarn import YarnUse

SCHEMA_PATH = Path(__file__).with_name("results.schema.json")


@dataclass(frozen=True)
class SentResults:
    """A results file, read: the graded pattern, garments and yarn in the order of the file."""

    graded: Graded
    garments: tuple[SentGarment, ...]
    uses: tuple[YarnUse, ...]

    @property
    def ground(self) -> Ground:
        """The frozen counts and the pattern's own gauge."""
        return ground_of(self.graded)

    @property
    def lines(self) -> tuple[AssessedMeasurement, ...]:
        """The finished measurements."""
        return assessed_measurements(self.graded.pattern)


def ground_of(graded: Graded) -> Ground:
    """The frozen counts and the pattern's own gauge."""
    counts = {name: of.worked for name, of in graded.values.items() if of.kind in COUNT_KINDS}
    gauge = {
        fabric.name: {"stitches": fabric.stitches_per_mm, "rows": fabric.rows_per_mm}
        for fabric in graded.pattern.fabrics
    }
    return Ground(graded.pattern, gauge, {**counts, **graded.pick_ups})


def assessed_measurements(pattern: PatternFile) -> tuple[AssessedMeasurement, ...]:
    """The finished measurements that a tape is laid along."""
    return tuple(
        AssessedMeasurement(
            value.name, value.label or value.name, value.measured.tolerance, value.measured.around
        )
        for value in pattern.values
        if value.measured is not None and value.kind == "length"
    )


def read_results(text: str) -> SentResults:
    """Read a results file; PatternFileError where it does not fit."""
    typed = read_json(text)
    require_file_fit(typed, SCHEMA_PATH)
    try:
        pattern = read_pattern(typed["pattern"])
    except PatternFileError as error:
        raise PatternFileError(f"$.pattern{error.path.removeprefix('$')}", error.reason) from None
    results = typed["results"]
    _require_distinct_makers(results)
    graded = grade(pattern)
    read = [_Result(graded, result, f"$.results[{place}]") for place, result in enumerate(results)]
    return SentResults(graded, tuple(one.garment() for one in read), tuple(one.yarn_use() for one in read))


def _require_distinct_makers(results: Sequence[Mapping[str, Any]]) -> None:
    """Refuse a name that stands twice: the answer goes by it."""
    seen: set[str] = set()
    for place, result in enumerate(results):
        if result["maker"] in seen:
            shown = result["maker"][:60]
            raise PatternFileError(
                f"$.results[{place}].maker", f"“{shown}” has sent two results; name them apart."
            )
        seen.add(result["maker"])


class _Result:
    """One result of the file, its names held against the pattern."""

    def __init__(self, graded: Graded, typed: Mapping[str, Any], path: str) -> None:
        self.pattern, self.typed, self.path = graded.pattern, typed, path
        self.measured = {line.name for line in assessed_measurements(self.pattern)}
        self.counts = {name for name, of in graded.values.items() if of.kind in COUNT_KINDS} | set(
            graded.pick_ups
        )
        self.colours = {yarn.colour for yarn in self.pattern.yarns}
        self.size = self._size()
        self.gauge = self._gauges("gauge")
        self.options = self._options()

    def garment(self) -> SentGarment:
        """What was made and measured."""
        lengths = self._quantities("measured", self.measured, "finished measurement", LENGTH)
        return SentGarment(
            maker=self.typed["maker"],
            size=self.size,
            gauge=self.gauge,
            lengths_mm=lengths,
            garment_gauge=self._gauges("garment_gauge"),
            worked=self._known("worked", self.counts, "count"),
            altered=self._altered(),
            swapped={name: _swapped_mm(self.typed["measured"][name]) for name in lengths},
        )

    def yarn_use(self) -> YarnUse:
        """What it took."""
        lengths = self._quantities("length_per_100g", self.colours, "colour of yarn", YARN, LENGTH)
        return YarnUse(
            size=self.size,
            grams=self._quantities("yarn", self.colours, "colour of yarn", WEIGHT),
            gauge=self.gauge,
            length_per_100g_m=lengths,
            options=self.options,
        )

    def _size(self) -> int:
        """The place of the size made."""
        if self.typed["size"] not in self.pattern.sizes:
            self._refuse("size", f"“{self.typed['size']}” is not a size of the pattern.")
        return self.pattern.sizes.index(self.typed["size"])

    def _gauges(self, key: str) -> dict[str, dict[str, float]]:
        """Gauges by fabric, per mm."""
        fabrics = {fabric.name for fabric in self.pattern.fabrics}
        return {
            fabric: {part: count / OVER_MM[typed["over"]] for part, count in typed.items() if part != "over"}
            for fabric, typed in self._known(key, fabrics, "fabric").items()
        }

    def _options(self) -> dict[str, str]:
        """The choices made."""
        choices = self.pattern.option_choices()
        made = self._known("options", set(choices), "option")
        for name, choice in made.items():
            if choice not in choices[name]:
                self._refuse(f"options.{name}", f"“{choice}” is not a choice of “{name}”.")
        return made

    def _altered(self) -> frozenset[str]:
        """Measurements altered on purpose."""
        for place, name in enumerate(self.typed.get("altered", ())):
            if name not in self.measured:
                self._refuse(f"altered[{place}]", f"“{name}” is not a finished measurement of the pattern.")
        return frozenset(self.typed.get("altered", ()))

    def _known(self, key: str, names: set[str], noun: str) -> dict[str, Any]:
        """An object of the result whose keys are all known to the pattern."""
        found = dict(self.typed.get(key, {}))
        for name in found:
            if name not in names:
                self._refuse(f"{key}.{name[:60]}", f"“{name[:60]}” is no {noun} of the pattern.")
        return found

    def _quantities(self, key: str, names: set[str], noun: str, *wanted: Dimension) -> dict[str, float]:
        """Amounts above 0 by name; a length that stands for yarn is in metres."""
        found = {}
        for name, text in self._known(key, names, noun).items():
            try:
                amount, dimension = parse_literal(text)
            except FormulaError as error:
                self._refuse(f"{key}.{name}", error.says)
            if dimension not in wanted or amount <= 0:
                self._refuse(
                    f"{key}.{name}",
                    f"“{text}” is not an amount above 0 in a unit that fits, such as {_EXAMPLES[key]}.",
                )
            found[name] = amount / 1000 if wanted[0] == YARN and dimension == LENGTH else amount
        return found

    def _refuse(self, key: str, reason: str) -> NoReturn:
        """Say what does not fit, and where."""
        raise PatternFileError(f"{self.path}.{key}", reason)


_EXAMPLES = {"measured": "“101.5 cm”", "yarn": "“312 g”", "length_per_100g": "“230 m”"}


def _swapped_mm(text: str) -> tuple[float, ...]:
    """What an entry would be with two digits swapped, in mm."""
    return tuple(parse_literal(other).number for other in swapped_digits(text))
