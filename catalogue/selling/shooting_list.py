"""Which steps to show in pictures or a video: those without a help that most people found hard."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.conf import settings
from django.utils.module_loading import import_string

from catalogue.drafts.patterns import graded
from catalogue.helps.marks import helps_in, suggested_helps
from catalogue.instructions.count_reasons import counts_found
from catalogue.models import EditQuery, Pattern, TechnicalEdit
from catalogue.versions.followed_versions import Followed, followed_records, followed_versions
from catalogue.versions.freezing import step_text
from catalogue.versions.spots import numbered_step
from catalogue.versions.step_changes import Place
from grading.core.audit.count_findings import CountFault, UnreadRow
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import render_step
from grading.core.printing.edition import PrintForm

MOST_LISTED = 20
LONGEST_WORDS = 300


@dataclass(frozen=True)
class HardStep:
    """A step without a help, and who named it as hard; sections and steps count from 1."""

    section: int
    step: int
    title: str
    words: str
    remarks: int
    questions: int
    queries: int
    counts: int
    suggested: tuple[str, ...]

    @property
    def total(self) -> int:
        """How often it was named in all."""
        return self.remarks + self.questions + self.queries + self.counts

    @property
    def why(self) -> str:
        """Who named it, in words."""
        told = (
            (self.remarks, "tester’s remark", "testers’ remarks"),
            (self.questions, "maker’s question", "makers’ questions"),
            (self.queries, "editor’s query", "editor’s queries"),
            (self.counts, "row in doubt by the count audit", "rows in doubt by the count audit"),
        )
        return ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in told if count)


@dataclass(frozen=True)
class ShootingList:
    """The steps to show, the most named first; how many more were named, and how many have no help at all."""

    steps: list[HardStep]
    more: int
    without_help: int


def shooting_list(pattern: Pattern) -> ShootingList:
    """Gather what testers, makers, the editor and the count audit say of the steps without a help."""
    numbers = graded(pattern)
    core = numbers.pattern
    helped = {place for one in helps_in(core) if one.found for place in one.places}
    named = _named_by(pattern)
    places = [
        (i, j) for i, part in enumerate(core.sections) for j in range(len(part.steps)) if (i, j) not in helped
    ]
    hard = [place for place in places if any(counts[place] for counts in named)]
    hard.sort(key=lambda place: (-sum(counts[place] for counts in named), place))
    suggested: dict[Place, list[str]] = {}
    for one in suggested_helps(core):
        suggested.setdefault((one.section, one.step), []).append(one.found.title)
    facts, home = facts_of(core, numbers), PrintForm(core.home_units, core.home_terms)  # type: ignore[arg-type]
    steps = []
    for i, j in hard[:MOST_LISTED]:
        part = core.sections[i]
        words = step_text(render_step(part.steps[j], facts, home, part.when))
        remarks, questions, queries, counts = (one[i, j] for one in named)
        steps.append(
            HardStep(
                section=i + 1,
                step=j + 1,
                title=part.title,
                words=_shortened(words),
                remarks=remarks,
                questions=questions,
                queries=queries,
                counts=counts,
                suggested=tuple(suggested.get((i, j), ())),
            )
        )
    return ShootingList(steps, max(0, len(hard) - MOST_LISTED), len(places))


def shooting_text(pattern: Pattern, found: ShootingList) -> str:
    """The list as plain text to copy."""
    lines = [f"Shooting list: {pattern.title}", ""]
    for number, one in enumerate(found.steps, 1):
        lines += [f"{number}. {one.title}, step {one.step} ({one.why})", f"   {' '.join(one.words.split())}"]
        lines += [f"   A help that may fit: {title}" for title in one.suggested]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _named_by(pattern: Pattern) -> tuple[Counter[Place], ...]:
    """How often each step of the draft was named: by testers, makers, the editor and the count audit."""
    remarks = import_string(settings.STEP_REMARKS)(pattern)
    asked = [
        (version, place, 1) for version, place in pattern.maker_questions.values_list("version_id", "place")
    ]
    wanted = {version for version, _, _ in [*remarks, *asked]}
    versions = pattern.versions.filter(pk__in=wanted).defer("record")
    followed = followed_versions(versions, pattern.sheet.fingerprint, lambda: graded(pattern).pattern)
    audit = counts_found(pattern)
    return (
        _counted(remarks, followed),
        _counted(asked, followed),
        _queried(pattern),
        Counter([*_places(audit.faults), *_places(audit.unread)]),
    )


def _queried(pattern: Pattern) -> Counter[Place]:
    """How often the editor asked about each step; those of signed rounds are followed since."""
    queries = EditQuery.objects.filter(pattern=pattern)
    signed = queries.exclude(technical_edit=None).values_list("technical_edit_id", "place")
    asked = [(edit, place, 1) for edit, place in signed]
    edits = TechnicalEdit.objects.filter(pk__in={edit for edit, _, _ in asked})
    marks = dict(edits.values_list("pk", "fingerprint"))
    followed: Followed = followed_records(
        marks, edits, pattern.sheet.fingerprint, lambda: graded(pattern).pattern
    )
    places = queries.filter(technical_edit=None).values_list("place", flat=True)
    open_ones = Counter(at for place in places if (at := numbered_step(place)))
    return open_ones + _counted(asked, followed)


def _places(found: Iterable[CountFault | UnreadRow]) -> list[Place]:
    """The steps of what the count audit found."""
    return [(one.section, one.step) for one in found]


def _counted(
    named: Iterable[tuple[int, str, int]], followed: dict[int, dict[Place, Place]]
) -> Counter[Place]:
    """How often each step of the draft was named, where the steps of versions went as told."""
    counts: Counter[Place] = Counter()
    for version, place, count in named:
        at = numbered_step(place)
        if at and (now := followed.get(version, {}).get(at)):
            counts[now] += count
    return counts


def _shortened(words: str) -> str:
    """The words of a step, without the end of a long one."""
    return words if len(words) <= LONGEST_WORDS else f"{words[:LONGEST_WORDS].rstrip()} …"
