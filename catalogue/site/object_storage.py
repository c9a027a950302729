"""Files in an object store instead of the data folder."""

import re
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

from catalogue.studio.web_addresses import read_web_address

_BUCKET = re.compile(r"[a-z0-9][a-z0-9._-]{1,62}")
_EXAMPLE = "s3://KEY:SECRET@bucket?endpoint=https://files.studio.example&region=eu-central-1"


def read_storage_url(url: str) -> dict[str, Any]:
    """The storage that an address names.

    Files stay private: they are only ever read by views that check who asks. One is written over whole.
    """
    says = f"EVENROW_S3_URL must look like {_EXAMPLE}."
    try:
        parts = urlsplit(url)
        is_written = parts.scheme == "s3" and bool(_BUCKET.fullmatch(parts.hostname or ""))
        query = parse_qs(parts.query)
        endpoint = read_web_address(query["endpoint"][0]) if "endpoint" in query else None
    except ValueError:
        raise ImproperlyConfigured(says) from None
    if not is_written or (not parts.username) != (not parts.password):
        raise ImproperlyConfigured(says)
    options: dict[str, Any] = {
        "bucket_name": parts.hostname,
        "location": parts.path.strip("/"),
        "default_acl": None,
        "file_overwrite": True,
        "querystring_auth": True,
        "endpoint_url": endpoint,
        "region_name": query.get("region", [None])[0],
    }
    if parts.username:
        options["access_key"] = unquote(parts.username)
        options["secret_key"] = unquote(parts.password or "")
    return {"BACKEND": "catalogue.site.object_store.ObjectStore", "OPTIONS": options}
