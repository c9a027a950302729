"""How many testers were stuck at a help, pattern by pattern and step by step; nobody is named."""

from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from catalogue.models import Help, Version
from catalogue.versions.records import frozen_record
from catalogue.versions.spots import spot_words
from testing.models import Remark, Result, TestCall


@dataclass(frozen=True)
class StuckSteps:
    """A call whose testers worked with a help: how many they are, how many were stuck, and where."""

    call: TestCall
    testers: int
    stuck: int
    steps: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class AskedHelp:
    """All calls of a help, the one with the most testers stuck first."""

    testers: int
    stuck: int
    calls: tuple[StuckSteps, ...]


def asked_help(found: Help) -> AskedHelp:
    """Count the testers of each version that has a help, and those who said that they were stuck at it."""
    results = Result.objects.filter(version__frozen_helps__help=found)
    testers = dict(results.values_list("call").annotate(many=Count("pk", distinct=True)))
    remarks = Remark.objects.filter(help=found, result__in=results)
    stuck = dict(remarks.values_list("result__call").annotate(many=Count("result", distinct=True)))
    steps: dict[int, list[tuple[str, int]]] = {}
    for (call, words), many in _by_step(remarks).items():
        steps.setdefault(call, []).append((words, many))
    calls = TestCall.objects.filter(pk__in=testers).select_related("pattern")
    told = [
        StuckSteps(one, testers[one.pk], stuck.get(one.pk, 0), tuple(steps.get(one.pk, ()))) for one in calls
    ]
    told.sort(key=lambda one: (-one.stuck, one.call.pattern.title.casefold(), one.call.pk))
    return AskedHelp(sum(testers.values()), sum(stuck.values()), tuple(told))


def _by_step(remarks: QuerySet[Remark]) -> dict[tuple[int, str], int]:
    """How many testers of a call were stuck at each step, by the words of the step's place."""
    counted = remarks.order_by("place").values_list("result__call", "result__version", "place")
    rows = list(counted.annotate(many=Count("result", distinct=True)))
    versions = Version.objects.in_bulk([version for _, version, _, _ in rows])
    found: dict[tuple[int, str], int] = {}
    for call, version, place, many in rows:
        key = (call, spot_words(place, frozen_record(versions[version].record)))
        found[key] = found.get(key, 0) + many
    return found


def asked_for_page(found: Help) -> SafeString:
    """What the page of a help shows of the testers who were stuck at it."""
    return render_to_string("testing/_asked_help.html", {"asked": asked_help(found)})
