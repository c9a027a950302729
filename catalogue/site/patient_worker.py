"""The web server's worker: slow clients wait by themselves, and keep nobody from being served.

The server's own worker has a thread for each request from its first byte to its last. So there are many of
those, which read what is sent and send what is answered, each with a limit on its time; the pages are made
by a few others, which never wait for a client.
"""

import errno
import socket
import tempfile
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Any

from gunicorn.workers.gthread import ThreadWorker

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]

AT_ONCE = 8
MOST_CLIENTS = 256
# Ten pictures of 20 MB, and the words to them.
MOST_BODY_BYTES = 210 * 1024 * 1024
IN_MEMORY_BYTES = 256 * 1024


class PatientWorker(ThreadWorker):
    """Reads requests whole before a page is made, and ends what takes too long."""

    HEAD_SECONDS = 20.0
    # 20 MB take a little over two minutes at 1.3 Mbit/s.
    BODY_SECONDS = 300.0
    # From the last byte that was sent to the last that is answered.
    ANSWER_SECONDS = 600.0

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **named)
        self.due: dict[socket.socket, float] = {}

    def load_wsgi(self) -> None:
        """Put the application behind a few threads of its own."""
        super().load_wsgi()
        application: Application = self.wsgi  # type: ignore[has-type]
        self.wsgi = served_whole(application, lambda client: self._give(client, self.ANSWER_SECONDS))

    def handle(self, conn: Any) -> Any:
        """Read the head of a request within its time, then the rest."""
        self._give(conn.sock, self.HEAD_SECONDS)
        try:
            return super().handle(conn)
        finally:
            self.due.pop(conn.sock, None)

    def handle_request(self, req: Any, conn: Any) -> Any:
        """Read the body of a request within its time, and answer."""
        self._give(conn.sock, self.BODY_SECONDS)
        return super().handle_request(req, conn)

    def murder_pending(self) -> None:
        """End connections that are over their time; the server looks every second."""
        super().murder_pending()
        now = time.monotonic()
        for client, until in list(self.due.items()):
            if until < now:
                self.due.pop(client, None)
                with suppress(OSError):  # it has gone by itself
                    client.shutdown(socket.SHUT_RDWR)

    def _give(self, client: socket.socket, seconds: float) -> None:
        """From now on a client has this much time."""
        self.due[client] = time.monotonic() + seconds


def served_whole(application: Application, has_sent: Callable[[socket.socket], None]) -> Application:
    """An application that is asked by a few threads, once a request is there with all its bytes."""
    makers = ThreadPoolExecutor(AT_ONCE, thread_name_prefix="pages")

    def serve(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        if _length(environ) > MOST_BODY_BYTES:
            return _too_large(start_response)
        with read_whole(environ):
            has_sent(environ["gunicorn.socket"])
            return makers.submit(application, environ, start_response).result()

    return serve


def read_whole(environ: dict[str, Any]) -> "tempfile.SpooledTemporaryFile[bytes]":
    """Read what was sent with a request, before anything is made of it.

    Raises:
        ConnectionResetError: The client has gone, or was sent away, before it was complete.
    """
    left, given = _length(environ), environ["wsgi.input"]
    body = tempfile.SpooledTemporaryFile(IN_MEMORY_BYTES)  # noqa: SIM115 the caller closes it
    while left > 0:
        part = given.read(min(left, IN_MEMORY_BYTES))
        if not part:
            body.close()
            raise ConnectionResetError(errno.ECONNRESET, "The client has gone.")
        body.write(part)
        left -= len(part)
    body.seek(0)
    environ["wsgi.input"] = body
    return body


def _length(environ: dict[str, Any]) -> int:
    """How many bytes come with a request; none where it does not say."""
    try:
        return int(environ.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


def _too_large(start_response: Callable[..., Any]) -> list[bytes]:
    """The page for more than any form takes, without reading it."""
    from catalogue.site.errors import too_large

    answer = too_large()
    start_response("413 Content Too Large", list(answer.items()))
    return [answer.content]
