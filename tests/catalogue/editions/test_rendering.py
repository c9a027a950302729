"""The renderer: limits on time, memory, network and programs, and what is said when an edition breaks one."""

import http.server
import json
import os
import signal
import tempfile
import threading
import time
from typing import Any

import pytest

from catalogue.editions import editions, rendering, rendering_process
from catalogue.editions.choices import home_choices
from catalogue.editions.ingredients import FONTS, OWN, EditionFailed, font_path
from catalogue.editions.pdf_writing import PageSource, write_pdf
from catalogue.editions.rendering import render_edition, render_editions
from catalogue.versions.records import canonical
from tests.builders import DATA
from tests.catalogue.builders import make_pattern, make_photo, make_record
from tests.present import present

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("the press has no database; test_editions prints all samples"),
]

BAD_MARKDOWN = json.loads((DATA / "bad_markdown.json").read_text())


@pytest.fixture(scope="module")
def trap():
    """A server on loopback that remembers every call; there should be none."""
    calls = []

    class Trap(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            calls.append(self.path)
            self.send_error(404)

        do_HEAD = do_POST = do_GET  # noqa: N815 the names that the server calls

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Trap) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server.server_address[1], calls
        server.shutdown()
        thread.join()


@pytest.fixture
def limited(monkeypatch, tmp_path):
    """Run something in place of the renderer, in a child with the limits of the renderer."""

    def run(render, *, seconds=20.0, memory_mib=300):
        said: list[dict[str, Any]] = []
        monkeypatch.setattr(rendering_process, "_say", said.append)
        monkeypatch.setattr(editions, "render_pdf", render)
        renderer = rendering_process.Renderer(prepared={str(tmp_path): ({}, None)})
        job = {
            "folder": str(tmp_path),
            "file": str(tmp_path / "0.pdf"),
            "note": str(tmp_path / "0.json"),
            "choices": {},
            "copy_for": "",
            "seconds": seconds,
            "memory_mib": memory_mib,
        }
        rendering_process._start(renderer, job)
        until = time.monotonic() + 60
        while not said:
            assert time.monotonic() < until
            rendering_process._reap(renderer)
            time.sleep(0.02)
        return said[0]["says"]

    return run


def painted(body, files=None):
    own = {f"{OWN}font/{name}": font_path(name).read_bytes for name in FONTS}
    html = f"<html lang=en><title>Trap</title><body>{body}</body></html>"
    return write_pdf(PageSource(html, {**own, **(files or {})}, style="", identity="0" * 32))


def test_no_words_of_a_pattern_make_an_edition_call_anybody(trap):
    port, calls = trap
    address = f"http://127.0.0.1:{port}/"
    texts = [
        case["text"].replace("127.0.0.1:8931", f"127.0.0.1:{port}") for case in BAD_MARKDOWN if "text" in case
    ]
    drawing = f'<svg onload="x"><image href="{address}svg"/><use href="{address}use#a"/></svg>'
    traps = [*texts, drawing, f'<img src="{address}">', f"url({address})"]
    assert sum(address in text for text in traps) >= 8
    steps = [text.replace("{", "{{").replace("}", "}}") for text in traps]
    pattern = make_pattern(
        title=f'"><img src="{address}title">',
        summary=f'<link rel=attachment href="{address}summary">',
        sections=[{"title": drawing[:110], "steps": steps}],
    )
    make_photo(pattern, alt=drawing, caption=f'<img src="{address}photo">')
    record = make_record(pattern, note=drawing)
    (pressed,) = render_editions(record=canonical(record), wanted=[home_choices(record)])
    assert pressed.says == ""
    assert b"/EmbeddedFile" not in present(pressed.pdf).content
    assert calls == []


@pytest.mark.parametrize(
    "body",
    [
        '<img src="{trap}" alt="x">',
        '<p style="background: url({trap})">x</p>',
        "<style>@import url({trap});</style>",
        '<object data="{trap}"></object>',
        '<link rel="attachment" href="{trap}">',
        '<svg xmlns="http://www.w3.org/2000/svg"><image href="{trap}" width="9" height="9"/></svg>',
        '<img src="edition:drawing.svg" alt="x">',
    ],
)
def test_what_calls_somebody_is_refused_before_the_call_and_fails_the_edition(trap, body):
    port, calls = trap
    address = f"http://127.0.0.1:{port}/x"
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg"><image href="{address}" width="9" height="9"/></svg>'
    with pytest.raises(EditionFailed, match="could not be made"):
        painted(body.replace("{trap}", address), {"edition:drawing.svg": drawing.encode})
    assert calls == []


def test_a_renderer_that_hangs_is_stopped(limited):
    began = time.monotonic()
    assert "took longer than 1 seconds" in limited(lambda **_: time.sleep(600), seconds=1)
    assert time.monotonic() - began < 20


def test_more_memory_than_allowed_is_refused(limited):
    assert "needs more memory" in limited(lambda **_: bytearray(2_000 * 1024 * 1024))


def test_elements_in_elements_end_in_a_sentence(limited):
    says = limited(lambda **_: painted("<div>" * 3_000))
    assert "too deep" in says or "could not be made" in says or "took longer" in says


def test_a_billion_columns_end_within_the_limits(limited):
    began = time.monotonic()
    says = limited(lambda **_: painted("<table><tr><td colspan=1000000000>x</td></tr></table>"), seconds=4)
    assert says
    assert time.monotonic() - began < 30


def test_an_edition_may_call_nobody_and_run_nothing(limited, trap):
    port, calls = trap

    def call(**_):
        import urllib.request

        urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=2)

    def run(**_):
        import subprocess

        subprocess.run(["/bin/true"], check=True)

    # What asks for an address wraps the refusal in an error of its own.
    assert "asks nobody and runs nothing" in limited(call)
    assert calls == []
    assert "asks nobody and runs nothing" in limited(run)


def test_a_child_that_dies_is_told_of(limited):
    import os
    import signal

    assert "ended before its time" in limited(lambda **_: os.kill(os.getpid(), signal.SIGTERM))


def test_an_edition_over_its_time_fails_alone(trap):
    record = make_record()
    home = home_choices(record)
    (late,) = render_editions(record=canonical(record), wanted=[home], seconds=0.01)
    assert "took longer" in late.says
    (made,) = render_editions(record=canonical(record), wanted=[home])
    assert present(made.pdf).pages >= 1


def test_a_press_that_was_killed_is_started_anew():
    import os
    import signal

    from catalogue.editions.rendering import _RENDERER

    record = make_record()
    list(render_editions(record=canonical(record), wanted=[home_choices(record)]))
    process = present(_RENDERER.process)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    (made,) = render_editions(record=canonical(record), wanted=[home_choices(record)])
    assert present(made.pdf).pages >= 1


def test_a_press_that_hangs_is_ended_and_made_anew(monkeypatch):
    record = make_record()
    asked: dict[str, Any] = {"record": canonical(record), "wanted": [home_choices(record)]}
    list(render_editions(**asked))
    hanging = present(rendering._RENDERER.process)
    os.kill(hanging.pid, signal.SIGSTOP)
    monkeypatch.setattr(rendering, "GRACE_SECONDS", 0.5)
    with pytest.raises(EditionFailed, match="did not answer in time"):
        list(render_editions(**asked, seconds=1.0))
    assert hanging.poll() is not None
    monkeypatch.undo()
    (made,) = render_editions(**asked)
    assert present(made.pdf).pages >= 1


def test_nothing_is_left_on_the_disk_when_the_press_ends(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    own = rendering._Renderer()
    monkeypatch.setattr(rendering, "_RENDERER", own)
    record = make_record()
    assert render_edition(record=canonical(record), choices=home_choices(record)).pages > 1
    assert [path.name for path in tmp_path.rglob("*.pdf")] == []
    own.end()
    assert list(tmp_path.iterdir()) == []
