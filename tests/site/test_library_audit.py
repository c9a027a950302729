"""Libraries are looked up in the list of known weaknesses; a list that is away stops nothing."""

import json
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
from django.core.management import CommandError, call_command

from catalogue.site.management.commands.auditlibraries import pinned_libraries
from catalogue.site.management.commands.check_all import checks

pytestmark = pytest.mark.any_database


@pytest.fixture
def public_list():
    """A list as the public one answers, which knows what a test tells it."""
    known: dict[str, list[str]] = {}

    class Answers(BaseHTTPRequestHandler):
        def do_POST(self):
            asked = json.loads(self.rfile.read(int(self.headers["Content-Length"])))["queries"]
            results = [
                {"vulns": [{"id": one} for one in known[query["package"]["name"]]]}
                if query["package"]["name"] in known
                else {}
                for query in asked
            ]
            content = b"<html>" if "broken" in known else json.dumps({"results": results}).encode()
            self.send_response(200)
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_):
            """Say nothing."""

    server = HTTPServer(("127.0.0.1", 0), Answers)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield known, f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    server.server_close()


def test_a_known_weakness_is_named_and_fails(public_list, capsys):
    known, address = public_list
    call_command("auditlibraries", list=address)
    assert "No weakness is known of" in capsys.readouterr().out
    known["django"] = ["LARKMOSS-2026-1", "LARKMOSS-2026-2"]
    with pytest.raises(CommandError, match=r"django 5\.2[.\d]*: LARKMOSS-2026-1, LARKMOSS-2026-2"):
        call_command("auditlibraries", list=address)


def test_a_list_that_is_away_or_answers_otherwise_is_left_out_with_a_word(public_list, capsys):
    known, address = public_list
    call_command("auditlibraries", list="http://127.0.0.1:9/")  # discard: nothing listens there
    assert "Left out: the list of known weaknesses can’t be reached" in capsys.readouterr().out
    known["broken"] = []
    call_command("auditlibraries", list=address)
    assert "Left out: the list of known weaknesses answers in another form." in capsys.readouterr().out


def test_a_list_that_speaks_no_http_is_left_out_with_a_word(no_web_server, capsys):
    call_command("auditlibraries", list=f"http://{no_web_server}/")
    call_command("auditlibraries", list="http://127.0.0.1:9/a list")
    assert capsys.readouterr().out.count("Left out: the list") == 2


def test_every_library_is_asked_about_and_the_checks_ask():
    names = {name.lower() for name, _ in pinned_libraries()}
    assert {"django", "weasyprint", "gunicorn", "pillow", "pytest", "ruff"} <= names
    assert any("auditlibraries" in command for _, command in checks())
