"""The pages that a new pattern begins on."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.models import Pattern
from catalogue.publishing.obstacles import in_the_way
from grading.beginnings.constructions import constructions
from tests.sent_forms import form_on

pytestmark = pytest.mark.django_db

KNOWN = {"title": "Fernside Pullover", "stitches": "18", "rows": "24", "weight": "11,5"}


@pytest.fixture
def client(designer_client):
    return designer_client


def begin(client, key="drop-shoulder", **typed):
    """Open the form of a construction, type what is known, and send it."""
    url = reverse("beginning", args=[key])
    fields = form_on(client.get(url).content.decode(), "")
    return client.post(url, {**fields, **KNOWN, **typed})


def test_every_construction_and_the_empty_sheet_are_offered(client):
    page = client.get(reverse("beginnings")).content.decode()
    for key, construction in constructions().items():
        assert reverse("beginning", args=[key]) in page
        assert construction.name in page
    assert "Empty sheet" in page


def test_a_pattern_begins_whole_from_a_construction(client):
    answer = begin(client, sizes="S to XL", sample="M", options=["pocket"])
    assert answer["Location"] == reverse("sheet", args=["fernside-pullover"])
    document = pattern_document(Pattern.objects.get())
    assert document["sizes"] == ["S", "M", "L", "XL"]
    assert document["fabrics"]["main"]["swatch"] == {"stitches": 18, "rows": 24, "weight": "11.5 g"}
    assert document["values"][0]["steps"]["base_size"] == "M"
    assert [one["name"] for one in document["options"]] == ["pocket"]
    assert document["sections"]
    assert client.get(answer["Location"]).status_code == 200


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("sizes", "S, Q", "“Q” is not in the table, which has XS, S, M, L, XL, 2X, 3X, 4X, 5X."),
        ("sample", "Q", "“Q” is not one of the sizes, which are XS, S, M, L, XL, 2X, 3X, 4X, 5X."),
        ("worked_rows", "40", "Give both stitches and rows of the weighed swatch, or neither."),
        ("stitches", "many", "“many” can't be read as a number."),
        ("stitches", "0", "Ensure this value is greater than or equal to 0.5."),
    ],
)
def test_what_does_not_fit_is_said_at_its_field_and_kept(client, field, typed, says):
    answer = begin(client, **{field: typed})
    assert answer.status_code == 400
    assert answer.context["form"].errors == {field: [says]}
    assert answer.context["form"][field].value() == typed
    assert not Pattern.objects.exists()


def test_a_title_that_is_taken_is_said_and_kept(client):
    begin(client)
    again = begin(client)
    assert again.status_code == 400
    assert "“fernside-pullover” already" in again.context["form"].errors["title"][0]


def test_tables_that_lack_a_measurement_are_named_with_what_they_lack(client):
    page = client.get(reverse("beginning", args=["drop-shoulder"])).content.decode()
    assert "Women, letter codes has no an across-back" not in page
    assert "The table “Women, letter codes” has no across-back width" in page


def test_a_swatch_that_was_not_weighed_leaves_the_yarn_open(client):
    assert begin(client, weight="").status_code == 302
    begun = Pattern.objects.get()
    assert "swatch" not in pattern_document(begun)["fabrics"]["main"]
    assert client.get(reverse("yarn_page", args=[begun.slug])).status_code == 200
    stops = [one.says for one in in_the_way(begun, "test") if one.weight == "stop"]
    assert any("has no weighed swatch" in says for says in stops)


def test_there_is_no_page_for_an_unknown_construction(client):
    assert client.get(reverse("beginning", args=["poncho"])).status_code == 404


def test_the_hook_or_needle_of_the_swatch_is_asked_and_its_lack_is_told_before_publishing(client):
    address = reverse("beginning", args=["drop-shoulder"])
    assert "Hook or needle of the swatch, mm" in client.get(address).content.decode()
    begin(client, tool="4,5")
    begun = Pattern.objects.get()
    assert pattern_document(begun)["fabrics"]["main"]["tool_mm"] == 4.5
    lacks = "No hook or needle is named"
    assert not any(lacks in one.says for one in in_the_way(begun, "test"))
    begin(client, title="Another Pullover")
    other = Pattern.objects.exclude(pk=begun.pk).get()
    assert "tool_mm" not in pattern_document(other)["fabrics"]["main"]
    assert [one.weight for one in in_the_way(other, "test") if lacks in one.says] == ["warn"]


def test_a_needle_of_a_metre_is_refused_at_its_field(client):
    answer = begin(client, tool="1000")
    assert answer.context["form"].errors == {"tool": ["Ensure this value is less than or equal to 100."]}
