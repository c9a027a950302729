"""The work list: steps in every size, ticks that go when words or numbers change, queries about a row."""

import pytest
from django.urls import reverse

from catalogue.models import EditQuery
from catalogue.publishing.obstacles import in_the_way
from catalogue.technical_edit.technical_edits import answer_query
from catalogue.technical_edit.work_lists import mark_read, work_list
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, value_of

pytestmark = pytest.mark.django_db

ROW = "Row 1: sc in 2nd ch from hook and in each ch. (61 sts)"
SECTIONS = [{"title": "Back", "steps": ["Ch {back_stitches} + 1.", ROW]}]


@pytest.fixture
def pattern(db):
    return make_pattern("brackenmere_pullover", sections=SECTIONS)


@pytest.fixture
def editor(db):
    return make_person(role="editor")


def cell_of(pattern, person, size, step=1):
    return next(one for one in work_list(pattern, person)[step - 1].cells if one.size == size)


def tick(pattern, person, *sizes, step=1):
    seen = {size: cell_of(pattern, person, size, step).digest for size in sizes}
    return mark_read(pattern=pattern, by=person, section=1, step=step, seen=seen)


def test_each_step_in_each_size_shows_what_the_audit_says(pattern, editor):
    first, second = work_list(pattern, editor)
    assert [cell.stitches for cell in first.cells][:2] == [61, 69]
    assert [cell.verdict for cell in second.cells][:2] == ["disagrees", "disagrees"]
    assert "says 61, worked 60" in second.cells[0].says


def test_a_tick_goes_when_the_words_change_and_only_there(pattern, editor):
    assert tick(pattern, editor, "XS", "S")
    assert tick(pattern, editor, "XS", step=2)
    edit(pattern, lambda document: document["sections"][0]["steps"].__setitem__(1, "Row 1: sc in each ch."))
    assert cell_of(pattern, editor, "XS").reading == "read"
    assert cell_of(pattern, editor, "M").reading == ""
    assert cell_of(pattern, editor, "XS", step=2).reading == "changed"
    assert [step.step for step in work_list(pattern, editor, "changed")] == [2]


def test_a_tick_goes_when_the_numbers_of_its_size_change_and_only_there(pattern, editor):
    tick(pattern, editor, "XS", "S")

    def one_more_in_s(document):
        value_of(document, "ease")["steps"]["base"] = "24 cm"

    edit(pattern, one_more_in_s)
    assert {cell_of(pattern, editor, size).reading for size in ("XS", "S")} == {"changed"}


def test_a_tick_of_what_changed_meanwhile_is_refused_and_unticking_takes_it_back(pattern, editor):
    assert not mark_read(pattern=pattern, by=editor, section=1, step=1, seen={"XS": "0" * 64})
    assert cell_of(pattern, editor, "XS").reading == ""
    tick(pattern, editor, "XS", "S")
    tick(pattern, editor, "S")
    assert cell_of(pattern, editor, "XS").reading == ""
    assert cell_of(pattern, editor, "S").reading == "read"


def test_one_editor_s_ticks_are_not_another_s(pattern, editor):
    tick(pattern, editor, "XS")
    assert cell_of(pattern, make_person(role="editor"), "XS").reading == ""


def test_the_editor_ticks_on_the_page(client, pattern, editor):
    client.force_login(editor)
    cell = cell_of(pattern, editor, "XS")
    read = reverse("edit_read", args=[pattern.slug, 1, 1])
    assert client.post(read, {"cell": cell.sent, "show": "unread"}).url.endswith("?show=unread#s1-1")
    assert cell_of(pattern, editor, "XS").reading == "read"
    page = client.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
    assert "says 61, worked 60" in page
    assert page.count("checked>") == 1


def test_a_query_about_a_row_copies_its_line_and_a_blocking_one_holds_a_release(client, pattern, editor):
    client.force_login(editor)
    typed = {
        "place": "materials",
        "size": "XS",
        "row": "row-2",
        "is_blocking": "on",
        "asks": "Which is right?",
    }
    assert client.post(reverse("technical_edit", args=[pattern.slug]), typed).status_code == 302
    query = EditQuery.objects.get()
    assert (query.place, query.size) == ("sections[0].steps[1]", "XS")
    assert query.row == (
        "Row 1: sc in 2nd ch from hook and in each ch. (61 sts) Stitches after it: XS 60. says 61, worked 60"
    )
    stops = [one.says for one in in_the_way(pattern, "release") if one.weight == "stop"]
    assert any("Which is right?" in says for says in stops)
    assert not any("Which is right?" in one.says for one in in_the_way(pattern, "test"))
    assert cell_of(pattern, editor, "XS", step=2).queries == 1
    answer_query(query=query, answer="The count was.", by=None)
    assert not any("Which is right?" in one.says for one in in_the_way(pattern, "release"))


def test_a_link_from_the_account_fills_the_query(client, pattern, editor):
    client.force_login(editor)
    page = client.get(reverse("technical_edit", args=[pattern.slug]), {"row": "row-2"}).content.decode()
    assert '<option value="row-2" selected>' in page
