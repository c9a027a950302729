"""What the web server itself writes down, in the words of the studio's own log."""

from typing import Any

from gunicorn.glogging import Logger

from catalogue.site.logs import DiscreetFormatter


class DiscreetServerLog(Logger):
    """The server's log with addresses, keys and what was asked for left out."""

    def setup(self, cfg: Any) -> None:
        """Set up as the server does, with a formatter of our own."""
        super().setup(cfg)
        for log in (self.error_log, self.access_log):
            for handler in log.handlers:
                handler.setFormatter(DiscreetFormatter())
