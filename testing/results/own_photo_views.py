"""A tester's own photos: sent whole or in pieces, replaced, deleted."""

import logging
from typing import IO

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.http.request import RawPostDataException
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from catalogue.photos.intake import clean_photo
from catalogue.photos.pictures import CleanPhoto, PhotoRefused
from catalogue.studio.out_of_reach import TOLD_OUTSIDE, FilesOutOfReach
from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from testing.access.requests import SignedInRequest, own_place_or_404, sent
from testing.models import Placement, ResultPhoto
from testing.results.entry_glances import Asked
from testing.results.forms import PhotoChangeForm, PhotoForm
from testing.results.notes import save_note
from testing.results.own_photos import (
    SentAlready,
    TooManyPhotos,
    add_photo,
    change_photo,
    delete_photo,
)
from testing.results.photo_pieces import (
    LONGEST_KEY,
    arrived_before,
    bytes_have,
    drop_pieces,
    keep_piece,
    whole_photo,
)
from testing.results.views import question_page

logger = logging.getLogger(__name__)


@form_page
@signed_in_required
def making_photo(request: SignedInRequest, pk: int) -> HttpResponse:
    """A picture of the garment."""
    placement = own_place_or_404(request, pk)
    shows = {"alt": f"{placement.call.pattern.title}, size {placement.size}"}
    form = PhotoForm(sent(request), request.FILES or None, initial=shows)
    if request.method == "POST" and form.is_valid() and _is_added(placement, form):
        if remark := form.cleaned_data["remark"]:
            save_note(placement=placement, text=f"Photo “{form.cleaned_data['alt']}”: {remark}")
        return redirect("making", pk=pk)
    return question_page(request, placement, "testing/ask_photo.html", form, Asked("photo"))


@form_page
@signed_in_required
def making_photo_pieces(request: SignedInRequest, pk: int, key: str) -> HttpResponse:
    """How much of a photo has come; what is sent is its next piece."""
    placement = own_place_or_404(request, pk)
    if len(key) > LONGEST_KEY:
        raise Http404
    at = request.GET.get("at", "")
    if request.method != "POST":
        return JsonResponse({"have": bytes_have(placement, key)})
    try:
        number = int(at) if at.isdecimal() and len(at) < 10 else -1
        have = keep_piece(placement=placement, key=key, at=number, content=_piece_in(request))
    except PhotoRefused as refused:
        drop_pieces(placement=placement, key=key)
        return HttpResponse(str(refused), status=413, content_type="text/plain; charset=utf-8")
    return JsonResponse({"have": have})


@form_page
@signed_in_required
def making_photo_change(request: SignedInRequest, pk: int, photo: int) -> HttpResponse:
    """Other words about a photo, another picture in its place, or none."""
    placement = own_place_or_404(request, pk)
    found = get_object_or_404(ResultPhoto, result__placement=placement, pk=photo)
    form = PhotoChangeForm(sent(request), request.FILES or None, initial={"alt": found.alt})
    if request.method == "POST" and form.is_valid() and _is_changed(placement, found, form):
        messages.success(request, "Sent.")
        return redirect("making", pk=pk)
    page = {"placement": placement, "call": placement.call, "photo": found, "form": form}
    return render(request, "testing/photo_change.html", page)


@require_POST
@signed_in_required
def making_photo_delete(request: SignedInRequest, pk: int, photo: int) -> HttpResponse:
    """Take a photo back."""
    placement = own_place_or_404(request, pk)
    if found := ResultPhoto.objects.filter(result__placement=placement, pk=photo).first():
        delete_photo(photo=found)
        messages.success(request, "The photo is deleted.")
    return redirect("making", pk=pk)


def _piece_in(request: SignedInRequest) -> bytes:
    """What was sent as it is; a form is no piece."""
    try:
        return request.body
    except RawPostDataException:
        return b""


def _is_added(placement: Placement, form: PhotoForm) -> bool:
    """Keep a new photo; say at the form why not."""
    key = form.cleaned_data["kept"]
    if arrived_before(placement, key):
        return True
    picture = _cleaned(form, _upload(placement, form))
    if picture is None:
        return False
    try:
        add_photo(placement=placement, photo=picture, alt=form.cleaned_data["alt"], upload_key=key)
    except TooManyPhotos:
        form.add_error("photo", "Twenty photos are kept at most: that is plenty, thank you.")
    except FilesOutOfReach as problem:
        _not_kept(form, problem)
    if not form.errors:
        drop_pieces(placement=placement, key=key)
    return not form.errors


def _is_changed(placement: Placement, photo: ResultPhoto, form: PhotoChangeForm) -> bool:
    """Change a photo; say at the form why not."""
    key, alt = form.cleaned_data["kept"], form.cleaned_data["alt"]
    upload = None if arrived_before(placement, key) else _upload(placement, form)
    picture = _cleaned(form, upload) if upload else None
    if form.errors:
        return False
    try:
        change_photo(photo=photo, alt=alt, picture=picture, upload_key=key)
    except SentAlready:
        form.add_error("photo", "You have sent this picture already.")
    except FilesOutOfReach as problem:
        _not_kept(form, problem)
    if not form.errors:
        drop_pieces(placement=placement, key=key)
    return not form.errors


def _upload(placement: Placement, form: PhotoForm) -> IO[bytes] | None:
    """The picture, sent with the form or in pieces before."""
    upload: IO[bytes] | None = form.cleaned_data["photo"]
    return upload or whole_photo(placement, form.cleaned_data["kept"])


def _cleaned(form: PhotoForm, upload: IO[bytes] | None) -> CleanPhoto | None:
    """The picture without what it tells of its maker; None where it can't be taken, which the form says."""
    if upload is None:
        form.add_error("photo", "Choose a picture.")
        return None
    try:
        return clean_photo(upload)
    except PhotoRefused as refused:
        form.add_error("photo", str(refused))
    return None


def _not_kept(form: PhotoForm, problem: FilesOutOfReach) -> None:
    """A picture that can't be stored now."""
    logger.error("A tester's photo is not kept: %s.", problem.why)
    form.add_error("photo", TOLD_OUTSIDE)
