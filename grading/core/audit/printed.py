"""What a step prints by reference, worked row by row: shapings, curves and spreads."""

import re
from dataclasses import replace

from grading.core.audit.cells import Beneath
from grading.core.audit.counts import split_said
from grading.core.audit.courses import Planned, course_of, together
from grading.core.audit.row_states import UNKNOWN_HERE
from grading.core.audit.rows import NO_COUNT, Audited
from grading.core.audit.sentences import Sentence, names_several_places, statement_of
from grading.core.audit.size_states import SizeState, disagrees, unread
from grading.core.audit.statement_kinds import Pieces
from grading.core.audit.tokens import cut_tokens
from grading.core.audit.tree import Said
from grading.core.instructions.references import Reference


def work_printed(state: SizeState, sentence: Sentence, reference: Reference) -> Audited | None:
    """Work a reference that prints lines of its own; None when it changes no count."""
    kind = state.audit.facts.kinds.get(reference.name)
    if reference.form == "words":
        return None
    wrong = _contradiction(state, reference, kind or "")
    against, is_sure = _described_otherwise(state, sentence, reference) if kind == "shaping" else ("", False)
    if is_sure:
        wrong = wrong or against
    counts = _said_after(state, sentence, reference)
    said = state.said_number(counts)
    if kind == "curve":
        change = _curve_change(state, reference)
    elif kind == "spread":
        change = _spread_change(state, reference.name)
    else:
        change = _shaping_change(state, reference)
    beside = _typed_beside(state, reference) if kind == "shaping" else ""
    if isinstance(change, Audited):
        return replace(change, verdict="disagrees", says=beside) if beside else change
    wrong = wrong or _told_otherwise(state, reference) or beside
    audited = _changed(state, change, said)
    if wrong:
        return replace(audited, verdict="disagrees", says="; ".join(filter(None, (audited.says, wrong))))
    is_without_count = counts is not None and bool(counts.stitches) and said is None
    doubt = against or (NO_COUNT if is_without_count else "")
    if doubt and audited.verdict == "agrees":
        return replace(audited, verdict="unreadable", says=doubt)
    return audited


_ROWS_NAMED = re.compile(
    r"\bwork \{([a-z][a-z0-9_]*)\} (?:rows|rounds)\b(?: in all\b)?[^.;]*:\s*$", re.IGNORECASE
)
_END_NAMED = re.compile(
    r"\bat the (?:\{side )?(start|beginning|end)\}? of (?:the |these |all )?"
    r"(?:(?:right|wrong)-side )?rows:\s*$",
    re.IGNORECASE,
)


def _contradiction(state: SizeState, reference: Reference, kind: str) -> str:
    """Say how what is printed goes against the words just before it; nothing where it does not."""
    if kind == "curve":
        named = _END_NAMED.search(state.preceding)
        end = named.group(1).lower().replace("beginning", "start") if named else ""
        if end and reference.form in ("start", "end") and end != reference.form:
            named_end = f"the words before it say the {end} of the rows"
            return f"{named_end}, and it is for their {reference.form}"
    if kind != "shaping" or reference.form != "plain":
        return ""
    shaping = next(one for one in state.audit.pattern.shapings if one.name == reference.name)
    over = state.audit.facts.row(shaping.over)[state.size]
    named = _ROWS_NAMED.search(state.preceding)
    rows = state.number_of(named.group(1)) if named else None
    if rows is not None and over is not None and rows != int(over):
        return f"it is shaped over {int(over)} rows, and the words before it say {rows}"
    return ""


def _told_otherwise(state: SizeState, reference: Reference) -> str:
    """Say how many rows a plan has, where the words that lead to it say another number."""
    told = state.told_rows
    said = None if told is None else state.resolve(told.rows)
    if told is None or said is None or told.above is not None or told.part is not None:
        return ""
    names = (reference.name, *(reference.extra if reference.form == "with" else ()))
    plans = [state.audit.planned(reference, name)[state.size] for name in names]
    rows = max((plan.rows for plan in plans if plan is not None), default=said)
    if rows == said or (told.total and said == state.rows_worked):
        return ""
    return f"it is shaped over {rows} rows, and the words before it say {said}"


_NUMBER = r"(?P<n>\d+|once|twice|two|three|four|five|six|seven|eight|nine|ten)"
_OFTEN = re.compile(
    rf"\b(?:decreas|increas|dec|inc)\w*\b[^.;:]*\bevery\b[^.;:]*?\b{_NUMBER} times\b"
    r"[^.;:{]*(?:\{[^}]*\}[^.;:{]*)*:\s*$",
    re.IGNORECASE,
)
# “Work both increases”, “work the increase round”: what a row described before does.
_THE_DESCRIBED = re.compile(
    r"\b(?:both|these|the) (?:increase|decrease)s?\b"
    r"|\b(?:an?|one|the) (?:\w+ )?(?:increase|decrease|inc|dec) (?:row|round|rnd)\b",
    re.IGNORECASE,
)
_EACH_TIME = re.compile(
    r"^\s*(?:\([^)]*\)\s*)?"
    r"(?:these are|(?:each|every) (?:time|(?:(?:decrease|increase) )?(?:row|round))\b[^.;]*?\bby)"
    rf" {_NUMBER} (?:sts|stitches)\b(?P<rest>[^.;]*)",
    re.IGNORECASE,
)
# “That is {taper_decreases} decrease rounds.”
_IN_ALL = re.compile(
    r"^\s*(?:that is|these are|this makes) (?P<n>\d+|\{[^{}|]*\}) (?:decrease|increase)\b", re.IGNORECASE
)
_SMALL = {"once": 1, "twice": 2} | {
    word: number
    for number, word in enumerate(("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"), 2)
}


def _typed_beside(state: SizeState, reference: Reference) -> str:
    """Say how often, or by how many stitches, a shaping is worked where the words beside it say otherwise."""
    if reference.form != "plain":
        return ""
    plan = state.audit.planned(reference, reference.name)[state.size]
    shaping = next(one for one in state.audit.pattern.shapings if one.name == reference.name)
    each = state.audit.facts.row(shaping.each)[state.size]
    often = _OFTEN.search(state.preceding)
    if plan is not None and often is not None:
        times = _typed_number(often["n"])
        if times != len(plan.changes):
            return f"it is shaped {len(plan.changes)} times, and the words before it say {times}"
    in_all = _IN_ALL.match(state.following.text) if state.following else None
    told = state.printed_number(in_all["n"]) if in_all else None
    if plan is not None and told not in (None, len(plan.changes)):
        return f"it is shaped {len(plan.changes)} times, and the words after it say {told}"
    beside = _EACH_TIME.match(state.following.text) if state.following else None
    if beside is None or not each:
        return ""
    number = _typed_number(beside["n"])
    if number == int(each) or re.search(r"\b(?:in all|altogether|together)\b", beside["rest"], re.IGNORECASE):
        return ""
    return f"it changes {int(each)} sts at a time, and the words after it say {number}"


def _typed_number(word: str) -> int:
    return int(word) if word.isdecimal() else _SMALL[word.lower()]


def _described_otherwise(state: SizeState, sentence: Sentence, reference: Reference) -> tuple[str, bool]:
    """Say how a shaping changes other counts than the rows described for it, and whether that is sure.

    One row alone is meant where no words name several places; of several rows none need be worked by itself.
    """
    shaping = next(one for one in state.audit.pattern.shapings if one.name == reference.name)
    each = state.audit.facts.row(shaping.each)[state.size]
    is_told_elsewhere = bool(shaping.words) and _THE_DESCRIBED.search(shaping.words or "") is None
    if is_told_elsewhere or reference.form != "plain" or not each:
        return "", False
    changes, state.described = [abs(change) for change in state.described if change], []
    following = state.following.text if state.following else ""
    is_in_several = names_several_places(sentence.text) or names_several_places(following)
    if is_in_several or not changes or any(change % int(each) == 0 for change in (*changes, sum(changes))):
        return "", False
    told = " or ".join(str(change) for change in sorted(set(changes)))
    says = f"it changes {int(each)} sts at a time, and the row that is described changes {told}"
    return says, len(changes) == 1


def _changed(state: SizeState, change: int, said: int | None) -> Audited:
    state.go_on_from_before()
    stitches = state.stitches()
    if stitches is None:
        if said is not None:
            state.account.beneath = Beneath.of_count(said)
        return unread(UNKNOWN_HERE)
    now = stitches + change
    state.account.beneath = Beneath.of_count(max(0, now))
    if now < 0:
        return disagrees(now, f"takes {-change} of {stitches} stitches")
    if said is not None and said != now:
        return Audited(stitches, 0, now, 0, said, "disagrees", f"says {said}, worked {now}")
    return Audited(stitches, 0, now, 0, said, "agrees", "")


def _said_after(state: SizeState, sentence: Sentence, reference: Reference) -> Said | None:
    place = reference.offset - sentence.start + len(reference.source)
    _, said = split_said(cut_tokens(sentence.text[place:]), state.craft)
    return said


def _shaping_change(state: SizeState, reference: Reference) -> int | Audited:
    names = (reference.name, *(reference.extra if reference.form == "with" else ()))
    plans = [state.audit.planned(reference, name)[state.size] for name in names]
    found = [plan for plan in plans if plan is not None]
    if len(found) < len(names):
        state.account.beneath = Beneath.unknown()
        return unread(f"{' with '.join(names)} can't be worked in this size")
    pieces, of_a_part = _pieces_after(state)
    start, end = _shaping_ends(state, reference)
    stitches = state.stitches()
    begins_otherwise = len(names) == 1 and pieces == 1 and not of_a_part and stitches != start
    if stitches is not None and begins_otherwise:
        state.account.beneath = Beneath.of_count(None if stitches >= 2 * start else end)
        if stitches >= 2 * start:
            return unread(
                f"it begins with {start} sts, and there are {stitches}: in how many places is not said"
            )
        return disagrees(end, f"begins with {start}, there are {stitches}")
    return _follow(state, together([plan.times(pieces) for plan in found]))


def _follow(state: SizeState, plan: Planned) -> int:
    """Work a plan row by row, in the rows of the one before where both are said to run at once."""
    at_once = state.planned if state.together or state.meanwhile else None
    state.together = state.meanwhile = False
    if at_once is None or state.rows_worked is None:
        state.planned = None if state.rows_worked is None else (state.rows_worked, state.stitches(), [plan])
        begun, stitches, plans = state.rows_worked, state.stitches(), [plan]
    else:
        begun, stitches, plans = at_once
        plans.append(plan)
        state.is_joint = True
    if begun is None:
        return plan.change
    whole = together(plans)
    state.begun, state.begun_on, state.rows_worked = begun, stitches, begun + whole.rows
    if stitches is not None:
        state.account.course += course_of(whole, row=begun, stitches=stitches)
    return plan.change


def _pieces_after(state: SizeState) -> tuple[int, bool]:
    """In how many places a shaping is worked, and whether beside others, as the sentence after it says."""
    statements, _ = statement_of(state.following.text, state.craft) if state.following else (None, None)
    said = next((one for one in statements or () if isinstance(one, Pieces)), Pieces(1))
    return state.resolve(said.number) or 1, said.of_a_part


def _shaping_ends(state: SizeState, reference: Reference) -> tuple[int, int]:
    shaping = next(shaping for shaping in state.audit.pattern.shapings if shaping.name == reference.name)
    counts = (shaping.start, shaping.end)
    ends = counts[::-1] if reference.form == "reversed" else counts
    start, end = (state.audit.facts.row(count)[state.size] for count in ends)
    return int(start or 0), int(end or 0)


def _curve_change(state: SizeState, reference: Reference) -> int | Audited:
    plan = state.audit.planned(reference, reference.name)[state.size]
    if plan is None:
        state.account.beneath = Beneath.unknown()
        return unread(f"{reference.name} can't be worked in this size")
    state.go_on_from_before()
    if reference.form in ("start", "end"):
        state.edges.append((reference.name, reference.form))
    if reference.form == "ends":
        state.edges += [(reference.name, "start"), (reference.name, "end")]
    return _follow(state, plan)


def _spread_change(state: SizeState, name: str) -> int | Audited:
    spread = next(spread for spread in state.audit.pattern.spreads if spread.name == name)
    change, within = (state.audit.facts.row(count)[state.size] for count in (spread.change, spread.within))
    if change is None or within is None:
        return unread(f"{name} has no numbers in this size")
    stitches = state.stitches()
    if stitches is not None and stitches != int(within) * spread.each:
        return disagrees(stitches, f"is spread over {int(within) * spread.each}, there are {stitches}")
    if state.rows_worked is not None:
        state.rows_worked += 1
    return int(change) * spread.each
