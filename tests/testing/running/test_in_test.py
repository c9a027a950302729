"""What the desk says to do next in a pattern that is in test."""

import pytest

from catalogue.drafts.standing import READ, standing_for, standing_of, with_standing
from catalogue.models import Pattern
from tests.testing.builders import (
    make_application,
    make_call,
    make_pattern,
    make_person,
    make_place,
    make_version,
)

pytestmark = pytest.mark.django_db


def act(pattern):
    standing = standing_of(with_standing(Pattern.objects.all()).get(pk=pattern.pk))
    return standing.act, standing.page


def test_a_pattern_in_test_needs_a_call_then_answers_then_a_look_at_results(studio):
    pattern = make_pattern()
    make_version(pattern)
    assert act(pattern) == ("Write a test call", "call_new")
    call = make_call(pattern=pattern, version=False)
    assert act(pattern) == ("Look at the test call", "calls_now")
    make_application(call)
    assert act(pattern) == ("Answer 1 application", "calls_now")
    make_application(call, email="second@larkmoss.example")
    assert act(pattern) == ("Answer 2 applications", "calls_now")
    make_place(call, email="third@larkmoss.example")
    assert act(pattern) == ("Look at the testers and their results", "calls_now")


def test_an_editor_is_offered_what_editors_may_do(studio):
    pattern, editor = make_pattern(), make_person(role="editor")
    make_version(pattern)
    standing = standing_of(with_standing(Pattern.objects.all()).get(pk=pattern.pk))
    assert standing_for(standing, editor).act == READ
    make_call(pattern=pattern, version=False)
    standing = standing_of(with_standing(Pattern.objects.all()).get(pk=pattern.pk))
    assert standing_for(standing, editor).act == "Look at the test call"


def test_a_place_that_was_given_back_is_no_tester(studio):
    pattern = make_pattern()
    make_version(pattern)
    place = make_place(make_call(pattern=pattern, version=False))
    assert act(pattern)[0] == "Look at the testers and their results"
    place.ended_at = place.accepted_at
    place.save()
    assert act(pattern)[0] == "Look at the test call"
