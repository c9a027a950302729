"""The deployment of the guide, started from its very files: web processes, a worker, nginx before them."""

import html
import os
import re
import shutil
import signal
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.present import present
from tests.site.deployed_studio import FILES, ROOT, Place, children, needs_nginx
from tests.site.running_studio import wait_for

pytestmark = pytest.mark.any_database


def test_the_files_open_a_studio_that_outlives_a_killed_process(tmp_path):
    needs_nginx()
    with ExitStack() as running:
        place = Place(tmp_path, running)
        opened = place.open()
        server, worker = opened.server, opened.worker
        status, headers, page = place.ask("/account/login/")
        assert status == 200
        assert "max-age=31536000" in headers["Strict-Transport-Security"]
        assert "default-src 'self'" in headers["Content-Security-Policy"]
        style = re.search(r'href="(/static/site/evenrow\.[0-9a-f]+\.css)"', page)
        assert style, page[:2000]
        status, headers, _ = place.ask(style[1])
        assert status == 200, place.words()
        assert "immutable" in headers["Cache-Control"]
        opening = re.search(r"^https://studio\.example(/setup/\S+)$", opened.said, re.MULTILINE)
        assert opening, opened.said
        status, _, page = place.ask(opening[1])
        assert (status, 'name="password"' in page) == (200, True)
        processes = children(server.pid)
        assert len(processes) == 3
        os.kill(processes[0], signal.SIGKILL)
        assert {place.ask("/health/")[0] for _ in range(20)} == {200}
        wait_for(lambda: len(children(server.pid)) == 3, 60, place.words)
        wait_for(lambda: "The worker is running" in (tmp_path / "worker.log").read_text(), 60, place.words)
        assert worker.poll() is None
        server.terminate()
        server.wait(60)
        assert place.ask(opening[1])[0] == 502
    key = opening[1].split("/")[2]
    assert not [path.name for path in tmp_path.glob("*.log") if key in path.read_text()]
    assert server.returncode in (0, -signal.SIGTERM)
    assert worker.returncode == 0


def test_the_container_runs_what_the_units_run():
    said = (FILES / "Containerfile").read_text()
    unit = re.search(
        r"^ExecStart=\S+ (-m gunicorn .*)$", (FILES / "evenrow-web.service").read_text(), re.MULTILINE
    )
    assert unit
    assert unit[1].replace("127.0.0.1:8000", "0.0.0.0:8000") in said
    packages = (ROOT / ".ci" / "run").read_text()
    assert all(
        name in packages
        for name in re.findall(
            r"\b(lib[\w.-]+)\b", said.partition("apt-get install")[2].partition("rm -rf")[0]
        )
    )


def test_the_guide_puts_the_same_program_where_the_units_look_for_it():
    said = html.unescape((ROOT / "templates/guide/parts/studio.html").read_text())
    image = (FILES / "Containerfile").read_text()
    units = [(FILES / f"evenrow-{name}.service").read_text() for name in ("web", "worker")]
    users = {present(re.search(r"^User=(\w+)$", unit, re.MULTILINE))[1] for unit in units}
    assert [f"useradd --system {user}\n" in said for user in users] == [True]
    brought = present(re.search(r"^cp -r (.+) /srv/evenrow$", said, re.MULTILINE))
    sources = re.findall(r"^COPY (.+) \S+$", image, re.MULTILINE)
    assert sorted(brought[1].split()) == sorted(" ".join(sources).split())
    made = present(re.search(r'python3 -c "import manage; manage.make_environment.+"', image))[0]
    assert made in said
    assert all("/srv/evenrow/.venv/bin/python " in unit for unit in units)


def copied(folder):
    """The folder of the image after the Containerfile's own steps, with the libraries of this environment."""
    said = (FILES / "Containerfile").read_text()
    for sources, target in re.findall(r"^COPY (.+) (\S+)$", said, re.MULTILINE):
        for source in sources.split():
            assert (ROOT / source).exists()
            assert (ROOT / source) != ROOT, "the image would hold data, history and environment"
            if (ROOT / source).is_dir():
                shutil.copytree(ROOT / source, folder / target, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy(ROOT / source, folder / target)
    environment = folder / ".venv"
    (environment / "bin").mkdir(parents=True)
    (environment / "bin/python").symlink_to(Path(sys.executable).resolve())
    (environment / "lib").symlink_to(Path(sys.prefix) / "lib")
    shutil.copy(Path(sys.prefix) / "pyvenv.cfg", environment)
    for step in re.findall(r'^RUN .*python3 -c "(import manage; .+)"$', said, re.MULTILINE):
        fetched_nothing = step.replace("import manage; ", "import manage; manage.run_step = print; ", 1)
        subprocess.run([sys.executable, "-c", fetched_nothing], cwd=folder, check=True, capture_output=True)


def as_one_who_may_not_write(command):
    """The command without root's right to write everywhere."""
    return ["setpriv", "--bounding-set=-dac_override", *command] if os.geteuid() == 0 else command


def test_the_image_begins_as_somebody_who_may_not_write_to_the_program(tmp_path):
    image, data = tmp_path / "image", tmp_path / "data"
    image.mkdir()
    data.mkdir()
    copied(image)
    said = (FILES / "Containerfile").read_text()
    begin = re.search(r'^CMD \["sh", "-c", "(.+) && exec .+"\]$', said, re.MULTILINE)
    assert begin
    own = {key: word for key, word in os.environ.items() if not key.startswith(("EVENROW", "DATABASE"))}
    told = {"EVENROW_DATA": str(data), "EVENROW_URL": "https://studio.example"}
    paths = {"PATH": f"{image}/.venv/bin:{own['PATH']}", "PYTHONDONTWRITEBYTECODE": "1"}
    image.chmod(0o555)
    try:
        done = subprocess.run(
            as_one_who_may_not_write(["sh", "-c", begin[1]]),
            cwd=image,
            env={**own, **told, **paths},
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        image.chmod(0o755)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "https://studio.example/setup/" in done.stdout
    assert (data / "static" / "staticfiles.json").exists()


def test_pages_and_worker_of_the_container_hold_the_same_files():
    said = (FILES / "Containerfile").read_text()
    runs = re.findall(r"^# podman run .*-v (\S+):/var/lib/evenrow .*$", said, re.MULTILINE)
    assert len(runs) == 2
    assert len(set(runs)) == 1


def test_each_file_says_first_where_it_goes():
    for name in ("evenrow-web.service", "evenrow-worker.service", "evenrow.env", "nginx.conf"):
        first = (FILES / name).read_text().partition("\n")[0]
        assert re.search(rf"/etc/\S*(evenrow\.conf|{name})\b", first), first
