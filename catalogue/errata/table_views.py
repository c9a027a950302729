"""The studio's table of errata by version, and the same as a file."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.errata.tables import STATES, WHERE, errata_file, errata_rows
from catalogue.models import Erratum, Notice, Pattern, Version
from catalogue.studio.roles import may_publish, studio_required

FILTERS = ("state", "gravity", "where", "version")


@require_safe
@studio_required
def errata(request: HttpRequest, slug: str) -> HttpResponse:
    """Errata by version, overdue ones first, with one line of filters."""
    pattern = pattern_or_404(request, slug)
    versions, asked = _versions(pattern), {name: request.GET.get(name, "")[:40] for name in FILTERS}
    page = {
        "pattern": pattern,
        "tab": "versions",
        "versions": versions,
        "asked": asked,
        "rows": errata_rows(pattern, versions, asked),
        "any": pattern.errata.exists(),
        "notices": Notice.objects.filter(version__pattern=pattern).select_related("version").order_by("-pk"),
        "may_publish": may_publish(request.user),
        "states": STATES,
        "gravities": Erratum.GRAVITIES,
        "places": WHERE,
    }
    return render(request, "catalogue/errata/errata.html", page)


@require_safe
@studio_required
def errata_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """The whole table as a file."""
    pattern = pattern_or_404(request, slug)
    answer = HttpResponse(errata_file(pattern, _versions(pattern)), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{pattern.slug}-errata.csv"'
    return answer


def _versions(pattern: Pattern) -> list[Version]:
    """The published versions, the newest last."""
    return list(pattern.versions.filter(state="published").order_by("major", "minor").defer("record"))
