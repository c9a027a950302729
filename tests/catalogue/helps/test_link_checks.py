"""Links checked against a server of the test's own: there, moved, dead, hostile."""

import socket
import ssl
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from django.urls import reverse

from catalogue.helps import link_checks
from catalogue.helps.link_checks import check_help, check_link
from catalogue.helps.views import check_all_links
from catalogue.models import Help
from tests.builders import make_person
from tests.catalogue.helps.builders import make_help

# Made for these tests: for the name video.example, signed by itself.
CERTIFICATE = Path(__file__).resolve().parents[2] / "data/tls/video.example.pem"
ELSEWHERE = {
    "/moved": (301, "/there"),
    "/twice": (308, "/moved"),
    "/for-now": (302, "/there"),
    "/round": (302, "/round"),
    "/inside": (302, "http://169.254.169.254/latest/meta-data/"),
    "/script": (302, "javascript:alert(1)"),
}


class Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self):
        super().__init__(("127.0.0.1", 0), Handler)
        self.asked: list[tuple[str, str, str]] = []
        self.let_go = threading.Event()


class Handler(BaseHTTPRequestHandler):
    server: Server

    def do_HEAD(self):
        self.server.asked.append((self.command, self.path, self.headers["Host"]))
        path = self.path.split("?")[0]
        if path in ELSEWHERE:
            status, onward = ELSEWHERE[path]
            self.send_response(status)
            self.send_header("Location", onward)
        elif path.startswith("/slowly"):
            self.server.let_go.wait(0.3)
            self.send_response(302)
            self.send_header("Location", f"{path}y")
        elif path == "/get-only" and self.command == "HEAD":
            self.send_response(405)
        elif path == "/trickle":
            for _ in range(40):
                self.wfile.write(b"HTTP/1.1 100 Continue\r\n\r\n")
                if self.server.let_go.wait(0.1):
                    return
            return
        elif path == "/silent":
            self.server.let_go.wait(5)
            return
        elif path in ("/there", "/get-only", "/vid%C3%A9o"):
            self.send_response(200)
        elif path == "/members":
            self.send_response(403)
        else:
            self.send_response(404)
        self.end_headers()

    do_GET = do_HEAD  # noqa: N815 as the server calls it

    def log_message(self, *args):
        pass


@pytest.fixture
def server(monkeypatch):
    """A server that answers in its own time: only what never answers is given little of it, see `hurried`."""
    monkeypatch.setattr(link_checks, "SECONDS", 60)
    monkeypatch.setattr(link_checks, "WHOLE_SECONDS", 120)
    with Server() as found:
        threading.Thread(target=found.serve_forever, daemon=True).start()
        yield found
        found.let_go.set()
        found.shutdown()


@pytest.fixture
def hurried(server, monkeypatch):
    """So little time that a test of what never comes ends soon."""
    monkeypatch.setattr(link_checks, "SECONDS", 0.7)


@pytest.fixture
def safe_server(server, monkeypatch):
    """The same over TLS, with a certificate that this machine trusts."""
    monkeypatch.setenv("SSL_CERT_FILE", str(CERTIFICATE))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(CERTIFICATE, CERTIFICATE.with_suffix(".key"))
    server.socket = context.wrap_socket(server.socket, server_side=True)
    return server


def check(server, path, *, scheme="http", permitted=lambda number: number == "127.0.0.1"):
    address = f"{scheme}://video.example:{server.server_port}{path}"

    def resolver(host, port):
        return ["127.0.0.1"] if host == "video.example" else [host]

    return check_link(address, resolver=resolver, permitted=permitted)


@pytest.mark.parametrize(
    ("path", "state", "says"),
    [
        ("/there", "works", "It answered 200."),
        ("/there?v=1#1m20s", "works", "It answered 200."),
        ("/get-only", "works", "It answered 200."),
        ("/members", "works", "It answered 403."),
        ("/for-now", "works", "It answered 200."),
        ("/gone", "dead", "It answered 404 Not Found."),
        ("/round", "dead", "more than 5 times"),
        ("/inside", "dead", "private network"),
        ("/script", "dead", "has to begin with https://"),
        ("/vid%C3%A9o", "works", "It answered 200."),
        ("/vidéo", "works", "It answered 200."),
    ],
)
def test_what_a_link_answers(server, path, state, says):
    answer = check(server, path)
    assert answer.state == state
    assert says in answer.says
    assert answer.moved_to == ""


@pytest.mark.usefixtures("hurried")
@pytest.mark.parametrize("path", ["/silent", "/trickle"])
def test_a_link_that_never_answers_is_dead(server, path):
    answer = check(server, path)
    assert (answer.state, answer.says) == ("dead", "It did not answer within 1 seconds.")


@pytest.mark.usefixtures("hurried")
@pytest.mark.parametrize("path", ["/silent", "/trickle"])
def test_a_link_that_never_answers_over_tls_is_dead(safe_server, path):
    answer = check(safe_server, path, scheme="https")
    assert (answer.state, answer.says) == ("dead", "It did not answer within 1 seconds.")


@pytest.mark.parametrize("path", ["/moved", "/twice"])
def test_a_link_that_moved_for_good_says_where_to(server, path):
    answer = check(server, path)
    assert answer.state == "moved"
    assert answer.moved_to.endswith("/there")
    assert answer.says.endswith(answer.moved_to)


def test_the_machine_s_own_network_is_never_asked(server):
    answer = check_link(f"http://127.0.0.1:{server.server_port}/there")
    assert answer.state == "dead"
    assert "private network" in answer.says
    named = check_link(f"http://video.example:{server.server_port}/there", resolver=lambda *_: ["127.0.0.1"])
    assert "private network" in named.says
    assert server.asked == []


def test_the_name_of_the_host_is_sent_with_the_request(server):
    check(server, "/there")
    assert server.asked == [("HEAD", "/there", f"video.example:{server.server_port}")]


@pytest.mark.parametrize(
    ("path", "state", "says"),
    [
        ("/there", "works", "It answered 200."),
        ("/gone", "dead", "It answered 404 Not Found."),
    ],
)
def test_what_a_link_answers_over_tls(safe_server, path, state, says):
    answer = check(safe_server, path, scheme="https")
    assert (answer.state, says in answer.says) == (state, True), answer


def test_a_certificate_of_another_name_or_that_nobody_knows_is_told(safe_server, monkeypatch):
    address = f"https://film.example:{safe_server.server_port}/there"
    answer = check_link(address, resolver=lambda *_: ["127.0.0.1"], permitted=lambda _: True)
    assert "certificate is not valid" in answer.says
    monkeypatch.delenv("SSL_CERT_FILE")
    assert "certificate is not valid" in check(safe_server, "/there", scheme="https").says


@contextmanager
def door(dripping):
    """A place that takes a connection and never finishes the handshake, silent or byte by byte."""
    let_go = threading.Event()

    def keep(taken):
        # The head of a long handshake message (RFC 8446, 5.1): the rest comes one byte at a time.
        taken.sendall(b"\x16\x03\x03\x40\x00\x02\x00\x3f\xfc" if dripping else b"")
        while not let_go.wait(0.1):
            try:
                taken.sendall(b"\x03" if dripping else b"")
            except OSError:
                break
        taken.close()

    def take():
        taken, _ = listening.accept()
        keep(taken)

    with socket.create_server(("127.0.0.1", 0)) as listening:
        taking = threading.Thread(target=take, daemon=True)
        taking.start()
        yield listening.getsockname()[1]
        let_go.set()
        taking.join(5)


@pytest.mark.parametrize("dripping", [False, True])
def test_a_handshake_that_never_ends_is_ended(monkeypatch, dripping):
    monkeypatch.setattr(link_checks, "SECONDS", 0.7)
    with door(dripping) as port:
        answer = check_link(
            f"https://video.example:{port}/there",
            resolver=lambda *_: ["127.0.0.1"],
            permitted=lambda _: True,
        )
    assert "did not answer" in answer.says


def test_a_whole_check_has_a_limit_of_its_own(server, monkeypatch):
    monkeypatch.setattr(link_checks, "SECONDS", 30)
    monkeypatch.setattr(link_checks, "WHOLE_SECONDS", 0.8)
    assert check(server, "/slowly").says == "Its answers took more than 1 seconds altogether."
    assert len(server.asked) < link_checks.MOST_MOVES + 1


def test_a_place_that_speaks_no_tls_is_said_to_be_unsafe(server):
    answer = check_link(
        f"https://video.example:{server.server_port}/there",
        resolver=lambda *_: ["127.0.0.1"],
        permitted=lambda _: True,
    )
    assert answer.says == "It has no safe connection: try the link with http://."


def test_a_name_that_nobody_has_and_a_closed_door_are_answers():
    def nobody(host, port):
        raise socket.gaierror

    assert "website of this name" in check_link("https://video.example/a", resolver=nobody).says
    closed = check_link(
        "http://video.example:9/a", resolver=lambda *_: ["127.0.0.1"], permitted=lambda _: True
    )
    assert closed.says == "The connection failed."


@pytest.mark.django_db
def test_the_answer_is_kept_but_not_for_a_link_that_was_changed_meanwhile(server, monkeypatch):
    answers = {"https://video.example/a": link_checks.LinkAnswer("dead", "It answered 404 Not Found.")}
    monkeypatch.setattr(link_checks, "check_link", answers.__getitem__)
    found = make_help(link="https://video.example/a")
    check_help(found)
    found.refresh_from_db()
    assert (found.link_state, found.link_answer) == ("dead", "It answered 404 Not Found.")
    assert found.link_checked_at is not None
    Help.objects.update(link="https://video.example/b", link_state="")
    check_help(found)
    found.refresh_from_db()
    assert found.link_state == ""


@pytest.mark.django_db
def test_links_are_checked_on_request_and_all_by_a_task(client, monkeypatch):
    monkeypatch.setattr(
        link_checks, "check_link", lambda address: link_checks.LinkAnswer("dead", "It answered 410 Gone.")
    )
    found, other = make_help(link="https://video.example/a"), make_help(title="Picot", link="")
    client.force_login(make_person(role="designer"))
    page = client.post(reverse("help_check", args=[found.pk]), follow=True).content.decode()
    assert "https://video.example/a: It answered 410 Gone." in page
    assert (
        "no link to check"
        in client.post(reverse("help_check", args=[other.pk]), follow=True).content.decode()
    )
    Help.objects.update(link_state="")
    check_all_links.call()
    found.refresh_from_db()
    assert found.link_state == "dead"
    listed = client.get(reverse("helps")).content.decode()
    assert "Give another link." in listed
    assert client.post(reverse("helps_check")).status_code == 302
