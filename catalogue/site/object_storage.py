"""Files in an object store instead of the data folder."""

from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

_EXAMPLE = "s3://KEY:SECRET@bucket?endpoint=https://files.studio.example&region=eu-central-1"


def read_storage_url(url: str) -> dict[str, Any]:
    """The storage that an address names.

    Files stay private: they are only ever read by views that check who asks. One is written over whole.
    """
    parts = urlsplit(url)
    if parts.scheme != "s3" or not parts.hostname:
        raise ImproperlyConfigured(f"EVENROW_S3_URL must look like {_EXAMPLE}")
    query = parse_qs(parts.query)
    options: dict[str, Any] = {
        "bucket_name": parts.hostname,
        "location": parts.path.strip("/"),
        "default_acl": None,
        "file_overwrite": True,
        "querystring_auth": True,
        "endpoint_url": query.get("endpoint", [None])[0],
        "region_name": query.get("region", [None])[0],
    }
    if parts.username:
        options["access_key"] = unquote(parts.username)
        options["secret_key"] = unquote(parts.password or "")
    return {"BACKEND": "catalogue.site.object_store.ObjectStore", "OPTIONS": options}
