"""Clients that send a byte at a time keep nobody from being served, and are sent away in the end."""

import io
from typing import Any

import pytest

from catalogue.site import patient_worker, supervisor
from catalogue.site.patient_worker import AT_ONCE, MOST_BODY_BYTES, MOST_CLIENTS, read_whole, served_whole
from tests.site.slow_server import SlowClients, serving, visit


@pytest.fixture(scope="module")
def address():
    """The studio's worker with little patience."""
    with serving(worker="tests.site.slow_server.HastyWorker") as found:
        yield found


def test_visitors_are_served_while_many_clients_send_a_byte_at_a_time(full, count_proof):
    count = 200 if full else 3 * AT_ONCE
    with serving() as address:
        slow = SlowClients(address, count)
        try:
            for _ in range(3):
                assert slow.send_a_byte() == count
                assert "200 OK" in visit(address)
                assert "500000 bytes" in visit(address, b"x" * 500_000)
            assert slow.send_a_byte() == count
        finally:
            slow.close()
    count_proof("clients that sent a byte at a time while visitors were served", count)


def test_who_sends_a_byte_at_a_time_is_sent_away_when_time_is_up(address):
    slow = SlowClients(address, 2 * AT_ONCE)
    try:
        slow.wait_until_sent_away(60)
    finally:
        slow.close()
    assert "200 OK" in visit(address)


def test_more_than_any_form_takes_is_refused_before_it_is_read():
    said: list[tuple[Any, ...]] = []
    serve = served_whole(lambda *_: pytest.fail("A page is made."), lambda _: None)
    body = io.BytesIO(b"x")
    answer = serve(
        {"CONTENT_LENGTH": str(MOST_BODY_BYTES + 1), "wsgi.input": body}, lambda *words: said.append(words)
    )
    assert "That was too large" in b"".join(answer).decode()
    ((status, headers),) = said
    assert status.startswith("413 ")
    assert dict(headers)["Content-Type"].startswith("text/html")
    assert body.tell() == 0


def test_a_body_is_read_to_its_end_before_anything_is_made_of_it():
    sent = b"moss" * 200_000
    environ: dict[str, Any] = {
        "CONTENT_LENGTH": str(len(sent)),
        "wsgi.input": io.BytesIO(sent + b"of the next request"),
    }
    with read_whole(environ):
        assert environ["wsgi.input"].read() == sent
    for words in ("", "many", None):
        with read_whole({"CONTENT_LENGTH": words, "wsgi.input": io.BytesIO(b"unsaid")}) as body:
            assert body.read() == b""


def test_a_client_that_goes_before_its_end_is_not_answered():
    with pytest.raises(ConnectionResetError):
        read_whole({"CONTENT_LENGTH": "10", "wsgi.input": io.BytesIO(b"short")})


def test_a_studio_is_opened_with_this_worker(monkeypatch):
    started: list[list[str]] = []
    monkeypatch.setattr(supervisor, "_start", started.append)
    supervisor._start_server("127.0.0.1", 8000)
    (command,) = started
    worker = command[command.index("--worker-class") + 1]
    assert worker == f"{patient_worker.__name__}.{patient_worker.PatientWorker.__name__}"
    assert command[command.index("--threads") + 1] == str(MOST_CLIENTS)
