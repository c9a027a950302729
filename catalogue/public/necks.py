"""Whether a garment for a child goes over the head, as the page of its pattern says it."""

from catalogue.editions.sources import Source
from grading.core.grade.neck_openings import NeckOverHead, has_neck, necks_over_heads, opening_words
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.measures import length_range

FITS = {"goes over": "goes over", "stretched": "goes over when stretched", "tight": "may be tight"}


def neck_lines(source: Source) -> list[str]:
    """One line that it opens, or one for each size kept; none where no head is asked for."""
    pattern = source.facts.pattern
    if not has_neck(pattern) or not _asks_for_head(pattern):
        return []
    if where := opening_words(pattern):
        return [f"Opens {where}: it needn’t go over the head."]
    sizes = {pattern.sizes[place] for place in source.kept}
    return [_line(one, source) for one in necks_over_heads(pattern, source.graded.joins) if one.size in sizes]


def _asks_for_head(pattern: PatternFile) -> bool:
    """Whether a child wears it, or a head is measured."""
    return pattern.wearer in ("child", "baby") or any(one.name == "head" for one in pattern.body)


def _line(one: NeckOverHead, source: Source) -> str:
    neck, head = (
        length_range([mm], source.edition, source.facts.pattern.wording) for mm in (one.neck_mm, one.head_mm)
    )
    return f"{one.size}: neck opening {neck}; head {head}: {FITS[one.fit]}."
