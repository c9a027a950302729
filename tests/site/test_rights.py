"""Every address of the program, walked as every kind of person and as nobody."""

import contextlib
import re
from collections.abc import Iterator
from http.cookies import SimpleCookie

import pytest
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, URLPattern, URLResolver, get_resolver, resolve, reverse

from testing.models import Application
from tests.site.odd_requests import signed_in
from tests.site.rights_table import ELSEWHERE, NOBODY, OF_IT, TABLE, TAKEN

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("kept_press")]
PEOPLE = (
    "designer",
    "editor",
    "publishing editor",
    "tester",
    "other tester",
    OF_IT,
    ELSEWHERE,
    "nobody",
)


def all_names(resolver: URLResolver | None = None) -> Iterator[str]:
    """The names of all addresses; one without a name counts as its own text."""
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from all_names(entry)
        elif isinstance(entry, URLPattern):
            yield entry.name or str(entry.pattern)


def address_of(name, world):
    parts = TABLE[name].parts
    return reverse(name, kwargs={key: part(world) if callable(part) else part for key, part in parts.items()})


def cookies_of(world, person):
    """What a browser of theirs sends: everybody signs in once."""
    kept = vars(world).setdefault("cookies", {})
    if person not in kept:
        kept[person] = signed_in(world.people[person]).cookies.output(header="", sep=";")
    return kept[person]


def hidden_words(world, address):
    """What an editor of one pattern never reads: another's title, and on the desk who tests and who holds."""
    if not address.startswith("/desk/"):  # a letter's address shows its receiver what is theirs
        return [world.elsewhere.title]
    applied = Application.objects.values_list("name", "email", "access_needs")
    testers = [words for one in applied for words in one if words]
    photo = f"/making/photos/{world.result_photo.pk}/"
    return [world.elsewhere.title, "holder@larkmoss.example", photo, *testers]


def dead_ends(page):
    """Links and forms of a page that an editor of one pattern gets nowhere with."""
    for address in re.findall(r'(?:href|action)="(/[^"?#]*)', page):
        with contextlib.suppress(Resolver404):
            name = resolve(address).url_name
            if name in TABLE and OF_IT not in TABLE[name].who:
                yield address


def ask(world, person, method, address, sent=None):
    """The status of the answer and where it leads; whatever it changed is undone.

    An editor of one pattern reads of another nowhere, nor who tests, nor is led to a closed page: 598.
    """
    client = Client(raise_request_exception=False)
    client.cookies = SimpleCookie(cookies_of(world, person))
    with transaction.atomic():
        try:
            answer = getattr(client, method)(address, sent or {})
        except pytest.fail.Exception as failure:  # a template asks for what it was not given
            return 599, str(failure)
        finally:
            transaction.set_rollback(True)
    if person == OF_IT and not answer.streaming:
        told = [words for words in hidden_words(world, address) if words.encode() in answer.content]
        told += dead_ends(answer.content.decode(errors="replace"))
        if told:
            return 598, f"{told} at {address}"
    answer.close()
    return answer.status_code, answer.get("Location", "")


def is_turned_away(row, person, status, location):
    """Whether somebody who may not is answered as if the address were not there, or asked to sign in."""
    if person in NOBODY and row.nobody == 302:
        return status == 302 and location.startswith(reverse("account_login"))
    return status == 404


def problems_when_seen(name, row, world, person):
    status, location = ask(world, person, "get", address_of(name, world))
    if not row.is_seen:
        is_right = status == 405 or (person not in row.who and is_turned_away(row, person, status, location))
    elif person in row.who:
        is_right = status in row.answers
    else:
        is_right = is_turned_away(row, person, status, location)
    return [] if is_right else [f"{name}: {person} looks and gets {status} {location}"]


def problems_when_sent(name, row, world, person):
    status, location = ask(world, person, "post", address_of(name, world), row.sent)
    if not row.is_sent:
        is_right = status in {405} | (row.answers & {404}) or (
            person not in row.who and is_turned_away(row, person, status, location)
        )
    elif person in row.who:
        is_right = status in TAKEN | row.answers and not location.startswith("/account/login/?")
    else:
        is_right = is_turned_away(row, person, status, location)
    return [] if is_right else [f"{name}: {person} sends and gets {status} {location}"]


def test_every_address_has_its_row():
    names = list(all_names())
    assert sorted(set(names) - set(TABLE)) == [], "add these to tests/site/rights_table.py"
    assert sorted(set(TABLE) - set(names)) == [], "these addresses are gone"
    assert len(names) == len(set(names)), "a name is used twice"


@pytest.mark.parametrize("person", PEOPLE)
def test_looking_is_answered_as_the_table_says(world, person):
    problems = [line for name, row in TABLE.items() for line in problems_when_seen(name, row, world, person)]
    assert not problems, "\n" + "\n".join(problems)


@pytest.mark.parametrize("person", PEOPLE)
def test_sending_is_answered_as_the_table_says(world, person):
    problems = [line for name, row in TABLE.items() for line in problems_when_sent(name, row, world, person)]
    assert not problems, "\n" + "\n".join(problems)


def test_the_table_names_the_people_of_the_walk(world):
    assert tuple(world.people) == PEOPLE
    assert all(row.who <= set(PEOPLE) for row in TABLE.values())


# Mail programs post to the first without ever having seen its page, which sets no cookie (RFC 8058): the
# addresses themselves are signed.
SIGNED_ADDRESSES = {"unsubscribe", "holder_link"}


@pytest.mark.only_keeps_rows("it is refused where the token of a form is looked for, before any view")
def test_a_form_without_its_token_is_refused_at_every_address(world):
    client = Client(enforce_csrf_checks=True)
    client.force_login(world.people["designer"])
    for name, row in TABLE.items():
        if row.is_sent and name not in SIGNED_ADDRESSES:
            assert client.post(address_of(name, world)).status_code == 403, name


@pytest.mark.only_keeps_rows(
    "HEAD is answered as GET, with which the walk looks on both; OPTIONS before any view"
)
def test_head_and_options_break_nothing(world):
    for person in ("designer", "nobody"):
        for name in TABLE:
            for method in ("head", "options"):
                assert ask(world, person, method, address_of(name, world))[0] < 500, name
