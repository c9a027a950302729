"""The tester's own pages: what they make, their test copy, done, giving the place back."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import PrefixNode
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.rendering import make_test_copy
from catalogue.photos.intake import MEDIA_TYPES
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.requests import form_page
from catalogue.studio.roles import is_studio, signed_in_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import SignedInRequest, own_place_or_404, picture_or_404, sent
from testing.access.selectors import own_placements, photos_for
from testing.asked.figures import placement_figures
from testing.calls.calendar_files import calendar_text
from testing.calls.glances import dropout_glance
from testing.calls.schedule import finish_day
from testing.places.dropouts import withdraw_place
from testing.places.places import ask_for_time
from testing.results.garments import calendar_days, garment_of, working_version
from testing.results.making_forms import AskForTimeForm
from testing.results.progress import tester_progress
from testing.results.results import finish_result, take_version


@require_safe
@signed_in_required
def my_making(request: SignedInRequest) -> HttpResponse:
    """Everything that a tester makes."""
    today = timezone.localdate()
    garments = [garment_of(placement, today) for placement in own_placements(request.user)]
    return render(request, "testing/my_making.html", {"garments": garments})


@require_safe
def making_worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps a tester's questions readable without a connection; the same for everybody."""
    page = {"static": PrefixNode.handle_simple("STATIC_URL")}
    return render(request, "testing/worker.js", page, content_type="text/javascript; charset=utf-8")


@require_safe
@signed_in_required
def making(request: SignedInRequest, pk: int) -> HttpResponse:
    """One garment: test copy, what was sent, the next question."""
    return _making_page(request, pk)


@require_safe
@signed_in_required
def making_copy(request: SignedInRequest, pk: int) -> HttpResponse:
    """The tester's own test copy: their size, their name on each page."""
    placement = own_place_or_404(request, pk)
    version = working_version(placement)
    if version is None:
        raise Http404
    try:
        content = make_test_copy(version=version, size=placement.size, name=placement.application.name)
    except EditionFailed as failure:
        return render(request, "testing/no_copy.html", {"placement": placement, "says": failure}, status=503)
    answer = HttpResponse(content, content_type="application/pdf")
    file_name = slugify(f"{placement.call.pattern.title} {version.number} {placement.size} test copy")
    answer["Content-Disposition"] = f'attachment; filename="{file_name}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_POST
@signed_in_required
def making_version(request: SignedInRequest, pk: int) -> HttpResponse:
    """Work from the newer version from now on."""
    number = request.POST.get("number", "")
    if not take_version(placement=own_place_or_404(request, pk), number=number):
        messages.warning(request, "Another test version came out meanwhile: look what changed, then choose.")
    return redirect("making", pk=pk)


@require_POST
@signed_in_required
def making_done(request: SignedInRequest, pk: int) -> HttpResponse:
    """The tester is done."""
    finish_result(placement=own_place_or_404(request, pk))
    return redirect("making_thanks", pk=pk)


@require_safe
@signed_in_required
def making_thanks(request: SignedInRequest, pk: int) -> HttpResponse:
    """Thanks, and what is still missing."""
    placement = own_place_or_404(request, pk)
    progress = tester_progress(placement, placement_figures(placement))
    page = {"placement": placement, "call": placement.call, "progress": progress}
    return render(request, "testing/making_thanks.html", page)


@require_POST
@signed_in_required
def making_withdraw(request: SignedInRequest, pk: int) -> HttpResponse:
    """Give the place back."""
    placement = get_object_or_404(own_placements(request.user), pk=pk)
    try:
        withdraw_place(placement=placement, seen=sent_glance(request))
    except Moved as moved:
        return _making_page(request, pk, moved.entries)
    return redirect("my_making")


@require_safe
@signed_in_required
def result_photo(request: SignedInRequest, pk: int, width: int, form: str) -> FileResponse:
    """A tester's picture, for themselves and the studio alone."""
    photo = get_object_or_404(photos_for(request.user, is_studio=is_studio(request.user)), pk=pk)
    for one in photo.files:
        if one["width_px"] == width and one["format"] == form:
            answer = FileResponse(picture_or_404(one["name"]), content_type=MEDIA_TYPES[form])
            answer["Cache-Control"] = "private, no-store"
            return answer
    raise Http404


@require_safe
@signed_in_required
def making_calendar(request: SignedInRequest, pk: int) -> HttpResponse:
    """The dates as a calendar file."""
    placement = get_object_or_404(own_placements(request.user), pk=pk)
    text = calendar_text(calendar_days(placement), made_at=timezone.now())
    answer = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="dates.ics"'
    return answer


@form_page
@signed_in_required
def making_time(request: SignedInRequest, pk: int) -> HttpResponse:
    """Ask for more time."""
    placement = get_object_or_404(own_placements(request.user), pk=pk)
    form = AskForTimeForm(sent(request), action=request.path, after=finish_day(placement))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        ask_for_time(placement=placement, until=given["until"], because=given["because"])
        return redirect("making", pk=pk)
    page = {"placement": placement, "form": form, "finish_by": finish_day(placement)}
    return render(request, "testing/ask_time.html", page)


def _making_page(request: SignedInRequest, pk: int, moved: Sequence[EntryChange] = ()) -> HttpResponse:
    """One garment with what its buttons carry of what is seen."""
    placement = get_object_or_404(own_placements(request.user), pk=pk)
    page = {
        "placement": placement,
        "call": placement.call,
        "garment": garment_of(placement, timezone.localdate()),
        "seen": written_glance(dropout_glance(placement)),
        "moved": moved,
    }
    return render(request, "testing/making.html", page, status=409 if moved else 200)
