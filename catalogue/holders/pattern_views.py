"""The holders of one pattern: who has which version, and which notices reached them."""

from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.models import Holder, NoticeMail, Pattern
from catalogue.studio.roles import publisher_required
from catalogue.versions.versions import version_of_number

SHOWN = 50
UNKNOWN = "unknown"
TOLD = {"": "all", "yes": "a notice went to them", "no": "no notice yet"}
_HANDED = NoticeMail.objects.filter(holder=OuterRef("pk"), state="handed")


@require_safe
@publisher_required
def pattern_holders(request: HttpRequest, slug: str) -> HttpResponse:
    """Who holds a pattern: by version, and by whether a notice of it went to them."""
    pattern = pattern_or_404(request, slug)
    asked = {name: request.GET.get(name, "")[:40].replace("\x00", "") for name in ("version", "told")}
    listed = Paginator(_asked_for(pattern, asked), SHOWN).get_page(request.GET.get("page"))
    page = {
        "pattern": pattern,
        "tab": "versions",
        "asked": asked,
        "counts": _counts(pattern),
        "told_choices": TOLD,
        "listed": listed,
        "query": urlencode({name: said for name, said in asked.items() if said}),
    }
    return render(request, "catalogue/holders/of_pattern.html", page)


def _counts(pattern: Pattern) -> list[dict[str, Any]]:
    """How many hold each version, and to how many of them a notice went; the newest version first."""
    counted = pattern.holders.annotate(was_told=Exists(_HANDED)).values("version__major", "version__minor")
    counted = counted.annotate(holders=Count("pk"), told=Count("pk", filter=Q(was_told=True)))
    found: list[dict[str, Any]] = [dict(row) for row in counted]
    for row in found:
        major, minor = row["version__major"], row["version__minor"]
        row["number"] = UNKNOWN if major is None else f"{major}.{minor}"
    return sorted(
        found, key=lambda row: (row["version__major"] or -1, row["version__minor"] or 0), reverse=True
    )


def _asked_for(pattern: Pattern, asked: dict[str, str]) -> QuerySet[Holder]:
    """The holders that were asked for, with the notices that went to them, by address."""
    told = NoticeMail.objects.filter(state="handed").select_related("notice__version").order_by("settled_at")
    found = pattern.holders.select_related("version").defer("version__record").order_by("email")
    if asked["version"] == UNKNOWN:
        found = found.filter(version=None)
    elif asked["version"]:
        found = found.filter(version=version_of_number(pattern, asked["version"]) or -1)
    if asked["told"] in ("yes", "no"):
        found = found.filter(Exists(_HANDED) if asked["told"] == "yes" else ~Exists(_HANDED))
    return found.prefetch_related(
        Prefetch("mails", told.defer("notice__version__record"), to_attr="notices_had")
    )
