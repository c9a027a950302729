import re
import threading
from functools import partial
from typing import Any

import pytest
from django.core import mail
from django.db import connection
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from testing.calls.calls import close_call
from testing.models import Application, Placement
from testing.places.places import PlaceRefused, accept_offer, give_place
from testing.places.proposals import propose_places, send_offers
from tests.sent_forms import send_form
from tests.testing.builders import make_application, make_call, make_place, make_studio


def at(call, name):
    return reverse(name, args=[call.pattern.slug, call.pk])


def apply(call, name, bust_cm, sizes, **changes):
    return make_application(
        call,
        name=name,
        email=f"{name.lower()}@larkmoss.example",
        body_mm={"bust": bust_cm * 10},
        typed_body={"bust": f"{bust_cm}"},
        sizes=sizes,
        **changes,
    )


@pytest.fixture
def crowd(studio):
    """Three for one place of M, one of them also for L; the vest's busts are 86, 96, 106 cm or near it."""
    call = make_call(at_most=1)
    for name, bust, sizes in (("Wren", 96, ["M"]), ("Moss", 97, ["M", "L"]), ("Ada", 120, ["S"])):
        apply(call, name, bust, sizes)
    return call


def sizes_of(call):
    return {row.application.name: row.size for row in propose_places(call).rows}


def test_a_proposal_says_why_for_everybody_and_stores_nothing(as_designer, crowd):
    mail.outbox.clear()
    page = as_designer.get(at(crowd, "proposal")).content.decode()
    assert sizes_of(crowd) == {"Wren": "M", "Moss": "L", "Ada": ""}
    assert "2 new places. That makes 2 in all: 2 needed, 0 spare." in page
    assert "Size L, second wish" in page
    assert "more than 10" in page
    assert f"number {crowd.seed}" in page
    assert not Placement.objects.exists()
    assert not mail.outbox


def test_a_proposal_shows_bodies_in_the_designers_units_and_what_would_fit_too(as_designer, crowd, designer):
    apply(crowd, "Fern", 89, ["M"])  # 89 cm is 3 cm from S, 7 from M
    page = as_designer.get(at(crowd, "proposal")).content.decode()
    assert "Size S would fit (3.0 cm away) and has room, but is not among the chosen sizes." in page
    assert "Size S stays empty; it needs 1." in page
    assert "Bust girth 89.0 cm" in page
    assert "Ada" in page
    assert page.count("would fit (") == 1  # Ada, 120 cm, is too far from every size with room
    designer.units = "in"
    designer.save(update_fields=["units"])
    assert "Bust girth 35 in" in as_designer.get(at(crowd, "proposal")).content.decode()


def test_offers_earlier_than_promised_are_asked_about(as_designer, crowd):
    page = as_designer.get(at(crowd, "proposal")).content.decode()
    assert "This is earlier than promised." in page
    answer = send_form(as_designer, at(crowd, "proposal"), action=at(crowd, "proposal_send"))
    assert "Nothing was sent. People may apply until" in answer.content.decode()
    assert not Placement.objects.exists()
    close_call(call=crowd)
    assert "This is earlier than promised." not in as_designer.get(at(crowd, "proposal")).content.decode()
    send_form(as_designer, at(crowd, "proposal"), action=at(crowd, "proposal_send"))
    assert Placement.objects.count() == 2


def test_the_offers_go_out_together_and_the_rest_waits(as_designer, crowd):
    mail.outbox.clear()
    send_form(as_designer, at(crowd, "proposal"), action=at(crowd, "proposal_send"), early="on")
    page = as_designer.get(at(crowd, "call")).content.decode()
    assert "2 offers on the way; everybody else waits." in page
    assert {(p.application.name, p.size) for p in Placement.objects.all()} == {("Wren", "M"), ("Moss", "L")}
    assert Placement.objects.get(size="L").reason.startswith("Size L, second wish")
    assert not Placement.objects.filter(is_pinned=True).exists()
    assert Application.objects.get(name="Ada").state == "waiting"
    assert sorted(message.to[0] for message in mail.outbox) == [
        "moss@larkmoss.example",
        "wren@larkmoss.example",
    ]


def test_the_designer_keeps_a_size_and_the_rest_is_proposed_around_it(as_designer, crowd):
    moss = Application.objects.get(name="Moss")
    form = {f"size-{moss.pk}": "M", f"keep-{moss.pk}": "on"}
    page = as_designer.post(at(crowd, "proposal_again"), form).content.decode()
    assert re.search(rf'id="keep-{moss.pk}"[^>]* checked', page)
    assert "Size M was given by hand." in page
    assert not Placement.objects.exists()


def test_a_size_chosen_by_hand_is_offered_as_chosen(as_designer, crowd):
    ada = Application.objects.get(name="Ada")
    everybody = dict.fromkeys((f"size-{one.pk}" for one in Application.objects.all()), "")
    form = {**everybody, f"size-{ada.pk}": "L", "size-999": "M", "size-x": "M"}
    send_form(as_designer, at(crowd, "proposal"), action=at(crowd, "proposal_send"), early="on", **form)
    placement = Placement.objects.get()
    assert (placement.application, placement.size, placement.is_pinned) == (ada, "L", True)
    assert placement.reason == "Given by hand."


def test_too_many_of_a_size_send_nothing(as_designer, crowd, settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    pks = [Application.objects.get(name=name).pk for name in ("Wren", "Moss")]
    everybody = dict.fromkeys((f"size-{one.pk}" for one in Application.objects.all()), "")
    form = {**everybody, **{f"size-{pk}": "M" for pk in pks}}
    answer = send_form(
        as_designer, at(crowd, "proposal"), action=at(crowd, "proposal_send"), early="on", **form
    )
    page = answer.content.decode()
    assert "Nothing was sent. All 1 places of size M are given." in page
    assert page.count('<option value="M" selected>') == 2  # what was chosen is still there
    assert not Placement.objects.exists()
    assert not DBTaskResult.objects.exists()


def test_a_proposal_keeps_those_who_have_a_place(studio):
    call = make_call(at_most=1)
    make_place(call, name="Wren", sizes=["M"])
    apply(call, "Moss", 96, ["M"])
    proposal = propose_places(call)
    assert [(row.application.name, row.size) for row in proposal.rows] == [("Moss", "")]
    assert "M (its places were given by hand)" in proposal.rows[0].reason


def test_somebody_who_answered_meanwhile_is_named(studio):
    call = make_call()
    place = make_place(call)
    with pytest.raises(PlaceRefused, match="1 of these people have answered or left"):
        send_offers(call=call, chosen={place.application.pk: "L"})


@pytest.mark.parametrize("asked", ["two offers", "offer and answer"])
def test_the_last_place_asked_for_by_two_at_once_is_given_once(shared_database, full, count_proof, asked):
    """Two designers offer the last place; or an offer is taken while the place is offered once more."""
    make_studio()
    call = make_call(at_most=1)
    first, second = apply(call, "Wren", 96, ["M"]), apply(call, "Moss", 96, ["M"])
    rounds = 100 if full else 10
    for _ in range(rounds):
        Placement.objects.all().delete()
        Application.objects.update(state="applied")
        works: list[Any]
        if asked == "two offers":
            works = [partial(give_place, application=one, size="M") for one in (first, second)]
        else:
            place = give_place(application=first, size="M")
            works = [
                partial(accept_offer, placement=place),
                partial(give_place, application=second, size="M"),
            ]
        outcomes = at_once(works)
        assert sorted(outcomes) == ["given", "refused"], outcomes
        assert Placement.objects.filter(ended_at=None).count() == 1
    count_proof(f"last place asked for at once, {asked}", rounds)


def at_once(works):
    together, outcomes = threading.Barrier(len(works)), []

    def run(work):
        try:
            together.wait(timeout=10)
            work()
            outcomes.append("given")
        except PlaceRefused:
            outcomes.append("refused")
        except Exception as error:  # noqa: BLE001  the test names it
            outcomes.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[work]) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes
