"""What the reader of a version is to know first: a newer release, and the corrections to theirs."""

from collections.abc import Container
from typing import Any

from catalogue.errata.errata import errata_of_version
from catalogue.models import Version
from catalogue.models.selling import open_shops
from catalogue.versions.spots import ApplyingErratum
from catalogue.versions.versions import current_release


def since_of(version: Version, held: Container[Version | None] = ()) -> dict[str, Any]:
    """A newer release, whether it is among those `held`, the corrections to this version, those it has."""
    current = current_release(version.pattern)
    newer = current if current and current.order > version.order else None
    applying = errata_of_version(version)
    return {
        "newer": newer,
        "has_newer": newer in held,
        "shops": open_shops(version.pattern) if newer else [],
        "applying": applying,
        "mended": [one for one in applying if _is_mended(one)],
    }


def _is_mended(one: ApplyingErratum) -> bool:
    """Whether a release has the correction."""
    return one.erratum.corrected_in is not None and one.erratum.corrected_in.kind == "release"
