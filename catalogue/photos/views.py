"""Photos of a pattern on the desk."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from catalogue.drafts.requests import pattern_or_404
from catalogue.models import Photo
from catalogue.photos.forms import PhotosForm, PhotoWordsForm
from catalogue.photos.photos import add_photos, delete_photo, describe_photo, put_first
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required

TAB = "words"


@form_page
@studio_required
def photos(request: HttpRequest, slug: str) -> HttpResponse:
    """All photos, and the form that adds some."""
    pattern = pattern_or_404(request, slug)
    form = PhotosForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = add_photos(
                pattern=pattern, photos=form.cleaned_data["photos"], caption=form.cleaned_data["caption"]
            )
        except FilesOutOfReach as problem:
            form.add_error("pictures", str(problem))
        else:
            messages.success(
                request, "The photo is added." if len(added) == 1 else f"{len(added)} photos are added."
            )
            return redirect("photos", slug=slug)
    page = {"pattern": pattern, "tab": TAB, "form": form, "photos": pattern.photos.all()}
    return render(request, "catalogue/photos/photos.html", page)


@form_page
@studio_required
def photo(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """The words of one photo."""
    found = _photo_or_404(request, slug, pk)
    form = PhotoWordsForm(request.POST or None, initial={"alt": found.alt, "caption": found.caption})
    if request.method == "POST" and form.is_valid():
        describe_photo(photo=found, **form.cleaned_data)
        return redirect("photos", slug=slug)
    page = {"pattern": found.pattern, "tab": TAB, "form": form, "photo": found}
    return render(request, "catalogue/photos/photo.html", page)


@require_POST
@studio_required
def photo_first(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Make a photo the one on the title page."""
    put_first(photo=_photo_or_404(request, slug, pk))
    return redirect("photos", slug=slug)


@require_POST
@studio_required
def photo_delete(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take a photo out; versions that hold it keep it."""
    delete_photo(photo=_photo_or_404(request, slug, pk))
    messages.success(request, "The photo is deleted.")
    return redirect("photos", slug=slug)


def _photo_or_404(request: HttpRequest, slug: str, pk: int) -> Photo:
    """A photo of a pattern that the person may work on."""
    return get_object_or_404(pattern_or_404(request, slug).photos.select_related("pattern__sheet"), pk=pk)
