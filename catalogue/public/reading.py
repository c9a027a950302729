"""A version as a page that flows on a phone: one size and its options, in the words of the edition."""

from collections.abc import Container
from typing import Any, cast
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from catalogue.drawings.schematics import SCREEN_TYPE_MM
from catalogue.editions.booklet import booklet
from catalogue.editions.choices import home_choices
from catalogue.editions.chosen import options_text
from catalogue.editions.sized_parts import instructions_of
from catalogue.editions.sources import source_of
from catalogue.helps.showing import with_helps
from catalogue.materials.ended_yarns import ended_notes
from catalogue.materials.published_yarns import yarn_names
from catalogue.models import Version
from catalogue.practice.showing import shown_piece
from catalogue.public.buying import AskedToBuy, ColourToBuy, read_asked, yarns_instead
from catalogue.public.since import since_of
from catalogue.public.step_corrections import corrections_at, corrections_beside, with_corrections
from catalogue.public.views import ask_address, asked_print, asked_units, current_or_404
from catalogue.versions.freezing import record_pattern
from catalogue.versions.frozen_grades import frozen_graded
from catalogue.versions.frozen_practice import KeptPiece, record_piece
from catalogue.versions.moved_steps import follow
from catalogue.versions.records import Record, read_record
from catalogue.versions.versions import may_pick_edition
from grading.core.grade.grade import Graded
from grading.core.instructions.choice_words import choice_words
from grading.core.instructions.spelling import spelled
from grading.core.pattern.pattern import When
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.practice.techniques import Teaching, Technique
from grading.core.printing.edition import PrintForm, Units
from grading.core.yarn.needs import applies

# What the page shows of all that an edition prints.
SHOWN = (
    "gauge_word",
    "gauges",
    "tool_word",
    "yarns",
    "yarn_tables",
    "tools",
    "notions",
    "abbreviation_halves",
    "abbreviations_below",
    "stitch_sheets",
    "special_stitches",
    "how_to_measure",
    "for_choices",
)


DRAWN = {"pieces to scale": "schematics", "stripes": "stripes"}


def reading_of(record: Record, graded: Graded, choices: dict[str, str]) -> dict[str, Any]:
    """What a maker works from, in the words of an edition; each help is at the step that names it first."""
    edition = source_of(record, graded, choices)
    told = booklet(edition)
    piece = record_piece(record)
    return {
        **{name: told[name] for name in SHOWN},
        "instructions": with_helps(told["instructions"], [one for one, _ in told["helps"]]),
        "drawings": " and ".join(word for word, part in DRAWN.items() if told[part]),
        "practice": shown_piece(piece, edition.edition, type_mm=SCREEN_TYPE_MM) if piece else None,
        "practice_without": _not_made(piece, Teaching(graded.pattern, graded), edition.edition),
    }


def _not_made(piece: KeptPiece | None, of: Teaching, edition: PrintForm) -> list[str]:
    """What of a practice piece the options of a garment leave out, or those not chosen yet may."""
    chosen, pattern = dict(edition.chosen), of.pattern
    found = []
    for one in piece.techniques if piece else ():
        whens = _whens(one, of)
        if not whens or any(not when or (chosen and applies(dict(when), chosen)) for when in whens):
            continue
        only = " or ".join(dict.fromkeys(choice_words(when, pattern) for when in whens))
        found.append(spelled(f"{one.label}: only {only}.", edition.terms))
    return found


def _whens(one: Technique, of: Teaching) -> list[When]:
    """For which choices a technique is worked, each time that it is: by the yarn, or by the sections."""
    pattern = of.pattern
    if one.kind == "stripes":
        parts = [way for part in pattern.yarn_sections for way in part.ways(pattern.option_choices())]
        return [part.when for part in parts if part.stripes == one.name]
    return [pattern.sections[place.section].when for place in of.places.get(one.name, ())]


def reading_page(
    request: HttpRequest, version: Version, back: str, held: Container[Version | None] = ()
) -> HttpResponse:
    """A version to read for the size and the options that the address asks for; corrections at their steps.

    `held` are the versions that its reader has.
    """
    record = read_record(version.record)
    asked = read_asked(record, record_pattern(record), request.GET)
    units = asked_units(request, record)
    choices = _choices(request, record, asked, units)
    since = since_of(version, held)
    newest = since["newer"] or version
    followed = follow(since["applying"], version.record, newest.record, units, asked.size)
    printed = _printed_now(request, newest, asked.size, units) if newest != version else {}
    reading = reading_of(record, frozen_graded(record), choices)
    steps = with_corrections(reading["instructions"], corrections_at(followed, record, printed))
    page = {
        "version": version,
        "title": record["title"],
        "size": asked.size,
        "hand": choices["hand"],
        "since": since,
        "back": f"{back}?{request.GET.urlencode()}",
        "reading": {
            **reading,
            "instructions": steps,
            "newest": newest.number,
            "beside": corrections_beside(followed, asked.options),
            "printed_word": "PDF",
            "ask_url": ask_address(version, asked.size),
            "corrections_url": _corrections_url(version, units, asked.size),
            "ended_yarns": ended_notes(yarn_names(record), cast("Units", units)),
            "instead": _instead(request, record, newest, asked, units),
        },
    }
    answer = render(request, "catalogue/public/reading.html", page)
    answer["X-Robots-Tag"] = "noindex"
    return answer


def _choices(request: HttpRequest, record: Record, asked: AskedToBuy, units: str) -> dict[str, str]:
    """The edition of one size that the address asks for."""
    choices = {**home_choices(record), **asked_print(request, record), "sizes": asked.size, "units": units}
    if record.get("wording", FIRST_WORDING) != FIRST_WORDING:
        choices["options"] = options_text(asked.options)
    return choices


def _printed_now(request: HttpRequest, newest: Version, size: str, units: str) -> dict[str, str]:
    """The steps of the newest version as its edition of the same size prints them, by their places."""
    record = read_record(newest.record)
    asked = read_asked(record, record_pattern(record), request.GET)
    if asked.size != size:
        return {}
    edition = source_of(record, frozen_graded(record), _choices(request, record, asked, units))
    return {
        spot: step
        for section in instructions_of(edition)
        for spot, step in zip(section.spots, section.steps, strict=True)
    }


def _instead(
    request: HttpRequest, record: Record, newest: Version, asked: AskedToBuy, units: str
) -> list[tuple[ColourToBuy, ColourToBuy | None]]:
    """The yarns to take in place of others, each with what the newest version takes where that differs."""
    old = yarns_instead(record, asked, units)
    if not old:
        return []
    now = read_record(newest.record)
    asked_now = read_asked(now, record_pattern(now), request.GET)
    is_same_size = asked_now.size == asked.size
    known = {(one.colour, one.label): one for one in yarns_instead(now, asked_now, units) if is_same_size}
    pairs = [(one, known.get((one.colour, one.label))) for one in old]
    return [(one, new if new and new.amounts != one.amounts else None) for one, new in pairs]


def _corrections_url(version: Version, units: str, size: str) -> str:
    """The page of a version's corrections, for one size."""
    page = reverse("corrections", args=[version.pattern.slug, version.number])
    return f"{page}?{urlencode({'units': units, 'size': size})}"


@require_safe
def read_your_size(request: HttpRequest, slug: str) -> HttpResponse:
    """The current release to read for one size, by those who may have its PDF for that size."""
    pattern, current = current_or_404(slug)
    if not may_pick_edition(request.user, pattern):
        raise Http404
    return reading_page(request, current, reverse("needs", args=[slug]))
