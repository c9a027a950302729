"""The renderer of walks over all addresses, which ask for the same PDFs again and again: made once each."""

import json
from pathlib import Path

import pytest

from catalogue.editions.rendering import _Renderer

real_ask = _Renderer.ask


@pytest.fixture(scope="module")
def made_before():
    """What the renderer has made in this module: made of → its answer and the PDF."""
    return {}


@pytest.fixture
def kept_press(made_before, monkeypatch):
    """The renderer makes what it is asked for the first time; the same again is the same PDF."""

    def ask(renderer, jobs):
        for job in jobs:
            made_of = what_it_is_made_of(job)
            if made_of not in made_before:
                (answer,) = real_ask(renderer, [job])
                if "says" in answer:  # it could not be made, and is tried anew
                    yield answer
                    continue
                made_before[made_of] = (answer, Path(job["file"]).read_bytes())
            answer, content = made_before[made_of]
            Path(job["file"]).write_bytes(content)
            yield {**answer, "note": job["note"]}

    monkeypatch.setattr(_Renderer, "ask", ask)


def what_it_is_made_of(job):
    """All that a PDF is made of but the moment at which its record was frozen."""
    record = json.loads((Path(job["folder"]) / "record.json").read_text())
    del record["frozen_on"]
    asked = [job["choices"], job["copy_for"], job["seconds"], job["memory_mib"]]
    return json.dumps([record, asked], sort_keys=True)
