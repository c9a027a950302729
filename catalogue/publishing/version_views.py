"""Versions and errata of a pattern: the list, one version, its files."""

from collections.abc import Sequence

from django.db.models import Prefetch
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.drafts.standing import drafted_notices, is_stopped
from catalogue.errata.errata import errata_of_version
from catalogue.errata.tables import errata_rows
from catalogue.holders.notice_names import notices_sent
from catalogue.models import Edition, Version
from catalogue.public.correction_views import asked_size
from catalogue.publishing.views import publication_progress, version_or_404
from catalogue.studio.roles import may_publish, studio_required
from catalogue.versions.changes import differences
from catalogue.versions.printed_changes import number_rows
from catalogue.versions.records import frozen_record, read_record
from catalogue.versions.step_changes import version_steps
from catalogue.versions.versions import editions_for, version_of_number
from catalogue.versions.yarn_numbers import ball_weights

TAB = "versions"


@require_safe
@studio_required
def versions(request: HttpRequest, slug: str) -> HttpResponse:
    """All versions and errata of a pattern."""
    pattern = pattern_or_404(request, slug)
    made = Prefetch("editions", queryset=Edition.objects.filter(state="made"))
    known = list(pattern.versions.order_by("-major", "-minor").prefetch_related(made))
    published = [one for one in known if one.state == "published"]
    page = {
        "pattern": pattern,
        "tab": TAB,
        "versions": known,
        "published": published[::-1],
        "may_publish": may_publish(request.user),
        "is_stopped": may_publish(request.user) and is_stopped(pattern),
        "errata": errata_rows(pattern, published[::-1]),
        "is_released": any(one.kind == "release" for one in published),
        "has_charts": _has_charts(published),
        "photo_count": pattern.photos.count(),
        "notices": drafted_notices([pattern]).get(pattern.pk, []) if may_publish(request.user) else [],
    }
    return render(request, "catalogue/versions/versions.html", page)


def _has_charts(published: Sequence[Version]) -> bool:
    """Whether the newest release has stitch patterns."""
    release = next((one for one in published if one.kind == "release"), None)
    return bool(release and frozen_record(release.record)["pattern"].get("stitch_patterns"))


@require_safe
@studio_required
def version(request: HttpRequest, slug: str, number: str) -> HttpResponse:
    """One version: facts, hash, files, what changed since an earlier one."""
    pattern = pattern_or_404(request, slug)
    shown = version_or_404(pattern, number)
    published = pattern.versions.filter(state="published")
    earlier = [one for one in published if one.order < shown.order]
    since = version_of_number(pattern, request.GET.get("since", "")) or (earlier[-1] if earlier else None)
    changes = differences(since, shown) if since and since in earlier else None
    record = frozen_record(shown.record)
    size = asked_size(request, record)
    units = getattr(request.user, "units", "cm")
    steps = version_steps(since.record, shown.record, units, size) if size and changes and since else []
    balls = ball_weights(frozen_record(since.record) if since else record), ball_weights(record)
    page = {
        "pattern": pattern,
        "tab": TAB,
        "version": shown,
        "record": read_record(shown.record),
        "progress": publication_progress(shown),
        "may_publish": may_publish(request.user),
        "earlier": earlier,
        "since": since,
        "changes": changes,
        "size": size,
        "sizes": record["results"]["sizes"],
        "steps": steps,
        "number_rows": number_rows(changes.of_size(size), units, balls=balls) if changes else [],
        "applying": errata_of_version(shown),
        "notices": shown.notices.filter(state="draft") if may_publish(request.user) else [],
        "told": notices_sent(shown),
    }
    return render(request, "catalogue/versions/version.html", page)


@require_safe
def edition_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The PDF of an edition, for those who may have it."""
    edition = get_object_or_404(editions_for(request.user), pk=pk)
    try:
        content = edition.file.open("rb")
    except FileNotFoundError:
        return render(request, "catalogue/versions/lost_file.html", {"edition": edition}, status=503)
    answer = FileResponse(
        content,
        content_type="application/pdf",
        as_attachment=True,
        filename=_file_name(edition),
    )
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, no-cache"
    return answer


def _file_name(edition: Edition) -> str:
    """The name that a download is offered under; what is as usual is not named."""
    choices, version = edition.choices, edition.version
    usual = {"hand": "right", "sizes": "all", "print": "screen"}
    named = [choices[name] for name in ("hand", "sizes", "print") if choices[name] != usual[name]]
    parts = [choices["terms"], choices["units"], *named, choices["paper"]]
    return f"{version.pattern.slug}-{version.number}-{slugify('-'.join(parts))}.pdf"
