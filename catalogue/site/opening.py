"""What both ways of opening a studio do before server and worker start."""

import warnings

from django.core.management import call_command


def prepare() -> None:
    """Bring database and static files up to date."""
    call_command("migrate", interactive=False, verbosity=0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        call_command("collectstatic", interactive=False, verbosity=0)
