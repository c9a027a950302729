"""Publishes in forked processes on a database of its own, kills them, races them, and says what is left.

Run as a program: `publishers.py kills POINTS RANDOM REAL`, `publishers.py races ROUNDS` or `publishers.py
backups ROUNDS`; EVENROW_DATA names the folder. Prints one JSON object.
"""

import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from datetime import timedelta
from pathlib import Path
from typing import Any

import django

django.setup()

from django.core.files.storage import default_storage  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from catalogue.drafts.patterns import load_pattern  # noqa: E402
from catalogue.editions import stored_files as files_of_editions  # noqa: E402
from catalogue.editions.choices import home_choices  # noqa: E402
from catalogue.editions.ingredients import RenderedPdf  # noqa: E402
from catalogue.editions.rendering import Rendered  # noqa: E402
from catalogue.editions.verification import faults, version_faults  # noqa: E402
from catalogue.models import Edition, Pattern, Studio, Version  # noqa: E402
from catalogue.publishing import publishing  # noqa: E402
from catalogue.site.backups import write_backup  # noqa: E402
from catalogue.site.file_folder import FileFolder  # noqa: E402
from catalogue.versions.versions import NumberTaken  # noqa: E402
from tests.builders import sample  # noqa: E402
from tests.killed import arm, forked, told  # noqa: E402

real_press = vars(publishing)["render_editions"]

# Where a publisher is killed: a function of a module, before or after its call, at which call of it.
POINTS = [
    (publishing, "check_number", "before", 1),
    (publishing, "draft_record", "after", 1),
    (publishing, "_store_waiting", "after", 1),
    (publishing, "plan_editions", "after", 1),
    (publishing, "make_editions", "before", 1),
    (publishing, "render_editions", "before", 1),
    (publishing, "keep_pdf", "before", 1),
    (FileFolder, "_save", "before", 1),
    (os, "fsync", "before", 1),
    (os, "fsync", "after", 1),
    (os, "fsync", "before", 2),
    (publishing, "keep_pdf", "after", 1),
    (publishing, "_keep", "after", 1),
    (publishing, "keep_pdf", "after", 2),
    (publishing, "_keep", "after", 2),
    (publishing, "_finish", "before", 1),
    (publishing, "_correct_errata", "before", 1),
    (publishing, "_correct_errata", "after", 1),
    (publishing, "_finish", "after", 1),
]


def quick_press(*, record, wanted, **_):
    """Stands in for the renderer: the same record and choices give the same bytes."""
    for place, choices in enumerate(wanted):
        content = f"%PDF-1.7 {choices} {hashlib.sha256(record.encode()).hexdigest()}".encode()
        sha256 = hashlib.sha256(content).hexdigest()
        yield Rendered(place, RenderedPdf(content, 1, sha256, sha256, {}))


def print_with(press):
    """Have editions made by another press."""
    vars(publishing)["render_editions"] = press


def make_studio():
    call_command("migrate", verbosity=0)
    Studio.objects.create(name="Larkmoss Studio", sender="hello@larkmoss.example")
    return load_pattern(document=sample("brackenmere_pullover"), by=None)


def publish(pattern, number):
    home = home_choices({"pattern": sample("brackenmere_pullover")})
    return publishing.publish_version(
        publishing.Publication(
            pattern=pattern,
            kind="test",
            number=number,
            note="",
            by=None,
            editions=[home, {**home, "paper": "Letter"}],
        )
    )


def published(number, at_point=None):
    def work():
        if at_point:
            arm(*at_point)
        publish(Pattern.objects.get(), number)
        return "published"

    return work


def wrongs(number, said):
    """What is wrong right after a kill, and after everything that waits was taken up and swept."""
    found = [says for version in Version.objects.all() for says in version_faults(version)]
    major, minor = number.split(".")
    version = Version.objects.filter(major=major, minor=minor).first()
    if said == "published" and (version is None or version.state != "published"):
        found.append(f"{number} was acknowledged and is lost")
    if version and version.state != "published":
        if version.editions.exclude(state="made").count() == 0 and version.editions.count() != 2:
            found.append(f"{number} has half of its editions")
        publishing.make_editions(version)
    files_of_editions.sweep_files()
    found += faults()
    left = Version.objects.exclude(state="published").count()
    files = stored_files()
    known = {name.rpartition("/")[2] for name in Edition.objects.values_list("file", flat=True)}
    if left or files != known:
        found.append(f"{number}: {left} versions wait, files left over {files - known}, lost {known - files}")
    return found


def stored_files():
    folder = Path(default_storage.path("editions"))
    return {path.name for path in folder.iterdir()} if folder.exists() else set()


def kills(points, randoms, reals):
    files_of_editions.LEFTOVER_AFTER = timedelta(0)
    print_with(quick_press)
    make_studio()
    rng, number, found, whole = random.Random(11), 0, [], 0
    began = time.monotonic()
    said = told(*forked(published(f"0.{number}")))
    takes = time.monotonic() - began
    assert said == "published", said
    for point in POINTS[:points]:
        number += 1
        pid, hears = forked(published(f"0.{number}", point))
        said = told(pid, hears)
        assert not said, (point[1:], said)
        found += wrongs(f"0.{number}", said)
    for turn in range(randoms + reals):
        number += 1
        print_with(real_press if turn >= randoms else quick_press)
        longest = 8.0 if turn >= randoms else takes * 1.2
        pid, hears = forked(published(f"0.{number}"))
        time.sleep(rng.random() * longest)
        os.kill(pid, signal.SIGKILL)
        said = told(pid, hears)
        whole += said == "published"
        found += wrongs(f"0.{number}", said)
    return {
        "kills": points + randoms + reals,
        "acknowledged": whole,
        "versions": Version.objects.count(),
        "wrong": found,
    }


def races(rounds):
    print_with(quick_press)
    make_studio()
    found = []
    for turn in range(rounds):
        number = f"0.{turn}"
        starts, start = os.pipe()

        def work(number=number, starts=starts):
            os.read(starts, 1)
            try:
                publish(Pattern.objects.get(), number)
            except NumberTaken as refusal:
                return str(refusal)
            return "published"

        both = [forked(work), forked(work)]
        os.write(start, b"12")
        outcomes = sorted(told(*one) for one in both)
        sentence = (
            f"There is a version {number} of this pattern already: take 0.{turn + 1} or a higher number."
        )
        if outcomes != [sentence, "published"] or Version.objects.filter(major=0, minor=turn).count() != 1:
            found.append(outcomes)
        os.close(starts)
        os.close(start)
    return {"rounds": rounds, "versions": Version.objects.count(), "wrong": found + list(faults())}


def backups(rounds):
    """Write backups while another process publishes; put each into a folder of its own, which verifies it.

    The publisher stands still while a backup is put back: what is published meanwhile is in no backup.
    """
    print_with(quick_press)
    folder, found, versions = Path(os.environ["EVENROW_DATA"]), [], []
    empty = folder / "empty.sqlite3"
    call_command("migrate", verbosity=0)
    connection.cursor().execute("VACUUM INTO %s", [str(empty)])
    make_studio()

    def work():
        for number in range(10_000):
            publish(Pattern.objects.get(), f"0.{number}")

    pid, _ = forked(work)
    rng = random.Random(12)
    try:
        for turn in range(rounds):
            while Version.objects.filter(state="published").count() <= turn:
                time.sleep(0.05)  # each backup is of more than the one before, however slow the machine is
            time.sleep(rng.random())
            counted = write_backup(folder / f"{turn}.zip")
            os.kill(pid, signal.SIGSTOP)
            said = restored(folder / f"{turn}.zip", folder / f"restored-{turn}", empty)
            os.kill(pid, signal.SIGCONT)
            versions.append(counted.files)
            if not said.startswith(f"{counted.rows} rows and {counted.files} files are restored"):
                found.append(said)
    finally:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
    return {"rounds": rounds, "files": versions, "wrong": found}


def restored(backup, folder, empty):
    """Restore into an empty studio by the command; what it says."""
    folder.mkdir()
    shutil.copy(empty, folder / "studio.sqlite3")
    done = subprocess.run(
        [sys.executable, "manage.py", "restore", str(backup)],
        env={**os.environ, "EVENROW_DATA": str(folder)},
        capture_output=True,
        text=True,
    )
    return done.stdout + done.stderr


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[2:]]
    proofs: dict[str, Any] = {"kills": kills, "races": races, "backups": backups}
    print(json.dumps(proofs[sys.argv[1]](*numbers)))  # noqa: T201 read by the test
