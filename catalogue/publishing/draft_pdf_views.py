"""The PDF of a draft at once, to be read through: no version, nothing is kept."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalogue.drafts.drafts import open_pattern
from catalogue.editions.choices import group_names, home_choices
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.rendering import render_edition
from catalogue.models import Pattern
from catalogue.models.edition_choices import Choices
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.roles import studio_required
from catalogue.versions.freezing import NO_VERSION, Heading, draft_record
from catalogue.versions.records import canonical
from grading.grid.finding_groups import finding_groups

NOTE = "A draft to read through: do not test or make from it."
COPY_FOR = "the studio"


@studio_required
@require_safe
def draft_pdf(request: HttpRequest, slug: str) -> HttpResponse:
    """The draft as its PDF in the pattern's own units and terms, of all sizes, a group or one.

    Where it can't be made, the reason is said.
    """
    pattern = open_pattern(request.user, slug)
    try:
        content = make_draft_pdf(pattern, request.GET.get("size") or "all", request.GET.get("group", ""))
    except (EditionFailed, FilesOutOfReach) as problem:
        messages.error(request, f"There is no PDF of this draft yet: {problem}")
        return redirect("desk_pattern", slug)
    headers = {"Content-Disposition": f'inline; filename="{slug}-draft.pdf"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


def make_draft_pdf(pattern: Pattern, size: str = "all", group: str = "") -> bytes:
    """The PDF of a draft as it stands, of all sizes, of a group of them by its name, or of one.

    Raises:
        EditionFailed: A number of it is not right yet, or it can't be set.
    """
    heading = Heading(NO_VERSION, "test", NOTE, timezone.now().replace(microsecond=0))
    record = draft_record(pattern, heading)
    groups = finding_groups(record["pattern"], record["results"]["findings"])
    stops = [group.place for group in groups if group.weight == "stop"]
    if stops:
        more = f" and {len(stops) - 1} more" if len(stops) > 1 else ""
        raise EditionFailed(f"a Stop at {stops[0]}{more}. Correct what is listed first below.")
    if size not in ("all", *record["results"]["sizes"]):
        raise EditionFailed(f"there is no size “{size}”. Choose one in the list.")
    if group and group not in group_names(record):
        raise EditionFailed(f"there is no group of sizes “{group}”. Choose one in the list.")
    of_group: Choices = {"group": group} if group and size == "all" else {}
    choices: Choices = {**home_choices(record), "sizes": size, **of_group}
    return render_edition(record=canonical(record), choices=choices, copy_for=COPY_FOR).content
