"""An edit commits between every two steps of each act of a test call that can't be undone."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from typing import Any

import pytest
from django.core import mail
from django.core.cache import cache
from django.urls import reverse

from catalogue.models import Erratum, Studio
from catalogue.versions.glances import Moved, written_glance
from testing.assessment.assessing import standing_found
from testing.calls.calls import (
    CallRefused,
    CallWording,
    Quota,
    change_call,
    close_call,
    extend_call,
    hand_out_version,
)
from testing.calls.schedule import Schedule
from testing.models import Application, Placement, Reading, Result, TestCall
from testing.places.dropouts import withdraw_place
from testing.places.places import (
    PlaceRefused,
    accept_offer,
    give_more_time,
    give_place,
    offer_key,
    put_on_waiting_list,
)
from testing.results.results import add_remark, save_entry, take_version
from testing.verdicts.corrections import Correction, correct_from_verdict, verdict_glance
from tests.meddling import meddled_at_each_step
from tests.sent_forms import send_form
from tests.testing.builders import (
    application_form,
    days_from_now,
    make_application,
    make_call,
    make_pattern,
    make_person,
    make_place,
    make_studio,
    make_version,
)
from tests.testing.verdicts.test_verdict_pages import measure, vest_with_hem

MOVED = "This was changed after you opened the page"
FINISH, LATER = days_from_now(60), days_from_now(74)


@dataclass(frozen=True)
class Act:
    """An act on a page, what somebody else does meanwhile, and how it stands after each of the two."""

    prepare: Callable[[], Callable[[], Any]]
    change: Callable[[], object]
    is_done: Callable[[], bool]
    is_changed: Callable[[], bool]


def pressed(client, address, action="", **typed):
    """Open a page; what is returned presses its button."""
    page = client.get(address).content.decode()
    return partial(send_form, client, address, action=action, page=page, **typed)


def at(call, name, *more):
    return reverse(name, args=[call.pattern.slug, call.pk, *more])


def the_call():
    return TestCall.objects.get()


def state_now():
    return the_call().state


def moved_to(finish_by):
    call = the_call()
    dates = {name: getattr(call, name) for name in ("apply_by", "starts_on", "midway_on")}
    extend_call(call=call, schedule=Schedule(**dates, finish_by=finish_by))


def finish_now():
    return the_call().finish_by


def offered_anew(call):
    """An offer to Wren of a call that finishes as it did at first."""
    Application.objects.all().delete()
    TestCall.objects.update(finish_by=FINISH)
    return offer_key(give_place(application=make_application(call), size="M"))


def opening(client):
    """A colleague writes another invitation while the call is opened."""
    call = make_call(opened=False)
    terms = CallWording("A striped vest.", call.must_send, call.in_return, call.rules, ["bust"], 12)
    dates = (call.apply_by, call.starts_on, call.midway_on, call.finish_by)

    def prepare():
        TestCall.objects.update(state="draft", version=None, invitation="A plain vest.")
        return pressed(client, at(call, "call"), at(call, "call_open"))

    def change():
        with suppress(CallRefused):
            change_call(call=call, terms=terms, schedule=Schedule(*dates), quotas=[Quota("M", 1, 2)])

    return Act(
        prepare, change, lambda: state_now() == "open", lambda: the_call().invitation == "A striped vest."
    )


def rewriting(client):
    """A colleague moves the finish of a draft while its invitation is written anew."""
    call = make_call(opened=False)

    def prepare():
        TestCall.objects.update(finish_by=FINISH, invitation="A plain vest.")
        return pressed(client, at(call, "call_change"), invitation="A striped vest.")

    return Act(
        prepare,
        partial(moved_to, LATER),
        lambda: the_call().invitation == "A striped vest.",
        lambda: finish_now() == LATER,
    )


def moving_dates(client):
    """A colleague moves the finish while the days of grace are changed."""
    call = make_call()

    def prepare():
        TestCall.objects.update(finish_by=FINISH, grace_days=3)
        return pressed(client, at(call, "call_extend"), grace_days="9")

    return Act(
        prepare,
        partial(moved_to, LATER),
        lambda: the_call().grace_days == 9,
        lambda: finish_now() == LATER,
    )


def ending(client):
    """A tester gives the place back while the call is ended."""
    call = make_call()

    def prepare():
        Application.objects.all().delete()
        TestCall.objects.update(state="open", ended_at=None)
        make_place(call)
        close_call(call=call)
        mail.outbox.clear()
        return pressed(client, at(call, "call_end"), at(call, "call_end"))

    def is_done():
        told = [message for message in mail.outbox if "the test is over" in message.subject]
        assert bool(told) == (state_now() == "ended")
        return state_now() == "ended"

    return Act(
        prepare,
        lambda: withdraw_place(placement=Placement.objects.get()),
        is_done,
        lambda: Application.objects.get().state == "withdrawn",
    )


def applying(client):
    """The studio takes another name while somebody consents."""
    call = make_call()

    def prepare():
        Application.objects.all().delete()
        Studio.objects.update(name="Larkmoss Studio")
        cache.clear()  # otherwise so many applications from one address are too many
        return pressed(client, reverse("apply", args=[call.slug]), **application_form())

    def is_done():
        texts = Application.objects.values_list("consent_text", flat=True)
        assert all(text.startswith("Larkmoss Studio") for text in texts)
        return bool(texts)

    return Act(
        prepare,
        lambda: Studio.objects.update(name="Heronsford Studio"),
        is_done,
        lambda: Studio.objects.get().name == "Heronsford Studio",
    )


def taking(client):
    """The designer moves the finish while the place is taken."""
    call = make_call()

    def prepare():
        key = offered_anew(call)
        return pressed(client, reverse("offer", args=[key]), reverse("offer_accept", args=[key]))

    def is_done():
        agreed = Placement.objects.get().agreement
        assert not agreed or f"sent in by {FINISH.day} {FINISH:%B %Y}." in agreed
        return bool(agreed)

    return Act(prepare, partial(moved_to, LATER), is_done, lambda: finish_now() == LATER)


def declining(client):
    """The designer gives more time while the offer is declined."""
    call = make_call()

    def prepare():
        key = offered_anew(call)
        return pressed(client, reverse("offer", args=[key]), reverse("offer_decline", args=[key]))

    return Act(
        prepare,
        partial(moved_to, LATER),
        lambda: Placement.objects.get().ended_at is not None,
        lambda: finish_now() == LATER,
    )


def giving(client):
    """A colleague puts somebody on the waiting list while a place is offered to them."""
    call = make_call()

    def prepare():
        Application.objects.all().delete()
        one = make_application(call)
        return pressed(
            client, at(call, "call"), at(call, "place_give", one.pk), **{f"place-{one.pk}-size": "M"}
        )

    return Act(
        prepare,
        lambda: put_on_waiting_list(application=Application.objects.get()),
        Placement.objects.exists,
        lambda: Application.objects.get().state == "waiting",
    )


def placing(client):
    """Somebody applies while the offers of a proposal are sent."""
    call = make_call()

    def prepare():
        Application.objects.all().delete()
        make_application(call)
        return pressed(client, at(call, "proposal"), at(call, "proposal_send"), early="on")

    def is_changed():
        moss = Application.objects.filter(name="Moss Reed").first()
        assert moss is None or moss.state == "applied", "nobody is put off unseen"
        return moss is not None

    return Act(
        prepare,
        lambda: make_application(call, name="Moss Reed", email="moss@larkmoss.example"),
        Placement.objects.exists,
        is_changed,
    )


def freeing(client):
    """A tester sends something while the designer frees the place."""
    call = make_call()

    def prepare():
        Application.objects.all().delete()
        Result.objects.all().delete()
        place = make_place(call)
        return pressed(client, at(call, "call"), at(call, "place_replace", place.pk))

    def change():
        hours: dict[str, Any] = {
            "part": "hours",
            "name": "",
            "typed": {"hours": "40"},
            "meant": {"hours": 40.0},
        }
        save_entry(placement=Placement.objects.get(), **hours)

    return Act(prepare, change, lambda: Placement.objects.get().ended_at is not None, Result.objects.exists)


def give_more_time_if_any():
    """The designer gives more time, unless the place has ended."""
    with suppress(PlaceRefused):
        give_more_time(placement=Placement.objects.get(), finish_by=LATER)


def withdrawing(client):
    """The designer gives more time while the tester gives the place back."""
    call = make_call()

    def prepare():
        Application.objects.all().delete()
        place = make_place(call)
        client.force_login(place.person)
        asked = reverse("making_withdraw", args=[place.pk])
        return pressed(client, asked, asked)

    return Act(
        prepare,
        give_more_time_if_any,
        lambda: Placement.objects.get().ended_at is not None,
        lambda: Placement.objects.get().finish_by == LATER,
    )


def correcting(client):
    """A tester takes the newer version while their remark on the older one becomes an erratum."""
    place = make_place()
    remark = add_remark(placement=place, place="sections[0].steps[1]", text="I end with 38.")
    hand_out_version(call=place.call, version=make_version(place.call.pattern, number="0.2"))
    old = remark.result.version
    typed: dict[str, Any] = {"says": "40", "should_say": "38"}

    def prepare():
        Erratum.objects.all().delete()
        Result.objects.update(version=old)
        return pressed(client, at(place.call, "remark_erratum", remark.pk), **typed)

    def is_done():
        assert all(one.found_in == old for one in Erratum.objects.all())
        return Erratum.objects.exists()

    return Act(
        prepare,
        lambda: take_version(placement=place, number="0.2"),
        is_done,
        lambda: Result.objects.get().version != old,
    )


@pytest.mark.parametrize(
    "act",
    [
        opening,
        rewriting,
        moving_dates,
        ending,
        applying,
        taking,
        declining,
        giving,
        placing,
        freeing,
        withdrawing,
        correcting,
    ],
)
def test_nothing_is_done_to_what_was_not_seen(shared_database, client, full, count_proof, act):
    """It is done to what was seen, or refused with both shown; and what somebody else did stands."""
    make_studio()
    client.force_login(make_person("designer@larkmoss.example", "designer"))
    one, refused, tried = act(client), 0, 0
    for step, answer, outcome in meddled_at_each_step(one.prepare, one.change, full=full):
        tried += 1
        if answer.status_code == 409:
            assert outcome == "committed", step
            assert MOVED in answer.content.decode(), step
            assert not one.is_done(), step
            refused += 1
        else:
            assert answer.status_code in (200, 302), step
            assert one.is_done(), step
        if outcome == "locked out":
            assert not one.is_changed(), step
        # What was opened or has ended is not changed any more.
        elif answer.status_code == 409 or act not in (opening, ending, withdrawing):
            assert one.is_changed(), step
    assert 0 < refused < tried
    count_proof("edits tried between two steps of acts of a test call", tried)


def test_an_offer_that_is_taken_and_declined_at_once_is_one_of_both(shared_database, client, full):
    """The place is taken in another window between any two steps of declining it."""
    make_studio()
    call, seen = make_call(), set()

    def prepare():
        key = offered_anew(call)
        return pressed(client, reverse("offer", args=[key]), reverse("offer_decline", args=[key]))

    def take():
        with suppress(PlaceRefused):
            accept_offer(placement=Placement.objects.get())

    for step, answer, _ in meddled_at_each_step(prepare, take, full=full):
        place = Placement.objects.select_related("application").get()
        is_taken = place.accepted_at is not None
        assert is_taken == (place.ended_at is None), step
        assert place.application.state == ("accepted" if is_taken else "declined"), step
        assert answer.status_code == (404 if is_taken else 200), step
        seen.add(is_taken)
    assert seen == {True, False}


def test_an_erratum_of_a_verdict_is_wholly_of_one_version(shared_database, full):
    """A newer version is handed out between any two steps of filing it."""
    make_studio()
    call = make_call(pattern=make_pattern(values=vest_with_hem()["values"]))
    measure(make_place(call), 0)
    old, newer = call.version, make_version(call.pattern, number="0.2")
    seen = written_glance(verdict_glance(the_call(), standing_found(call)["measurements"]["hem"]))
    correction = Correction("values.hem_stitches", ["M"], "190", "194", "Too narrow.", "wrong")

    def file():
        try:
            correct_from_verdict(call=call, name="hem", correction=correction, seen=seen)
        except Moved as moved:
            return [entry.place for entry in moved.entries]
        return []

    def prepare():
        Erratum.objects.all().delete()
        TestCall.objects.update(version=old)
        return file

    outcomes = set()
    for step, moved, outcome in meddled_at_each_step(
        prepare, lambda: hand_out_version(call=call, version=newer), full=full
    ):
        found = [(one.found_in, one.found_by) for one in Erratum.objects.all()]
        assert found == ([] if moved else [(old, "1 testers' results")]), step
        assert not moved or "Test version" in moved, step
        outcomes.add((outcome, bool(moved)))
    assert ("committed", True) in outcomes
    assert any(not was_moved for _, was_moved in outcomes)


def test_an_entry_is_read_as_it_was_looked_at_or_not_at_all(shared_database, client, full):
    """Its tester changes the entry between any two steps of deciding about it."""
    make_studio()
    client.force_login(make_person("designer@larkmoss.example", "designer"))
    place = make_place()
    chest: dict[str, Any] = {
        "placement": place,
        "part": "measured",
        "name": "chest",
        "typed": {"length": "40"},
    }

    def prepare():
        Reading.objects.all().delete()
        entry = save_entry(**chest, meant={"mm": 400.0})
        return partial(
            client.post, at(place.call, "entry_right", entry.result_id, "chest"), {"seen": "400.0"}
        )

    decided = set()
    for step, _, _ in meddled_at_each_step(
        prepare, lambda: save_entry(**chest, meant={"mm": 1000.0}), full=full
    ):
        read = [one.seen for one in Reading.objects.all()]
        assert read in ([], [400.0]), step
        decided.add(bool(read))
    assert decided == {True, False}
