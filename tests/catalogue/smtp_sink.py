"""A mail server for tests: takes letters on the loopback and counts them, or refuses at a stage."""

import socket
import socketserver
import ssl
import threading
from collections import Counter
from email import message_from_bytes
from email.message import Message

USUAL = {"HELO": "250 ok", "RSET": "250 ok", "AUTH": "235 welcome"}


def address_in(words):
    """The address between angle brackets."""
    return words.partition("<")[2].partition(">")[0]


class _Talk(socketserver.StreamRequestHandler):
    """One connection, as RFC 5321 has it."""

    server: "_Server"

    def handle(self):
        self.to = ""
        if not self.answer("greeting", "220 sink"):
            return
        answers = {
            "EHLO": self.greet, "STAR": self.turn_to_tls, "MAIL": self.note_sender,
            "RCPT": self.note_recipient, "DATA": self.take,
        }  # fmt: skip
        while line := self.rfile.readline().decode().strip():
            verb, rest = line[:4].upper(), line[4:]
            if verb in answers:
                if answers[verb](rest) is False:
                    return
            elif verb == "QUIT":
                self.say("221 bye")
                return
            else:
                self.answer(verb, USUAL.get(verb, "502 no"))

    def greet(self, _):
        offers = [f"250-{one}" for one in self.server.sink.offers]
        self.answer("EHLO", "\r\n".join([*offers, "250 sink"]))

    def turn_to_tls(self, _):
        if self.answer("STARTTLS", "220 go on"):
            self.connection = self.server.sink.tls.wrap_socket(self.connection, server_side=True)
            self.rfile, self.wfile = self.connection.makefile("rb"), self.connection.makefile("wb", 0)

    def note_sender(self, rest):
        self.server.sink.senders.append(address_in(rest))
        self.answer("MAIL", "250 ok")

    def note_recipient(self, rest):
        self.to = address_in(rest)
        self.answer("RCPT", self.server.sink.refusing.get(self.to, "250 ok"))

    def answer(self, stage, usual):
        """Answer as the sink was told to, or as usual; say whether that means to go on."""
        if self.server.sink.on_stage:
            self.server.sink.on_stage(stage)
        words = self.server.sink.answers.get(stage, usual)
        if words == "close":
            self.connection.shutdown(socket.SHUT_RDWR)  # closing alone waits for who still reads
        else:
            self.say(words)
        return words[0] in "23"

    def take(self, _):
        """Read a letter up to its dot; a connection that ends before that has handed nothing over."""
        sink, lines = self.server.sink, []
        if not self.answer("DATA", "354 go on"):
            return True
        while (line := self.rfile.readline()) != b".\r\n":
            if not line:
                return False
            lines.append(line[1:] if line.startswith(b"..") else line)
        words = sink.answers_to_letters.get(self.to) or sink.answers.get("letter", "250 taken")
        if words.startswith("2"):
            sink.keep(self.to, b"".join(lines))
        is_open = self.answer("letter", words) or words != "close"
        if sink.on_stage:
            sink.on_stage("taken")
        return is_open

    def say(self, words):
        self.wfile.write(f"{words}\r\n".encode())


class _Server(socketserver.ThreadingTCPServer):
    sink: "Sink"
    daemon_threads = True
    allow_reuse_address = True

    def handle_error(self, request, client_address):
        """A sender that was killed leaves a broken connection: that is what is tested."""


class Sink:
    """The server with what it took: how many letters for each address, and the last letter.

    `answers` by stage ("greeting", "EHLO", "HELO", "STARTTLS", "AUTH", "MAIL", "DATA", "letter") stand in the
    place of the usual ones; "close" breaks the connection off. `refusing` and `answers_to_letters` answer for
    one address, at RCPT and after the letter. `on_stage` is called before each stage is answered, and as
    "taken" after the answer to a letter.
    """

    def __init__(self):
        self.taken: Counter[str] = Counter()
        self.names: Counter[str] = Counter()
        self.last: Message | None = None
        self.refusing: dict[str, str] = {}
        self.answers_to_letters: dict[str, str] = {}
        self.answers: dict[str, str] = {}
        self.offers: list[str] = []
        self.senders: list[str] = []
        self.on_stage = None
        self.tls = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self.lock = threading.Lock()
        self.server = _Server(("127.0.0.1", 0), _Talk)
        self.server.sink = self
        self.port = self.server.server_address[1]
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

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
