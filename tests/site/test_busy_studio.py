"""Slow clients and pictures that are bombs, for minutes on end, and visitors who notice nothing of it."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import pytest
from django.urls import reverse
from PIL import Image

from catalogue.models import Pattern, Person, Version
from catalogue.photos.pictures import MOST_SCANS
from catalogue.site.demo_studio import build
from testing.models import Placement, TestCall
from tests.catalogue.photos.test_picture_process import many_scans, see_through, webp
from tests.file_database import shared_database  # noqa: F401  fixture
from tests.pace import slowness
from tests.present import present
from tests.site.busy_studio import MIB, Bomber, Memory, SteadySlowClients, Visitor
from tests.site.running_studio import session_of, studio_of_this_test
from tests.testing.builders import make_call, make_person, make_place, make_studio

SLOW_CLIENTS = 40
MOST_MEMORY_MIB = 600
MOST_SECONDS = 1.0


@dataclass
class Load:
    """How much comes at once and for how long."""

    seconds: float
    visitors: int
    pause: float
    bombs: dict[str, bytes]


def whole_load():
    """Five minutes of the worst that the limits on pictures let through, and of what they don't."""
    large = Image.new("RGB", (6300, 6300), "tan")
    return Load(
        seconds=300,
        visitors=10,
        pause=1.0,
        bombs={
            "see-through PNG of 39.7 megapixels on its side": see_through(6300, orientation=6),
            "WebP of 13 megapixels": webp(4000, 3250),
            "WebP of 39.7 megapixels": webp(6300, 6300),
            "JPEG of 8,000 scans": many_scans(8000),
            "JPEG of 39.7 megapixels and as many scans as are taken": many_scans(MOST_SCANS, large),
        },
    )


def small_load():
    return Load(
        seconds=3,
        visitors=3,
        pause=0.1,
        bombs={"see-through PNG": see_through(1500), "JPEG of 8,000 scans": many_scans(8000)},
    )


@pytest.fixture
def studio(shared_database, settings, tmp_path, full):  # noqa: F811
    """Server and worker as `start` runs them, on the database of this test; in full on that of the demo."""
    opened = studio_of_this_test(settings, tmp_path / "studio")
    fill(settings, full=full)
    try:
        opened.open()
        yield opened
    finally:
        opened.close()


def fill(settings, *, full):
    if full:
        settings.IS_DEMO = True
        build()
        settings.IS_DEMO = False
        return
    make_studio()
    make_person("designer@larkmoss.example", "designer")
    make_place(make_call())


def public_pages():
    pages = [reverse(name) for name in ("catalogue", "call_list", "privacy", "account_login")]
    for version in Version.objects.filter(kind="release", state="published").select_related("pattern"):
        pages.append(reverse("pattern_page", args=[version.pattern.slug]))
        pages.append(reverse("corrections", args=[version.pattern.slug, version.number]))
    calls = TestCall.objects.filter(state="open").select_related("pattern")
    pages += [reverse("call_page", args=[call.pattern.slug]) for call in calls]
    return list(dict.fromkeys(pages))


def everybody(port, place, visitors):
    """Visitors from the street, the designer at the desk, and the tester whose pictures these are."""
    pages = public_pages()
    street = [Visitor(port, pages[number:] + pages[:number]) for number in range(visitors)]
    call = [place.call.pattern.slug, place.call.pk]
    desk = [reverse("desk"), reverse("call", args=call), reverse("call_results", args=call)]
    desk += [reverse("sheet", args=[pattern.slug]) for pattern in Pattern.objects.all()]
    making = [reverse("my_making"), reverse("making", args=[place.pk])]
    designer = Person.objects.get(email="designer@larkmoss.example")
    return [
        *street,
        Visitor(port, desk, session_of(designer)),
        Visitor(port, making, session_of(place.person)),
    ]


def run(studio, load, people, bomber):
    """All at once until the time is up; return what memory was taken and the slow clients."""
    memory, slow = Memory(studio.process.pid), SteadySlowClients(studio.port, SLOW_CLIENTS)
    ended, until = threading.Event(), time.monotonic() + load.seconds
    watch = threading.Thread(target=memory.keep_looking, args=[ended])
    watch.start()
    try:
        with ThreadPoolExecutor(len(people) + 2) as pool:
            works = [pool.submit(one.keep_looking, until, load.pause) for one in people]
            works += [pool.submit(bomber.keep_sending, until), pool.submit(slow.keep_sending, until)]
        for work in works:
            work.result()
    finally:
        ended.set()
        watch.join()
        slow.close()
    return memory, slow


def late(seconds):
    """The wait that 95 in 100 stay below."""
    return sorted(seconds)[len(seconds) * 95 // 100]


def test_slow_clients_and_picture_bombs_keep_no_visitor_waiting(studio, full, count_proof):
    load = whole_load() if full else small_load()
    place = present(Placement.objects.select_related("person", "call__pattern").order_by("pk").last())
    people = everybody(studio.port, place, load.visitors)
    photo = reverse("making_photo", args=[place.pk])
    bomber = Bomber(studio.port, photo, session_of(place.person), load.bombs)
    memory, slow = run(studio, load, people, bomber)
    seen = [(path, answer) for one in people for path, answer in one.seen]

    told = {
        "pages loaded": len(seen),
        "pages, 95 in 100 within ms": round(late([answer.seconds for _, answer in seen]) * 1000),
        "pages, slowest in ms": round(max(answer.seconds for _, answer in seen) * 1000),
        "slow clients at once": SLOW_CLIENTS,
        "slow clients that began": slow.begun,
        "bombs sent": sum(bomber.answers.values()),
        "bombs taken": sum(count for (_, status, _), count in bomber.answers.items() if status == 302),
        "memory of all processes, most MiB": memory.most // MIB,
        "memory without the picture's process, most MiB": memory.most_without_pictures // MIB,
    }
    for name, number in told.items():
        count_proof(f"under load: {name}", number)

    assert {(path, answer.status) for path, answer in seen if answer.status != 200} == set()
    assert {name for name, _, _ in bomber.answers} == set(load.bombs)
    assert [one for one in bomber.answers if not is_told(*one)] == []
    assert "Traceback" not in studio.words()
    assert memory.looks > load.seconds
    assert memory.most < MOST_MEMORY_MIB * MIB, memory.then
    # In the small run other tests want the machine at the same time.
    most_seconds = MOST_SECONDS if full else 5 * MOST_SECONDS * slowness()
    assert late([answer.seconds for _, answer in seen]) < most_seconds


def is_told(_name, status, said):
    """A picture is taken, or refused in one sentence."""
    return status == 302 or (status == 200 and said.endswith(".") and "\n" not in said)
