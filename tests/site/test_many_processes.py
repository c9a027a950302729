"""Eight processes at once on one database: edits that build on each other, and the last of something."""

import os
import sqlite3
from contextlib import closing
from functools import partial

import pytest
from django.db import connection, transaction

from catalogue.drafts.edits import StaleRevision, edit_pattern
from catalogue.drafts.patterns import load_pattern
from catalogue.editions.verification import faults
from catalogue.models import Pattern, PatternEdit, Version
from catalogue.publishing import publishing
from catalogue.versions.versions import NumberTaken
from testing.models import Application, Placement
from testing.places.places import PlaceRefused, give_place
from tests.builders import sample
from tests.catalogue import publishers
from tests.file_database import shared_database  # noqa: F401  fixture
from tests.killed import forked, told
from tests.testing.builders import make_application, make_call, make_pattern, make_studio

AT_ONCE = 8

pytestmark = pytest.mark.usefixtures("shared_database")


def at_once(works):
    """Run each work in a process of its own, all from the same moment; what each says, in order."""
    waits, opens = os.pipe()

    def work_in_time(work):
        os.close(opens)
        os.read(waits, 1)  # ends when the last end of the pipe is closed
        return work()

    started = [forked(partial(work_in_time, work)) for work in works]
    os.close(opens)
    outcomes = [told(*one) for one in started]
    os.close(waits)
    return outcomes


def one_more(document):
    """The document with the number in its title one higher."""
    words, number = document["title"].rsplit(" ", 1)
    return {**document, "title": f"{words} {int(number) + 1}"}


def add_often(pattern_pk, times):
    """Count up in a pattern's title, again whenever somebody else came first."""
    stale = 0
    for _ in range(times):
        while True:
            pattern = Pattern.objects.select_related("sheet").get(pk=pattern_pk)
            try:
                edit_pattern(pattern=pattern, revision=pattern.sheet.revision, change=one_more)
            except StaleRevision:
                stale += 1
            else:
                break
    return f"{stale} times somebody else came first"


def test_edits_of_many_processes_build_on_each_other(full, count_proof):
    times = 250 if full else 4
    make_studio()
    pattern = make_pattern(title="Fernhollow Vest 0")
    begun = pattern.sheet.revision
    outcomes = at_once([partial(add_often, pattern.pk, times)] * AT_ONCE)
    assert [one for one in outcomes if not one.endswith("somebody else came first")] == []
    pattern = Pattern.objects.select_related("sheet").get()
    assert pattern.title == f"Fernhollow Vest {AT_ONCE * times}"
    assert pattern.sheet.revision == begun + AT_ONCE * times
    assert PatternEdit.objects.count() == AT_ONCE * times
    count_proof(f"edits by {AT_ONCE} processes on {connection.vendor}", AT_ONCE * times)


def outcome_of(work, refusal):
    """What a work came to: done, or refused as it should be."""
    try:
        work()
    except refusal:
        return "refused"
    return "done"


def race(works, refusal):
    """What came of works of which one alone can be done."""
    return sorted(at_once([partial(outcome_of, work, refusal) for work in works]))


ONE_OF_THEM = ["done", *["refused"] * (AT_ONCE - 1)]


def test_the_last_place_is_given_once(full, count_proof):
    rounds = 100 if full else 2
    make_studio()
    call = make_call(at_most=1)
    names = [f"maker{at}" for at in range(AT_ONCE)]
    people = [make_application(call, name=name, email=f"{name}@larkmoss.example") for name in names]
    for _ in range(rounds):
        Placement.objects.all().delete()
        Application.objects.update(state="applied")
        works = [partial(give_place, application=one, size="M") for one in people]
        assert race(works, PlaceRefused) == ONE_OF_THEM
        assert Placement.objects.filter(ended_at=None).count() == 1
    count_proof(f"last place asked for by {AT_ONCE} processes on {connection.vendor}", rounds)


def test_a_number_is_given_to_one_version(full, count_proof, monkeypatch):
    rounds = 100 if full else 2
    monkeypatch.setattr(publishing, "render_editions", publishers.quick_press)
    make_studio()
    pattern = load_pattern(document=sample("brackenmere_pullover"), by=None)
    for turn in range(rounds):
        works = [partial(publishers.publish, pattern, f"0.{turn}")] * AT_ONCE
        assert race(works, NumberTaken) == ONE_OF_THEM
        assert Version.objects.filter(major=0, minor=turn, state="published").count() == 1
    assert list(faults()) == []
    count_proof(f"one number asked for by {AT_ONCE} processes on {connection.vendor}", rounds)


def titled(words, document):
    return {**document, "title": words}


def test_one_cell_is_written_by_who_came_first(full, count_proof):
    rounds = 100 if full else 2
    make_studio()
    pattern = make_pattern()
    for turn in range(rounds):
        pattern = Pattern.objects.select_related("sheet").get()
        works = [
            partial(
                edit_pattern,
                pattern=pattern,
                revision=pattern.sheet.revision,
                change=partial(titled, f"Vest of {at} in round {turn}"),
            )
            for at in range(AT_ONCE)
        ]
        assert race(works, StaleRevision) == ONE_OF_THEM
        last = PatternEdit.objects.order_by("revision").last()
        assert last is not None
        assert Pattern.objects.get().title in str(last.after)
    assert PatternEdit.objects.count() == rounds
    count_proof(f"one cell written by {AT_ONCE} processes on {connection.vendor}", rounds)


def test_a_transaction_on_sqlite_holds_the_write_lock_before_its_first_question():
    """A lock that is asked for half-way is refused at once, without any waiting (SQLite, “Transaction”)."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL locks rows, not the whole database: there is no such lock to take.")
    name = str(connection.settings_dict["NAME"])
    with closing(sqlite3.connect(name, timeout=0, isolation_level=None)) as other:
        with transaction.atomic(), pytest.raises(sqlite3.OperationalError, match="database is locked"):
            other.execute("BEGIN IMMEDIATE")
        other.execute("BEGIN IMMEDIATE")
        other.execute("ROLLBACK")
