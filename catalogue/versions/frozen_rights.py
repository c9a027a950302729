"""The rights in a pattern and the use of finished items, as they are frozen with a version."""

from copy import deepcopy
from datetime import date
from typing import Any

from catalogue.models import Pattern, RightsNote, SellingFacts


def renew_rights(pattern: Pattern) -> None:
    """Keep with a pattern what its next version prints: notes on rights, and the use of finished items.

    They are sentences, so that a version goes on printing what it printed; nothing is kept where there is
    nothing to print.
    """
    facts = SellingFacts.objects.filter(pattern=pattern).first()
    notes = [rights_words(note) for note in RightsNote.objects.filter(pattern=pattern)]
    use = facts.finished_use.replace("\r\n", "\n").strip() if facts else ""
    pattern.rights = {key: part for key, part in (("notes", notes), ("finished_use", use)) if part}
    Pattern.objects.filter(pk=pattern.pk).update(rights=pattern.rights)


def rights_on(pattern: Pattern, day: date) -> dict[str, Any]:
    """What a version of a day prints: rights that came back until then are told as past."""
    if not pattern.rights.get("notes"):
        return deepcopy(pattern.rights)
    back = RightsNote.objects.filter(pattern=pattern, back_on__lte=day)
    past = {rights_words(note): rights_words(note, is_past=True) for note in back}
    return {**deepcopy(pattern.rights), "notes": [past.get(one, one) for one in pattern.rights["notes"]]}


def rights_words(note: RightsNote, *, is_past: bool = False) -> str:
    """What is printed of rights: the studio's own words, then whose they are or were, and until when."""
    said = note.says.strip()
    own = f"{said}{'' if said.endswith(('.', '!', '?')) else '.'} " if said else ""
    since = f" since {_day(note.since)}" if note.since else ""
    has, come = ("had", "came") if is_past else ("has", "come")
    until = f"; they {come} back to the designer on {_day(note.back_on)}" if note.back_on else ""
    return f"{own}{note.whose} ({note.get_kind_display()}) {has} rights in this pattern{since}{until}."


def _day(day: date) -> str:
    """A day as it is printed."""
    return f"{day.day} {day:%B %Y}"
