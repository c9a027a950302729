"""Settings for the tests of the whole site."""

import socketserver
import threading

import pytest

from tests.site.kept_press import kept_press, made_before  # noqa: F401  fixtures
from tests.site.kept_world import kept_world, world  # noqa: F401  fixtures


@pytest.fixture
def no_web_server():
    """Host and port of something that answers each caller, but not as a web server does."""

    class Greets(socketserver.BaseRequestHandler):
        def handle(self):
            self.request.recv(4096)
            self.request.sendall(b"220 mail.larkmoss.example at your service\r\n")

    with socketserver.TCPServer(("127.0.0.1", 0), Greets) as server:
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()
        yield "{}:{}".format(*server.server_address)
        server.shutdown()
