"""What was worked out of frozen records is kept: graded once for every process, page and person."""

from datetime import timedelta
from unittest.mock import Mock

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalogue.errata import guards
from catalogue.errata.errata import correct_erratum, errata_of_version
from catalogue.errata.tables import errata_rows
from catalogue.models import Erratum, FrozenWork, Guard, Person
from catalogue.versions import frozen_grades, frozen_work, standings
from catalogue.versions.records import read_record
from catalogue.versions.spots import compare_spot
from grading.core.grade.grade import grade
from testing.asked.figures import version_figures
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version, value_of
from tests.catalogue.frozen import as_a_new_process

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def gradings(monkeypatch):
    counted = Mock(side_effect=grade)
    monkeypatch.setattr(frozen_grades, "grade", counted)
    monkeypatch.setattr(guards, "grade", counted)
    FrozenWork.objects.all().delete()  # the list of patterns keeps a release's numbers when it is published
    as_a_new_process()
    return counted


@pytest.fixture
def version():
    return make_version(make_pattern(), number="1.0")


def releases(pattern, number):
    """Releases that differ in a word."""
    made = []
    for at in range(number):
        edit(pattern, lambda document, at=at: document.update(summary=f"Worn {at} times."))
        made.append(make_version(pattern, number=f"1.{at}"))
    return made


def mistakes(pattern, found_in, number):
    places = ("sections[0].steps[0]", "values.neck_width", "materials", "photo")
    for at in range(number):
        Erratum.objects.create(
            pattern=pattern,
            found_in=found_in[at % len(found_in)],
            place=places[at % len(places)],
            says=f"Cast on {at}",
            should_say=f"Cast on {at + 1}",
            why="Miscounted.",
            kind="mistake",
            gravity="wrong",
            state="confirmed",
        )


def test_a_version_is_graded_once_for_all_processes_pages_and_people(client, version, gradings):
    slug = version.pattern.slug
    for _ in range(2):
        for name, args in (("pattern_page", [slug]), ("needs", [slug]), ("which", [slug])):
            assert client.get(reverse(name, args=args)).status_code == 200
        assert client.get(reverse("corrections", args=[slug, "1.0"])).status_code == 200
        version_figures(version)
        as_a_new_process()
    assert gradings.call_count == 1


def test_numbers_that_were_kept_show_the_same_pages_to_the_byte(client, version, gradings):
    addresses = [
        f"{reverse(name, args=[version.pattern.slug])}?units={units}"
        for name in ("pattern_page", "needs")
        for units in ("cm", "in", "both")
    ]
    first = [client.get(address).content for address in addresses]
    as_a_new_process()
    FrozenWork.objects.exclude(kind="graded").delete()  # pages are made anew, of numbers that are read back
    assert [client.get(address).content for address in addresses] == first
    assert gradings.call_count == 1


def test_a_guard_is_worked_out_once_for_each_version(version, gradings):
    pattern = version.pattern
    mistakes(pattern, [version], 1)
    held = [Guard(erratum=pattern.errata.get(), holds=holds, says="So.") for holds in ("chest > 0 cm",)]
    first = guards.judge_version(version, held)
    assert [one.holds for one in first] == [True]
    as_a_new_process()
    assert guards.judge_version(version, held) == first
    broken = [Guard(erratum=pattern.errata.get(), holds="chest > 900 cm", says="So.")]
    assert len(guards.judge_version(version, broken)[0].fails_in) > 1
    assert gradings.call_count == 2


def test_errata_are_compared_once_and_by_what_they_say(version, monkeypatch):
    pattern = version.pattern
    compare = Mock(side_effect=compare_spot)
    monkeypatch.setattr(standings, "compare_spot", compare)
    mistakes(pattern, [version], 4)
    told = [(one.place, one.standing) for one in errata_of_version(version)]
    assert compare.call_count == 4
    as_a_new_process()
    assert [(one.place, one.standing) for one in errata_of_version(version)] == told
    assert compare.call_count == 4
    Erratum.objects.filter(place="sections[0].steps[0]").update(says="Other words")
    errata_of_version(version)
    assert compare.call_count == 5


def test_a_correction_is_seen_at_once(client, version):
    pattern = version.pattern
    mistakes(pattern, [version], 1)
    address = reverse("pattern_page", args=[pattern.slug])
    assert "1 correction to" in " ".join(client.get(address).content.decode().split())
    edit(pattern, lambda document: document["sections"][0]["steps"].__setitem__(0, "Begin at the hem."))
    later = make_version(pattern, number="1.1")
    correct_erratum(erratum=pattern.errata.get(), version=later)
    assert "No mistake in the current version is known." in client.get(address).content.decode()


def test_queries_of_the_pages_do_not_grow_with_versions_and_errata(client):
    small, large = make_pattern(), make_pattern(title="Fernhollow Pullover")
    mistakes(small, releases(small, 2), 2)
    mistakes(large, releases(large, 15), 30)
    (few, own), (many, more) = (numbers_of(client, one) for one in (small, large))
    assert (many, more) == (few, own)
    assert max(many) <= 15


def numbers_of(client, pattern):
    """Queries of the pages of a pattern: of visitors, and of the studio."""
    client.logout()
    visited = (
        ("pattern_page", [pattern.slug]),
        ("which", [pattern.slug]),
        ("corrections", [pattern.slug, "1.0"]),
    )
    of_visitors = counted(client, [reverse(name, args=args) for name, args in visited])
    own = [reverse(name, args=[pattern.slug]) for name in ("errata", "versions")]
    return of_visitors, counted_as(client, own)


def counted_as(client, pages):
    client.force_login(Person.objects.filter(groups__name="designer").first() or make_person(role="designer"))
    return counted(client, pages)


def counted(client, pages):
    """Queries of each page once it has been looked at, and by a new process."""
    numbers = []
    for page in pages:
        client.get(page)
        as_a_new_process()
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page).status_code == 200
        numbers.append(len(queries))
    return numbers


def test_the_table_of_errata_says_the_same_of_what_is_kept(version):
    pattern = version.pattern
    edit(pattern, lambda document: value_of(document, "neck_width").update(label="Width of the neck"))
    both = [version, make_version(pattern, number="1.1")]
    mistakes(pattern, both, 8)
    first = [(row.place, row.standings) for row in errata_rows(pattern, both)]
    as_a_new_process()
    assert [(row.place, row.standings) for row in errata_rows(pattern, both)] == first
    assert {place for place, _ in first} >= {"Width of the neck", "Materials", "Photo"}


def test_another_program_works_out_anew_and_the_old_is_forgotten(version, monkeypatch, gradings):
    frozen_grades.frozen_graded(read_record(version.record))
    monkeypatch.setattr(frozen_work, "program_digest", lambda: "of a newer program")
    as_a_new_process()
    frozen_grades.frozen_graded(read_record(version.record))
    assert gradings.call_count == 2
    assert frozen_work.forget_old_work() == 0  # an older program may still be running beside this one
    FrozenWork.objects.update(made_at=timezone.now() - timedelta(days=2))
    assert frozen_work.forget_old_work() >= 1
    assert set(FrozenWork.objects.values_list("program", flat=True)) == {"of a newer program"}
    FrozenWork.objects.update(made_at=timezone.now() - timedelta(days=61))
    frozen_work.forget_old_work()
    assert not FrozenWork.objects.exists()


def test_a_database_that_takes_nothing_shows_the_page_all_the_same(client, version, monkeypatch, caplog):
    from django.db import OperationalError

    refuse = Mock(side_effect=OperationalError("database or disk is full"))
    monkeypatch.setattr(FrozenWork.objects, "bulk_create", refuse)
    as_a_new_process()
    assert client.get(reverse("pattern_page", args=[version.pattern.slug])).status_code == 200
    assert "could not be kept: database or disk is full" in caplog.text
