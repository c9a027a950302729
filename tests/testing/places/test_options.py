"""Options are chosen with the place; what is asked afterwards fits that garment."""

import re
from dataclasses import replace

import pytest
from django.urls import reverse

from catalogue.drafts.patterns import load_pattern
from testing.access.selectors import own_placements
from testing.asked.figures import placement_figures
from testing.asked.fit import fit_areas
from testing.models import Entry, Placement
from testing.places.places import give_place, offer_key
from testing.results import progress
from testing.results.results import save_entry
from tests.builders import sample
from tests.catalogue.helps.builders import make_help, name_in_step
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import make_application, make_call


@pytest.fixture
def waistcoat(studio):
    """A call for a waistcoat: pockets or none, one colour or three."""
    pattern = load_pattern(document=sample("thistledrift_waistcoat"), by=None)
    return make_call(pattern=pattern, measurements=["bust"])


def offered(call):
    return give_place(application=make_application(call), size="M")


def taken(client, placement, **chosen):
    address, action = (reverse(name, args=[offer_key(placement)]) for name in ("offer", "offer_accept"))
    answer = send_form(client, address, action=action, **chosen)
    assert answer.status_code == 302
    place = Placement.objects.get(pk=placement.pk)
    return own_placements(present(place.person)).get(pk=place.pk)


def asked_of(place):
    figures = placement_figures(place)
    return figures, [thing.label for thing in progress.tester_progress(place, figures).things]


def test_the_offer_asks_for_the_options_with_the_usual_ones_chosen(client, waistcoat):
    place = taken(client, offered(waistcoat))
    assert place.options == {"pockets": "yes", "colours": "solid"}
    figures, _ = asked_of(place)
    assert "pocket_width" in [value.name for value in figures.measurements]
    assert [yarn.colour for yarn in figures.yarns] == ["A"]


def test_what_the_options_leave_out_is_not_asked(client, waistcoat):
    all_of_it = len(asked_of(offered(waistcoat))[1])
    place = taken(client, Placement.objects.get(), option_0="no", option_1="striped")
    figures, asked = asked_of(place)
    assert "pocket_width" not in [value.name for value in figures.measurements]
    assert [yarn.colour for yarn in figures.yarns] == ["A", "B", "C"]
    assert len(asked) == all_of_it - 1
    client.force_login(place.person)
    page = client.get(reverse("making", args=[place.pk])).content.decode()
    assert f"0 of {all_of_it - 1} answers sent" in page
    gone = client.get(reverse("making_measured", args=[place.pk, "pocket_width"]))
    assert gone.status_code == 404


def test_the_options_stand_among_what_was_sent_and_can_be_changed(client, waistcoat):
    place = taken(client, offered(waistcoat), option_0="no")
    save_entry(placement=place, part="hours", name="", typed={"hours": "9"}, meant={"hours": 9.0})
    stored = {entry.name: entry.meant["choice"] for entry in Entry.objects.filter(part="option")}
    assert stored == {"pockets": "no", "colours": "solid"}
    client.force_login(place.person)
    answer = send_form(client, reverse("making_options", args=[place.pk]), option_0="yes")
    assert answer.status_code == 302
    again = own_placements(present(place.person)).get()
    assert "pocket_width" in [value.name for value in placement_figures(again).measurements]


def test_a_choice_that_is_none_is_refused_and_the_place_stays_open(client, waistcoat):
    placement = offered(waistcoat)
    address, action = (reverse(name, args=[offer_key(placement)]) for name in ("offer", "offer_accept"))
    answer = send_form(client, address, action=action, option_0="seven")
    assert answer.status_code == 200
    assert "Select a valid choice" in answer.content.decode()
    placement.refresh_from_db()
    assert placement.accepted_at is None


@pytest.mark.parametrize(
    ("name", "areas"),
    [
        ("thistledrift_waistcoat", ["bust", "hip", "neck", "length"]),
        ("brackenmere_pullover", ["bust", "upper_arm", "hip", "neck", "length"]),
    ],
)
def test_the_fit_is_asked_where_the_garment_is(client, studio, name, areas):
    pattern = load_pattern(document=sample(name), by=None)
    call = make_call(pattern=pattern, measurements=["bust"])
    place = taken(client, offered(call))
    assert list(fit_areas(placement_figures(place))) == areas


def test_a_pullover_without_sleeves_has_no_upper_arm(client, studio):
    pattern = load_pattern(document=sample("brackenmere_pullover"), by=None)
    place = taken(client, offered(make_call(pattern=pattern, measurements=["bust"])), option_0="none")
    client.force_login(place.person)
    page = client.get(reverse("making_fit", args=[place.pk])).content.decode()
    assert 'name="bust"' in page
    assert 'name="upper_arm"' not in page


def test_the_copy_reads_on_a_phone_in_one_size_with_these_options(client, waistcoat):
    place = taken(client, offered(waistcoat), option_0="no", option_1="solid")
    client.force_login(place.person)
    making = client.get(reverse("making", args=[place.pk])).content.decode()
    where = reverse("making_read", args=[place.pk])
    assert f'href="{where}"' in making
    page = client.get(where).content.decode()
    assert "Test version 0.1" in " ".join(page.split())
    assert "for Wren Alder only" in " ".join(page.split())
    assert page.count("<li>") > 20
    assert "ocket" not in page.split("<ol", 1)[1].split("How to measure it")[0]
    with_pockets = taken(client, offered_to_another(waistcoat), option_0="yes", option_1="solid")
    client.force_login(with_pockets.person)
    other = client.get(reverse("making_read", args=[with_pockets.pk])).content.decode()
    assert "ocket" in other.split("<ol", 1)[1]


def offered_to_another(call):
    application = make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    return give_place(application=application, size="M")


@pytest.mark.django_db
def test_a_help_opens_at_its_first_step_on_the_phone(client):
    pattern = load_pattern(document=sample("brackenmere_pullover"), by=None)
    found = make_help(pictured=1)
    name_in_step(pattern, found.name)
    name_in_step(pattern, found.name, section=1)
    place = taken(client, offered(make_call(pattern=pattern)), option_0="none")
    client.force_login(place.person)
    page = client.get(reverse("making_read", args=[place.pk])).content.decode()
    assert page.count('href="#help-1">help 1</a>') == 2
    first, second = page.split('href="#help-1"')[1:]
    assert "<summary>Help 1: Foundation chain</summary>" in first.split("</details>")[0]
    assert "Hold the tail." in first.split("</details>")[0]
    assert "<summary>Help" not in second


@pytest.mark.django_db
def test_the_copy_has_the_stitch_patterns_with_their_charts_where_the_steps_name_them(client):
    pattern = load_pattern(document=sample("cinderfell_raglan"), by=None)
    place = taken(client, offered(make_call(pattern=pattern)))
    client.force_login(place.person)
    page = client.get(reverse("making_read", args=[place.pk])).content.decode()
    assert '<h3 id="stitch-seeds">Scattered seeds</h3>' in page
    assert "<title>Chart of Scattered seeds. Round 1:" in page
    assert 'href="#stitch-seeds">Scattered seeds (see Stitch patterns)</a>' in page


@pytest.mark.parametrize(("chosen", "colours"), [("solid", ["A"]), ("striped", ["A", "B", "C"])])
def test_the_copy_on_a_phone_lists_the_yarns_of_the_chosen_option_alone(client, waistcoat, chosen, colours):
    place = taken(client, offered(waistcoat), option_1=chosen)
    client.force_login(place.person)
    page = client.get(reverse("making_read", args=[place.pk])).content.decode()
    needs = page.split('<h2 id="needs">What you need</h2>')[1].split("<h2")[0]
    assert re.findall(r"<li><strong>(?:Yarn )?([A-C])\b", needs) == colours


def test_an_offer_tells_the_grams_of_its_size_alone_and_what_other_yarns_are_for(client, waistcoat):
    placement = offered(waistcoat)
    figures = placement_figures(placement)
    page = " ".join(client.get(reverse("offer", args=[offer_key(placement)])).content.decode().split())
    needs = page.split("<h2>What you need</h2>")[1].split("</dl>")[0]
    ((grams, metres),) = re.findall(r"<dt>Yarn A</dt> <dd> [^<]*: ([^;<]*), ([0-9]+) m; an estimate", needs)
    (every,) = [one.grams for one in figures.yarn_needs if one.colour == "A"]
    place = figures.pattern.sizes.index("M")
    assert grams == f"{re.findall(r'[0-9]+', every)[place]} g"
    assert len(re.findall(r"[0-9]+", every)) == len(figures.pattern.sizes)
    (option,) = (one for one in figures.pattern.options if "striped" in one.choices)
    striped = replace(figures, chosen={option.name: "striped"})
    (of_b,) = [one.grams for one in striped.yarn_needs_of("M") if one.colour == "B"]
    assert int(of_b) > 0
    told = needs.split("<dt>Yarn B</dt>")[1].split("</dd>")[0]
    assert f"only in striped colors, {of_b} g; an estimate" in told
    call_page = client.get(reverse("call_page", args=[waistcoat.slug])).content.decode()
    (all_of_b,) = [one.grams for one in striped.yarn_needs if one.colour == "B"]
    call_words = " ".join(call_page.split())
    assert f"only in striped colors, {all_of_b} g by size; an estimate" in call_words
    table = call_words.partition('<caption id="yarn-by-size">')[2].partition("</table>")[0]
    assert re.findall(r'<th scope="col" class="number">([^<]+)</th>', table) == ["Yarn A (g)", "Yarn A (m)"]
    assert "Yarn B" not in table, "it depends on the colours chosen"
    cell = r' ?<td class="number">([0-9]+)</td>'
    rows = re.findall(rf'<th scope="row">([^<]+)</th>{cell}{cell}', table)
    assert [row[:2] for row in rows] == list(
        zip(figures.pattern.sizes, re.findall(r"[0-9]+", every), strict=True)
    )
    assert rows[place][2] == metres
