"""The page on which another yarn is put in the place of one of a pattern."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import StaleRevision
from catalogue.drafts.yarn_ends import named_in, yarn_ends
from catalogue.materials.ended_yarns import ball_range
from catalogue.materials.yarn_forms import choice_key, known_choices
from catalogue.materials.yarn_instead import NotInPlace, Replaced, put_in_place, with_yarn
from catalogue.models import Yarn
from catalogue.studio.requests import form_page, person_of
from catalogue.studio.roles import studio_required
from grading.core.pattern.entries import read_weight
from grading.grid.yarn_tables import YarnRow, choices_in_words, default_choices, yarn_table
from grading.sheets.differences import GradedJson
from grading.sheets.documents import Document
from grading.sheets.kept_sheets import work_out_after

_NO_YARN = "Choose the yarn to put in its place."
_COMPUTED = (
    "The new weights are computed, not weighed: weigh a new swatch in the new yarn and type its weight."
)


@form_page
@studio_required
def yarn_instead(request: HttpRequest, slug: str) -> HttpResponse:
    """Show a sheet with another yarn before it is stored, and store it."""
    draft = open_draft(request.user, slug)
    if not draft.document.get("yarns"):
        return redirect("pattern_yarns", slug)
    typed = request.POST if request.method == "POST" else request.GET
    ended = [one.yarn for one in yarn_ends(draft.pattern, draft.document)]
    colour = typed.get("colour") or _first_colour(draft, ended)
    old = next((one for one in draft.document["yarns"] if one["colour"] == colour), None)
    if old is None:
        raise Http404
    known = {key: found for key, found in known_choices().items() if found[1][0] not in ended}
    to = typed.get("to") or _first_choice(str(old.get("label", "")), ended)
    page: dict[str, Any] = {
        "pattern": draft.pattern, "tab": "yarn", "colour": colour, "old": old, "known": known, "to": to,
        "colours": [one["colour"] for one in draft.document["yarns"]], "revision": draft.revision,
    }  # fmt: skip
    if to not in known:
        page["problem"] = _NO_YARN if "to" in typed or request.method == "POST" else ""
        return render(request, "catalogue/yarns/instead.html", page, status=400 if page["problem"] else 200)
    choice = known[to][1]
    try:
        replaced = with_yarn(draft.document, colour, choice[0])
    except NotInPlace as problem:
        return render(request, "catalogue/yarns/instead.html", {**page, "problem": str(problem)}, status=400)
    if request.method == "POST" and typed.get("revision", "").isdecimal():
        try:
            put_in_place(
                pattern=draft.pattern, revision=int(typed["revision"]), replaced=replaced, choice=choice,
                by=person_of(request),
            )  # fmt: skip
        except StaleRevision as stale:
            messages.warning(request, f"{stale} Look at the amounts again, then put it in its place.")
            page["revision"] = draft.revision
        else:
            messages.success(request, f"{choice[0].name} is in its place: the length needed stays.")
            messages.warning(request, _COMPUTED)
            return redirect("yarn_page", slug)
    page |= _before_and_after(draft, replaced, getattr(request.user, "units", "cm"))
    return render(request, "catalogue/yarns/instead.html", {**page, "yarn": choice[0], "computed": _COMPUTED})


def _first_colour(draft: Draft, ended: list[Yarn]) -> str:
    """The colour whose yarn is no longer made, else the first."""
    yarns = draft.document["yarns"]
    of_ended = [one["colour"] for one in yarns if named_in(str(one.get("label", "")), ended)]
    return str([*of_ended, yarns[0]["colour"]][0])


def _first_choice(label: str, ended: list[Yarn]) -> str:
    """What the studio takes in the place of a yarn that is no longer made; empty where that isn't known."""
    found = [one.substitute for one in named_in(label, ended) if one.substitute]
    return choice_key(found[0], None) if found else ""


def _before_and_after(draft: Draft, replaced: Replaced, units: str) -> dict[str, Any]:
    """The entry, the weights, and the amounts of each size as they are and as they would be."""
    graded = work_out_after(draft.standing, replaced.document).graded.as_json()
    before = _rows(draft.document, draft.graded, replaced, units)
    after = _rows(replaced.document, graded, replaced, units)
    place = next(at for at, one in enumerate(replaced.document["yarns"]) if one["colour"] in replaced.colours)
    return {
        "new": replaced.document["yarns"][place],
        "weights": replaced.weights,
        "moved": replaced.colours,
        "sizes": draft.document["sizes"],
        "choices": choices_in_words(draft.document, default_choices(draft.document)),
        "rows": [*(("before", row) for row in before), *(("after", row) for row in after)],
        "balls": [
            (colour, _balls(draft.document, draft.graded, colour), _balls(replaced.document, graded, colour))
            for colour in replaced.colours
        ],
    }


def _rows(document: Document, graded: GradedJson, replaced: Replaced, units: str) -> list[YarnRow]:
    """Grams, length and balls of the colours that change, of one choice of options."""
    table = yarn_table(document, graded, default_choices(document), {}, units)
    return [row for row in table.base.rows if row.colour in replaced.colours] if table else []


def _balls(document: Document, graded: GradedJson, colour: str) -> str:
    """The fewest and the most balls of a colour over all sizes and options."""
    put_up = next(one.get("put_up") for one in document["yarns"] if one["colour"] == colour)
    found = [need["colours"][colour]["weight"] for need in graded["yarn"] if colour in need["colours"]]
    weights = [float("nan") if one is None else one for of in found for one in of]
    return ball_range(weights, read_weight(put_up, "put_up")) if put_up else ""
