"""Common passwords are refused, also where something was added to make them long enough."""

import gzip

import pytest
from django.core.exceptions import ValidationError

from catalogue.studio.passwords import NearlyCommonPasswordValidator

LENGTH = 10
JUDGE = NearlyCommonPasswordValidator()


def is_refused(password):
    try:
        JUDGE.validate(password)
    except ValidationError:
        return True
    return False


def test_every_password_of_the_list_is_refused_as_it_is_and_made_longer():
    with gzip.open(JUDGE.DEFAULT_PASSWORD_LIST_PATH, "rt") as known:
        listed = [line.strip() for line in known]
    assert len(listed) > 19_000
    assert [one for one in listed if not is_refused(one)] == []
    words = [one for one in listed if one.isalpha() and LENGTH / 2 <= len(one) < LENGTH]
    assert len(words) > 3_000  # as many as the standard asks for at least, and of a length that is taken here
    for made in ("{}2026!", "!!{}99", "{0}{0}"):
        assert [one for one in words if not is_refused(made.format(one.capitalize()))] == []


@pytest.mark.parametrize(
    "password", ["wool gathering heron", "7391abc826", "dragon.9041-7725-88", "2871938471", "dragonwoolheron"]
)
def test_words_that_nobody_has_in_a_list_are_taken(password):
    assert not is_refused(password)
