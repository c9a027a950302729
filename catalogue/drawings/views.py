"""The pieces of a pattern to scale, and its stripes, as they will be printed."""

from dataclasses import replace
from typing import cast

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.patterns import graded, read_core
from catalogue.drawings.faces import Face, beginning_face, face_of
from catalogue.drawings.nests import Frame
from catalogue.drawings.schematics import SCREEN_TYPE_MM, schematics, strips
from catalogue.drawings.stripe_plans import stripe_work
from catalogue.materials.yarns import chosen_shades
from catalogue.studio.roles import studio_required
from grading.beginnings.constructions import constructions
from grading.core.instructions.facts import Facts, facts_of
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.printing.size_rows import split_rows
from grading.grid.grid import findings_by_entry

STRIPE_TYPE_MM = 3.1


@studio_required
@require_safe
def pattern_face(request: HttpRequest, slug: str) -> HttpResponse:
    """The outline of the garment, for lists; an empty square where nothing can be drawn."""
    draft = open_draft(request.user, slug)
    return _face(request, face_of(graded(draft.pattern)))


@studio_required
@require_safe
def construction_face(request: HttpRequest, key: str) -> HttpResponse:
    """How a garment of a construction looks, beside its name where a pattern is begun."""
    if key not in constructions():
        raise Http404
    return _face(request, beginning_face(key))


def _face(request: HttpRequest, face: Face | None) -> HttpResponse:
    """A face as a picture; an empty square where there is none."""
    frame, paths = face or (Frame("0 0 100 100", 100, 100, ""), [])
    context = {"frame": frame, "paths": paths}
    return render(request, "catalogue/schematics/face.svg", context, content_type="image/svg+xml")


@studio_required
@require_safe
def pieces(request: HttpRequest, slug: str) -> HttpResponse:
    """Every piece with its dimension lines and all sizes one inside the other."""
    draft = open_draft(request.user, slug)
    edition, facts = _edition(request, draft), _facts(draft)
    drawn = schematics(facts, graded(draft.pattern), edition, _kept(facts, edition), type_mm=SCREEN_TYPE_MM)
    told = strips(facts, graded(draft.pattern), edition, _kept(facts, edition))
    there = {one.name for one in drawn} | told.keys()
    missing = [piece.label for piece in facts.pattern.pieces if piece.name not in there]
    found = findings_by_entry(draft.graded["findings"])
    findings = [one for piece in facts.pattern.pieces for one in found.get(f"pieces.{piece.name}", [])]
    context = {"pattern": draft.pattern, "tab": "sheet", "edition": edition, "sizes": draft.document["sizes"],
               "schematics": drawn, "strips": list(told.values()), "missing": missing,
               "findings": findings}  # fmt: skip
    return render(request, "catalogue/schematics/pieces.html", context)


@studio_required
@require_safe
def stripe_plan(request: HttpRequest, slug: str) -> HttpResponse:
    """The stripes of every size, their totals, and whether neighbours can be told apart."""
    draft = open_draft(request.user, slug)
    edition, facts = _edition(request, draft), _facts(draft)
    kept = _kept(facts, edition)
    voice = facts.voice(edition, tuple(kept))
    work = stripe_work(facts, chosen_shades(draft.pattern), voice, kept, type_mm=STRIPE_TYPE_MM)
    names = [facts.pattern.sizes[place] for place in kept]
    sheets = [
        {"of": sheet, "tables": list(split_rows(names, sheet.rows, across=len(names)))}
        for sheet in (work.sheets if work else ())
    ]
    context = {"pattern": draft.pattern, "tab": "yarn", "edition": edition, "sizes": draft.document["sizes"],
               "stripes": work, "stripe_sheets": sheets}  # fmt: skip
    return render(request, "catalogue/schematics/stripes.html", context)


def _facts(draft: Draft) -> Facts:
    """The pattern with its numbers."""
    return facts_of(read_core(draft.pattern), graded(draft.pattern))


def _edition(request: HttpRequest, draft: Draft) -> PrintForm:
    """As printed for all sizes or one, in the units of the person and the terms of the pattern."""
    size = request.GET.get("size", "")
    return replace(home_edition(request, draft), sizes=size if size in draft.document["sizes"] else None)


def home_edition(request: HttpRequest, draft: Draft) -> PrintForm:
    """As printed for all sizes, in the units of the person and the terms of the pattern."""
    units = cast("Units", getattr(request.user, "units", "cm"))
    return PrintForm(units, cast("Terms", draft.document["home_terms"]), None)


def _kept(facts: Facts, edition: PrintForm) -> list[int]:
    """The places of the sizes that are shown."""
    sizes = facts.pattern.sizes
    return list(range(len(sizes))) if edition.sizes is None else [sizes.index(edition.sizes)]
