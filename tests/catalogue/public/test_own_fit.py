"""The size that a visitor takes: as designed, closer, looser or by an own ease; no cookie."""

import re
from html import unescape

import pytest
from django.urls import reverse

from catalogue.models import Pattern
from tests.catalogue.builders import make_pattern, make_version
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def see(client, name, slug="brackenmere-pullover", **query):
    answer = client.get(reverse(name, args=[slug]), {"girth": "bust", **query})
    assert answer.status_code == 200
    assert not answer.cookies
    assert len(answer.content) < 100_000
    return answer


def yours(answer):
    found = re.search(r"<strong>Yours:</strong> ([^<]*)</p>", answer.content.decode())
    return unescape(found[1]) if found else ""


# Finished chests of the pullover, as its PDF prints them: XS 85.5, S 97, M 105.5, L 117, XL 125.5 … 5X 165.5.
# Ease is finished less body (common practice), so that each answer is found by hand: 104 and 2 of ease are
# 106, nearest to 105.5; 104 and 18 are 122, nearest to 125.5.
@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (
            {"fit": ""},
            "chest of 104 cm take size L: 117 cm finished, 13 cm more than yours: loose.",
        ),
        ({"fit": "closer"}, "Worn closer, take size M: 105.5 cm finished, 1.5 cm more than yours: close."),
        ({"fit": "closer"}, "As designed: for a bust or chest of 104 cm take size L: 117 cm finished"),
        (
            {"fit": "looser"},
            "Worn looser, take size XL: 125.5 cm finished, 21.5 cm more than yours: very loose.",
        ),
        (
            {"ease": "2"},
            "and 2 cm of ease, size M comes nearest: 105.5 cm finished, 1.5 cm more than yours",
        ),
        ({"ease": "18", "fit": "closer"}, "and 18 cm of ease, size XL comes nearest: 125.5 cm finished"),
        (
            {"ease": "-6"},
            "and 6 cm of negative ease, size S comes nearest: 97 cm finished, 7 cm less than yours",
        ),
        ({"ease": "-40"}, "85.5 cm finished, 18.5 cm less than yours: very close. No size is smaller."),
        ({"ease": "4 in"}, "and 4 in (10 cm) of ease, size L comes nearest: 117 cm finished"),
    ],
)
def test_the_size_that_comes_nearest_is_told_with_what_it_leaves_on_the_body(client, asked, says):
    make_version(make_pattern(), number="1.0")
    for page in ("pattern_page", "needs"):
        assert says in yours(see(client, page, measures="104", **asked))


def test_a_measure_in_inches_has_its_ease_in_inches(client):
    make_version(make_pattern(), number="1.0")
    says = yours(see(client, "pattern_page", measures="38 in", ease="4"))
    assert says.startswith(
        "For a bust or chest of 38 in (96.5 cm) and 4 in (10 cm) of ease, size M comes nearest: 41½ in"
    )


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"measures": "76", "fit": "closer"}, "No size is smaller."),
        ({"measures": "160", "fit": "looser"}, "No size is larger."),
        (
            {"measures": "200"},
            "No size is made for a bust or chest of 200 cm. Size 5X is nearest: 165.5 cm finished",
        ),
    ],
)
def test_the_end_of_the_sizes_is_told(client, asked, says):
    make_version(make_pattern(), number="1.0")
    assert says in yours(see(client, "pattern_page", **asked))


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"measures": "ninety"}, "“ninety” can't be read as a number. Write it like 96 or 38 in."),
        (
            {"measures": "104", "ease": "some"},
            "“some” can't be read as a number. Write the ease like 10 or 4 in.",
        ),
        ({"measures": "104", "ease": "3 kg"}, "“kg” is not a unit of length: write the ease in cm or in."),
        ({"measures": "104", "ease": "900"}, "That can’t be an ease: check the number and its unit."),
    ],
)
def test_what_cannot_be_read_gets_a_sentence_and_is_kept(client, asked, says):
    make_version(make_pattern(), number="1.0")
    for page in ("pattern_page", "needs"):
        text = unescape(see(client, page, **asked).content.decode())
        assert says in text
        for typed in asked.values():
            assert f'value="{typed}"' in text


def test_sizes_that_go_by_no_girth_of_the_body_are_not_asked_for(client):
    make_version(make_pattern("ternstrand_shawl"), number="1.0")
    make_version(make_pattern("plovermire_hat"), number="1.0")
    slugs = Pattern.objects.values_list("slug", flat=True)
    assert len(slugs) == 2
    for slug in slugs:
        for page in ("pattern_page", "needs"):
            assert "Which size is yours?" not in see(client, page, slug, measures="56").content.decode()


def test_the_needs_are_those_of_the_size_found_and_another_choice_is_kept(client):
    make_version(make_pattern(), number="1.0")
    found = see(client, "needs", measures="104", fit="closer", units="in")
    assert (found.context["asked"].size, found.context["is_chosen"]) == ("M", True)
    chosen = see(client, "needs", measures="104", fit="closer", units="in", size="L").content.decode()
    assert "This page is about size L." in chosen
    link = unescape(present(re.search(r'href="(\?[^"]*)">Show what size M needs', chosen))[1])
    again = client.get(reverse("needs", args=["brackenmere-pullover"]) + link)
    assert (again.context["asked"].size, again.context["units"]) == ("M", "in")
    assert 'name="fit" value="closer"' in again.content.decode()  # it goes on with the size
