"""What `check --deploy` looks at beside Django's own checks."""

from typing import Any

from django.conf import settings
from django.core.checks import Tags, Warning, register  # noqa: A004 as Django calls it

ON_THIS_MACHINE = ("", "localhost", "127.0.0.1", "::1")
# These never speak openly (PostgreSQL's documentation, “SSL Mode Descriptions”).
ENCRYPTED = ("require", "verify-ca", "verify-full")


@register(Tags.security, deploy=True)
def database_is_asked_by_tls(**_: Any) -> list[Warning]:
    """A database on another machine is asked by TLS."""
    says = tls_trouble(settings.DATABASES["default"])
    return [Warning(says, id="evenrow.W001")] if says else []


def tls_trouble(database: dict[str, Any]) -> str:
    """Why what goes to a database may be read on its way, and what to do; nothing where it can't."""
    host, mode = str(database.get("HOST", "")), database.get("OPTIONS", {}).get("sslmode")
    if "postgresql" not in database["ENGINE"] or host in ON_THIS_MACHINE or host.startswith("/"):
        return ""
    if mode in ENCRYPTED:
        return ""
    return f"The database on {host} may be asked without TLS: end DATABASE_URL with ?sslmode=verify-full."
