"""What to know before the length of a yarn is changed: the swatch was weighed in the yarn before."""

from grading.entries.forms import EntryForm
from grading.grid.shown_numbers import decimal_text, in_units, unit_of
from grading.sheets.kept_sheets import KeptSheet


def yarn_notes(form: EntryForm, units: str) -> list[str]:
    """A warning where a yarn gets another length in 100 g and its amounts hang on a weighed swatch."""
    if form.part != "yarns" or form.states is None or form.errors:
        return []
    standing, after = form.states
    was, new = _most_metres(standing, str(form.name)), _most_metres(after, form.new_name)
    if was is None or new is None or abs(was - new) < 0.5:
        return []
    unit = unit_of("yarn", units)
    moves = "falls" if new < was else "rises"
    before, now = (decimal_text(in_units(one, "yarn", units), 0) for one in (was, new))
    return [
        (
            "The swatch was weighed in the yarn before, and its grams stay. So the length needed "
            f"{moves} from {before} to {now} {unit} in the size that takes most. If you change the yarn, use "
            "“Put another yarn in its place” on the yarn page."
        )
    ]


def _most_metres(sheet: KeptSheet, colour: str) -> float | None:
    """The most metres of a colour over all sizes and options; None where they are not known."""
    needs = [need["colours"].get(colour) for need in sheet.graded.as_json()["yarn"]]
    known = [one for need in needs if need for one in need["length"] if one is not None]
    return max(known, default=None)
