"""Another yarn in the place of one of a sheet: the length stays, so the weights of the swatches follow."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from catalogue.drafts.edits import edit_document
from catalogue.drafts.yarn_choices import keep_choices
from catalogue.materials.yarn_filling import as_typed
from catalogue.materials.yarns import Choice, choose_yarns
from catalogue.models import Pattern, PatternEdit, Person, Yarn
from grading.core.formula.dimensions import WEIGHT
from grading.core.formula.errors import FormulaError
from grading.core.formula.literals import parse_literal
from grading.core.pattern.entries import read_swatch_weight, read_yarn_length
from grading.core.yarn.lengths import METRES_IN_100_G
from grading.core.yarn.substitutes import grams_in_place
from grading.sheets.documents import Document


class NotInPlace(Exception):
    """The yarn can't be replaced as the sheet is; its text says what to do first."""


@dataclass(frozen=True)
class Replaced:
    """A sheet with another yarn: its document, the colours it plays, and each weight before and after."""

    document: Document
    colours: tuple[str, ...]
    weights: tuple[tuple[str, str, str], ...]


def with_yarn(document: Document, colour: str, yarn: Yarn) -> Replaced:
    """A sheet with a studio's yarn in the place of the one that plays a colour, and all of the same yarn.

    The same stitches take the same length (common practice), so each weight is multiplied by the old metres
    in 100 g and divided by the new ones.

    Raises:
        NotInPlace: The old length isn't known, or a swatch counts for a yarn that stays.
    """
    old = next(one for one in document["yarns"] if one["colour"] == colour)
    if not old.get("length_per_100g"):
        raise NotInPlace(f"Type the length in 100 g of yarn {colour} first: the weights follow from it.")
    lengths = read_yarn_length(old["length_per_100g"], "old"), float(yarn.length_per_100g_m)
    same = [one for one in document["yarns"] if all(one.get(key) == old.get(key) for key in as_typed(yarn))]
    colours = tuple(str(one["colour"]) for one in same)
    uses = [(part, _colours_of(document, part)) for part in document.get("yarn_sections", [])]
    fabrics, weights = dict[str, Any](), list[tuple[str, str, str]]()
    for name, fabric in document["fabrics"].items():
        fabrics[name] = fabric
        played = {one for part, found in uses if part["fabric"] == name for one in found}
        played = played or {str(one["colour"]) for one in document["yarns"]}
        label = str(fabric.get("label") or name)
        if "swatch" not in fabric or not played & set(colours):
            continue
        _require_own(f"The swatch of “{label}”", played, colours, lengths)
        swatch = fabric["swatch"]
        weight = _grams(read_swatch_weight(swatch, "swatch"), lengths)
        fabrics[name] = {**fabric, "swatch": {**swatch, "weight": weight, "computed": True}}
        weights.append((f"Swatch of {label}", swatch["weight"], weight))
    parts = []
    for part, found in uses:
        entry = part
        if "extra" in part and found & set(colours):
            _require_own(f"The extra weight of “{part['name']}”", found, colours, lengths)
            entry = {**part, "extra": _extra(part["extra"], lengths)}
            weights.append((f"Extra weight of {part['name']}", part["extra"], entry["extra"]))
        parts.append(entry)
    yarns = [_typed(one, yarn) if one in same else one for one in document["yarns"]]
    after = {**document, "fabrics": fabrics, "yarns": yarns}
    if parts:
        after["yarn_sections"] = parts
    return Replaced(after, colours, tuple(weights))


@transaction.atomic
def put_in_place(
    *, pattern: Pattern, revision: int, replaced: Replaced, choice: Choice, by: Person | None
) -> None:
    """Store a sheet with another yarn, in one edit that undoing takes back with the choice of the yarn.

    Raises:
        StaleRevision: Another edit came first.
    """
    kept = keep_choices(pattern, replaced.colours)
    edit_document(pattern=pattern, revision=revision, document=replaced.document, by=by)
    choose_yarns(pattern=pattern, chosen=dict.fromkeys(replaced.colours, choice))
    edit = PatternEdit.objects.filter(pattern=pattern, revision=revision + 1).first()
    if edit:
        edit.before = {**edit.before, **kept}
        edit.says = (
            f"{choice[0].name} in place of another yarn, colour {', '.join(replaced.colours)}: the length "
            "stays; the weights of the swatches are computed."
        )
        edit.save(update_fields=["before", "says"])


def _typed(entry: Mapping[str, Any], yarn: Yarn) -> dict[str, Any]:
    """The entry of a colour in another yarn, without its shade and a yarn weight that no longer fits."""
    typed = {**entry, **as_typed(yarn)}
    typed.pop("shade", None)
    if "yarn_weight" in typed:
        least, most = METRES_IN_100_G[typed["yarn_weight"]]
        if not least <= float(yarn.length_per_100g_m) <= most:
            del typed["yarn_weight"]
    return typed


def _colours_of(document: Document, part: Mapping[str, Any]) -> set[str]:
    """Every colour that a part may be worked in: its own, those of its stripes and those of its choices."""
    stripes = {one["name"]: one for one in document.get("stripes", [])}
    found = set[str]()
    for one in (part, *part.get("by_choice", ())):
        found |= {str(one["colour"])} if one.get("colour") else set()
        of = stripes.get(one.get("stripes"), {"sequence": []})
        found |= {str(colour) for colour, _ in of["sequence"]}
    return found


def _require_own(what: str, played: set[str], colours: Sequence[str], lengths: tuple[float, float]) -> None:
    """Refuse a weight that counts for a yarn that stays, too, unless old and new are as fine."""
    others = sorted(played - set(colours))
    if others and lengths[0] != lengths[1]:
        raise NotInPlace(
            f"{what} counts for yarn {', '.join(others)} too, which stays. Give yarn {', '.join(colours)} "
            "a fabric with a swatch of its own first, and choose it in the yarn parts."
        )


def _extra(typed: str, lengths: tuple[float, float]) -> str:
    """An extra weight as it is typed; a formula is multiplied as it is."""
    try:
        quantity = parse_literal(typed)
    except FormulaError:
        quantity = None
    if quantity is not None and quantity.dimension == WEIGHT:
        return _grams(quantity.number, lengths)
    return typed if lengths[0] == lengths[1] else f"({typed}) * {lengths[0]:.10g} / {lengths[1]:.10g}"


def _grams(weight_g: float, lengths: tuple[float, float]) -> str:
    """A weight in the other yarn, as the sheet types it: to a milligram, finer than makers weigh."""
    return f"{round(grams_in_place(weight_g, *lengths), 3):.10g} g"
