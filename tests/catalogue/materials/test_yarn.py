"""The yarn page: needs by option, colour and size, and the allowance."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from grading.models import YarnNeed
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load, small_document, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def weighed(**changes):
    """The small pattern with a weighed swatch: 0.05 g for each stitch of each row."""
    fabrics = {
        "main": {
            **small_document()["fabrics"]["main"],
            "swatch": {"stitches": 20, "rows": 10, "weight": "10 g"},
        }
    }
    return load(
        fabrics=fabrics,
        yarns=[{"colour": "A", "label": "Larkmoss Orrendale", "length_per_100g": "200 m", "put_up": "50 g"}],
        yarn_sections=[
            {"name": "Back / front", "fabric": "main", "worked": "back * edge", "colour": "A", "extra": "5 g"}
        ],
        yarn_allowance="10 %",
        **changes,
    )


def rows_of(client, pattern):
    table = client.get(reverse("yarn_page", args=[pattern.slug])).context["table"]
    return {row.unit: list(row.cells) for row in table.base.rows}


def test_needs_are_shown_in_grams_metres_and_balls(client, designer):
    # Derived: (64 × 4 × 0.05 + 5) g × 1.1 = 19.58 g; 2 m in each gram; balls of 50 g, up.
    lines = rows_of(client, weighed())
    assert lines["g"] == ["20", "21", "31"]
    assert lines["m"] == ["39", "42", "61"]
    assert lines["balls"] == ["1", "1", "1"]


def test_yarn_is_shown_in_yards_to_who_prefers_inches(client, designer):
    designer.units = "in"
    designer.save()
    assert rows_of(client, weighed())["yd"][0] == "43"


def test_one_combination_of_options_stands_in_full_and_of_others_what_differs(client, designer):
    pattern = load("thistledrift_waistcoat")
    url = reverse("yarn_page", args=[pattern.slug])
    table = client.get(url).context["table"]
    assert table.base.title == "With pockets and in solid colors"
    assert [one.title for one in table.others] == [
        "With pockets and in striped colors",
        "Without pockets and in solid colors",
        "Without pockets and in striped colors",
    ]
    no_pockets = table.others[1].rows
    assert [row.colour for row in no_pockets] == ["A"]
    assert {row.colour for row in table.base.rows} == {"A"}
    assert all(cell.startswith("−") for cell in no_pockets[0].cells)
    striped = client.get(url, {"option-colours": "striped"}).context["table"]
    assert striped.base.title == "With pockets and in striped colors"
    assert striped.base.rows[-1].colour == "All colours"


def test_options_have_a_place_of_their_own(client, designer):
    pattern = load("thistledrift_waistcoat")
    page = client.get(reverse("options_page", args=[pattern.slug])).content.decode()
    assert "Pockets" in page
    assert reverse("entry_new", args=[pattern.slug, "options"]) in page
    assert "Add an option" not in client.get(reverse("yarn_page", args=[pattern.slug])).content.decode()


def test_the_allowance_is_changed(client, designer):
    pattern = weighed()
    client.post(reverse("allowance", args=[pattern.slug]), {"revision": 1, "yarn_allowance": "0 %"})
    assert YarnNeed.objects.get(sheet=pattern.sheet).weight_g == pytest.approx([17.8, 19.0, 27.8])
    client.post(reverse("allowance", args=[pattern.slug]), {"revision": 2, "yarn_allowance": ""})
    assert "yarn_allowance" not in pattern_document(fresh(pattern))


@pytest.mark.parametrize("text", ["-5 %", "5 cm", "lots", "NaN", "1e308"])
def test_a_bad_allowance_is_refused_and_kept_in_the_form(client, designer, text):
    pattern = weighed()
    answer = client.post(reverse("allowance", args=[pattern.slug]), {"revision": 1, "yarn_allowance": text})
    assert answer.status_code == 400
    assert len(answer.context["form"].errors["yarn_allowance"]) == 1
    assert answer.context["form"]["yarn_allowance"].value() == text
    assert pattern_document(fresh(pattern))["yarn_allowance"] == "10 %"


def test_a_late_allowance_is_told(client, designer):
    pattern = weighed()
    for number, text in enumerate(("5 %", "6 %")):
        answer = client.post(
            reverse("allowance", args=[pattern.slug]), {"revision": 1, "yarn_allowance": text}
        )
        assert answer.status_code == (302, 409)[number]
    assert answer.context["form"]["yarn_allowance"].value() == "6 %"


def test_parts_put_ups_stripes_and_options_are_edited_by_forms(client, designer):
    pattern = weighed()
    belt = {"name": "Belt", "fabric": "main", "colour": "B"}
    for part, place, changes in [
        ("yarns", 0, {"put_up": "100 g"}),
        ("yarn_sections", 0, {"worked": "back * edge * 2"}),
        ("options", None, {"name": "belt", "label": "Belt", "choices": "with\nwithout", "default": "with"}),
        ("yarns", None, {"colour": "B", "label": "Larkmoss Orrendale, Moss"}),
        (
            "stripes",
            None,
            {
                "name": "bands",
                "sequence-0-0": "A",
                "sequence-0-1": "4",
                "sequence-1-0": "B",
                "sequence-1-1": "2",
                "change": "row start",
            },
        ),
        ("yarn_sections", None, {**belt, "worked": "back * 6 rows", "when": "belt=with"}),
    ]:
        url = (
            reverse("entry_new", args=[pattern.slug, part])
            if place is None
            else reverse("entry", args=[pattern.slug, part, place])
        )
        answer = client.post(url, typed(client, url, **changes))
        assert answer.status_code == 302, answer.context["form"].errors
        page = "options_page" if part == "options" else "yarn_page"
        assert answer["Location"] == reverse(page, args=[pattern.slug])
    document = pattern_document(fresh(pattern))
    assert document["yarn_sections"][1]["when"] == {"belt": "with"}
    assert document["stripes"][0]["sequence"] == [["A", 4], ["B", 2]]
    needs = YarnNeed.objects.filter(sheet=pattern.sheet, colour="B").order_by("position")
    assert [need.weight_g[0] for need in needs] == [pytest.approx(64 * 6 * 0.05 * 1.1), 0]


def test_a_part_gets_stripes_for_one_choice_in_its_form_and_says_so(client, designer):
    pattern = weighed(
        options=[{"name": "look", "label": "Look", "choices": ["plain", "two bands"], "default": "plain"}],
        stripes=[{"name": "bands", "sequence": [["A", 2]]}],
    )
    url = reverse("entry", args=[pattern.slug, "yarn_sections", 0])
    page = client.get(url).content.decode()
    assert "Another colour or other stripes for a choice" in page
    assert '<option value="look=two bands">Look: two bands</option>' in page
    assert '<option value="stripes bands">Stripes: bands</option>' in page
    row = {"by_choice-0-0": "look=two bands", "by_choice-0-1": "stripes bands"}
    refused = client.post(url, typed(client, url, **row))
    assert refused.context["form"].errors["rows"] == [
        "Stripes of a choice need the rows of the part: choose their line, or type a number."
    ]
    half = client.post(url, typed(client, url, rows="", rows_typed="4", **{**row, "by_choice-0-1": ""}))
    assert half.context["form"].errors["by_choice"] == ["Row 1: “Worked in” is missing."]
    assert client.post(url, typed(client, url, rows="", rows_typed="4", **row)).status_code == 302
    (part,) = pattern_document(fresh(pattern))["yarn_sections"]
    assert part["by_choice"] == [{"option": "look", "choice": "two bands", "stripes": "bands"}]
    assert part["rows"] == 4
    page = client.get(reverse("yarn_page", args=[pattern.slug])).content.decode()
    assert "A; with two bands: stripes bands" in page
    grid = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert "A, main, more by choice" in grid


def test_a_pattern_without_options_asks_for_no_choices_of_a_part(client, designer):
    url = reverse("entry", args=[weighed().slug, "yarn_sections", 0])
    assert "by_choice" not in client.get(url).content.decode()


def test_a_missing_swatch_is_a_finding_and_no_number(client, designer):
    pattern = weighed()
    url = reverse("entry", args=[pattern.slug, "fabrics", 0])
    data = typed(client, url, swatch__stitches="", swatch__rows="", swatch__weight="")
    assert "swatch" in str(client.post(url, data).context["form"].errors)
    client.post(url, {**data, "keep_anyway": "on"})
    assert YarnNeed.objects.get(sheet=pattern.sheet).weight_g == [None] * 3


def test_looking_at_the_address_of_the_allowance_is_refused(client, designer):
    assert client.get(reverse("allowance", args=[weighed().slug])).status_code == 405


def test_the_yarn_page_does_not_exist_for_testers(client):
    client.force_login(make_person(role="tester"))
    assert client.get(reverse("yarn_page", args=[weighed().slug])).status_code == 404


def test_the_yarn_page_takes_few_queries(client, designer, django_assert_max_num_queries):
    pattern = load("thistledrift_waistcoat")
    with django_assert_max_num_queries(32):
        client.get(reverse("yarn_page", args=[pattern.slug]))
