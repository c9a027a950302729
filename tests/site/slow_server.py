"""A web server with the studio's worker and a page of one word, and clients that send a byte at a time."""

import os
import select
import socket
import subprocess
import sys
import time
from contextlib import contextmanager

from catalogue.site.patient_worker import PatientWorker
from tests.site.running_studio import ROOT

HEAD = b"GET / HTTP/1.1\r\nHost: larkmoss.example\r\nX-Slow: "
BODY = b"POST / HTTP/1.1\r\nHost: larkmoss.example\r\nContent-Length: 1000\r\n\r\n"


class HastyWorker(PatientWorker):
    """The studio's worker with little patience, so that tests need not wait."""

    HEAD_SECONDS = BODY_SECONDS = 2.0


def page(environ, start_response):
    """How much was sent, and which process answers."""
    size = len(environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0)))
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [f"{size} bytes".encode()]


@contextmanager
def serving(*, worker="catalogue.site.patient_worker.PatientWorker", threads=256):
    """A server on a socket of ours, ready to answer."""
    with socket.create_server(("127.0.0.1", 0), backlog=2048) as listening:
        given = listening.fileno()
        options = ["--bind", f"fd://{given}", "--worker-class", worker, "--threads", str(threads)]
        quiet = ["--log-level", "warning", "--no-control-socket", "--chdir", str(ROOT)]
        command = [sys.executable, "-m", "gunicorn", *options, *quiet, "tests.site.slow_server:page"]
        process = subprocess.Popen(command, cwd=ROOT, pass_fds=[given], env={**os.environ})
        try:
            yield listening.getsockname()
        finally:
            process.terminate()
            process.wait(30)


def visit(address, sent=b"", *, seconds=60.0):
    """What an ordinary visitor is answered; nothing when it takes too long."""
    with socket.create_connection(address) as client:
        client.settimeout(seconds)
        length = f"Content-Length: {len(sent)}\r\n" if sent else ""
        method = "POST" if sent else "GET"
        head = f"{method} / HTTP/1.1\r\nHost: larkmoss.example\r\nConnection: close\r\n{length}\r\n"
        client.sendall(head.encode() + sent)
        answer = b""
        try:
            while part := client.recv(65_536):
                answer += part
        except TimeoutError:
            return ""
    return answer.decode()


class SlowClients:
    """Clients that have begun to send, in the head or in the body, and never come to an end."""

    def __init__(self, address, count):
        self.clients = [socket.create_connection(address) for _ in range(count)]
        for number, client in enumerate(self.clients):
            client.sendall(BODY if number % 2 else HEAD)
            client.setblocking(False)

    def send_a_byte(self):
        """Each sends one more byte; return how many are still heard."""
        return sum(self._send(client) for client in self.clients)

    def _send(self, client):
        try:
            client.send(b"x")
            ready, _, _ = select.select([client], [], [], 0)
            return not ready or client.recv(1) != b""
        except OSError:
            return False

    def wait_until_sent_away(self, seconds):
        until = time.monotonic() + seconds
        while heard := self.send_a_byte():
            assert time.monotonic() < until, f"{heard} are still heard."
            time.sleep(0.05)

    def close(self):
        for client in self.clients:
            client.close()
