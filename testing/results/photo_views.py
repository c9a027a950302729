"""Testers' photos outside their own pages: only as far as the tester agrees, and only while they do."""

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalogue.photos.intake import MEDIA_TYPES
from catalogue.studio.roles import whole_studio_required
from testing.access.requests import call_or_404, picture_or_404
from testing.models import ResultPhoto
from testing.results.photo_uses import may_use, photos_shown


@require_safe
def shared_photo(_request: HttpRequest, pk: int, width: int, form: str) -> FileResponse:
    """A tester's photo for everybody, while its maker agrees to it on the pattern's page."""
    photo = get_object_or_404(ResultPhoto, pk=pk)
    wanted = [one for one in photo.files if (one["width_px"], one["format"]) == (width, form)]
    if not wanted or not may_use(photo, "page"):
        raise Http404
    answer = FileResponse(picture_or_404(wanted[0]["name"]), content_type=MEDIA_TYPES[form])
    answer["Cache-Control"] = "no-store"  # gone at once when the consent is taken back
    return answer


@require_safe
@whole_studio_required
def call_photos(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """The photos of a call, each with what it may be used for."""
    call = call_or_404(request, slug, pk)
    page = {"pattern": call.pattern, "tab": "calls", "call": call, "shown": photos_shown(call)}
    return render(request, "testing/call_photos.html", page)


@require_safe
@whole_studio_required
def call_photo_file(request: HttpRequest, slug: str, pk: int, photo: int, use: str) -> FileResponse:
    """A photo to use as its maker agrees, in its largest form."""
    found = get_object_or_404(ResultPhoto, result__call=call_or_404(request, slug, pk), pk=photo)
    if not may_use(found, use):
        raise Http404
    files = [one for one in found.files if one["format"] == "jpg"]
    largest = max(files, key=lambda one: int(one["width_px"]))
    answer = FileResponse(picture_or_404(largest["name"]), content_type=MEDIA_TYPES["jpg"])
    answer["Content-Disposition"] = f'attachment; filename="{slug}-{use}-{found.pk}.jpg"'
    answer["Cache-Control"] = "private, no-store"
    return answer
