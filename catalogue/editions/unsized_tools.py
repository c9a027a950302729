"""What must hold the stitches of a pattern that names no size of its tools: only kinds and lengths."""

from dataclasses import replace

from catalogue.editions.sources import Source
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.tools.needs import holding_words, tool_needs
from grading.core.tools.tools import lengths_from

# Which one is of no matter: only whether a fabric is worked with a tool at all.
_ANY_MM = 1.0


def held_by(source: Source) -> str:
    """Kinds and lengths of needles, or of hooks with a cord; empty where any does, or in older wordings."""
    pattern = source.facts.pattern
    if pattern.wording <= WIDE_WORDING or any(one.tool_mm for one in pattern.fabrics):
        return ""
    made = replace(pattern, fabrics=tuple(replace(one, tool_mm=_ANY_MM) for one in pattern.fabrics))
    voice = source.facts.voice(source.edition, None if source.edition.only is None else tuple(source.kept))
    worked = {name: value.worked for name, value in source.graded.values.items()}
    needs = tool_needs(made, worked, lengths_from(source.record.get("tool_lengths", {})))
    told = [holding_words(need, voice, source.edition.units) for need in needs]
    return "; ".join(dict.fromkeys(one for one in told if one))
