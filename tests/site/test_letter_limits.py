"""What visitors can have sent by e-mail, and to whom: little, however they ask."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings as program
from django.core import mail
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.urls import reverse

from catalogue.models import Holder, Tally
from catalogue.studio.limits import forget_old_tallies
from catalogue.studio.person_names import no_link
from catalogue.versions.glances import written_glance
from testing.applications.applications import consent_glance
from testing.models import Application
from tests.builders import make_person
from tests.file_database import (
    database_url,
    shared_database,  # noqa: F401  fixture
)
from tests.pace import fewest_seconds
from tests.testing.builders import application_form, make_call, make_pattern, make_studio, make_version

pytestmark = pytest.mark.django_db
SHARED = program.CACHES
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def counted_in_the_database(settings):
    settings.CACHES = SHARED


@pytest.fixture
def call():
    make_studio()
    return make_call()


@pytest.fixture
def sign_up():
    version = make_version(make_pattern(title="Cinderfell Raglan"), number="1.0", kind="release")
    return reverse("sign_up", args=[version.pattern.slug])


def apply(call, *, client=None, **changes):
    typed = application_form(seen=written_glance(consent_glance(call)), **changes)
    return (client or Client()).post(reverse("apply", args=[call.slug]), typed)


def from_client(number):
    return Client(REMOTE_ADDR=f"192.0.2.{number}")


def test_one_client_has_twenty_letters_an_hour_sent_by_applying(call):
    answers = [apply(call, email=f"somebody{number}@larkmoss.example") for number in range(80)]
    assert len(mail.outbox) == Application.objects.count() == 20
    last = answers[-1]
    assert last.status_code == 429
    page = last.content.decode()
    assert "Too many e-mails were asked for from your connection" in page
    assert 'value="somebody79@larkmoss.example"' in page
    assert 'value="Wren Alder"' in page
    assert apply(call, client=from_client(9), email="another@larkmoss.example").status_code == 302


def test_one_client_has_three_letters_an_hour_sent_to_one_address(call):
    other = make_call(pattern=make_pattern(title="Brackenmere Pullover"))
    answers = [
        apply(one, email="Wren@Larkmoss.example", access_needs=f"Try {number}")
        for number, one in enumerate((call, other) * 20)
    ]
    assert len(mail.outbox) == 3
    assert answers[3].status_code == 429
    assert "Several e-mails to this address were asked for already" in answers[3].content.decode()


def test_many_clients_have_ten_letters_a_day_sent_to_one_address_by_whatever_form(call, sign_up):
    for number in range(20):
        apply(call, client=from_client(number), access_needs=f"Try {number}")
        from_client(number).post(sign_up, {"email": "wren@larkmoss.example"})
    assert len(mail.outbox) <= 10


def test_the_sign_up_for_notices_is_limited_and_keeps_what_was_typed(sign_up):
    client = Client()
    answers = [client.post(sign_up, {"email": f"somebody{number}@larkmoss.example"}) for number in range(40)]
    assert len(mail.outbox) == Holder.objects.count() == 20
    assert answers[-1].status_code == 429
    assert 'value="somebody39@larkmoss.example"' in answers[-1].content.decode()


def test_a_form_with_a_mistake_counts_for_nothing(call):
    for _ in range(30):
        assert apply(call, wish_1="9X").status_code == 200
    assert apply(call).status_code == 302


def test_known_and_unknown_addresses_are_held_off_alike(call):
    make_person(role="tester", email="known@larkmoss.example")
    pages = []
    for number, name in enumerate(("known", "nobody")):
        asked = {"email": f"{name}@larkmoss.example"}
        answers = [from_client(number).post(reverse("account_request_login_code"), asked) for _ in range(4)]
        pages.append([answer.status_code for answer in answers])
        assert "Several e-mails to this address" in answers[-1].content.decode()
    assert pages[0] == pages[1]
    assert len(mail.outbox) == 3


def test_codes_are_sent_to_one_address_sixty_times_a_day_at_most_and_to_its_own_device_always(call):
    tester = make_person(role="tester")
    asked = {"email": tester.email}
    for number in range(30):
        for _ in range(3):
            from_client(number).post(reverse("account_request_login_code"), asked)
    assert len(mail.outbox) == 60
    from tests.site.test_locked_out import known_device

    own = known_device(tester, REMOTE_ADDR="192.0.2.200")
    own.post(reverse("account_request_login_code"), asked)
    assert len(mail.outbox) == 61


def test_new_passwords_are_sent_to_one_address_a_few_times_only(call):
    editor = make_person(role="editor")
    client = Client()
    answers = [client.post(reverse("account_reset_password"), {"email": editor.email}) for _ in range(6)]
    assert len(mail.outbox) == 3
    assert "Several e-mails to this address" in answers[-1].content.decode()
    assert f'value="{editor.email}"' in answers[-1].content.decode()


@pytest.mark.parametrize(
    "name",
    [
        "Win at https://evil.example/now",
        "evil.example",
        "Ann www.evil example",
        "Ann (evil.com)",
        "Ann //evil",
        "Ann javascript:/x",
        "Ann evil\u3002example",
        "Ann böse.example",
        "wren@larkmoss.example",
    ],
)
def test_a_name_that_would_be_a_link_is_refused_and_kept(call, name):
    answer = apply(call, name=name)
    assert "contain a web link" in answer.content.decode()
    assert not Application.objects.exists()
    assert mail.outbox == []
    assert name.split()[-1].strip("()") in answer.content.decode()


@pytest.mark.parametrize(
    "name",
    ["Wren Alder", "J.R. Moss", "Ó Súilleabháin", "Mary-Jane O'Fell", "Dr. Ida v. Moss", "Wren 2", "毛糸"],
)
def test_a_name_of_a_person_is_taken(name):
    no_link(name)


def test_a_name_of_any_length_is_looked_through_once():
    long, longer = "m" * 20_000, "m" * 200_000
    assert fewest_seconds(lambda: no_link(longer)) < 100 * max(fewest_seconds(lambda: no_link(long)), 1e-4)


def test_names_of_accounts_hold_no_link_either(client, call):
    person = make_person(role="tester")
    client.force_login(person)
    answer = client.post(reverse("my_account"), {"name": "See evil.example", "units": "cm"})
    assert "contain a web link" in answer.content.decode()
    person.refresh_from_db()
    assert "evil" not in person.name


def test_what_is_counted_names_nobody_and_goes_after_its_time(call):
    apply(call, client=from_client(7))
    assert Tally.objects.exists()
    with connection.cursor() as cursor:
        cursor.execute("SELECT cache_key, value FROM catalogue_tally")
        assert not {"192.0.2.7", "wren"} & {word for row in cursor.fetchall() for word in str(row).split("'")}
    assert forget_old_tallies() == 0
    Tally.objects.update(expires="2020-01-01T00:00:00Z")
    assert forget_old_tallies() > 0
    assert not Tally.objects.exists()


def test_many_counts_push_none_out():
    for number in range(400):
        cache.set(f"of stranger {number}", 1, 600)
    assert cache.get("of stranger 0") == 1


ANOTHER_PROCESS = """
import django, json, sys
django.setup()
from django.test import RequestFactory
from catalogue.studio.limits import refuse_letter
request = RequestFactory(REMOTE_ADDR="192.0.2.1").post("/")
print(json.dumps([bool(refuse_letter(request, "ida@larkmoss.example")) for _ in range(int(sys.argv[1]))]))
"""


@pytest.mark.usefixtures("shared_database")
def test_several_processes_count_together(tmp_path):
    environment = {
        **os.environ,
        "DATABASE_URL": database_url(),
        "EVENROW_DATA": str(tmp_path / "studio"),
        "EVENROW_SECRET_KEY": program.SECRET_KEY,
        "DJANGO_SETTINGS_MODULE": "catalogue.site.settings",
    }
    refused = []
    for number in (2, 3):
        done = subprocess.run(
            [sys.executable, "-c", ANOTHER_PROCESS, str(number)],
            env=environment, cwd=ROOT, capture_output=True, text=True,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        refused += json.loads(done.stdout)
    assert refused == [False, False, False, True, True]


def test_a_name_with_a_link_says_what_to_do():
    with pytest.raises(ValidationError, match="leave it out, or put a space after each full stop"):
        no_link("St.Johns")
