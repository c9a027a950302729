"""The edition of one maker: their size, options and shades, of the current release."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from catalogue.editions.choices import home_choices
from catalogue.editions.chosen import options_text, shades_text
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.rendering import render_edition
from catalogue.models import Version
from catalogue.models.edition_choices import Choices
from catalogue.public.buying import AskedToBuy, read_asked
from catalogue.public.views import asked_print, asked_units, current_or_404
from catalogue.studio.limits import count
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record, read_record
from catalogue.versions.versions import may_pick_edition
from grading.core.pattern.wordings import FIRST_WORDING

TOO_MANY = "You have just asked for many PDFs: wait a few minutes, then ask again."


@require_safe
def your_size(request: HttpRequest, slug: str) -> HttpResponse:
    """The current release as a PDF for one size, one choice of each option, and the maker's own shades.

    It is made of the frozen record when it is asked for, and not kept: the same choices give the same bytes.
    """
    pattern, current = current_or_404(slug)
    if not may_pick_edition(request.user, pattern):
        raise Http404
    back = f"{reverse('needs', args=[slug])}?{request.GET.urlencode()}"
    if not count(request, "editions_of_client"):
        return not_made(request, back, TOO_MANY, 429)
    return size_file(request, current, back)


def size_file(request: HttpRequest, version: Version, back: str) -> HttpResponse:
    """A version as a PDF for one size, as the address asks for it; or why not, with the way back."""
    record = read_record(version.record)
    asked = read_asked(record, record_pattern(record), request.GET)
    choices = _choices(request, record, asked)
    try:
        content = render_edition(record=version.record, choices=choices).content
    except (EditionFailed, FilesOutOfReach) as problem:
        return not_made(request, back, str(problem), 503)
    answer = HttpResponse(content, content_type="application/pdf")
    name = f"{record['slug']}-{version.number}-size-{slugify(asked.size) or '1'}"
    answer["Content-Disposition"] = f'attachment; filename="{name}.pdf"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, no-store"
    return answer


def not_made(request: HttpRequest, back: str, says: str, status: int) -> HttpResponse:
    """Why there is no PDF, with the way back to what was chosen."""
    page = {"says": says, "back": back}
    return render(request, "catalogue/public/no_edition.html", page, status=status)


def _choices(request: HttpRequest, record: Record, asked: AskedToBuy) -> Choices:
    """The edition that was asked for; what is not said, or is not there, is as at home."""
    picked = {**asked_print(request, record), "units": asked_units(request, record), "sizes": asked.size}
    choices = {**home_choices(record), **picked}
    if record.get("wording", FIRST_WORDING) == FIRST_WORDING:
        return choices
    own = {
        colour: srgb
        for colour, srgb in asked.shades.items()
        if srgb != record["shades"].get(colour, {}).get("srgb", "").lower()
    }
    return {**choices, "options": options_text(asked.options), "shades": shades_text(own)}
