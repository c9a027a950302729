"""The tester's own pages: what they make, their test copy, done, giving the place back."""

import datetime as dt

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import PrefixNode
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.rendering import make_test_copy
from catalogue.photos.intake import MEDIA_TYPES
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import SignedInRequest, own_place_or_404, picture_or_404, place_or_404, sent
from testing.access.selectors import own_placements, photos_for, result_of
from testing.asked.figures import placement_figures
from testing.calls.calendar_files import calendar_text
from testing.calls.glances import dropout_glance
from testing.calls.schedule import finish_day
from testing.models import Placement
from testing.places.dropouts import RETURN_DAYS, withdraw_place
from testing.places.places import PlaceRefused, ask_for_time
from testing.places.returning import may_return_until, return_to_place, returnable_places
from testing.results.answers import measured_before
from testing.results.garments import calendar_days, garment_of, working_version
from testing.results.making_forms import AskForTimeForm
from testing.results.progress import tester_progress
from testing.results.reading import own_options, own_reading
from testing.results.results import finish_result, reopen_result, take_version


@require_safe
@signed_in_required
def my_making(request: SignedInRequest) -> HttpResponse:
    """Everything that a tester makes."""
    today = timezone.localdate()
    garments = [garment_of(placement, today) for placement in own_placements(request.user)]
    given_back = [(place, may_return_until(place)) for place in returnable_places(request.user)]
    return render(request, "testing/my_making.html", {"garments": garments, "given_back": given_back})


@require_safe
def making_worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps a tester's questions readable without a connection; the same for everybody."""
    page = {"static": PrefixNode.handle_simple("STATIC_URL")}
    return render(request, "testing/worker.js", page, content_type="text/javascript; charset=utf-8")


@require_safe
@signed_in_required
def making(request: SignedInRequest, pk: int) -> HttpResponse:
    """One garment: test copy, what was sent, the next question."""
    placement = place_or_404(request, pk)
    page = {
        "placement": placement,
        "call": placement.call,
        "garment": garment_of(placement, timezone.localdate()),
        "measured": measured_before(placement, request.GET.get("after", "")),
    }
    return render(request, "testing/making.html", page)


@require_safe
@signed_in_required
def making_copy(request: SignedInRequest, pk: int) -> HttpResponse:
    """The tester's own test copy: their size, their name on each page."""
    placement = own_place_or_404(request, pk)
    version = working_version(placement)
    if version is None:
        raise Http404
    try:
        content = make_test_copy(
            version=version,
            size=placement.size,
            name=placement.application.name,
            own=own_options(placement),
        )
    except EditionFailed as failure:
        return render(request, "testing/no_copy.html", {"placement": placement, "says": failure}, status=503)
    answer = HttpResponse(content, content_type="application/pdf")
    file_name = slugify(f"{placement.call.pattern.title} {version.number} {placement.size} test copy")
    answer["Content-Disposition"] = f'attachment; filename="{file_name}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_safe
@signed_in_required
def making_read(request: SignedInRequest, pk: int) -> HttpResponse:
    """The same copy as a page to read on a phone."""
    placement = own_place_or_404(request, pk)
    version = working_version(placement)
    if version is None:
        raise Http404
    reading = {
        **own_reading(placement, version),
        "printed_word": "printed copy",
        "remark_url": reverse("making_remark", args=[placement.pk]),
        "count_url": reverse("making_counted", args=[placement.pk]),
    }
    page = {"placement": placement, "call": placement.call, "version": version, "reading": reading}
    return render(request, "testing/reading.html", page)


@require_POST
@signed_in_required
def making_version(request: SignedInRequest, pk: int) -> HttpResponse:
    """Work from the newer version from now on."""
    number = request.POST.get("number", "")
    if not take_version(placement=own_place_or_404(request, pk), number=number):
        messages.warning(request, "Another test version came out meanwhile: see what changed, then choose.")
    return redirect("making", pk=pk)


@form_page
@signed_in_required
def making_done(request: SignedInRequest, pk: int) -> HttpResponse:
    """The tester is done; what is missing is named first."""
    placement = own_place_or_404(request, pk)
    if request.method == "POST":
        finish_result(placement=placement)
        return redirect("making_thanks", pk=pk)
    progress = tester_progress(placement, placement_figures(placement))
    page = {"placement": placement, "call": placement.call, "progress": progress}
    return render(request, "testing/making_done.html", page)


@require_POST
@signed_in_required
def making_not_done(request: SignedInRequest, pk: int) -> HttpResponse:
    """The tester goes on after all."""
    reopen_result(placement=own_place_or_404(request, pk))
    return redirect("making", pk=pk)


@require_safe
@signed_in_required
def making_thanks(request: SignedInRequest, pk: int) -> HttpResponse:
    """Thanks, and what is still missing."""
    placement = own_place_or_404(request, pk)
    result = result_of(placement)
    if result is None or result.done_at is None:
        return redirect("making", pk=pk)
    progress = tester_progress(placement, placement_figures(placement))
    page = {"placement": placement, "call": placement.call, "progress": progress}
    return render(request, "testing/making_thanks.html", page)


@form_page
@signed_in_required
def making_withdraw(request: SignedInRequest, pk: int) -> HttpResponse:
    """Give the place back, after what goes and what stays was shown."""
    placement, moved = place_or_404(request, pk), list[EntryChange]()
    if request.method == "POST":
        try:
            withdraw_place(placement=placement, seen=sent_glance(request))
        except Moved as other:
            placement, moved = place_or_404(request, pk), other.entries
        else:
            messages.success(request, "Your place is given back. Thank you for saying so.")
            return redirect("my_making")
    result = result_of(placement)
    page = {
        "placement": placement,
        "call": placement.call,
        "result": result,
        "is_past": finish_day(placement) < timezone.localdate(),
        "until": timezone.localdate() + dt.timedelta(days=RETURN_DAYS),
        "finish_by": finish_day(placement),
        "seen": written_glance(dropout_glance(placement)),
        "moved": moved,
    }
    return render(request, "testing/withdraw.html", page, status=409 if moved else 200)


@require_POST
@signed_in_required
def making_return(request: SignedInRequest, pk: int) -> HttpResponse:
    """Take back a place that was given back."""
    placement = get_object_or_404(Placement, person=request.user, accepted_at__isnull=False, pk=pk)
    try:
        return_to_place(placement=placement)
    except PlaceRefused as refused:
        messages.error(request, str(refused))
        return redirect("my_making")
    messages.success(request, "The place is yours again, with everything that you sent.")
    return redirect("making", pk=pk)


@require_safe
@signed_in_required
def result_photo(request: SignedInRequest, pk: int, width: int, form: str) -> FileResponse:
    """A tester's picture, for themselves and the studio alone."""
    photo = get_object_or_404(photos_for(request.user), pk=pk)
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
    placement = place_or_404(request, pk)
    text = calendar_text(calendar_days(placement), made_at=timezone.now())
    answer = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="dates.ics"'
    return answer


@form_page
@signed_in_required
def making_time(request: SignedInRequest, pk: int) -> HttpResponse:
    """Ask for more time."""
    placement = place_or_404(request, pk)
    asked = {"until": placement.asks_until, "because": placement.asks_because}
    form = AskForTimeForm(sent(request), action=request.path, after=finish_day(placement), initial=asked)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        ask_for_time(placement=placement, until=given["until"], because=given["because"])
        return redirect("making", pk=pk)
    last = finish_day(placement)
    page = {"placement": placement, "form": form, "finish_by": last, "is_past": last < timezone.localdate()}
    return render(request, "testing/ask_time.html", page)
