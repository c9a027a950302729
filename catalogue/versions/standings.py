"""Which versions hold which mistakes, and where these stand in words: compared once and kept."""

import json
from collections.abc import Collection, Iterable, Sequence
from typing import cast

from catalogue.models import Erratum, Version
from catalogue.versions.frozen_grades import version_digest
from catalogue.versions.frozen_work import Asked, kept_all
from catalogue.versions.records import Record, read_record
from catalogue.versions.spots import Presence, compare_spot, spot_words, spot_words_now

Pair = tuple[Erratum, Version]


def standings(pairs: Sequence[Pair]) -> list[Presence]:
    """Whether each version holds the mistake beside it, by the record that it was found in."""
    return [standing for standing, _ in spots(pairs)]


def is_said_corrected(erratum: Erratum, version: Version) -> bool:
    """Whether the studio has said that a version corrects a mistake: this one, or one before it."""
    corrected = erratum.corrected_in
    return bool(corrected and version.order >= corrected.order) or erratum.pk in version.corrects


def _as_told(pair: Pair, standing: Presence) -> Presence:
    """What a record tells of a mistake; where it can't tell, what the studio has said."""
    return "not in it" if standing == "can't tell" and is_said_corrected(*pair) else standing


def places(pairs: Sequence[Pair]) -> list[str]:
    """The place of each erratum in words, as the version beside it calls it."""
    return [words for _, words in spots(pairs)]


def place_of_version(asked: Iterable[tuple[Version, str]]) -> dict[tuple[int, str], str]:
    """Places in words, each as its version calls it, by the version's key and the place."""
    known = {(version.pk, place): (Erratum(place=place), version) for version, place in asked}
    return dict(zip(known, places(list(known.values())), strict=True))


def found_places(errata: Iterable[Erratum]) -> list[str]:
    """The place of each erratum in words, as the version calls it that it was found in."""
    errata = list(errata)
    known = iter(places([(one, one.found_in) for one in errata if one.found_in]))
    return [next(known) if one.found_in else one.place for one in errata]


def standings_and_places(
    errata: Sequence[Erratum], versions: Sequence[Version]
) -> tuple[list[tuple[Presence, ...]], list[str]]:
    """Whether each version holds each mistake, and places as `found_places` has them: in one question."""
    pairs = [(one, version) for one in errata for version in versions]
    found = iter(spots([*pairs, *((one, one.found_in) for one in errata if one.found_in)]))
    held = [tuple(next(found)[0] for _ in versions) for _ in errata]
    return held, [next(found)[1] if one.found_in else one.place for one in errata]


def _comparison(erratum: Erratum, version: Version) -> Asked:
    """All that a comparison hangs on."""
    found = version_digest(erratum.found_in) if erratum.found_in else ""
    words = json.dumps([erratum.says, erratum.should_say])
    return found, version_digest(version), erratum.place, json.dumps(erratum.sizes), words


def spots(pairs: Sequence[Pair]) -> list[tuple[Presence, str]]:
    """Both of each pair: most pages ask for both. Records are read together, each once."""
    comparisons = [_comparison(*pair) for pair in pairs]
    known = dict(zip(comparisons, pairs, strict=True))

    def make(missing: Collection[Asked]) -> dict[Asked, str]:
        wanted = {
            version.pk
            for asked in missing
            for version in (known[asked][1], known[asked][0].found_in)
            if version
        }
        texts = Version.objects.filter(pk__in=wanted).values_list("pk", "record")
        records = {pk: read_record(text) for pk, text in texts}
        return {asked: json.dumps(_spot(known[asked], records)) for asked in missing}

    made = kept_all("spot", known, make)
    found = [cast("tuple[Presence, str]", tuple(json.loads(made[asked]))) for asked in comparisons]
    return [(_as_told(pair, standing), place) for pair, (standing, place) in zip(pairs, found, strict=True)]


def _spot(pair: Pair, records: dict[int, Record]) -> tuple[str, str]:
    """Whether a record holds a mistake, and what it calls its place."""
    erratum, version = pair
    found, record = records.get(erratum.found_in_id or 0), records[version.pk]
    if found is None:
        return "can't tell", spot_words(erratum.place, record)
    return compare_spot(erratum, found, record), spot_words_now(erratum, found, record)
