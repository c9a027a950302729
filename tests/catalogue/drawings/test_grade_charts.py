"""Charts of the grade and the drawing of a trail: where things stand, and the pages that show them."""

import math
import re
from itertools import pairwise
from typing import Any

import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from catalogue.drawings.line_charts import BOTTOM, HEIGHT, LEFT, TOP, WIDTH, line_chart, ticks_between
from catalogue.drawings.trail_pictures import MOST_HIGH, trail_picture
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.grid.trails import trail_map
from tests.builders import make_person
from tests.catalogue.desk_work import load, small_document


def laid_out(*given: Any, **more: Any) -> Any:
    """A chart, where there is one."""
    return line_chart(*given, **more)


numbers = st.floats(-1e5, 1e5, allow_nan=False).map(lambda one: round(one, 3))


@settings(deadline=None)
@given(numbers, numbers)
def test_ticks_are_a_handful_of_round_numbers_around_all(one, other):
    least, most = sorted((one, other))
    ticks = ticks_between(least, most)
    assert 2 <= len(ticks) <= 7
    assert ticks[0] <= least + 1e-6
    assert ticks[-1] >= most - 1e-6
    step = ticks[1] - ticks[0]
    assert all(math.isclose(b - a, step, rel_tol=1e-6, abs_tol=1e-9) for a, b in pairwise(ticks))


@settings(deadline=None)
@given(st.lists(st.none() | numbers, min_size=1, max_size=24))
def test_a_chart_marks_every_number_inside_its_frame(many):
    sizes = [f"{34 + 2 * at}" for at in range(len(many))]
    chart = laid_out("Chest", sizes, [("finished", "Chest", many)], unit="cm", around=1.0)
    known = [one for one in many if one is not None]
    if not known:
        assert chart is None
        return
    (line,) = chart.lines
    assert len(line.marks) == len(known)
    for x, y, _ in line.marks:
        assert LEFT <= x <= WIDTH
        assert TOP - 0.01 <= y <= HEIGHT - BOTTOM + 0.01
    assert chart.labels[-1][1] == sizes[-1]


def test_a_line_is_broken_where_a_size_has_no_number_and_marks_say_their_size():
    chart = laid_out("Chest", ["S", "M", "L", "XL"], [("body", "Bust", [1, None, 3, 4])], unit="cm")
    (line,) = chart.lines
    assert len(line.stretches) == 1
    assert line.stretches[0].count(",") == 2
    assert [words for _, _, words in line.marks] == [
        "Bust, size S: 1 cm", "Bust, size L: 3 cm", "Bust, size XL: 4 cm",
    ]  # fmt: skip


def test_the_tolerance_is_a_band_around_nothing():
    chart = laid_out("Rounding", ["S"], [("finished", "Rounding", [0.5])], unit="cm", around=2.0)
    top, height = chart.band
    assert math.isclose(top + height / 2, chart.zero)


def test_the_drawing_of_a_trail_goes_from_the_body_to_the_steps():
    document = small_document()
    trails = trail_map(document, grade(read_pattern(document)).as_json(), 0, "cm")
    made = trail_picture(trails.sources_of(("values", "chest")), trails.users_of(("values", "chest")))
    columns: dict[float, list[str]] = {}
    for box in made.boxes:
        columns.setdefault(box.x, []).append(box.trail.label)
    assert [sorted(columns[x]) for x in sorted(columns)] == [
        ["Bust girth", "Ease"], ["Chest wanted"], ["Back, stitches", "wide enough"], ["Back, step 1"],
    ]  # fmt: skip
    assert [box.trail.label for box in made.boxes if box.is_root] == ["Chest wanted"]
    assert len(made.lines) == 5
    assert all(" ".join(box.label) == box.trail.label for box in made.boxes)
    assert max(box.bottom for box in made.boxes) <= made.height
    assert made.left_out == 0


def test_a_crowded_trail_says_how_much_it_leaves_out():
    values = [{"name": "a", "label": "A", "kind": "length", "formula": "bust"}]
    values += [
        {"name": f"b{at}", "label": f"B{at}", "kind": "length", "formula": "a"} for at in range(MOST_HIGH + 5)
    ]
    document = small_document(values=values, checks=[], sections=[])
    trails = trail_map(document, grade(read_pattern(document)).as_json(), 0, "cm")
    made = trail_picture(trails.sources_of(("values", "a")), trails.users_of(("values", "a")))
    assert made.left_out == 5


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


@pytest.mark.django_db
def test_the_page_of_the_grade_draws_each_finished_measurement_with_its_table(client, designer):
    pattern = load("brackenmere_pullover")
    page = client.get(reverse("see_grade", args=[pattern.slug])).content.decode()
    measured = page.count('class="grade-line"')
    assert measured > 2
    assert page.count("<svg") - 3 >= 2 * measured
    assert page.count("<table") == measured
    assert "style=" not in page
    small = load()
    assert (
        "No value is a finished measurement yet."
        in client.get(reverse("see_grade", args=[small.slug])).content.decode()
    )


@pytest.mark.django_db
def test_the_page_of_a_trail_shows_the_numbers_of_the_chosen_size_and_leads_to_lines(client, designer):
    pattern = load()
    url = reverse("value_trail", args=[pattern.slug, "back"])
    page = client.get(url, {"size": "L"}).content.decode()
    assert "109 cm" in page
    origin = client.get(reverse("value_origin", args=[pattern.slug, "back"]), {"size": "L"}).content.decode()
    assert f'href="{url}?size=L"' in origin
    text = re.sub(r"<[^>]*>", "", page[page.index("trail-list") :])
    assert not re.search(r"[a-z]\d+ (?:stitches|sts|rows)", text)
    assert "76 sts" in page
    assert reverse("entry", args=[pattern.slug, "body", 0]) in page
    assert re.search(r"<option selected>L</option>", page)
    assert client.get(url, {"size": "nobody"}).status_code == 200
    assert client.get(reverse("value_trail", args=[pattern.slug, "nobody"])).status_code == 404
    assert url in client.get(reverse("value", args=[pattern.slug, "back"])).content.decode()
