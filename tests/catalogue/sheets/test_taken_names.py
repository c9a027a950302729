"""A name that is taken is told by the label of what has it, never by its place in a file."""

import pytest
from django.urls import reverse

from tests.builders import make_person
from tests.catalogue.desk_work import load, small_document

pytestmark = pytest.mark.django_db

OUTLINE = [["0 cm", "0 cm"], ["20 cm", "0 cm"], ["20 cm", "10 cm"]]


def test_a_second_piece_of_a_name_is_told_where_the_first_is(client):
    client.force_login(make_person(role="designer"))
    pieces = [{"name": "flap", "label": "Pocket flap", "outline": OUTLINE}]
    pattern = load(title="Flaps", pieces=[*small_document().get("pieces", []), *pieces])
    corners = {f"outline-{i}-{j}": cell for i, row in enumerate(OUTLINE) for j, cell in enumerate(row)}
    sent = {"revision": pattern.sheet.revision, "name": "flap", "label": "Other", "shape": "", **corners}
    answer = client.post(reverse("entry_new", args=[pattern.slug, "pieces"]), sent)
    assert answer.status_code == 200
    (says,) = answer.context["form"].errors["name"]
    assert says == "“flap” is here and at Piece “Pocket flap”, name; each needs its own name."
