import re
from datetime import timedelta

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Studio
from testing.applications.applications import application_key
from testing.calls.consent import written_day
from testing.models import Application, TestCall
from tests.sent_forms import send_form
from tests.testing.builders import application_form, days_from_now, make_application, make_call, make_pattern


def address(call, name="apply"):
    return reverse(name, args=[call.slug])


def test_the_public_page_says_what_is_asked_and_sets_no_cookie(client, call):
    answer = client.get(address(call, "call_page"))
    page = answer.content.decode()
    assert "A plain vest." in page
    assert "20 stitches and 28 rows to 10 cm" in page
    assert "The finished pattern." in page
    cells = re.sub(r">\s+<", "><", page)
    # the vest's size M is made for a bust of 96 cm
    assert '<th scope="row">M</th><td class="number">1 or 2</td><td class="number">96</td>' in re.sub(
        r"\s+", " ", cells
    )
    assert not answer.cookies


def test_the_foot_has_the_studios_address_for_e_mails_and_the_makers_part_of_the_guide(client, call):
    foot = client.get(reverse("call_page", args=[call.slug])).content.decode().split("<footer")[1]
    assert 'href="mailto:studio@larkmoss.example"' in foot
    assert reverse("guide_part", args=["measuring"]) in foot
    Studio.objects.update(sender="")
    assert "mailto:" not in client.get(reverse("call_page", args=[call.slug])).content.decode()


def test_open_calls_are_listed(client, call):
    page = " ".join(client.get(reverse("call_list")).content.decode().split())
    assert 'Fernhollow Vest</a></p> <p class="entry-note"> Knitting. Test version 0.1.' in page
    TestCall.objects.update(state="closed")
    assert "No test call is open now." in client.get(reverse("call_list")).content.decode()


def test_a_call_that_is_not_open_yet_is_not_found(client, studio):
    call = make_call(opened=False)
    for name in ("call_page", "apply", "applied"):
        assert client.get(address(call, name)).status_code == 404


def test_an_application_is_stored_as_typed_beside_what_it_means_with_its_consent(client, call):
    shown = client.get(address(call)).content.decode()
    typed = application_form(units="in", body_bust="37 1/2", email="Wren@Larkmoss.example")
    answer = send_form(client, address(call), **typed)
    assert answer.url == address(call, "applied")
    stored = Application.objects.get()
    assert stored.email == "wren@larkmoss.example"
    assert stored.typed_body == {"bust": "37 1/2"}
    # 37.5 in × 25.4 mm (International Yard and Pound Agreement, 1959)
    assert stored.body_mm == {"bust": pytest.approx(952.5)}
    assert stored.sizes == ["M", "L"]
    assert stored.state == "applied"
    assert "12 months after the end of the test" in stored.consent_text
    assert "Larkmoss Studio may use what I write here" in stored.consent_text
    assert "12 months after the end of the test" in shown


def test_the_form_has_a_picture_of_where_to_lay_the_tape(client, call):
    page = client.get(address(call)).content.decode()
    assert "<title>Where to lay the tape. 1 Bust girth: Round the fullest part of the chest" in page
    assert "Line 1 in the picture." in page
    assert page.count('class="dimension"') == 1
    assert "runs over the back" not in page
    told = f"erased on {written_day(call.erase_on)} at the latest."
    assert f"Used to choose a size for you; {told}" in page
    assert f"Used to look after you; {told}" in page


def test_a_form_that_asks_for_no_measurement_has_no_picture(client, studio):
    page = client.get(address(make_call(measurements=[]))).content.decode()
    assert "Where to lay the tape" not in page


def test_for_a_child_the_form_asks_about_the_child_and_who_agrees_for_it(client, studio):
    pattern = make_pattern(wearer="child")
    page = client.get(address(make_call(pattern=pattern))).content.decode()
    assert "The child who will wear it" in page
    assert "Body measurements" not in page
    assert "Where to lay the tape" not in page  # the figure is an adult's
    assert "Round the fullest part of the chest" in page
    assert "Which size fits the child?" in page
    assert "measurements of the child who will wear it" in page


def test_the_mail_holds_no_measurement(client, call):
    send_form(client, address(call), **application_form())
    assert [message.to for message in mail.outbox] == [["wren@larkmoss.example"]]
    assert "96" not in mail.outbox[0].body.replace(str(days_from_now(7).year), "").split("applications/")[0]
    assert "bust" not in mail.outbox[0].body.lower()


def test_a_second_application_gets_the_same_answer_and_changes_nothing(client, call):
    again = application_form(name="Somebody Else", email="WREN@larkmoss.example")
    first, second = (send_form(client, address(call), **typed) for typed in (application_form(), again))
    assert first.url == second.url
    assert first.content == second.content
    assert Application.objects.get().name == "Wren Alder"
    assert len(mail.outbox) == 2
    assert "applied again" in mail.outbox[1].body
    assert "Somebody Else" not in mail.outbox[1].body


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"body_bust": "1e308"}, "can&#x27;t be read as a number"),
        ({"body_bust": "ninety"}, "can&#x27;t be read as a number"),
        ({"body_bust": "-4"}, "The number must be more than 0."),
        ({"body_bust": "960"}, "more than 5 metres"),
        ({"body_bust": ""}, "This field is required"),
        ({"consent": ""}, "Without your consent"),
        ({"wish_2": "M"}, "Choose each size only once."),
        ({"wish_1": "9X"}, "Select a valid choice"),
        ({"email": "a@example.org,b@example.org"}, "This is not an e-mail address"),
        ({"name": "Ann\r\nBcc: v@example.org"}, "in one line"),
        ({"yarn": "a\x00"}, "Null characters are not allowed"),
        ({"experience": "7"}, "Select a valid choice"),
        ({"units": "ell"}, "Select a valid choice"),
    ],
)
def test_a_bad_application_is_told_why_and_keeps_what_was_typed(client, call, change, says):
    answer = client.post(address(call), application_form(access_needs="Large print, please", **change))
    assert answer.status_code == 200
    assert says in answer.content.decode()
    assert "Large print, please" in answer.content.decode()
    page = answer.content.decode()
    said = re.search(r"Correct (\d) answers?:.*?<a href=\"#(\w+)\"", page, re.DOTALL)
    assert said
    assert f'id="{said[2]}"' in page
    assert not Application.objects.exists()
    assert not mail.outbox


def test_extra_fields_are_ignored(client, call):
    send_form(client, address(call), **application_form(state="accepted", is_staff="on"))
    assert Application.objects.get().state == "applied"


@pytest.mark.parametrize("change", [{"state": "closed"}, {"apply_by": days_from_now(-1)}])
def test_a_closed_call_takes_nobody_and_says_so(client, call, change):
    TestCall.objects.update(**change)
    client.post(address(call), application_form())
    assert not Application.objects.exists()
    assert "Applications for this call are closed." in client.get(address(call)).content.decode()
    assert "Applications for this call are closed." in client.get(address(call, "call_page")).content.decode()


def test_markup_in_an_answer_is_shown_as_text(as_designer, call):
    make_application(call, name="<script>alert(1)</script>")
    page = as_designer.get(reverse("call", args=[call.pattern.slug, call.pk])).content.decode()
    assert "<script>alert" not in page


def test_an_applicant_sees_all_they_sent_without_an_account(client, call):
    key = application_key(make_application(call, access_needs="Large print", may_ask_again=True))
    page = client.get(reverse("application", args=[key])).content.decode()
    cells = dict(re.findall(r"<dt>([^<]*)</dt><dd>(.*?)</dd>", page))
    assert cells["Name"] == "Wren Alder"
    assert cells["Bust girth"] == "96 cm"
    assert cells["Sizes, in order of preference"] == "M, L"
    assert cells["Yarn"] == "Skeinbury"
    assert cells["Hook or needle"] == "4 mm"
    assert cells["Garments made"] == "A few garments"
    assert cells["What you need from us"] == "Large print"
    assert cells["Ask me again for later calls"] == "yes"


def test_an_application_that_is_tapped_twice_brings_one_e_mail(client, call):
    first, second = (send_form(client, address(call), **application_form()) for _ in range(2))
    assert first.url == second.url == address(call, "applied")
    assert len(mail.outbox) == Application.objects.count() == 1
    Application.objects.update(consented_at=timezone.now() - timedelta(minutes=11))
    send_form(client, address(call), **application_form())
    assert (
        len(mail.outbox) == 2
    )  # whoever asks later, as nothing seems to have come, is told that it is there
    assert Application.objects.count() == 1


def test_erasing_an_application_asks_on_a_second_page(client, call):
    key = application_key(make_application(call))
    asked = client.get(reverse("application_erase", args=[key])).content.decode()
    assert "Take your application back?" in asked
    assert "Your body measurements." in asked
    assert Application.objects.exists()
    erase = reverse("application_erase", args=[key])
    erased = send_form(client, erase, action=erase)
    assert erased.status_code == 200
    assert "Nothing is left here." in erased.content.decode()
    assert not Application.objects.exists()
    for old in (reverse("application", args=[key]), erase):
        gone = client.get(old)
        assert gone.status_code == 404
        assert "This application is erased" in gone.content.decode()


@pytest.mark.parametrize(
    "change",
    [lambda key: key[:-1] + ("x" if key[-1] != "x" else "y"), lambda _: "x", lambda key: key + ":"],
)
def test_an_altered_key_is_not_found(client, call, change):
    key = application_key(make_application(call))
    assert client.get(reverse("application", args=[change(key)])).status_code == 404


@pytest.mark.parametrize(
    ("typed", "opened"),
    [
        ({"wish_2": "", "yarn": "", "access_needs": ""}, []),
        ({"wish_2": "M", "yarn": "", "access_needs": ""}, ["Second"]),
        ({"wish_2": "", "yarn": "", "access_needs": "Large print"}, ["Yarn"]),
    ],
)
def test_what_may_be_left_out_is_folded_up_until_something_stands_in_it(client, call, typed, opened):
    assert not re.search(r"<details[^>]* open", client.get(address(call)).content.decode())
    page = client.post(address(call), application_form(consent="", tool="", **typed)).content.decode()
    assert re.findall(r"<details[^>]* open><summary>(\w+)", page) == opened
