"""What the desk says to do next in a pattern that is in test."""

import pytest

from catalogue.drafts.standing import standing_of, with_standing
from catalogue.models import Pattern
from tests.testing.builders import make_application, make_call, make_pattern, make_place, make_version

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
