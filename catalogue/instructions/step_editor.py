"""Writing a step: how it prints while it is typed, what is found in it, and drafts that keep themselves."""

from dataclasses import replace
from typing import Any

from django.db import transaction
from django.http import QueryDict

from catalogue.drafts.patterns import graded, read_core
from catalogue.instructions.instructions import step_html
from catalogue.instructions.markdown import markdown_problem
from catalogue.instructions.printed import asked_edition, edition_selects
from catalogue.instructions.row_accounts import UNREADABLE, step_account, stored_verdicts
from catalogue.instructions.typed_choices import typed_here
from catalogue.models import Pattern, Person, WordsDraft
from grading.core.instructions.facts import facts_of
from grading.core.instructions.meant_values import point_at_numbers, without_pointed
from grading.core.instructions.steps import LONGEST_STEP, check_steps
from grading.core.pattern.pattern import SectionEntry

MOST_KEPT = 50


def preview_step(*, pattern: Pattern, section: int, text: str, query: QueryDict) -> dict[str, Any]:
    """A step as it would print in the edition asked for, with what is found in it; nothing is stored."""
    core = read_core(pattern)
    is_known = 0 <= section < len(core.sections)
    title, when = (core.sections[section].title, core.sections[section].when) if is_known else ("", ())
    alone = replace(core, sections=(SectionEntry(title=title, when=when, steps=(text,)),))
    facts, edition = facts_of(core, graded(pattern)), asked_edition(core, query)
    pointers = point_at_numbers(replace(facts, pattern=alone))
    return {
        "printed": step_html(text, facts, edition, when),
        "findings": without_pointed(check_steps(alone), pointers),
        "typed": typed_here(pointers),
        "problem": markdown_problem(text) or "",
        "is_empty": not text.strip(),
    }


def typed_account(*, pattern: Pattern, section: int, step: int, text: str) -> dict[str, Any]:
    """The count of each row of a step as it is typed, in every size; sections and steps count from 0.

    A step below 0 is a new one, behind the others. `lost` counts rows that were read as they are stored and
    can't be read now, `unread` the others that can't be read and were not there.
    """
    made = graded(pattern)
    if not 0 <= section < len(made.pattern.sections) or len(text) > LONGEST_STEP:
        return {"account": (), "sizes": made.sizes, "columns": 0, "lost": 0, "unread": 0}
    steps = len(made.pattern.sections[section].steps)
    place = step if 0 <= step < steps else steps
    account = step_account(made, section, place, text)
    now, before = [row.verdict for row in account], stored_verdicts(made, section, place)
    more = max(0, now.count(UNREADABLE) - before.count(UNREADABLE))
    fewer = len(before) - before.count(UNREADABLE) - len(now) + now.count(UNREADABLE)
    lost = max(0, min(more, fewer))
    told = {"lost": lost, "unread": more - lost}
    return {"account": account, "sizes": made.sizes, "columns": len(made.sizes) + 5, **told}


def step_editor(*, pattern: Pattern, section: int, text: str, query: QueryDict) -> dict[str, Any]:
    """What stands beside the form of a step: the page as printed and the names that can be written."""
    core = read_core(pattern)
    shown = preview_step(pattern=pattern, section=section, text=text, query=query)
    conditions = {
        "first_sizes": "..".join(
            dict.fromkeys(
                one if one.isalnum() else f'"{one}"'
                for one in (core.sizes[0], core.sizes[(len(core.sizes) - 1) // 2])
            )
        ),
        "choices": [
            (one, next((choice for choice in one.choices if choice != one.default), one.default))
            for one in core.options
        ],
    }
    selects = edition_selects(core, asked_edition(core, query))
    return {**shown, **selects, **conditions, "names": names_of(pattern)}


def names_of(pattern: Pattern) -> list[tuple[str, str]]:
    """What may stand in braces, each with what it is."""
    core = read_core(pattern)
    values = [(one.name, one.label) for one in core.values]
    body = [(one.name, one.label) for one in core.body]
    others = [
        *((one.name, "shaping") for one in core.shapings),
        *((f"{one.name} reversed", "shaping from its last row to its first") for one in core.shapings),
        *((one.name, "shaping spread over a row") for one in core.spreads),
        *((one.name, "pick-up") for one in core.pick_ups),
        *((one.name, "stripes") for one in core.stripes),
        *((one.name, "stitch pattern") for one in core.stitch_patterns),
    ]
    ends = ("at start", "at end", "at both ends", "reversed")
    curves = [(f"{one.name} {end}", "curve, row by row") for one in core.curves for end in ends]
    return [*values, *body, *others, *curves]


def keep_draft(*, pattern: Pattern, by: Person, place: str, revision: int, text: str) -> None:
    """Keep what somebody is typing, until it is saved or thrown away."""
    with transaction.atomic():
        WordsDraft.objects.update_or_create(
            pattern=pattern, by=by, place=place, defaults={"text": text, "revision": revision}
        )
        kept = WordsDraft.objects.filter(pattern=pattern, by=by).order_by("-kept_at", "-pk")
        WordsDraft.objects.filter(pk__in=[one.pk for one in kept[MOST_KEPT:]]).delete()


def find_draft(*, pattern: Pattern, by: Person | None, place: str, text: str) -> WordsDraft | None:
    """What somebody typed at a place and did not save; None when it says the same as what stands there."""
    draft = WordsDraft.objects.filter(pattern=pattern, by=by, place=place).first() if by else None
    return draft if draft and draft.text.strip() != text.strip() else None


def drop_draft(*, pattern: Pattern, by: Person | None, place: str) -> None:
    """Forget a draft: it was saved or thrown away."""
    WordsDraft.objects.filter(pattern=pattern, by=by, place=place).delete()
