"""What search engines read of a pattern page: schema.org as JSON-LD, which no browser runs."""

import json
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.safestring import SafeString

from catalogue.models import Photo, Version
from catalogue.versions.records import Record

# What would end the element or open a comment within it, written so that JSON reads the same.
ESCAPES = {ord("<"): "\\u003c", ord(">"): "\\u003e", ord("&"): "\\u0026"}


def linked_data(
    record: Record, releases: Sequence[Version], photos: Iterable[Photo], root: str, path: str
) -> SafeString:
    """The text of the element; of the releases, the newest first, it is about that one."""
    document, version = record["pattern"], releases[0]
    found: dict[str, Any] = {
        "@context": "https://schema.org",
        "@type": "CreativeWork",
        "name": record["title"],
        "description": document.get("summary", ""),
        "genre": f"{document['craft']} pattern",
        "url": root and root + path,
        "version": version.number,
        "datePublished": _day(releases[-1].published_at),
        "dateModified": _day(version.published_at),
        "inLanguage": "en",
        "isAccessibleForFree": version.pattern.is_free,
        "author": {"@type": "Organization", "name": record["studio"]["name"]},
        "material": [yarn["label"] for yarn in document.get("yarns", [])],
        "size": list(record["results"]["sizes"]),
        "image": [f"{root}{photo.largest_url}" for photo in photos if root],
    }
    text = json.dumps({key: part for key, part in found.items() if part not in (None, "", [])})
    return SafeString(text.translate(ESCAPES))


def _day(moment: datetime | None) -> str | None:
    """The day of a moment where the studio is, as ISO 8601 writes it."""
    return timezone.localdate(moment).isoformat() if moment else None
