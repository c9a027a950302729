"""A signature is of data: a program that says the same in other words costs none, a change of data does."""

import json

import pytest
from django.utils import timezone

from catalogue.materials import ended_yarns
from catalogue.models import PatternYarn, TechnicalEdit, Yarn
from catalogue.technical_edit.technical_edits import (
    beside_sign_off,
    last_sign_off,
    open_queries,
    sign_off,
    state_record,
)
from catalogue.versions import freezing
from catalogue.versions.draft_glances import draft_glance
from catalogue.versions.records import canonical, digest_of
from grading.core.pattern.wordings import NEWEST_WORDING
from tests.catalogue.builders import edit, make_pattern, value_of
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def make_yarn(name="Larkmoss Skeinbury", length=220):
    return Yarn.objects.create(name=name, length_per_100g_m=length, put_up_g=50)


def sign(pattern):
    seen = draft_glance(pattern, state_record(pattern), beside_sign_off(open_queries(pattern)))
    sign_off(pattern=pattern, seen=seen, note="", by=None)


def signed_with_an_ended_yarn():
    """A signed draft of which one yarn is no longer made, and another takes its place."""
    yarn, pattern = make_yarn(), make_pattern()
    yarn.ended_on, yarn.substitute = timezone.localdate(), make_yarn("Larkmoss Orrendale", 200)
    yarn.save()
    PatternYarn.objects.create(pattern=pattern, colour="A", yarn=yarn)
    sign(pattern)
    return pattern


def is_fresh(pattern):
    return present(last_sign_off(pattern)).is_fresh


def sign_as_before(pattern, change):
    """The signature as a program gave it that kept something else in the state."""
    edit = TechnicalEdit.objects.get(pattern=pattern)
    state = json.loads(edit.record)
    change(state)
    edit.record = canonical(state)
    edit.fingerprint = digest_of(edit.record)
    edit.save()


def test_other_words_for_a_yarn_that_is_no_longer_made_cost_no_signature(monkeypatch):
    pattern = signed_with_an_ended_yarn()
    said = state_record(pattern)["ended_yarns"]
    monkeypatch.setattr(ended_yarns, "ended_words", lambda yarn, units="cm": f"Gone: {yarn.name}.")
    assert state_record(pattern)["ended_yarns"] != said
    assert is_fresh(pattern)


def test_a_name_that_older_states_did_not_keep_costs_no_signature():
    pattern = signed_with_an_ended_yarn()

    def without_names(state):
        del state["ended_names"]
        for one in state["substitutes"]:
            del one["old_name"]

    sign_as_before(pattern, without_names)
    assert is_fresh(pattern)
    Yarn.objects.filter(ended_on=None).update(length_per_100g_m=201)
    assert not is_fresh(pattern)


def test_other_words_for_steps_and_findings_cost_no_signature(monkeypatch):
    pattern = signed_with_an_ended_yarn()
    monkeypatch.setattr(freezing, "NEWEST_WORDING", NEWEST_WORDING + 1)
    monkeypatch.setattr(freezing, "printed_sections", lambda core, graded: [])
    assert is_fresh(pattern)
    sign_as_before(pattern, lambda state: state["results"].update(findings=[]))
    assert is_fresh(pattern)


def test_a_yarn_that_ends_and_one_that_is_made_again_make_a_signature_stale():
    pattern = signed_with_an_ended_yarn()
    Yarn.objects.exclude(ended_on=None).update(substitute=None)
    assert not is_fresh(pattern)
    Yarn.objects.update(ended_on=None)
    assert not is_fresh(pattern)


def test_of_two_yarns_without_substitutes_it_is_known_which_is_no_longer_made():
    first, second, pattern = make_yarn("Larkmoss Tarnholt"), make_yarn("Larkmoss Orrendale"), make_pattern()
    label = "Larkmoss Tarnholt or Larkmoss Orrendale"
    edit(pattern, lambda document: document["yarns"][0].update(label=label))
    Yarn.objects.filter(pk=first.pk).update(ended_on=timezone.localdate())
    sign(pattern)
    assert is_fresh(pattern)
    Yarn.objects.filter(pk=first.pk).update(ended_on=None)
    Yarn.objects.filter(pk=second.pk).update(ended_on=timezone.localdate())
    assert not is_fresh(pattern)


def test_typed_numbers_and_words_make_a_signature_stale():
    pattern = signed_with_an_ended_yarn()
    edit(pattern, lambda document: value_of(document, "ease")["steps"].update(base="24 cm"))
    assert not is_fresh(pattern)
    other = make_pattern("cinderfell_raglan")
    sign(other)
    edit(other, lambda document: document["sections"][0]["steps"].__setitem__(0, "Begin."))
    assert not is_fresh(other)
