"""A tester's own notes: what was sent is changed or deleted."""

import hashlib

from django.db import transaction

from testing.models import EarlierEntry, Entry, Placement, Result
from testing.results.results import keep_earlier, only_writer, save_entry


def save_note(*, placement: Placement, text: str) -> Entry:
    """Keep a note beside those before it; the same one sent again is kept once."""
    return save_entry(placement=placement, part="note", name=_known_by(text), typed={"text": text}, meant={})


@transaction.atomic
def change_note(*, note: Entry, text: str) -> None:
    """Say otherwise what was noted; what it said before goes along with it.

    Where another note says the same already, the two become one.
    """
    result, name = only_writer(Result.objects.get(pk=note.result_id)), _known_by(text)
    stored = Entry.objects.filter(pk=note.pk).first()
    if stored is None or stored.typed == {"text": text}:
        return
    keep_earlier([stored])
    EarlierEntry.objects.filter(result=result, part="note", name=stored.name).update(name=name)
    if Entry.objects.filter(result=result, part="note", name=name).exclude(pk=stored.pk).exists():
        stored.delete()
    else:
        stored.name, stored.typed = name, {"text": text}
        stored.save(update_fields=["name", "typed", "changed_at"])


@transaction.atomic
def delete_note(*, note: Entry) -> None:
    """Take a note back, with all that it said before."""
    result = only_writer(Result.objects.get(pk=note.result_id))
    if stored := Entry.objects.filter(pk=note.pk).first():
        EarlierEntry.objects.filter(result=result, part="note", name=stored.name).delete()
        stored.delete()


def _known_by(text: str) -> str:
    """The name of a note: two of the same words are one."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]
