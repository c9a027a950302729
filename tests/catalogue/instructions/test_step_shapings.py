"""A shaping made from within a step."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.instructions.step_shapings import write_at
from tests.catalogue.desk_work import fresh, load

pytestmark = pytest.mark.django_db
TYPED = {"text": "Row 1: dc across.", "step": "1", "shaping-name": "Taper", "shaping-from": "back",
         "shaping-to_typed": "40", "shaping-over_typed": "30", "shaping-each_typed": "2"}  # fmt: skip


def send(client, pattern, **typed):
    address = reverse("step_shaping", kwargs={"slug": pattern.slug, "section": 1, "step": 1})
    return client.post(address, {"revision": fresh(pattern).sheet.revision, **TYPED, **typed})


def test_a_shaping_is_made_in_a_step_and_stands_in_its_text(designer_client):
    pattern = load()
    form = send(designer_client, pattern).context["form"]
    assert form["text"].value() == "Row 1: dc across. {taper}"
    assert pattern_document(fresh(pattern))["shapings"] == [
        {"name": "taper", "from": "back", "to": 40, "over": 30, "each": 2}
    ]
    # The step itself is saved on top of it.
    step = reverse("step", kwargs={"slug": pattern.slug, "section": 1, "step": 1})
    designer_client.post(step, {"revision": form["revision"].value(), "text": form["text"].value()})
    assert pattern_document(fresh(pattern))["sections"][0]["steps"][0] == "Row 1: dc across. {taper}"


def test_a_shaping_that_lacks_something_keeps_all_that_was_typed(designer_client):
    pattern = load()
    page = send(designer_client, pattern, **{"shaping-name": ""})
    assert page.context["form"]["text"].value() == TYPED["text"]
    assert page.context["shaping"].errors["name"]
    assert page.context["shaping"]["to"].value() == "40"
    assert not pattern_document(fresh(pattern)).get("shapings")


def test_words_are_written_where_the_caret_stood():
    assert write_at("Work. End.", "5", "{taper}") == "Work. {taper} End."
    assert write_at("Work.", "", "{taper}") == "Work. {taper}"
