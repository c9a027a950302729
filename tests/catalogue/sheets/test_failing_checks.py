"""A check that fails is red with a sign in the grid, and its page shows what it compares in each size."""

import re

import pytest
from django.urls import reverse

from tests.catalogue.desk_work import load

pytestmark = pytest.mark.django_db
CHECK = {"name": "wide_enough", "holds": "chest >= 98 cm", "says": "It is too narrow.", "weight": "warn"}


@pytest.fixture
def pattern(db):
    # the chest is 92, 100 and 109 cm: the bust plus an ease of 8, 8 and 9 cm
    return load(checks=[CHECK])


def test_a_check_that_fails_is_red_with_a_sign_and_one_that_holds_is_not(designer_client, pattern):
    page = designer_client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    row = page.split('data-name="wide_enough"')[1].split("</tr>")[0]
    cells = re.findall(r'<td class="(number[^"]*)">([^<]*)</td>', row)
    assert cells == [("number fails", "■ fails"), ("number", "holds"), ("number", "holds")]


def test_the_page_of_a_check_shows_its_numbers_per_size_the_failing_first(designer_client, pattern):
    page = designer_client.get(reverse("entry", args=[pattern.slug, "checks", 0])).content.decode()
    table = page.split("What it compares</h2>")[1].split("</table>")[0]
    rows = re.findall(
        r"<bdi>(\w+)</bdi></th>\s*<td[^>]*><code>([^<]*)</code></td>\s*<td([^>]*)>([^<]*)<", table
    )
    assert rows == [
        ("S", "92 cm &gt;= 98 cm", ' class="fails"', "■ fails"),
        ("M", "100 cm &gt;= 98 cm", "", "holds"),
        ("L", "109 cm &gt;= 98 cm", "", "holds"),
    ]


def test_a_check_that_fails_in_the_last_size_is_read_first(designer_client):
    pattern = load(checks=[{**CHECK, "holds": "chest <= 105 cm"}])
    page = designer_client.get(reverse("entry", args=[pattern.slug, "checks", 0])).content.decode()
    table = page.split("What it compares</h2>")[1].split("</table>")[0]
    assert re.findall(r"<bdi>(\w+)</bdi>", table) == ["L", "S", "M"]
