"""The page “Row by row”: what each written row leaves in every size."""

import pytest
from django.urls import reverse

from tests.catalogue.builders import make_pattern

pytestmark = pytest.mark.django_db

WRONG = [{"title": "Back", "steps": ["Ch 11. Row 1: sc in 2nd ch from hook and in each ch across. (11 sts)"]}]


def page_of(client, pattern, **asked):
    return client.get(reverse("row_by_row", kwargs={"slug": pattern.slug}), asked).content.decode()


def test_each_row_shows_the_stitches_after_it_in_every_size(designer_client):
    page = " ".join(page_of(designer_client, make_pattern("brackenmere_pullover")).split())
    assert "rows could be read" in page
    assert "Every row that could be read comes out in every size." in page
    row = page[page.index("evenly along the row ends") :]
    assert "<td> 60 </td> <td> 68 </td> <td> 74 </td>" in row[: row.index("</tr>")]


def test_a_row_that_does_not_come_out_stands_first_with_both_counts(designer_client):
    page = page_of(designer_client, make_pattern("brackenmere_pullover", sections=WRONG))
    assert page.index("Look at these first") < page.index("Stitches after each row")
    assert "says 11, worked 10" in page


def test_a_row_that_cannot_be_read_marks_the_words(designer_client):
    sections = [{"title": "Back", "steps": ["Ch 11. Row 1: work 3 knot clusters in each ch. (33 sts)"]}]
    page = page_of(designer_client, make_pattern("brackenmere_pullover", sections=sections))
    assert "<mark>" in page
    assert "knot clusters" in page[page.index("<mark>") : page.index("</mark>")]


def test_filters_keep_one_section_one_size_and_what_is_wrong(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    page = page_of(designer_client, pattern, section="2", size="M", show="unread")
    assert 'id="row-' not in page
    page = page_of(designer_client, pattern, section="1", size="M")
    assert page.count('scope="col"') == 3


def test_nonsense_in_the_filters_shows_the_page(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    assert "Row by row" in page_of(designer_client, pattern, section="\x00", size="9X", show="ells")


def test_a_pattern_without_words_says_what_to_do_first(designer_client):
    assert "Write the first step" in page_of(
        designer_client, make_pattern("brackenmere_pullover", sections=[])
    )


def test_the_account_is_a_file_too(designer_client):
    pattern = make_pattern("brackenmere_pullover", sections=WRONG)
    answer = designer_client.get(reverse("row_by_row_csv", kwargs={"slug": pattern.slug}))
    lines = answer.content.decode().splitlines()
    assert lines[0].startswith("Section,Step,Row,Options,What is done,Verdict,Why,XS,S,M")
    assert any("disagrees" in line and "says 11, worked 10" in line for line in lines)
