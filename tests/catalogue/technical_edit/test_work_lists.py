"""The work list: steps in every size, ticks that go when words or numbers change, queries about a row."""

import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalogue.drafts.patterns import graded
from catalogue.models import EditQuery, ReadCell
from catalogue.publishing.obstacles import in_the_way
from catalogue.technical_edit.technical_edits import answer_query
from catalogue.technical_edit.work_lists import (
    mark_read,
    reading_progress,
    seen_cells,
    work_list,
)
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, value_of
from tests.sent_forms import form_on, send_form

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
    """Tick these sizes of a step, as the page of all its sizes would."""
    shown = json.loads(seen_cells(work_list(pattern, person)[step - 1 : step]))
    ticked = {(f"1-{step}", size) for size in sizes}
    return mark_read(pattern=pattern, by=person, shown=shown, ticked=ticked)


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
    shown = {"1-1": {"XS": "0" * 16}}
    assert not mark_read(pattern=pattern, by=editor, shown=shown, ticked={("1-1", "XS")})
    assert cell_of(pattern, editor, "XS").reading == ""
    tick(pattern, editor, "XS", "S")
    tick(pattern, editor, "S")
    assert cell_of(pattern, editor, "XS").reading == ""
    assert cell_of(pattern, editor, "S").reading == "read"


def test_one_editor_s_ticks_are_not_another_s(pattern, editor):
    tick(pattern, editor, "XS")
    assert cell_of(pattern, make_person(role="editor"), "XS").reading == ""


def test_one_save_keeps_the_ticks_of_all_steps(client, pattern, editor):
    client.force_login(editor)
    page, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    sent = send_form(client, f"{page}?show=unread", action=read, cell=["1-1|XS", "1-2|M"])
    assert sent.url.endswith("?show=unread#work-list")
    assert cell_of(pattern, editor, "XS").reading == "read"
    assert cell_of(pattern, editor, "M", step=2).reading == "read"
    assert cell_of(pattern, editor, "M").reading == ""
    said = client.get(page).content.decode()
    assert "says 61, worked 60" in said
    assert said.count("checked>") == 2
    assert "2 of 18 cells read" in said


def test_all_of_a_size_and_all_of_a_step_are_ticked_by_one_button_each(client, pattern, editor):
    client.force_login(editor)
    page, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    send_form(client, page, action=read, cell=["1-1|XS"], all_size="M")
    ticked = {
        (step.step, cell.size) for step in work_list(pattern, editor) for cell in step.cells if cell.reading
    }
    assert ticked == {(1, "XS"), (1, "M"), (2, "M")}
    send_form(client, page, action=read, cell=["1-1|XS", "1-1|M"], all_step="1-2")
    progress = reading_progress(pattern, editor)
    assert (progress.read, progress.unread) == (11, 7)
    labels = re.findall(r'aria-label="(I read this [^"]*)"', client.get(page).content.decode())
    assert len(labels) == len(set(labels)) == len(work_list(pattern, editor)) + len(graded(pattern).sizes)
    assert "I read this size, M: tick all its steps and save" in labels


LONG = "Knit to the end of the row, then turn and count the stitches. " * 3


def test_steps_that_were_not_unfolded_are_asked_about_before_a_button_ticks_them(client, pattern, editor):
    edit(pattern, lambda document: document["sections"][0]["steps"].append(LONG))
    client.force_login(editor)
    page, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    asked = send_form(client, f"{page}?size=M", action=read, cell=["1-1|M"], all_size="M")
    text = " ".join(asked.content.decode().split())
    # of the three steps of M one was ticked by hand, one is short and one is folded
    assert "<h1>1 of these 2 cells was not opened</h1>" in text
    assert text.count("Knit to the end of the row, then turn and count the stitches.") >= 3
    assert reading_progress(pattern, editor).read == 0, "nothing is saved before the answer"
    sent = form_on(asked.content.decode(), read)
    client.post(read, {**sent, "sure": "opened"})
    assert [cell_of(pattern, editor, "M", step=step).reading for step in (1, 2, 3)] == ["read", "read", ""]
    client.post(read, {**sent, "sure": "all"})
    assert cell_of(pattern, editor, "M", step=3).reading == "read"
    # of the line only the other sizes are new; a step that was unfolded asks nothing
    asked = send_form(client, page, action=read, all_step="1-3")
    sizes = len(graded(pattern).sizes)
    assert f"<h1>{sizes - 1} of these {sizes - 1} cells were not opened</h1>" in asked.content.decode()
    assert send_form(client, page, action=read, all_step="1-3", opened=["1-3"]).status_code == 302
    assert {cell_of(pattern, editor, size, step=3).reading for size in graded(pattern).sizes} == {"read"}


def test_the_page_says_what_an_editor_may_do(client, pattern, editor):
    told = []
    for person in (editor, make_person(role="editor", may_publish=True), make_person(role="designer")):
        client.force_login(person)
        page = client.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
        told += re.findall(r"You may read, ask.*?</p>", " ".join(page.split()))
    assert told == [
        "You may read, ask, correct and sign. You can’t publish. </p>",
        "You may read, ask, correct and sign. You may publish too. </p>",
    ]


def test_a_size_alone_is_shown_and_saved_without_the_others(client, pattern, editor):
    client.force_login(editor)
    tick(pattern, editor, "XS", "S")
    page, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    shown = client.get(page, {"size": "S"}).content.decode()
    assert 'size S"' in shown
    assert 'size XS"' not in shown
    assert send_form(client, f"{page}?size=S", action=read, cell=[]).url.endswith("?size=S#work-list")
    assert [cell_of(pattern, editor, size).reading for size in ("XS", "S")] == ["read", ""]


def test_what_was_ticked_or_unticked_since_a_page_was_opened_stays(client, pattern, editor):
    client.force_login(editor)
    page, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    tick(pattern, editor, "XS")
    opened_before = client.get(page).content.decode()
    tick(pattern, editor, "S", "M")  # elsewhere: XS unticked, S and M ticked
    send_form(client, page, page=opened_before, action=read, cell=["1-1|XS", "1-1|L"])
    readings = {cell.size: cell.reading for cell in work_list(pattern, editor)[0].cells}
    assert {size for size, reading in readings.items() if reading == "read"} == {"S", "M", "L"}


def test_a_list_of_more_cells_than_one_form_may_send_shows_one_size_and_loses_no_tick(
    client, pattern, editor, settings
):
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 18  # as many as there are cells; the form has fields of its own
    client.force_login(editor)
    address, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    page = client.get(address).content.decode()
    assert "too many cells for one page: size XS is shown" in " ".join(page.split())
    assert '<option value="XS" selected>' in page
    cells = re.findall(r'name="cell" value="([^"]+)"', page)
    assert cells == ["1-1|XS", "1-2|XS"]
    assert send_form(client, address, action=read, cell=cells).status_code == 302
    assert reading_progress(pattern, editor).read == 2
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 11  # one size is too much as well: its first step is shown
    page = client.get(address).content.decode()
    assert re.findall(r'name="cell" value="([^"]+)"', page) == ["1-1|XS"]
    assert "1 step is left out" in " ".join(page.split())
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 3000
    assert "too many cells" not in client.get(address).content.decode()


def test_a_list_of_too_many_unread_cells_shows_the_first_size_that_has_some(
    client, pattern, editor, settings
):
    tick(pattern, editor, "XS")
    tick(pattern, editor, "XS", step=2)
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 18
    client.force_login(editor)
    page = client.get(reverse("technical_edit", args=[pattern.slug]), {"show": "unread"}).content.decode()
    assert "too many cells for one page: size S is shown" in " ".join(page.split())
    assert re.findall(r'name="cell" value="([^"]+)"', page) == ["1-1|S", "1-2|S"]


def test_a_tick_keeps_its_day_while_others_are_set_and_follows_a_step_that_moves(pattern, editor):
    tick(pattern, editor, "XS")
    first = ReadCell.objects.get()
    with CaptureQueriesContext(connection) as queries:
        tick(pattern, editor, "XS")
    assert [one["sql"] for one in queries if "INSERT" in one["sql"]] == []
    tick(pattern, editor, "XS", "S")
    first.refresh_from_db()
    again = ReadCell.objects.get(size="S")
    assert first.read_at < again.read_at
    assert reading_progress(pattern, editor).last == again.read_at
    edit(pattern, lambda document: document["sections"][0]["steps"].insert(0, "Read all of it first."))
    tick(pattern, editor, "XS", step=2)
    assert ReadCell.objects.filter(size="XS", digest=first.digest, step=1).exists()


def test_a_form_that_shows_nothing_changes_nothing(client, pattern, editor):
    client.force_login(editor)
    tick(pattern, editor, "XS")
    for seen in ("", "{", "[1]", '{"1-1": 3}', '{"1-1": {"XS": 3}}', "[" * 200_000):
        assert client.post(reverse("edit_read", args=[pattern.slug]), {"seen": seen}).status_code == 302
    assert cell_of(pattern, editor, "XS").reading == "read"


def test_a_step_whose_rows_can_t_be_read_says_so_once_in_printed_words(editor):
    steps = ["Row 1: frobnicate the {back_stitches} sts.", "Row 2: frobnicate 3. ({back_stitches} sts)"]
    pattern = make_pattern(
        "brackenmere_pullover",
        sections=[{"title": "Back", "steps": steps}],
    )
    first, second = work_list(pattern, editor)
    assert first.unreadable.startswith("Can’t be read: ")
    assert "the 60 (68, " in first.unreadable
    assert first.cells[0].verdict == "unreadable"
    assert second.unreadable.startswith("As stated, not checked: ")
    assert second.cells[0].stitches == 60


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
        "“Row 1: sc in 2nd ch from hook and in each ch. (61 sts)”; "
        "size XS: 60 sts after it; says 61, worked 60"
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


def test_a_query_is_about_the_step_and_size_that_were_chosen(client, pattern, editor):
    client.force_login(editor)
    address = reverse("technical_edit", args=[pattern.slug])
    page = client.get(address, {"row": "row-2", "size": "M"}).content.decode()
    assert '<option value="sections[0].steps[1]" selected>' in page
    assert page.count('<option value="M" selected>') == 2
    rows = client.get(reverse("row_by_row", args=[pattern.slug]), {"size": "M"}).content.decode()
    assert f"{address}?row=row-2&amp;size=M#ask" in rows


def test_asking_keeps_the_ticks_offers_the_rows_of_its_step_and_comes_back_to_it(client, pattern, editor):
    client.force_login(editor)
    page, read = (reverse(name, args=[pattern.slug]) for name in ("technical_edit", "edit_read"))
    opened = client.get(page, {"show": "unread"}).content.decode()
    asking = send_form(
        client, page, page=opened, action=read, cell=["1-1|XS", "1-1|S"], ask="sections[0].steps[1]"
    )
    assert reading_progress(pattern, editor).read == 2
    assert asking.url.startswith(f"{page}?show=unread&place=sections")
    assert asking.url.endswith("#ask")
    form = client.get(asking.url).content.decode()
    assert re.findall(r'<option value="(row-\d+)"', form) == ["row-2"]
    asked_of = form.partition('id="ask"')[2].partition("<form")[0]
    assert "The step as printed:" in asked_of
    assert "<blockquote>Row 1: sc" in asked_of
    asked = client.post(asking.url, {"place": "sections[0].steps[1]", "row": "row-2", "asks": "Which?"})
    assert asked.url == f"{page}?show=unread#s1-2"
    row = EditQuery.objects.get().row
    assert row.startswith("“Row 1: sc")
    assert "; size XS: 60 sts, size S: 68 sts, " in row


def test_the_work_list_is_in_the_terms_that_the_pattern_is_written_in(editor):
    row = "Row 1: dc in 2nd ch from hook and in each ch. (60 sts)"  # a US sc
    pattern = make_pattern(
        "brackenmere_pullover",
        home_terms="UK",
        sections=[{"title": "Back", "steps": ["Ch {back_stitches} + 1.", row]}],
    )
    step = work_list(pattern, editor)[1]
    assert step.words == row
    assert step.cells[0].printed == row


def test_steps_that_can_t_be_read_are_a_choice_of_the_work_list(client, editor):
    steps = ["Ch {back_stitches} + 1.", "Row 1: frobnicate 3."]
    pattern = make_pattern("brackenmere_pullover", sections=[{"title": "Back", "steps": steps}])
    assert [step.step for step in work_list(pattern, editor, "unreadable")] == [2]
    client.force_login(editor)
    page = client.get(reverse("technical_edit", args=[pattern.slug]), {"show": "unreadable"}).content.decode()
    assert '<option value="unreadable" selected>can’t be read</option>' in page
