"""What the web server itself writes down, in the words of the studio's own log."""

import os
from typing import Any

from django.utils.module_loading import import_string
from gunicorn.glogging import Logger

from catalogue.site.logs import log_formatter


class DiscreetServerLog(Logger):
    """The server's log with addresses, keys and what was asked for left out."""

    def setup(self, cfg: Any) -> None:
        """Set up as the server does, with a formatter of our own."""
        super().setup(cfg)
        made = import_string(log_formatter(os.environ.get("EVENROW_LOG", "").strip()))()
        for log in (self.error_log, self.access_log):
            for handler in log.handlers:
                handler.setFormatter(made)
