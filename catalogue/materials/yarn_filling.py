"""What the sheet leaves open of a colour's yarn, taken from the studio's yarn that was chosen for it."""

from collections.abc import Iterable, Mapping

from catalogue.drafts.edits import edit_document
from catalogue.drafts.patterns import read_core
from catalogue.materials.yarns import Choice
from catalogue.models import Pattern, Person, Yarn
from grading.core.grade.missing_facts import NO_NAME
from grading.core.pattern.pattern import YarnEntry
from grading.sheets.documents import Document

_CALLED = {"label": "name", "length_per_100g": "length in 100 g", "put_up": "ball weight"}


def fill_yarns(*, pattern: Pattern, chosen: Mapping[str, Choice | None], by: Person | None) -> list[str]:
    """Fill what is empty on the sheet from the chosen yarns, in one edit; say what was filled, by colour.

    What is typed stays: the swatch was weighed in that yarn, so its amounts hold for it alone.

    Raises:
        StaleRevision: Another edit came first.
    """
    document = read_core(pattern).typed
    said, entries = list[str](), list[Document]()
    for entry in document.get("yarns", []):
        choice = chosen.get(entry["colour"])
        found = as_typed(choice[0]) if choice else {}
        is_named = not NO_NAME.fullmatch(str(entry.get("label", "")))
        more = {
            key: text for key, text in found.items() if not (is_named if key == "label" else entry.get(key))
        }
        entries.append({**entry, **more})
        if more:
            told = ", ".join(f"{_CALLED[key]} {text}" for key, text in more.items())
            said.append(f"The sheet took for yarn {entry['colour']}: {told}.")
    if said:
        edit_document(
            pattern=pattern,
            revision=pattern.sheet.revision,
            document={**document, "yarns": entries},
            by=by,
        )
    return said


def as_typed(yarn: Yarn) -> dict[str, str]:
    """A yarn as the sheet types it."""
    return {
        "label": ", ".join(filter(None, (yarn.name, yarn.fibre))),
        "length_per_100g": f"{yarn.length_per_100g_m.normalize():f} m",
        "put_up": f"{yarn.put_up_g.normalize():f} g",
    }


def unlike_sheet(roles: Iterable[YarnEntry], chosen: Mapping[str, Choice | None]) -> list[str]:
    """Where the sheet names another yarn than the one that was chosen, one sentence each."""
    return [
        f"The sheet still counts colour {role.colour} in {role.label}, not in {choice[0].name}. If you "
        "change the yarn, use “Put another yarn in its place”: the swatch was weighed in that of the sheet."
        for role in roles
        if (choice := chosen.get(role.colour)) and choice[0].name not in role.label
        if not NO_NAME.fullmatch(role.label)
    ]
