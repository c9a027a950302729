import datetime as dt
import re
from urllib.parse import urlencode

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Person
from catalogue.studio.roles import give_role
from catalogue.versions.glances import written_glance
from testing.calls.glances import application_glance
from testing.models import Application, Placement
from testing.places.dropouts import decline_offer, withdraw_place
from testing.places.places import PlaceRefused, give_place, offer_key
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import days_from_now, make_application, make_call, make_person, make_place


def give(client, application, size="M"):
    call = application.call
    address = reverse("place_give", args=[call.pattern.slug, call.pk, application.pk])
    seen = written_glance(application_glance(application))
    return client.post(address, {f"place-{application.pk}-size": size, "seen": seen}, follow=True)


def offered(call, **changes):
    return give_place(application=make_application(call, **changes), size="M")


def test_a_place_given_by_hand_goes_out_by_mail(as_designer, call):
    application = make_application(call)
    mail.outbox.clear()
    page = give(as_designer, application).content.decode()
    placement = Placement.objects.get()
    assert "The offer to Wren Alder is on its way." in page
    assert (placement.size, placement.application.state) == ("M", "offered")
    assert offer_key(placement) in mail.outbox[0].body
    assert "size M" in mail.outbox[0].subject
    assert "96" not in mail.outbox[0].subject
    assert placement.answer_by - placement.offered_at == dt.timedelta(days=5)


def test_no_more_places_are_given_than_a_size_takes(as_designer, studio):
    call = make_call(at_most=1)
    offered(call)
    second = make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    assert "Choose one of the call" in give(as_designer, second, "XL").content.decode()
    assert "All 1 places of size M are given." in give(as_designer, second).content.decode()
    assert Placement.objects.count() == 1
    first = present(Application.objects.first())
    with pytest.raises(PlaceRefused, match="has a place already"):
        give_place(application=first, size="S")


def test_a_lapsed_offer_frees_its_place(studio):
    call = make_call(at_most=1)
    placement = offered(call)
    Placement.objects.filter(pk=placement.pk).update(answer_by=timezone.now() - dt.timedelta(seconds=1))
    give_place(application=make_application(call, name="Moss", email="moss@larkmoss.example"), size="M")


def accept(client, key):
    """Look at an offer and take the place."""
    address, action = (reverse(name, args=[key]) for name in ("offer", "offer_accept"))
    return send_form(client, address, action=action)


def test_looking_at_an_offer_consumes_nothing(client, call):
    placement = offered(call)
    address = reverse("offer", args=[offer_key(placement)])
    for _ in range(2):
        page = client.get(address)
        assert page.status_code == 200
        assert client.head(address).status_code == 200
    assert "Please show no pictures yet." in page.content.decode()
    assert client.get(reverse("offer_accept", args=[offer_key(placement)])).status_code == 405
    placement.refresh_from_db()
    assert placement.accepted_at is None
    assert Person.objects.count() == 0


def test_accepting_makes_the_account_and_signs_in_with_a_code(client, call):
    placement = offered(call)
    mail.outbox.clear()
    answer = accept(client, offer_key(placement))
    onward = urlencode({"next": reverse("making", args=[placement.pk])})
    assert answer.url == f"{reverse('account_confirm_login_code')}?{onward}"
    placement.refresh_from_db()
    assert placement.person.email == "wren@larkmoss.example"
    assert not placement.person.has_usable_password()
    assert placement.application.state == "accepted"
    assert "Everything sent in by" in placement.agreement
    assert "_auth_user_id" not in client.session
    shown = client.get(answer.url).content.decode()
    assert "You have the place. Sign in with the code in your e-mail." in shown
    letter = str(mail.outbox[0].body)
    code = present(re.search(r"^\s*([A-Z0-9]{3,}-?[A-Z0-9]{2,})\s*$", letter, re.MULTILINE)).group(1)
    client.post(reverse("account_confirm_login_code"), {"code": code})
    assert client.session["_auth_user_id"] == str(placement.person.pk)
    assert "Fernhollow Vest, size M" in client.get(reverse("my_making")).content.decode()


def test_an_accepted_offer_cannot_be_used_again(client, call):
    placement = offered(call)
    key = offer_key(placement)
    accept(client, key)
    again = client.post(reverse("offer_accept", args=[key]))
    assert again.status_code == client.get(reverse("offer", args=[key])).status_code == 404
    assert "If you took the place" in again.content.decode()
    assert reverse("my_making") in again.content.decode()


def test_an_address_that_has_an_account_keeps_it(client, call):
    known = make_person("wren@larkmoss.example")
    placement = offered(call)
    accept(client, offer_key(placement))
    placement.refresh_from_db()
    assert placement.person == known


def test_a_member_of_the_studio_gets_no_code(client, call):
    give_role(person=make_person("wren@larkmoss.example"), role="editor")
    placement = offered(call)
    mail.outbox.clear()
    answer = accept(client, offer_key(placement))
    assert answer.url == reverse("account_login")
    assert not mail.outbox


def test_a_closed_account_is_told_so(client, call):
    make_person("wren@larkmoss.example", is_active=False)
    answer = accept(client, offer_key(offered(call)))
    assert "account of this address is closed" in answer.content.decode()


def test_somebody_else_who_is_signed_in_is_signed_out_first(client, call):
    client.force_login(make_person("other@larkmoss.example"))
    accept(client, offer_key(offered(call)))
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize("name", ["offer", "offer_accept", "offer_decline"])
def test_a_lapsed_altered_or_withdrawn_offer_is_not_found(client, call, name):
    placement = offered(call)
    key = offer_key(placement)
    ask = client.get if name == "offer" else client.post
    assert ask(reverse(name, args=[key[:-1] + ("x" if key[-1] != "x" else "y")])).status_code == 404
    Placement.objects.update(answer_by=timezone.now() - dt.timedelta(seconds=1))
    assert ask(reverse(name, args=[key])).status_code == 404
    Placement.objects.update(answer_by=timezone.now() + dt.timedelta(days=1), ended_at=timezone.now())
    assert ask(reverse(name, args=[key])).status_code == 404


def test_a_renewed_offer_makes_the_old_key_void(client, call):
    first = offered(call)
    old = offer_key(first)
    decline_offer(placement=first)
    again = give_place(application=first.application, size="L")
    assert client.get(reverse("offer", args=[old])).status_code == 404
    assert client.get(reverse("offer", args=[offer_key(again)])).status_code == 200


def test_declining_frees_the_place(client, call):
    placement = offered(call)
    address, action = (reverse(name, args=[offer_key(placement)]) for name in ("offer", "offer_decline"))
    send_form(client, address, action=action)
    placement.refresh_from_db()
    assert placement.ended_at
    assert placement.application.state == "declined"


def test_the_designer_looks_after_testers(as_designer, place):
    base = [place.call.pattern.slug, place.call.pk]
    later = days_from_now(100)
    as_designer.post(reverse("place_more_time", args=[*base, place.pk]), {"finish_by": later})
    as_designer.post(reverse("place_given", args=[*base, place.pk]))
    place.refresh_from_db()
    assert place.finish_by == later
    assert place.given_at
    page = as_designer.post(
        reverse("place_more_time", args=[*base, place.pk]), {"finish_by": "later"}, follow=True
    )
    assert "Enter the new last day as a date" in page.content.decode()
    free = reverse("place_replace", args=[*base, place.pk])
    send_form(as_designer, reverse("call", args=base), action=free)
    place.refresh_from_db()
    assert place.ended_at
    assert place.application.state == "replaced"


def test_the_waiting_list(as_designer, call):
    application = make_application(call)
    as_designer.post(reverse("place_waiting", args=[call.pattern.slug, call.pk, application.pk]))
    application.refresh_from_db()
    assert application.state == "waiting"


def test_giving_a_place_is_for_the_designer_and_by_post(client, editor, call):
    application = make_application(call)
    address = reverse("place_give", args=[call.pattern.slug, call.pk, application.pk])
    client.force_login(editor)
    assert client.post(address, {"size": "M"}).status_code == 404
    assert client.get(address).status_code == 405
    assert not Placement.objects.exists()


def test_an_applicant_of_another_call_is_not_found(as_designer, call):
    other = make_call(pattern=call.pattern, version=False)
    application = make_application(other, email="moss@larkmoss.example")
    address = reverse("place_give", args=[call.pattern.slug, call.pk, application.pk])
    assert as_designer.post(address, {"size": "M"}).status_code == 404


def test_a_place_given_back_is_free_again(place):
    withdraw_place(placement=place)
    make_place(place.call, name="Moss", email="moss@larkmoss.example")
    place.application.refresh_from_db()
    assert place.application.state == "withdrawn"
