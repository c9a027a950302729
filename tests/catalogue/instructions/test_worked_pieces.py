"""A piece whose rows are longer than its drawing is told where rows are read, and before publishing."""

import pytest
from django.urls import reverse

from tests.catalogue.builders import edit, make_pattern

pytestmark = pytest.mark.django_db
SAYS = "The rows of “Back” make"


def two_rows_more(document):
    steps = document["sections"][0]["steps"]
    place = next(at for at, step in enumerate(steps) if "{side_rows} rows" in step)
    steps[place] = steps[place].replace("{side_rows} rows", "{side_rows + 2} rows")


def pages(pattern, client):
    addresses = (
        reverse("row_by_row", args=[pattern.slug]),
        reverse("publish", args=[pattern.slug, "release"]),
    )
    return [client.get(address).content.decode() for address in addresses]


def test_two_rows_more_are_told_on_both_pages_with_a_link_to_the_piece(designer_client):
    pattern = make_pattern()
    assert not any(SAYS in page for page in pages(pattern, designer_client))
    edit(pattern, two_rows_more)
    piece = reverse("entry", args=[pattern.slug, "pieces", 0])
    for page in pages(pattern, designer_client):
        assert page.count(SAYS) == 1
        assert piece in page
