"""Which versions hold which mistakes, and where these stand in words: compared once and kept."""

import json
from collections.abc import Callable, Collection, Iterable, Sequence
from typing import cast

from catalogue.models import Erratum, Version
from catalogue.versions.frozen_grades import version_digest
from catalogue.versions.frozen_work import Asked, kept_all
from catalogue.versions.records import Record, read_record
from catalogue.versions.spots import Presence, compare_spot, spot_words, spot_words_now

Pair = tuple[Erratum, Version]
Make = Callable[[Pair, dict[int, Record]], str]


def standings(pairs: Sequence[Pair]) -> list[Presence]:
    """Whether each version holds the mistake beside it, by the record that it was found in."""
    known = [(erratum, version) for erratum, version in pairs if erratum.found_in]
    made = _kept_of("standing", {_comparison(*pair): pair for pair in known}, _compared)
    return [
        cast("Presence", made[_comparison(*pair)]) if pair[0].found_in else "can't tell" for pair in pairs
    ]


def places(pairs: Sequence[Pair]) -> list[str]:
    """The place of each erratum in words, as the version beside it calls it."""
    made = _kept_of("place", {_comparison(*pair): pair for pair in pairs}, _in_words)
    return [made[_comparison(*pair)] for pair in pairs]


def place_of_version(asked: Iterable[tuple[Version, str]]) -> dict[tuple[int, str], str]:
    """Places in words, each as its version calls it, by the version's key and the place."""
    known = {(version.pk, place): (Erratum(place=place), version) for version, place in asked}
    return dict(zip(known, places(list(known.values())), strict=True))


def found_places(errata: Iterable[Erratum]) -> list[str]:
    """The place of each erratum in words, as the version calls it that it was found in."""
    errata = list(errata)
    known = iter(places([(one, one.found_in) for one in errata if one.found_in]))
    return [next(known) if one.found_in else one.place for one in errata]


def _comparison(erratum: Erratum, version: Version) -> Asked:
    """All that a comparison hangs on."""
    found = version_digest(erratum.found_in) if erratum.found_in else ""
    words = erratum.should_say if erratum.is_missing_step else erratum.says
    return found, version_digest(version), erratum.place, json.dumps(erratum.sizes), words


def _compared(pair: Pair, records: dict[int, Record]) -> str:
    """What a comparison says."""
    erratum, version = pair
    return compare_spot(erratum, records[erratum.found_in_id or 0], records[version.pk])


def _in_words(pair: Pair, records: dict[int, Record]) -> str:
    """What a record calls a place."""
    erratum, version = pair
    found, record = records.get(erratum.found_in_id or 0), records[version.pk]
    return spot_words_now(erratum, found, record) if found else spot_words(erratum.place, record)


def _kept_of(kind: str, pairs: dict[Asked, Pair], make: Make) -> dict[Asked, str]:
    """What is kept of pairs; the records of those that are not are read together, each once."""

    def make_all(missing: Collection[Asked]) -> dict[Asked, str]:
        wanted = {
            version.pk
            for asked in missing
            for version in (pairs[asked][1], pairs[asked][0].found_in)
            if version
        }
        texts = Version.objects.filter(pk__in=wanted).values_list("pk", "record")
        records = {pk: read_record(text) for pk, text in texts}
        return {asked: make(pairs[asked], records) for asked in missing}

    return kept_all(kind, pairs, make_all)
