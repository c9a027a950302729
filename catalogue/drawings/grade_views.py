"""The grade to look at: charts of finished measurements over sizes, and the trail of one number."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.drafts import open_draft
from catalogue.drawings.line_charts import line_chart
from catalogue.drawings.trail_pictures import trail_picture
from catalogue.studio.roles import studio_required
from grading.core.pattern.parts import label_of
from grading.grid.grade_lines import GradeLine, Numbers, grade_lines
from grading.grid.grid import findings_by_entry
from grading.grid.shown_numbers import figure, in_units
from grading.grid.trails import trail_map
from grading.sheets.documents import entries_of


@studio_required
@require_safe
def see_grade(request: HttpRequest, slug: str) -> HttpResponse:
    """Each finished measurement beside the body, its steps, and what rounding did, in charts and numbers."""
    draft = open_draft(request.user, slug)
    units, sizes = str(getattr(request.user, "units", "cm")), draft.document["sizes"]
    found = findings_by_entry(draft.graded["findings"])
    lines = [
        {
            "of": line,
            "charts": charts_of(line, sizes, units),
            "rows": rows_of(line, sizes, units),
            "findings": found.get(f"values.{line.name}", []),
        }
        for line in grade_lines(draft.document, draft.graded)
    ]
    context = {"pattern": draft.pattern, "tab": "sheet", "units": units, "lines": lines}
    return render(request, "catalogue/grade/grade.html", context)


def charts_of(line: GradeLine, sizes: list[str], units: str) -> list[Any]:
    """The charts of one finished measurement; one without a number is left out."""

    def shown(numbers: Numbers) -> list[float | None]:
        return [None if one is None else in_units(one, "length", units) for one in numbers]

    body = [("body", line.body_label, shown(line.body))] if line.body_label else []
    steps = [("body", line.body_label, shown(line.body_steps))] if line.body_label else []
    tolerance = None if line.tolerance_mm is None else in_units(line.tolerance_mm, "length", units)
    charts = [
        line_chart(
            f"Finished{' and body' if body else ''}, {units}",
            sizes,
            [("finished", line.label, shown(line.finished)), *body],  # type: ignore[list-item]
            unit=units,
        ),
        line_chart(
            f"Step from the size before, {units}",
            sizes,
            [("finished", line.label, shown(line.steps)), *steps],  # type: ignore[list-item]
            unit=units,
        ),
        line_chart(
            f"What rounding did, {units}",
            sizes,
            [("finished", "Rounding", shown(line.rounding))],
            unit=units,
            around=tolerance,
        ),
    ]
    return [chart for chart in charts if chart]


def rows_of(line: GradeLine, sizes: list[str], units: str) -> list[tuple[str, list[str]]]:
    """The numbers of the charts, size by size."""
    columns = [line.body, line.finished, line.ease] if line.body_label else [line.finished]
    columns += [line.steps, *([line.body_steps] if line.body_label else []), line.rounding]
    return [
        (size, [figure(column[place], "length", units) for column in columns])
        for place, size in enumerate(sizes)
    ]


@studio_required
@require_safe
def value_trail(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Where a number comes from down to the body, and all that is made of it, in one chosen size."""
    draft = open_draft(request.user, slug)
    draft.place_of("values", name)
    sizes = draft.document["sizes"]
    size = request.GET.get("size", "")
    place = sizes.index(size) if size in sizes else len(sizes) // 2
    trails = trail_map(draft.document, draft.graded, place, str(getattr(request.user, "units", "cm")))
    sources, users = trails.sources_of(("values", name)), trails.users_of(("values", name))
    context = {
        "pattern": draft.pattern,
        "tab": "sheet",
        "name": name,
        "title": label_of(dict(entries_of(draft.document, "values"))[name]),
        "sizes": sizes,
        "size": sizes[place],
        "sources": sources,
        "users": users,
        "picture": trail_picture(sources, users),
    }
    return render(request, "catalogue/grade/trail.html", context)
