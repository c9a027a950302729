"""Signed links and names open what they were made for alone, also where keys are given out again."""

import pytest
from django.core import signing
from django.core.signing import Signer
from django.test import RequestFactory
from django.urls import reverse

from catalogue.holders.holders import erase_holder, holder_key, holder_of_key
from catalogue.holders.letters import mail_of_message_id, message_id
from catalogue.models import Holder, Notice, NoticeMail, Person
from catalogue.studio.known_devices import device_of, remember_device
from testing.applications.applications import application_key, application_of_key
from testing.models import Application
from testing.places.places import offer_key, offer_of_key
from testing.privacy.erasing import erase_application, erase_person
from tests.present import present
from tests.testing.builders import make_application, make_call, make_place, make_studio

pytestmark = pytest.mark.django_db


@pytest.fixture
def call():
    make_studio()
    return make_call()


def take_key_of(row, **fields):
    """Store a newcomer under the key of a row that is gone, as after a restore into a fresh folder."""
    return type(row).objects.create(pk=row.pk, **fields)


def hold(call, name="wren"):
    return Holder.objects.create(pattern=call.pattern, email=f"{name}@larkmoss.example")


def test_a_link_of_an_erased_holder_does_not_open_a_newcomers_row(client, call):
    holder = hold(call)
    old = Holder.objects.get(pk=holder.pk)
    key = holder_key(holder)
    assert holder_of_key(key) == holder
    erase_holder(holder=holder)
    newcomer = take_key_of(old, pattern=call.pattern, email="moss@larkmoss.example")
    for name in ("unsubscribe", "holder_confirm"):
        for send in (client.get, client.post):
            answer = send(reverse(name, args=[key]))
            assert answer.status_code == 404
            assert "moss@" not in answer.content.decode()
    newcomer.refresh_from_db()
    assert newcomer.state == "wants"
    assert holder_of_key(holder_key(newcomer)) == newcomer


def test_a_returned_letter_of_an_erased_holder_silences_no_newcomer(call):
    notice = Notice.objects.create(version=call.version)
    holder = hold(call)
    mail = NoticeMail.objects.create(notice=notice, holder=holder)
    mail_key, holder_pk, name = mail.pk, holder.pk, message_id(mail)
    assert mail_of_message_id(name) == mail
    holder.delete()
    newcomer = Holder.objects.create(pk=holder_pk, pattern=call.pattern, email="moss@larkmoss.example")
    NoticeMail.objects.create(pk=mail_key, notice=notice, holder=newcomer)
    assert mail_of_message_id(name) is None


def test_a_link_of_an_erased_applicant_opens_no_later_application(call):
    application = make_application(call)
    pk, key = application.pk, application_key(application)
    assert application_of_key(key) == application
    erase_application(application=application)
    again = make_application(call)  # the same person, who had the first one erased
    Application.objects.filter(pk=again.pk).update(id=pk)
    again.pk = pk
    assert application_of_key(key) is None
    assert application_of_key(application_key(again)) == again


def test_an_offer_opens_the_place_it_was_made_for_alone(call):
    from testing.places.places import give_place

    first = give_place(application=make_application(call), size="M")
    pk, key = first.pk, offer_key(first)
    assert offer_of_key(key) == first
    erase_application(application=first.application)
    moss = make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    second = give_place(application=moss, size="M")
    type(second).objects.filter(pk=second.pk).update(id=pk)
    assert offer_of_key(key) is None


def test_a_device_known_to_somebody_erased_is_not_that_of_a_newcomer(call):
    person = present(make_place(call).person)
    pk, joined_at = person.pk, person.joined_at
    browser = RequestFactory().get("/")

    class Answer:
        def set_cookie(self, name, value, **_):
            browser.COOKIES[name] = value

    remember_device(browser, Answer(), person)  # type: ignore[arg-type]
    assert device_of(browser, person.email)
    erase_person(person=person)
    newcomer = Person.objects.create(pk=pk, email="moss@larkmoss.example")
    assert newcomer.joined_at != joined_at
    assert not device_of(browser, newcomer.email)


def test_links_in_letters_from_before_go_on_for_their_own_rows_alone(call):
    """Rows from before the tokens have none; an applicant's has the address, as their link names it."""
    bare = Signer(salt="catalogue.holders").sign
    known, newcomer = hold(call), hold(call, "moss")
    Holder.objects.filter(pk=known.pk).update(token="")
    assert holder_of_key(bare(str(known.pk))) == known
    assert holder_of_key(bare(str(newcomer.pk))) is None
    application = make_application(call)
    key = signing.Signer(salt="testing.application").sign_object([application.pk, application.email])
    assert application_of_key(key) is None
    Application.objects.filter(pk=application.pk).update(token=application.email)
    assert application_of_key(key) == application


def test_every_new_row_has_a_token_of_its_own(call):
    rows = [hold(call, name) for name in ("wren", "moss", "fern")]
    assert len({row.token for row in rows}) == 3
    assert all(len(row.token) == 16 for row in rows)
