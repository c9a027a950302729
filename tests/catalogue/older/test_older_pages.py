"""An older pattern is brought in: its text, what was read, the draft."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded
from catalogue.models import Pattern
from tests.grading.core.older.test_reading import TEXT

pytestmark = pytest.mark.django_db

FACTS = {"title": "", "craft": "knitting", "home_units": "cm", "home_terms": "US", "sizes": "", "text": TEXT}


def post(client, **sent):
    return client.post(reverse("older_lists"), FACTS | sent)


def decided(client, **changed):
    """What the page of lists sends when nothing but the given fields is changed."""
    forms = [row["form"] for row in post(client).context["rows"]]
    fields = {f"{form.prefix}-{name}": value for form in forms for name, value in form.initial.items()}
    sent = {key: value for key, value in (fields | changed).items() if value is not False}
    return post(client, decided="1", **sent)


def test_what_was_read_is_shown_before_anything_is_made(designer_client):
    page = post(designer_client).content.decode()
    assert "Larkmoss Moor Pullover: what was read" in page
    assert "at the gauge 45.6, 50.6, 55.6, 60.6 cm".capitalize() in page
    assert "3 numbers, but 4 sizes" in page
    assert not Pattern.objects.exists()


def test_the_draft_has_values_in_place_of_its_lists(designer_client):
    answer = decided(designer_client)
    pattern = Pattern.objects.get()
    assert answer.url == reverse("words", args=[pattern.slug])
    document = pattern_document(pattern)
    assert document["sizes"] == ["XS", "S", "M", "L"]
    assert document["fabrics"]["main"]["stitches"] == 18
    steps = {section["title"]: section["steps"] for section in document["sections"]}
    assert steps["Notes"][1] == "Finished chest: {finished_chest in both}"
    assert steps["Back"][0] == "Cast on {back_cast_on_stitches} sts."
    assert steps["Neck"][0].startswith(
        "Put {neck_put_stitches} sts on hold. {back_decrease_stitches} sts remain."
    )
    assert "bind off 5 (6, 7) sts" in steps["Back"][3]
    assert graded(pattern).values["back_cast_on_stitches"].worked.tolist() == [82, 91, 100, 109]


def test_a_list_can_follow_from_another_as_a_formula(designer_client):
    decided(designer_client, **{"list-4-is_formula": "on"})
    values = {value["name"]: value for value in pattern_document(Pattern.objects.get())["values"]}
    assert values["back_decrease_stitches"]["formula"] == "back_cast_on_stitches - 10 stitches"
    assert graded(Pattern.objects.get()).values["back_decrease_stitches"].worked.tolist() == [72, 81, 90, 99]


def test_a_list_that_is_not_ticked_stays_text(designer_client):
    decided(designer_client, **{"list-3-keep": False})
    document = pattern_document(Pattern.objects.get())
    assert document["sections"][2]["steps"][0] == "Cast on 82 (91, 100, 109) sts."


def test_a_length_for_all_sizes_follows_the_units_and_braces_stay_braces(designer_client):
    text = "Moor\n\nSizes: S (M)\n\nBody\n\nWork 5 cm {plain}. Then 10 cm / 4 in."
    answer = post(designer_client, text=text, decided="1")
    assert answer.status_code == 302
    assert pattern_document(Pattern.objects.get())["sections"][1]["steps"] == [
        "Work {5 cm} {{plain}}. Then 10 cm / 4 in."
    ]


def test_a_label_that_is_missing_is_asked_for_and_nothing_is_lost(designer_client):
    answer = decided(designer_client, **{"list-1-label": ""})
    assert answer.status_code == 400
    page = answer.content.decode()
    assert "Give this list a label, or leave it as text." in page
    assert "Cast on 82 (91, 100, 109) sts." in page
    assert not Pattern.objects.exists()


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        (
            {"text": "Body\n\nCast on 61 (67) sts.", "title": "Moor"},
            "No line of the text begins with “Sizes”",
        ),
        ({"text": "Sizes: S (M)\nCast on 61 (67) sts."}, "The text has no title on its first line"),
        ({"text": ""}, "This field is required"),
        ({"sizes": "S\nS"}, "S"),
    ],
)
def test_a_text_that_lacks_something_says_what_to_do(designer_client, sent, says):
    answer = post(designer_client, **sent)
    assert answer.status_code == 400
    assert says in answer.content.decode()


def test_a_title_that_is_taken_is_told_with_the_lists_as_they_were_decided(designer_client):
    decided(designer_client)
    answer = decided(designer_client, **{"list-1-label": "Chest girth"})
    assert answer.status_code == 400
    assert "There is a pattern “larkmoss-moor-pullover” already" in answer.content.decode()
    assert 'value="Chest girth"' in answer.content.decode()


def test_back_to_the_text_keeps_it(designer_client):
    page = post(designer_client, again="1").content.decode()
    assert "Cast on 82 (91, 100, 109) sts." in page
