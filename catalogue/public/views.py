"""Public pages: no cookie, units by query parameter, everything from frozen records."""

import re
from collections.abc import Iterable
from typing import Any, cast
from urllib.parse import urlencode

from django.core.files.storage import default_storage
from django.db.models import QuerySet
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from catalogue.editions.choices import CHOICES, home_choices, left_hand_words
from catalogue.editions.yarn_tables import yarn_note
from catalogue.errata.errata import errata_of_version
from catalogue.materials.ended_yarns import ended_notes
from catalogue.materials.published_yarns import yarn_names
from catalogue.models import Holder, Listing, Pattern, SellingFacts, ShopLink, Version
from catalogue.models.edition_choices import WORDS
from catalogue.models.selling import open_shops
from catalogue.photos.intake import MEDIA_TYPES
from catalogue.photos.photos import find_file, photos_of
from catalogue.public.body_terms import GIRTHS, read_body
from catalogue.public.buying import (
    ended_parts,
    read_asked,
    shade_boxes,
    stripes_in_shades,
    what_to_buy,
    with_substitutes,
)
from catalogue.public.linked_data import linked_data
from catalogue.public.list_filters import FILTER_WORDS, FILTERS, in_the_way, offered_filters
from catalogue.public.listings import choices, list_page, search_listings
from catalogue.public.own_fit import fit_form, read_fit
from catalogue.public.own_size import girth_to_fit, own_size
from catalogue.public.published import needs_beside_yarn, published_numbers
from catalogue.studio.public_address import link_address, public_address
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record, frozen_record, read_record
from catalogue.versions.signs import version_signs
from catalogue.versions.versions import current_release, editions_for, may_pick_edition
from grading.core.instructions.choice_words import choice_words
from grading.core.instructions.spelling import spelled
from grading.core.printing.edition import Terms, Units

BODY = ("girth", "measures", "fit", "ease")  # what a visitor says of their own body, and of the fit
CHOSEN = ("units", "version", "terms", "print", "paper", "hand")  # what goes on when it is said anew
FIRST_FILTERS = ("craft", "garment")  # a phone folds up the others
PAGE_NUMBER = re.compile(r"[1-9][0-9]{0,3}")
MOST_IN_SITEMAP = 45_000
UNITS = {"cm": "centimetres", "in": "inches", "both": "both"}
HAS_LEFT_HAND = "The PDF for one size can be had for left-handed makers."
FOREVER = "public, max-age=31536000, immutable"


@require_safe
def catalogue(request: HttpRequest) -> HttpResponse:
    """Published patterns, with one line of filters; nothing of it reads a record."""
    asked = {name: request.GET.get(name, "")[:80].replace("\x00", "") for name in FILTERS}
    number, offered = request.GET.get("page", "1"), choices()
    body = read_body(asked["girth"], asked["measures"])
    at = int(number) if PAGE_NUMBER.fullmatch(number) else 1
    found = list_page(search_listings(asked, body.mark), at, body)
    filters = offered_filters(offered, asked)
    page = {
        "found": found,
        "asked": asked,
        "query": urlencode({name: said for name, said in asked.items() if said}),
        "without_measure": "".join(
            f"{urlencode({name: said})}&" for name, said in asked.items() if said and name != "measures"
        ),
        "own_body": f"?{urlencode({name: asked[name] for name in BODY[:2]})}" if body.mark else "",
        "offered": offered,
        "filters": [one for one in filters if one["kind"] in FIRST_FILTERS],
        "more_filters": [one for one in filters if one["kind"] not in FIRST_FILTERS],
        "more_are_used": any(asked[kind] for kind in FILTER_WORDS if kind not in FIRST_FILTERS),
        "girths": [(girth, GIRTHS[girth][0]) for girth in offered["body"] if girth in GIRTHS],
        "body": body,
        "in_the_way": [] if found.listed else list(in_the_way(asked, body.mark)),
        "start": request.path,
    }
    return render(request, "catalogue/public/list.html", page)


@require_safe
def pattern_page(request: HttpRequest, slug: str) -> HttpResponse:
    """One pattern: photos, sizes and finished measurements, yarn, current version, corrections."""
    pattern, current = current_or_404(slug)
    record = frozen_record(current.record)
    units, photos, links = asked_units(request, record), photos_of(record), list(pattern.shop_links.all())
    versions = list(pattern.versions.defer("record").order_by("-major", "-minor"))
    releases = [one for one in versions if one.kind == "release" and one.state == "published"]
    said, fitting = said_of_body(request), own_fitting(request, record, units)
    own = fitting["own"]
    page = {
        "pattern": pattern,
        **fitting,
        "needs_query": urlencode({"units": units, **({"size": own.size} if own else {}), **said}),
        "said": said,
        "address": address_of(request),
        "ask_url": ask_address(current),
        "version": current,
        "record": record,
        "units": units,
        "unit_choices": UNITS,
        "photos": photos,
        "releases": releases,
        "may_pick": may_pick_edition(request.user, pattern),
        "files": editions_for(request.user).filter(version=current),
        "applying": errata_of_version(current, versions),
        "linked_data": linked_data(record, releases, photos, root_of(request), request.path),
        "summary": record["pattern"].get("summary", ""),
        "level": record["pattern"].get("skill", ""),
        "construction": record["pattern"].get("construction", ""),
        "rights": record.get("rights", {}),
        "selling": SellingFacts.objects.filter(pattern=pattern).first() or SellingFacts(),
        **ended_parts(record, units),
        "shops": open_shops(pattern, links),
        "is_sold": is_sold(pattern, links),
        "numbers": published_numbers(current, units),
        "helps": record.get("helps", []),
        "special_stitches": record["pattern"].get("special_stitches", []),
        "left_hand": left_hand_words(record) or HAS_LEFT_HAND,
    }
    return render(request, "catalogue/public/pattern.html", page)


@require_safe
def needs(request: HttpRequest, slug: str) -> HttpResponse:
    """What a maker buys for one size, one choice of options, and their own shades."""
    pattern, current = current_or_404(slug)
    may_pick = may_pick_edition(request.user, pattern)
    page = {
        **needs_page(request, current),
        "address": address_of(request),
        "pdf_url": reverse("your_size", args=[slug]) if may_pick else "",
        "read_url": reverse("read_your_size", args=[slug]) if may_pick else "",
        "is_sold": is_sold(pattern, pattern.shop_links.all()),
        "held": [],
        "since": None,
    }
    return render(request, "catalogue/public/needs.html", page)


def needs_page(request: HttpRequest, version: Version) -> dict[str, Any]:
    """What the page of needs shows of a version for what the address asks for."""
    record = read_record(version.record)
    core, units = record_pattern(record), asked_units(request, record)
    fitting, query = own_fitting(request, record, units), request.GET.copy()
    if fitting["own"] and not query.get("size"):
        query["size"] = fitting["own"].size
    asked, said = read_asked(record, core, query), said_of_body(request)
    bought, printed = what_to_buy(record, core, asked, units), asked_print(request, record)
    to_buy = with_substitutes(bought, core, record, units)
    colour = "color" if printed["terms"] == "US" else "colour"
    is_chosen = query.get("size", "") in core.sizes or len(core.sizes) == 1
    return {
        "pattern": version.pattern,
        "version": version,
        "record": record,
        **fitting,
        "ask_url": ask_address(version, asked.size if is_chosen else ""),
        "units": units,
        "unit_choices": UNITS,
        "asked": asked,
        "sizes": core.sizes,
        "options": [(option, asked.options[option.name]) for option in core.options],
        "choices": spelled(
            choice_words([(name, (choice,)) for name, choice in asked.options.items()], core),
            cast("Terms", printed["terms"]),
        ),
        "colours": shade_boxes(record, core, asked, bought),
        "to_buy": to_buy,
        "is_chosen": is_chosen,
        "own_query": urlencode({**chosen_beside(request), **said, "size": fitting["own"].size})
        if is_chosen and fitting["own"] and fitting["own"].size != asked.size
        else "",
        "said": said,
        "back_query": urlencode({"units": units, **said}),
        "has_unknown": any(None in (one.balls, one.weight_g, one.length_m) for one in to_buy),
        "yarn_note": yarn_note(core),
        "has_helps": bool(record.get("helps")),
        "ended_yarns": ended_notes(yarn_names(record), cast("Units", units)),
        "terms_choices": CHOICES["terms"],
        "print_choices": {value: words.replace("colour", colour) for value, words in WORDS["print"].items()},
        "paper_choices": CHOICES["paper"],
        "hand_choices": WORDS["hand"],
        "no_left_hand": left_hand_words(record),
        **printed,
        "colour": colour,
        **needs_beside_yarn(record, units, asked.size),
        **stripes_in_shades(record, asked, units),
    }


@require_safe
def which(request: HttpRequest, slug: str) -> HttpResponse:
    """Which version a maker has, told from what each one says otherwise."""
    pattern, current = current_or_404(slug)
    record = frozen_record(current.record)
    units = asked_units(request, record)
    page = {
        "pattern": pattern,
        "title": record["title"],
        "address": address_of(request),
        "current": current,
        "signs": version_signs(list(releases_of(pattern).order_by("major", "minor")), units),
        "units": units,
        "unit_choices": UNITS,
    }
    return render(request, "catalogue/public/which.html", page)


@require_safe
def sitemap(request: HttpRequest) -> HttpResponse:
    """The addresses that search engines may visit."""
    listed = Listing.objects.values_list("pattern__slug", "version__published_at")
    page = {"listed": listed.order_by("order")[:MOST_IN_SITEMAP], "address": link_address()}
    return render(request, "catalogue/public/sitemap.xml", page, content_type="application/xml")


@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """What search engines keep away from."""
    page = {"address": link_address()}
    return render(request, "catalogue/public/robots.txt", page, content_type="text/plain; charset=utf-8")


@require_safe
def photo_file(request: HttpRequest, name: str) -> HttpResponseBase:
    """A file of a photo: for everybody once a release has it, before that for the studio."""
    found = find_file(request.user, name)
    if found is None:
        raise Http404
    stored, is_public = found
    try:
        content = default_storage.open(stored["name"])
    except FileNotFoundError:
        raise Http404 from None
    answer = FileResponse(content, content_type=MEDIA_TYPES[stored["format"]], filename=name)
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = FOREVER if is_public else "private, no-store"
    return answer


def ask_address(version: Version, size: str = "") -> str:
    """The form for a question about a version, and about a size where one is chosen."""
    said = {"version": version.number, **({"size": size} if size else {})}
    return f"{reverse('ask_question', args=[version.pattern.slug])}?{urlencode(said)}"


def said_of_body(request: HttpRequest) -> dict[str, str]:
    """What a visitor says of their own body, to be carried on; nothing where they say nothing."""
    if not request.GET.get("measures", "").strip():
        return {}
    said = {name: request.GET.get(name, "")[:80].replace("\x00", "") for name in BODY}
    return {name: words for name, words in said.items() if words or name in BODY[:2]}


def own_fitting(request: HttpRequest, record: Record, units: str) -> dict[str, Any]:
    """The size for what a visitor says of their body and of the fit, and the form to say it in."""
    said = said_of_body(request)
    body = read_body(said.get("girth", ""), said.get("measures", ""))
    fit = read_fit(said.get("fit", ""), said.get("ease", ""), body.units or ("in" if units == "in" else "cm"))
    return {
        "own": own_size(record, body, units, fit),
        "fitting": fit_form(girth_to_fit(record, units), {**chosen_beside(request), **said}, body, fit),
    }


def chosen_beside(request: HttpRequest) -> dict[str, str]:
    """What was chosen beside the size, to be carried on: units, words and paper, options, shades."""
    return {
        name: request.GET.get(name, "")[:80].replace("\x00", "")
        for name in request.GET
        if name in CHOSEN or name.startswith(("option_", "shade_"))
    }


def is_sold(pattern: Pattern, links: Iterable[ShopLink]) -> bool:
    """Whether anybody may have bought a pattern: it is in a shop, or somebody has it."""
    return any(links) or Holder.pdf_versions.through.objects.filter(holder__pattern=pattern).exists()


def address_of(request: HttpRequest) -> str:
    """The address of a page as its print tells it; none where others could not open it."""
    known = root_of(request)
    return known + request.path if known else ""


def root_of(request: HttpRequest) -> str:
    """What the address of a page begins with, by the studio that was read for the request."""
    return public_address(getattr(request, "studio", None))


def current_or_404(slug: str) -> tuple[Pattern, Version]:
    """A pattern that was published, be it retired, with its current release."""
    pattern = get_object_or_404(Pattern, slug=slug)
    current = current_release(pattern)
    if current is None:
        raise Http404
    return pattern, current


def releases_of(pattern: Pattern) -> QuerySet[Version]:
    """The releases of a pattern."""
    return pattern.versions.filter(kind="release", state="published").defer("record")


def asked_print(request: HttpRequest, record: Record) -> dict[str, str]:
    """Terms, print, paper and hand of the PDF that the address asks for; else those at home."""
    home = home_choices(record)
    asked = {name: request.GET.get(name, "") for name in ("terms", "print", "paper")}
    picked = {name: said if said in CHOICES[name] else home[name] for name, said in asked.items()}
    is_left = request.GET.get("hand") == "left" and not left_hand_words(record)
    return {**picked, "hand": "left" if is_left else home["hand"]}


def asked_units(request: HttpRequest, record: Record) -> str:
    """The units that the address asks for; else inches to whom measures in them, or the pattern's own."""
    asked = request.GET.get("units", "")
    if asked in UNITS:
        return asked
    is_in_inches = read_body("", request.GET.get("measures", "")[:80]).units == "in"
    return "in" if is_in_inches else str(record["pattern"]["home_units"])
