"""Errata decided about while somebody else works on the same one."""

import itertools
from functools import partial

import pytest
from django.urls import reverse

from catalogue.editions.verification import faults
from catalogue.errata.errata import (
    Mistake,
    change_erratum,
    correct_erratum,
    erratum_glance,
    judge_erratum,
    report_erratum,
)
from catalogue.models import Edition, Erratum, Pattern, Version
from catalogue.publishing import publishing
from catalogue.publishing.publishing import Publication, make_editions, start_publication, withdraw_version
from catalogue.publishing.retiring import retire_pattern
from catalogue.versions.glances import Moved, written_glance
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole
from tests.meddling import meddled
from tests.sent_forms import send_form

pytestmark = pytest.mark.usefixtures("quick_pdf")


def released_twice():
    """A release with a mistake, one without, and the erratum, confirmed."""
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    first = make_version(pattern, number="1.0")
    edit(pattern, mended_armhole)
    second = make_version(pattern, number="1.1")
    erratum = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", says="44 rows", found_in=first)
    )
    judge_erratum(erratum=erratum, is_mistake=True)
    return erratum, second


@pytest.mark.django_db
@pytest.mark.parametrize("decide", ["erratum_correct", "erratum_dismiss"])
def test_what_was_changed_meanwhile_is_shown_before_it_is_decided(designer_client, decide):
    erratum, _ = released_twice()
    address = reverse("erratum", args=[erratum.pattern.slug, erratum.pk])
    action = reverse(decide, args=[erratum.pattern.slug, erratum.pk])
    page = designer_client.get(address).content.decode()
    change_erratum(erratum=erratum, changes={"says": "52 rows"}, by=None)
    answer = send_form(designer_client, address, action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "It says: <del>44 rows</del>" in said
    assert "<ins>52 rows</ins>" in said
    assert Erratum.objects.get().state == "confirmed"
    assert send_form(designer_client, address, action=action, page=said).status_code == 302
    assert Erratum.objects.get().state != "confirmed"


@pytest.mark.django_db
def test_two_who_change_an_erratum_do_not_undo_each_other_unseen(designer_client):
    erratum, _ = released_twice()
    address = reverse("erratum_change", args=[erratum.pattern.slug, erratum.pk])
    page = designer_client.get(address).content.decode()
    change_erratum(erratum=erratum, changes={"says": "52 rows"}, by=None)
    answer = send_form(designer_client, address, page=page, why="Eight too many.")
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "<del>44 rows</del>" in said
    assert "Eight too many." in said
    assert Erratum.objects.get().says == "52 rows"
    assert send_form(designer_client, address, page=said, says="52 rows").status_code == 302
    changed = Erratum.objects.get()
    assert (changed.says, changed.why) == ("52 rows", "Eight too many.")


@pytest.mark.django_db
def test_what_was_read_long_ago_decides_nothing():
    """Another process has corrected the erratum since this one read it."""
    erratum, second = released_twice()
    read_before = Erratum.objects.get()
    correct_erratum(erratum=erratum, version=second)
    with pytest.raises(ValueError, match="it stays corrected"):
        judge_erratum(erratum=read_before, is_mistake=False)
    with pytest.raises(Moved):
        change_erratum(
            erratum=read_before, changes={"says": "x"}, by=None, seen=written_glance({"State": "confirmed"})
        )
    assert Erratum.objects.get().state == "corrected"
    assert written_glance(erratum_glance(read_before)) == written_glance(erratum_glance(erratum))


def test_a_version_is_published_whole_or_taken_back_whole(shared_database, settings):
    """The worker finishes the last edition between any two steps of taking the version back."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    pattern = make_pattern()
    left = set()

    def finish():
        for version in Version.objects.all():
            make_editions(version)

    for step in itertools.count():
        Edition.objects.all().delete()
        Version.objects.all().delete()
        version = start_publication(Publication(pattern=pattern, kind="test", number="0.1", note="", by=None))
        _, outcome = meddled(partial(withdraw_version, version=version), finish, before=step)
        if outcome == "not reached":
            break
        versions = list(Version.objects.all())
        assert list(faults()) == [], step
        assert [one.state for one in versions] in ([], ["published"]), step
        assert Edition.objects.count() == len(versions), step
        left.add(len(versions))
    assert 0 in left


@pytest.mark.django_db
def test_a_pattern_that_is_retired_while_it_is_printed_is_not_listed(client, monkeypatch):
    pattern = make_pattern()
    press = vars(publishing)["render_editions"]

    def retire_meanwhile(**job):
        yield from press(**job)
        retire_pattern(pattern=Pattern.objects.get())

    monkeypatch.setattr(publishing, "render_editions", retire_meanwhile)
    make_version(pattern, number="1.0")
    assert pattern.title not in client.get(reverse("catalogue")).content.decode()
