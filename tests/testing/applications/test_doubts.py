"""What looks like a slip is asked about before an application is sent, and an answer is taken."""

import re

import pytest
from django.urls import reverse

from testing.applications.applications import application_key
from testing.asked.bodies import SizeBodies
from testing.models import Application
from testing.places.places import give_place
from tests.sent_forms import form_on, send_form
from tests.testing.builders import application_form, make_application


def address(call, name="apply"):
    return reverse(name, args=[call.slug])


def answers_on(page, name):
    """The keys of a question's answers, by what they say."""
    found = re.findall(
        rf'name="{name}"[^>]*?value="([^"]*)".*?<label[^>]*>\s*(.*?)\s*</label>', page, re.DOTALL
    )
    return {says: key for key, says in found}


def test_the_form_shows_the_bodies_in_the_units_asked_for(client, call):
    page = client.get(address(call), {"units": "in"}).content.decode()
    assert "Bodies that the sizes are made for, in inches" in page
    # 96 cm ÷ 2.54 = 37.8 in, to the nearest quarter 37¾
    assert re.search(
        r'<th scope="row">M</th>\s*<td class="number">[^<]*</td>\s*<td class="number">37¾</td>'
        # the garment: 200 stitches at 20 to 10 cm are 100 cm, and 100 ÷ 2.54 = 39.37 in
        r'\s*<td class="number">39¼</td>',
        page,
    )
    assert "fits you" not in page


@pytest.mark.parametrize(("units", "typed", "away"), [("cm", "97", "1.0 cm"), ("in", "38", "¼ in")])
def test_the_size_that_fits_is_marked_and_nothing_is_sent(client, call, units, typed, away):
    form = application_form(units=units, body_bust=typed, wish_1="", name="")
    page = client.post(address(call, "apply_look"), form).content.decode()
    assert re.search(r'<th scope="row">M <span class="word">fits you</span>', page)
    assert f"Size M is nearest to your measurements: {away} away." in page
    kept = form_on(page, address(call))
    assert (kept["body_bust"], kept["yarn"], kept["consent"]) == ([typed], ["Skeinbury"], ["on"])
    assert not Application.objects.exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("99", "You lie between M and L: M is 3.0 cm away, L 7.0 cm."),
        ("103", "You lie between L and M: L is 3.0 cm away, M 7.0 cm."),
    ],
)
def test_a_body_between_two_sizes_is_told_both_and_neither_is_said_to_fit(client, call, typed, says):
    page = client.post(address(call, "apply_look"), application_form(body_bust=typed)).content.decode()
    assert says in page
    assert "fits you" not in page
    assert re.findall(r'<th scope="row">(\w+) <span class="word">near you</span>', page) == ["M", "L"]


def test_close_to_a_size_or_beyond_the_last_is_not_between(client, call):
    for typed, mark in (("98", "M"), ("106", "L"), ("107", "L")):
        page = client.post(address(call, "apply_look"), application_form(body_bust=typed)).content.decode()
        assert f'<th scope="row">{mark} <span class="word">fits you</span>' in page
        assert "You lie between" not in page


def test_no_size_is_said_to_fit_somebody_whom_none_is_made_for(client, call):
    page = client.post(address(call, "apply_look"), application_form(body_bust="120")).content.decode()
    assert "No size is near your measurements: the nearest, L, is 14.0 cm away." in page
    assert "fits you" not in page


def test_what_cannot_be_read_marks_no_size(client, call):
    page = client.post(address(call, "apply_look"), application_form(body_bust="about so")).content.decode()
    assert "fits you" not in page
    assert form_on(page, address(call))["body_bust"] == ["about so"]


def test_centimetres_that_look_like_inches_are_asked_about(client, call):
    page = send_form(client, address(call), **application_form(body_bust="38")).content.decode()
    assert not Application.objects.exists()
    # 38 in × 2.54 = 96.5 cm
    assert "Bust girth 38 in is 96.5 cm." in page
    answers = answers_on(page, "sure_units")
    assert list(answers) == ["Yes, in inches", "No, in centimetres"]
    send_form(client, address(call), page=page, sure_units=answers["Yes, in inches"])
    stored = Application.objects.get()
    assert (stored.typed_body, stored.body_mm) == ({"bust": "38 in"}, {"bust": pytest.approx(965.2)})


def test_an_answer_is_not_forgotten_while_something_else_is_asked(client, call):
    """Said once, it stands in the form: the next question is the last."""
    typed = application_form(body_bust="38", wish_1="S", wish_2="L")
    page = send_form(client, address(call), **typed).content.decode()
    yes = answers_on(page, "sure_units")["Yes, in inches"]
    page = send_form(client, address(call), page=page, sure_units=yes).content.decode()
    shown = form_on(page, "")
    assert (shown["units"], shown["body_bust"]) == (["in"], ["38 in"])
    choice = answers_on(page, "sure_wish")["M, it fits me"]
    assert send_form(client, address(call), page=page, sure_wish=choice).status_code == 302
    stored = Application.objects.get()
    assert (stored.units, stored.typed_body, stored.sizes) == ("in", {"bust": "38 in"}, ["M", "S", "L"])


def test_who_says_no_is_not_asked_twice(client, call):
    page = send_form(client, address(call), **application_form(body_bust="38")).content.decode()
    for name, says in (
        ("sure_units", "No, in centimetres"),
        ("sure_far", "Yes, it is right as I typed it"),
        ("sure_wish", "M, as I chose"),
    ):
        assert page.split("Before it is sent")[1].split("About you")[0].count('name="send"') == 1
        answer = send_form(client, address(call), page=page, **{name: answers_on(page, name)[says]})
        page = answer.content.decode()
    assert answer.status_code == 302
    assert Application.objects.get().body_mm == {"bust": 380}


def test_looking_for_a_size_asks_about_inches_too(client, call):
    look = address(call, "apply_look")
    page = client.post(look, application_form(body_bust="38")).content.decode()
    sizes = page.split('id="sizes"')[1]
    assert "Did you measure in inches?" in sizes
    assert 'name="send"' not in sizes.split("First choice")[0]
    said = answers_on(page, "sure_units")
    form = application_form(body_bust="38", sure_units=said["Yes, in inches"])
    page = client.post(look, form).content.decode()
    # 38 in × 2.54 = 96.5 cm, and M is made for 96 cm
    assert re.search(r'<th scope="row">M <span class="word">fits you</span>', page)
    shown = form_on(page, address(call))
    assert (shown["units"], shown["body_bust"]) == (["in"], ["38 in"])
    no = client.post(look, application_form(body_bust="38", sure_units=said["No, in centimetres"]))
    assert "Did you measure" not in no.content.decode()
    assert form_on(no.content.decode(), address(call))["sure_units"] == [said["No, in centimetres"]]


def test_an_answer_belongs_to_what_was_asked(client, call):
    page = send_form(client, address(call), **application_form(body_bust="38")).content.decode()
    answer = answers_on(page, "sure_units")["No, in centimetres"]
    again = send_form(client, address(call), page=page, body_bust="39", sure_units=answer).content.decode()
    assert "Bust girth 39 in is 99.1 cm." in again
    assert not Application.objects.exists()


def test_a_unit_that_was_typed_is_not_doubted_but_a_body_far_from_all_sizes_is_shown(client, call):
    page = send_form(client, address(call), **application_form(body_bust="38 cm")).content.decode()
    assert "Did you measure in" not in page
    assert "Bust girth 38.0 cm: sizes are made for 86 to 106" in page
    answers = answers_on(page, "sure_far")
    page = send_form(
        client, address(call), page=page, sure_far=answers["Yes, it is right as I typed it"]
    ).content.decode()
    assert "Which size would you like first?" in page
    assert not Application.objects.exists()


@pytest.mark.parametrize(
    ("choice", "sizes"), [("M, it fits me", ["M", "S", "L"]), ("S, as I chose", ["S", "L"])]
)
def test_a_wish_far_from_the_body_is_asked_about_and_stays_free(client, call, choice, sizes):
    typed = application_form(body_bust="97", wish_1="S", wish_2="L")
    page = send_form(client, address(call), **typed).content.decode()
    assert "Your measurements fit size M best." in page
    assert "Bust girth 86.0 cm, and you typed 97.0 cm" in page
    send_form(client, address(call), page=page, sure_wish=answers_on(page, "sure_wish")[choice])
    assert Application.objects.get().sizes == sizes


def test_a_wish_that_fits_is_sent_at_once(client, call):
    assert send_form(client, address(call), **application_form()).status_code == 302
    assert Application.objects.exists()


def test_what_was_sent_is_changed_until_places_are_given(client, call):
    made = make_application(call)
    key = application_key(made)
    change = reverse("application_change", args=[key])
    shown = form_on(client.get(change).content.decode(), "")
    assert (shown["body_bust"], shown["wish_1"], shown["wish_2"]) == (["96"], ["M"], ["L"])
    answer = send_form(
        client, change, body_bust="98", wish_2="", access_needs="More time", email="x@example.org"
    )
    assert answer.url == reverse("application", args=[key])
    made.refresh_from_db()
    assert (made.typed_body, made.sizes, made.access_needs) == ({"bust": "98"}, ["M"], "More time")
    assert made.email == "wren@larkmoss.example"
    assert made.consent_text
    page = client.get(change).content.decode()
    give_place(application=made, size="M")
    late = send_form(client, change, page=page, body_bust="90")
    assert "places have been given meanwhile" in client.get(late.url).content.decode()
    made.refresh_from_db()
    assert made.typed_body == {"bust": "98"}
    assert "Change what I sent" not in client.get(reverse("application", args=[key])).content.decode()
    assert "stays as it is" in client.get(change).content.decode()


def test_a_change_is_asked_about_like_an_application(client, call):
    key = application_key(make_application(call))
    change = reverse("application_change", args=[key])
    page = send_form(client, change, body_bust="38").content.decode()
    assert "Did you measure in inches?" in page
    looked = client.post(reverse("application_look", args=[key]), {"units": "cm", "body_bust": "106"})
    assert re.search(r"<th scope=\"row\">L <span", looked.content.decode())
    assert Application.objects.get().typed_body == {"bust": "96"}


def test_how_many_garments_somebody_made_is_chosen_and_not_guessed(client, call):
    page = client.get(address(call)).content.decode()
    field = page.split('name="experience"')[1].split("</select>")[0]
    assert re.search(r'<option value=""\s+selected[^>]*>Choose one</option>', field)
    answer = send_form(client, address(call), **application_form(experience=""))
    assert "How much have you made before?" in answer.content.decode()
    assert not Application.objects.exists()


def test_how_far_a_size_is_away_comes_out_of_the_numbers_of_the_table():
    """By hand: 104.14 cm is printed as 104, and 98 lies 6 from it; 41 in lie 2¾ from 38¼ in, 97.2 cm."""
    bodies = SizeBodies(("M", "L"), {"bust": "Bust"}, {"bust": (972.0, 1041.4)})
    assert bodies.told_apart_cm("L", {"bust": 980}, "cm") == pytest.approx(6)
    assert bodies.told_apart_cm("M", {"bust": 41 * 25.4}, "in") == pytest.approx(2.75 * 2.54)
