"""Where the steps of versions went in a newer state of their pattern: worked out once and kept."""

import json
from collections.abc import Callable, Collection, Iterable
from typing import Any

from django.db.models import QuerySet

from catalogue.models import Version
from catalogue.versions.frozen_grades import frozen_graded, version_digest
from catalogue.versions.frozen_work import Asked, kept_all
from catalogue.versions.records import frozen_record
from catalogue.versions.step_changes import Place, followed_steps
from grading.core.pattern.pattern import PatternFile

Followed = dict[int, dict[Place, Place]]


def followed_versions(versions: Iterable[Version], mark: str, newer: Callable[[], PatternFile]) -> Followed:
    """Where each step of each version went, by the version's key.

    Args:
        versions: Versions of one pattern; their records are read only where nothing is kept yet.
        mark: What the newer state is known by.
        newer: Gives the newer state, should it be needed.
    """
    marks = {one.pk: version_digest(one) for one in versions}
    return followed_records(marks, Version.objects.all(), mark, newer)


def followed_records(
    marks: dict[int, str], kept_in: QuerySet[Any], mark: str, newer: Callable[[], PatternFile]
) -> Followed:
    """The same of any rows that keep a record.

    Args:
        marks: What the record of each row is known by, by the row's key.
        kept_in: The rows; their `record` is read only where nothing is kept yet.
        mark: What the newer state is known by.
        newer: Gives the newer state, should it be needed.
    """
    asked: dict[Asked, int] = {(digest, mark): pk for pk, digest in marks.items()}

    def make(missing: Collection[Asked]) -> dict[Asked, str]:
        wanted, target = [asked[one] for one in missing], newer()
        records = dict(kept_in.filter(pk__in=wanted).values_list("pk", "record"))
        patterns = {pk: frozen_graded(frozen_record(text)).pattern for pk, text in records.items()}
        steps = {one: followed_steps(patterns[asked[one]], target) for one in missing}
        return {one: json.dumps(list(went.items())) for one, went in steps.items()}

    texts = kept_all("steps followed", asked, make)
    return {
        pk: {(old[0], old[1]): (new[0], new[1]) for old, new in json.loads(texts[digest, mark])}
        for pk, digest in marks.items()
    }
