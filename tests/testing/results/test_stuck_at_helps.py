"""At which help testers were stuck: chosen on a remark, gathered on the page of the help, no name in it."""

import pytest
from django.urls import reverse

from catalogue.helps.helps import freeze_helps
from catalogue.models import Help
from catalogue.versions.records import read_record
from testing.asked.step_helps import step_helps
from testing.models import Placement, Remark
from testing.privacy.privacy import held_about
from testing.results.asked_helps import asked_help
from testing.results.results import add_remark, begin_result
from tests.builders import make_person
from tests.catalogue.helps.builders import make_help, name_in_step
from tests.pages import page_text
from tests.testing.builders import make_call, make_pattern, make_place, make_version

pytestmark = pytest.mark.django_db
FIRST, SECOND = "sections[0].steps[0]", "sections[0].steps[1]"


@pytest.fixture
def call():
    pattern = make_pattern()
    name_in_step(pattern, make_help().name)
    name_in_step(pattern, make_help(title="Turning", link="").name, step=1)
    version = make_version(pattern)
    freeze_helps(version=version, record=read_record(version.record))
    call = make_call(pattern=pattern, version=False)
    type(call).objects.filter(pk=call.pk).update(version=version)
    call.refresh_from_db()
    return call


def place_of(call, email, size="M"):
    place = make_place(call, size=size, email=email)
    return Placement.objects.select_related("call__version", "application").get(pk=place.pk)


def form_of(client, place, **asked):
    client.force_login(place.person)
    return client.get(reverse("making_remark", args=[place.pk]), asked)


def send(client, place, **typed):
    client.force_login(place.person)
    address = reverse("making_remark", args=[place.pk])
    return client.post(address, {"place": FIRST, "text": "I can’t draw it up.", **typed})


def test_the_choice_stands_on_the_form_where_steps_have_helps(client, call):
    place = place_of(call, "wren@larkmoss.example")
    page = page_text(form_of(client, place))
    assert "Help 1: Foundation chain" in page
    assert "Help 2: Turning" in page
    code = Help.objects.get(title="Turning").code
    form = form_of(client, place, help=code).context["form"]
    assert (form["help"].value(), form["place"].value()) == (code, SECOND)
    assert [one.places for one in step_helps(place)] == [(FIRST,), (SECOND,)]
    plain = place_of(make_call(pattern=make_pattern(title="Another vest")), "moss@larkmoss.example")
    assert "Were you stuck" not in page_text(form_of(client, plain))


def test_a_remark_says_at_which_help_its_tester_was_stuck(client, call):
    place, code = place_of(call, "wren@larkmoss.example"), Help.objects.get(title="Foundation chain").code
    assert send(client, place, help=code).status_code == 302
    assert send(client, place, help=code).status_code == 302  # sent twice from a phone
    remark = Remark.objects.get()
    assert remark.help == Help.objects.get(title="Foundation chain")
    address = reverse("making_remark_change", args=[place.pk, remark.pk])
    assert "stuck at help “Foundation chain”" in page_text(client.get(address))
    assert send(client, place, text="Something else.").status_code == 302
    assert Remark.objects.get(text="Something else.").help is None
    assert "Foundation chain" in str(held_about(place.person))


def test_a_remark_that_is_sent_again_with_a_help_keeps_it(client, call):
    place, code = place_of(call, "wren@larkmoss.example"), Help.objects.get(title="Foundation chain").code
    send(client, place)
    send(client, place, help=code)
    assert list(Remark.objects.values_list("help__code", flat=True)) == [code]


def test_a_help_that_is_not_at_the_step_is_refused_and_what_was_typed_stays(client, call):
    place, code = place_of(call, "wren@larkmoss.example"), Help.objects.get(title="Turning").code
    answer = send(client, place, help=code)
    assert "Help 2 is not at this step" in page_text(answer)
    assert "I can’t draw it up." in page_text(answer)
    assert not Remark.objects.exists()
    assert "Select a valid choice" in page_text(send(client, place, help="nobody"))


def test_the_page_of_a_help_gathers_them_and_names_nobody(client, call, django_assert_max_num_queries):
    found = Help.objects.get(title="Foundation chain")
    emails = [f"maker{n}@larkmoss.example" for n in range(3)]
    places = [place_of(call, email, size) for email, size in zip(emails, ("S", "M", "L"), strict=True)]
    for place in places:
        begin_result(placement=place)
    for text in ("Where is the loop?", "And the second?"):
        add_remark(placement=places[0], place=FIRST, text=text, help_code=found.code)
    add_remark(placement=places[1], place=FIRST, text="It twists.", help_code=found.code)
    add_remark(placement=places[2], place=FIRST, text="All is well.")
    asked = asked_help(found)
    assert (asked.stuck, asked.testers) == (2, 3)
    assert [many for _, many in asked.calls[0].steps] == [2]
    client.force_login(make_person(role="editor"))
    with django_assert_max_num_queries(25):
        page = page_text(client.get(reverse("help_edit", args=[found.pk])))
    assert "<strong>2 of 3</strong> testers asked about it." in page
    assert "step 1: 2 of 3" in page
    assert not any(word in page for word in ("It twists.", "maker1", places[1].application.name))
    page = page_text(client.get(reverse("call_results", args=[call.pattern.slug, call.pk])))
    assert "Stuck at help" in page


def test_a_help_that_no_tester_has_says_so(client):
    client.force_login(make_person(role="designer"))
    page = page_text(client.get(reverse("help_edit", args=[make_help().pk])))
    assert "No tester has worked with it yet." in page


def test_a_tester_sees_special_stitches_and_the_way_to_a_remark_at_the_help(client, call):
    place = place_of(call, "wren@larkmoss.example")
    client.force_login(place.person)
    page = page_text(client.get(reverse("making_read", args=[place.pk])))
    code = Help.objects.get(title="Foundation chain").code
    assert f'{reverse("making_remark", args=[place.pk])}?help={code}"' in page
