"""Scripts that import one another: by hashed names, and each of them kept on a tester's phone."""

import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.staticfiles.finders import get_finders
from django.contrib.staticfiles.storage import StaticFilesStorage
from django.template.loader import render_to_string
from django.utils.module_loading import import_string

from catalogue.site import settings as own_settings

STATIC = Path(__file__).resolve().parents[2] / "catalogue" / "site" / "static"
SCRIPTS = "site/pages"
IMPORTED = re.compile(r'from "([^"]+)"')


def modules_of(name):
    """A script and all that it imports, straight or through others."""
    path = (STATIC / name).resolve()
    found, left = set(), [path]
    while left:
        script = left.pop()
        if script not in found:
            found.add(script)
            left += [
                (script.parent / other).resolve() for other in IMPORTED.findall(script.read_text("utf-8"))
            ]
    return {script.relative_to(STATIC.resolve()).as_posix() for script in found}


def test_every_script_that_is_imported_is_kept_on_the_phone():
    """The page keeps what it links to; a script that is missing without a connection would stop them all."""
    page = render_to_string("_kept.html", {"user": SimpleNamespace(pk=7, is_authenticated=True)})
    linked = set(re.findall(r'<link rel="modulepreload" href="/static/([^"]+)">', page))
    wanted = modules_of(f"{SCRIPTS}/making.js") - {f"{SCRIPTS}/making.js"}
    assert len(wanted) > 5
    assert linked == wanted


def hashed(folder, files):
    """Hash files, by name, as the studio does when it starts; return the names that they got."""
    for name, path in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(Path(path).read_bytes())
    backends: Any = own_settings.STORAGES
    storage = import_string(backends["staticfiles"]["BACKEND"])(folder, "/static/")
    source = StaticFilesStorage(folder)
    for _, _, processed in storage.post_process({name: (source, name) for name in files}):
        assert not isinstance(processed, Exception), processed
    return storage.hashed_files


@pytest.mark.parametrize("script", ["making", "sheet_grid", "text", "step"])
def test_a_script_imports_others_by_their_hashed_names(tmp_path, settings, script):
    settings.DEBUG = False  # names are hashed where the studio runs
    names = modules_of(f"{SCRIPTS}/{script}.js")
    made = hashed(tmp_path, {name: STATIC / name for name in names})
    for name in names:
        script = tmp_path / made[name]
        others = IMPORTED.findall(script.read_text("utf-8"))
        assert len(others) == len(IMPORTED.findall((STATIC / name).read_text("utf-8")))
        for other in others:
            assert re.search(r"\.[0-9a-f]{12}\.js$", other), (name, other)
            assert (script.parent / other).resolve().exists(), (name, other)


def test_scripts_of_libraries_stay_as_they_are(tmp_path, settings):
    """Some of them name what only their own tools can find."""
    settings.DEBUG = False
    names = {
        name: at.path(name)
        for finder in get_finders()
        for name, at in finder.list([])
        if name.endswith(".js")
    }
    foreign = [name for name in names if not name.startswith("site/")]
    assert foreign
    made = hashed(tmp_path, names)
    for name in foreign:
        assert (tmp_path / made[name]).read_bytes() == Path(names[name]).read_bytes()
