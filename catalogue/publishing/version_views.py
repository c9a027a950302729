"""Versions and errata of a pattern: the list, one version, its files."""

from collections.abc import Sequence

from django.db.models import Prefetch
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.drafts.standing import drafted_notices, is_stopped
from catalogue.errata.errata import errata_of_version
from catalogue.errata.tables import errata_rows
from catalogue.holders.notice_names import left_to_tell, named_notices, notices_sent
from catalogue.models import Edition, Version
from catalogue.public.correction_views import asked_size
from catalogue.publishing.views import publication_progress, version_or_404
from catalogue.studio.roles import may_publish, studio_required
from catalogue.versions.changes import differences, record_differences
from catalogue.versions.freezing import NO_VERSION, Heading, standing_record
from catalogue.versions.printed_changes import number_rows
from catalogue.versions.records import canonical, frozen_record, read_record
from catalogue.versions.step_changes import changed_steps, facts_of_record, version_steps
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
        "compared_with": next(iter([*_releases(published[::-1]), *published]), None),
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
    waiting = shown.notices.filter(state="draft").select_related("version__pattern")
    drafts = named_notices(list(waiting)) if may_publish(request.user) else []
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
        "drafts": [(one, left_to_tell(one)) for one in drafts],
        "told": named_notices(list(notices_sent(shown))),
    }
    return render(request, "catalogue/versions/version.html", page)


@require_safe
@studio_required
def draft_compared(request: HttpRequest, slug: str) -> HttpResponse:
    """The draft as it stands, beside a published version: the last release, or the one asked for."""
    pattern = pattern_or_404(request, slug)
    published = list(pattern.versions.filter(state="published"))
    asked = [one for one in published if one.number == request.GET.get("since")]
    since = next(iter(asked or _releases(published) or published[::-1]), None)
    if since is None:
        raise Http404
    old = frozen_record(since.record)
    draft = read_record(canonical(standing_record(pattern, _draft_heading())))
    changes, size = record_differences(old, draft), asked_size(request, draft)
    units = getattr(request.user, "units", "cm")
    balls = ball_weights(old), ball_weights(draft)
    facts = facts_of_record(old), facts_of_record(draft)
    steps = list(changed_steps(facts[0], facts[1], units, size)) if size and changes else []
    page = {
        "pattern": pattern,
        "tab": TAB,
        "earlier": published,
        "since": since,
        "changes": changes,
        "size": size,
        "sizes": draft["results"]["sizes"],
        "steps": steps,
        "number_rows": number_rows(changes.of_size(size), units, balls=balls),
    }
    return render(request, "catalogue/versions/draft.html", page)


def _releases(published: Sequence[Version]) -> list[Version]:
    """Those that are releases, the newest first."""
    return [one for one in published if one.kind == "release"][::-1]


def _draft_heading() -> Heading:
    """What a draft is called that is only looked at."""
    return Heading(NO_VERSION, "test", "", timezone.now())


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
