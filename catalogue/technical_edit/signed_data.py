"""What of a signed state is data: all but the sentences that the program makes of it.

A later program may say the same in other words, or keep more of it. That alone must not cost a signature.
"""

from typing import Any

from catalogue.versions.records import Record

# Sentences of the program, and the number of its wording; they follow from the rest.
SENTENCES = ("wording", "words", "ended_yarns", "ended_names")
OF_A_SUBSTITUTE = ("colour", "name", "put_up_g", "length_per_100g_m", "old_length_per_100g_m")


def is_same_data(signed: Record, now: Record) -> bool:
    """Whether two states hold the same data, both as read back from their records."""
    by_name = "ended_names" in signed
    return _data_of(signed, by_name=by_name) == _data_of(now, by_name=by_name)


def _data_of(state: Record, *, by_name: bool) -> dict[str, Any]:
    """The data of a state; yarns no longer made by their names, or their number where it has no names."""
    data = {name: part for name, part in state.items() if name not in SENTENCES}
    data["results"] = {name: part for name, part in state["results"].items() if name != "findings"}
    data["substitutes"] = [
        {name: one[name] for name in OF_A_SUBSTITUTE} for one in state.get("substitutes", ())
    ]
    data["ended"] = state.get("ended_names", []) if by_name else len(state.get("ended_yarns", ()))
    return data
