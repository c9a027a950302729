"""How the sizes of a table serve a set of bodies that somebody brings; nothing of it is stored."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from catalogue.drafts.patterns import graded, patterns_for
from catalogue.sheets.table_views import table_or_404
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required
from grading.core.grade.grade import Graded
from grading.core.sizes.coverage import Coverage, Share, cover, in_ranges
from grading.core.sizes.tables import Rule, SizeTable, gaps, numbers_mm
from grading.sizes.coverage_forms import CoverageForm
from grading.sizes.garment_fits import with_garment


@studio_required
@form_page
def coverage(request: HttpRequest, key: str) -> HttpResponse:
    """The form, and below it what came out."""
    table = table_or_404(key)
    garments = list(patterns_for(request.user).order_by("title").values_list("slug", "title"))
    form = CoverageForm(request.POST or None, request.FILES or None, table=table, garments=garments)
    is_read = form.is_bound and form.is_valid()
    context: dict[str, Any] = {"pattern": None, "key": key, "table": table, "form": form, "result": None}
    context["action"] = reverse("coverage", args=[key])
    if is_read:
        garment = patterns_for(request.user).filter(slug=form.cleaned_data["garment"]).first()
        context["result"] = _result(form, graded(garment) if garment else None)
        form.looked_at()
    status = 400 if form.is_bound and not is_read else 200
    return render(request, "catalogue/size_tables/coverage.html", context, status=status)


def _result(form: CoverageForm, garment: Graded | None) -> dict[str, Any]:
    """What the page prints."""
    table, bodies = form.table, form.bodies.bodies_mm
    rule: Rule = form.cleaned_data["rule"]
    sizes = {one.name: numbers_mm(table, one, rule) for one in table.measurements}
    fits = form.fits() if garment is None else with_garment(form.fits(), table, garment)
    found = cover(sizes, bodies, fits, form.cleaned_data["choose_by"])
    labels = {one.name: one.label for one in table.measurements}
    return {
        "bodies": len(found.nearest),
        "unmeasured": found.unmeasured,
        "jointly": _share(found.jointly),
        "by_measurement": [(labels[name], _share(share)) for name, share in found.by_measurement.items()],
        "by_size": [
            (size, share.known, _share(share)) for size, share in zip(table.sizes, found.by_size, strict=True)
        ],
        "reasons": _reasons(found, labels),
        "ranges": _ranges(table, bodies),
        "notes": form.bodies.notes,
    }


def _share(share: Share) -> str:
    """A share in words."""
    if share.percent is None:
        return "nobody"
    return f"{share.served} of {share.known} ({share.percent:.1f} %)"


def _reasons(found: Coverage, labels: dict[str, str]) -> list[tuple[str, str, int]]:
    """Why bodies are not served, most frequent first."""
    counted = sorted(found.reasons.items(), key=lambda item: -item[1])
    return [(labels[name], reason, number) for (name, reason), number in counted]


def _ranges(table: SizeTable, bodies: dict[str, list[float | None]]) -> list[dict[str, Any]]:
    """How many bodies each range holds, and how many fall into none, where there are ranges."""
    return [
        {
            "label": one.label,
            "gaps": gaps(table, one),
            "inside": list(zip(table.sizes, counts[:-1], strict=True)),
            "outside": counts[-1],
            "known": sum(counts),
        }
        for one in table.measurements
        if one.name in bodies
        and any(isinstance(entry, tuple) for entry in one.entries)
        and (counts := in_ranges(table, one, bodies[one.name]))
    ]
