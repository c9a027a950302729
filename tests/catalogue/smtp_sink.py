"""A mail server for tests: takes every letter on the loopback, counts them, and keeps none."""

import socketserver
import threading
from collections import Counter
from email import message_from_bytes
from email.message import Message


class _Talk(socketserver.StreamRequestHandler):
    """One connection, as RFC 5321 has it."""

    server: "_Server"

    def handle(self):
        self.say("220 sink")
        to, words = "", {"EHLO": "250 sink", "HELO": "250 sink", "MAIL": "250 ok", "RSET": "250 ok"}
        while line := self.rfile.readline().decode().strip():
            verb = line[:4].upper()
            if verb == "RCPT":
                to = line.partition("<")[2].rstrip(">")
                self.say(self.server.sink.answer_to(to))
            elif verb == "DATA":
                self.say("354 go on")
                if self.take(to):
                    self.say("250 taken")
            elif verb == "QUIT":
                self.say("221 bye")
                return
            else:
                self.say(words.get(verb, "502 no"))

    def take(self, to):
        """Read a letter up to its dot; a connection that ends before that has handed nothing over."""
        lines: list[bytes] = []
        while line := self.rfile.readline():
            if line == b".\r\n":
                self.server.sink.keep(to, b"".join(lines))
                return True
            lines.append(line[1:] if line.startswith(b"..") else line)
        return False

    def say(self, words):
        self.wfile.write(f"{words}\r\n".encode())


class _Server(socketserver.ThreadingTCPServer):
    sink: "Sink"
    daemon_threads = True
    allow_reuse_address = True

    def handle_error(self, request, client_address):
        """A sender that was killed leaves a broken connection: that is what is tested."""


class Sink:
    """The server with what it took: how many letters for each address, and the last letter."""

    def __init__(self):
        self.taken: Counter[str] = Counter()
        self.names: Counter[str] = Counter()
        self.last: Message | None = None
        self.refusing: dict[str, str] = {}
        self.lock = threading.Lock()
        self.server = _Server(("127.0.0.1", 0), _Talk)
        self.server.sink = self
        self.port = self.server.server_address[1]
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def answer_to(self, address):
        return self.refusing.get(address, "250 ok")

    def keep(self, address, content):
        letter = message_from_bytes(content)
        with self.lock:
            self.taken[address] += 1
            self.names[letter["Message-ID"]] += 1
            self.last = letter

    @property
    def count(self):
        return self.taken.total()

    def close(self):
        self.server.shutdown()
        self.server.server_close()
