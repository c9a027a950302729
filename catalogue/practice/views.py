"""Pages of a pattern's practice piece: ticked and looked at, and its recording plan."""

from typing import Any, cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from catalogue.drafts.drafts import open_pattern
from catalogue.drafts.patterns import graded
from catalogue.drawings.schematics import SCREEN_TYPE_MM
from catalogue.models import Pattern, PracticeChoice
from catalogue.practice.forms import PracticeForm
from catalogue.practice.showing import shown_piece, shown_scenes
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required
from catalogue.versions.frozen_practice import KeptPiece, chosen_practice, kept_piece, piece_record
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.practice.techniques import Teaching, offered_techniques
from grading.core.printing.edition import PrintForm, Terms, Units


@form_page
@studio_required
def practice(request: HttpRequest, slug: str) -> HttpResponse:
    """The ticks of a practice piece, and the piece that they make; a preview is kept nowhere."""
    pattern = open_pattern(request.user, slug)
    chosen = chosen_practice(pattern) or PracticeChoice(pattern=pattern)
    worked = graded(pattern)
    offered = offered_techniques(Teaching(worked.pattern, worked))
    known = {one.key for one in offered}
    standing = [key for key in chosen.techniques if key in known]
    sent = request.POST if request.method == "POST" else request.GET if "preview" in request.GET else None
    form = PracticeForm(sent, initial={"techniques": standing, "in_pdf": chosen.in_pdf}, offered=offered)
    if request.method == "POST" and form.is_valid():
        PracticeChoice.objects.update_or_create(pattern=pattern, defaults=form.cleaned_data)
        messages.success(request, "The practice piece is saved. Versions keep the one they were made with.")
        return redirect("practice", slug)
    ticked = form.cleaned_data["techniques"] if sent is not None and form.is_valid() else standing
    made = _made(pattern, ticked)
    piece = kept_piece(made, NEWEST_WORDING) if made else None
    page: dict[str, Any] = {
        "pattern": pattern,
        "tab": "words",
        "form": form,
        "gone": [key.partition(":")[2] for key in chosen.techniques if key not in known],
        "piece": shown_piece(piece, _home(piece), type_mm=SCREEN_TYPE_MM) if piece else None,
        "lost": made["lost"] if made else [],
        "is_kept": sorted(ticked) == sorted(standing),
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "catalogue/practice/practice.html", page, status=status)


@require_safe
@studio_required
def practice_recording(request: HttpRequest, slug: str) -> HttpResponse:
    """The steps of a practice piece in their order, with what to show of each; it prints."""
    pattern = open_pattern(request.user, slug)
    chosen = chosen_practice(pattern)
    made = _made(pattern, chosen.techniques if chosen else [])
    piece = kept_piece(made, NEWEST_WORDING) if made else None
    page = {
        "pattern": pattern,
        "tab": "words",
        "scenes": shown_scenes(piece, _home(piece)) if piece else [],
        "piece": shown_piece(piece, _home(piece)) if piece else None,
    }
    return render(request, "catalogue/practice/recording.html", page)


def _made(pattern: Pattern, keys: list[str]) -> dict[str, Any] | None:
    """What would be kept of the practice piece of a draft for some ticks; None for none."""
    if not keys:
        return None
    worked = graded(pattern)
    return piece_record(worked.pattern, worked, keys, in_pdf=False)


def _home(piece: KeptPiece) -> PrintForm:
    """The pattern's own units and terms."""
    pattern = piece.graded.pattern
    return PrintForm(cast("Units", pattern.home_units), cast("Terms", pattern.home_terms))
