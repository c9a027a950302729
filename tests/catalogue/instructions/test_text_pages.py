"""The instructions written as one text: shown, changed by buttons, previewed, read through, saved at once."""

import pytest
from django.urls import reverse

from catalogue.drafts.edits import undo_last_edit
from catalogue.instructions import text_views
from catalogue.instructions.sections import change_step, sections_of
from catalogue.models import PatternEdit
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, value_of
from tests.pages import page_text
from tests.sent_forms import form_on

pytestmark = pytest.mark.django_db
SECTIONS = [{"title": "Back", "steps": ["Ch {back_stitches} + 1.", "Turn."]}]


@pytest.fixture
def pattern():
    return make_pattern("puffinbay_child", sections=SECTIONS)


def address(pattern, name="words_text"):
    return reverse(name, args=[pattern.slug])


def opened(client, pattern):
    """What the form of the page sends untouched."""
    return form_on(client.get(address(pattern)).content.decode(), address(pattern))


def test_the_text_stands_in_its_fields_beside_the_printed_page(designer_client, pattern):
    page = page_text(designer_client.get(address(pattern)))
    assert "Ch {back_stitches} + 1.</textarea>" in page
    assert '<label class="visually-hidden" for="line-2">Back, step 2</label>' in page
    value = reverse("value", args=[pattern.slug, "back_stitches"])
    assert f'Ch <a class="from-value" href="{value}">50 (54, 58, 60, 64, 66)</a> + 1.' in page


def test_nothing_changes_when_the_page_is_saved_as_it_came(designer_client, pattern):
    sections = [
        {
            "title": "Back",
            "when": {"fastening": ["buttons", "buttons and ties"]},
            "steps": ["One.\n\n- a\n- b"],
        }
    ]
    edit(pattern, lambda document: document.update(sections=sections))
    edits = PatternEdit.objects.count()
    designer_client.post(address(pattern), opened(designer_client, pattern))
    assert sections_of(pattern) == sections
    assert PatternEdit.objects.count() == edits


def test_the_whole_text_is_saved_as_one_edit_and_undone_by_one(designer_client, pattern):
    edits = PatternEdit.objects.count()
    sent = {
        **opened(designer_client, pattern),
        "step-1": "Ch {back_stitches}.",
        "title-3": "Hood",
        "when-3": '{"fastening": "buttons"}',
        "step-4": "Sew on.",
        "step-5": "",
    }
    answer = designer_client.post(address(pattern), {**sent, "size": "6y"}, follow=True)
    assert "The instructions are saved" in page_text(answer)
    assert answer.redirect_chain[-1][0].endswith("?size=6y&units=cm&terms=UK")
    assert sections_of(pattern) == [
        {"title": "Back", "steps": ["Ch {back_stitches}.", "Turn."]},
        {"title": "Hood", "when": {"fastening": "buttons"}, "steps": ["Sew on."]},
    ]
    assert PatternEdit.objects.count() == edits + 1
    pattern.refresh_from_db()
    undo_last_edit(pattern=pattern, revision=pattern.sheet.revision, by=None)
    assert sections_of(pattern) == SECTIONS


def test_what_hinders_stands_at_its_step_with_all_that_was_typed(designer_client, pattern):
    sent = {
        **opened(designer_client, pattern),
        "title-0": "",
        "step-1": "Ch {back_stiches}.",
        "step-9": "x" * 20_001,
    }
    page = page_text(designer_client.post(address(pattern), sent))
    assert "Nothing is saved yet: correct what is marked." in page
    assert page.index("This section has steps and no title") < page.index("Ch {back_stiches}.</textarea>")
    assert page.index("Turn.</textarea>") < page.index("At most 20,000 characters fit in a step")
    assert sections_of(pattern) == SECTIONS
    short = {**sent, "step-9": ""}
    noticed = page_text(designer_client.post(address(pattern), short))
    assert noticed.index("Ch {back_stiches}.</textarea>") < noticed.index("did you mean back_stitches?")


def test_a_word_that_no_pattern_can_hold_is_told_at_its_step(designer_client, pattern):
    sent = {**opened(designer_client, pattern), "step-2": "Turn \x07."}
    page = page_text(designer_client.post(address(pattern), sent))
    assert page.index("Turn \x07.</textarea>") < page.index(
        "There is an invisible control character in the text: delete it."
    )
    assert "Correct what is marked, then it can be printed." in page


def test_of_two_people_who_save_the_later_sees_both_texts_and_loses_nothing(designer_client, pattern):
    mine = opened(designer_client, pattern)
    turn = {"pattern": pattern, "section": 0, "by": None}
    change_step(**turn, revision=pattern.sheet.revision, step=1, text="Turn the work.")
    pattern.sheet.refresh_from_db()
    change_step(**turn, revision=pattern.sheet.revision, step=0, text="Theirs {back_stitches}.")
    answer = designer_client.post(address(pattern), {**mine, "step-1": "Mine.", "step-3": "Mine, new."})
    page = page_text(answer)
    assert answer.status_code == 409
    assert "Somebody else saved first" in page
    assert page.index("Theirs {back_stitches}.") < page.index("Mine.</textarea>")
    assert "Turn the work.</textarea>" in page
    assert sections_of(pattern)[0]["steps"][0] == "Theirs {back_stitches}."
    designer_client.post(address(pattern), form_on(answer.content.decode(), address(pattern)))
    assert sections_of(pattern)[0]["steps"] == ["Mine.", "Turn the work.", "Mine, new."]


def test_an_edit_of_the_numbers_meanwhile_does_not_hinder_the_words(designer_client, pattern):
    mine = opened(designer_client, pattern)
    edit(pattern, lambda document: value_of(document, "back_stitches").update(note="Measured again."))
    answer = designer_client.post(address(pattern), {**mine, "step-2": "Turn over."})
    assert answer.status_code == 302
    assert sections_of(pattern)[0]["steps"][1] == "Turn over."


@pytest.mark.parametrize("revision", ["", "x", "0", "999999999"])
def test_a_page_of_an_unknown_age_overwrites_nothing(designer_client, pattern, revision):
    change_step(pattern=pattern, revision=1, section=0, step=1, text="Theirs.", by=None)
    sent = {"revision": revision, "title-0": "Back", "step-1": "Mine."}
    answer = designer_client.post(address(pattern), sent)
    assert answer.status_code == 409
    assert sections_of(pattern)[0]["steps"][1] == "Theirs."
    assert "Theirs." in page_text(answer)


def test_without_a_script_buttons_change_what_is_typed_and_save_nothing(designer_client, pattern):
    change = address(pattern, "words_text_change")
    sent = {**opened(designer_client, pattern), "step-1": "Typed and not saved."}
    page = designer_client.post(change, {**sent, "act": "step-1"}).content.decode()
    after = form_on(page, address(pattern))
    assert (after["step-1"], after["step-2"], after["step-3"]) == (["Typed and not saved."], [""], ["Turn."])
    assert '<textarea class="form-control" id="line-2"' in page
    assert "autofocus" in page.split('id="line-2"')[1].split(">")[0]
    block = {**sent, "act": "block-2", "block": "", "block_from": "4y", "block_to": "8y"}
    after = form_on(designer_client.post(change, block).content.decode(), address(pattern))
    assert after["step-2"] == ["::: only sizes=4y..8y\nTurn.\n:::"]
    assert sections_of(pattern) == SECTIONS


def test_a_number_typed_in_the_text_becomes_the_name_of_its_value(designer_client, pattern):
    change = address(pattern, "words_text_change")
    sent = {**opened(designer_client, pattern), "step-2": "Ch 50 (54, 58, 60, 64, 66)."}
    page = designer_client.post(change, sent).content.decode()
    number = "2|3|50 (54, 58, 60, 64, 66)|{back_stitches}"
    assert f'value="{number}"' in page
    after = form_on(
        designer_client.post(change, {**sent, "number": number}).content.decode(), address(pattern)
    )
    assert after["step-2"] == ["Ch {back_stitches}."]
    gone = designer_client.post(change, {**sent, "number": number.replace("2|", "1|", 1)})
    assert "That number is no longer in the step" in page_text(gone)
    assert designer_client.post(change, {**sent, "number": "99|0|a|{b}"}).status_code == 200


def test_what_is_typed_prints_at_once_in_any_edition(designer_client, pattern):
    sent = {"title-0": "Back", "step-1": "1 htr in each of {back_stitches} ch; {nothing}.", "step-2": "Turn."}
    page = page_text(
        designer_client.post(address(pattern, "words_text_preview"), {**sent, "size": "6y", "terms": "US"})
    )
    # A UK half treble is a US half double: the yarn council's table.
    assert "1 hdc in each of" in page
    assert ">58</a> ch" in page
    assert '<li data-printed="2"><p>Turn.</p>' in page
    found = page.split('data-found="1"')[1]
    assert "nothing" in found
    assert 'data-found="2"' not in page
    assert sections_of(pattern) == SECTIONS


@pytest.mark.parametrize(
    "sent", [{}, {"step-1": "[" * 20_000}, {"title-0": "x" * 900}, {"when-0": "{", "title-0": "a"}]
)
def test_whatever_is_typed_has_a_preview(designer_client, pattern, sent):
    assert designer_client.post(address(pattern, "words_text_preview"), sent).status_code == 200


def test_a_draft_is_read_through_as_printed_in_one_size_and_goes_back_unchanged(designer_client, pattern):
    sent = {**opened(designer_client, pattern), "step-2": "Not saved, {back_stitches}."}
    page = designer_client.post(address(pattern, "words_text_read"), {**sent, "size": "6y"}).content.decode()
    value = reverse("value", args=[pattern.slug, "back_stitches"])
    assert f'Not saved, <a class="from-value" href="{value}">58</a>.' in page
    back = form_on(page, address(pattern, "words_text_change"))
    again = designer_client.post(address(pattern, "words_text_change"), back).content.decode()
    assert form_on(again, address(pattern))["step-2"] == ["Not saved, {back_stitches}."]
    assert sections_of(pattern) == SECTIONS


def test_a_pattern_without_words_has_a_title_and_a_step_to_begin_with(designer_client):
    pattern = make_pattern("puffinbay_child", sections=[])
    sent = opened(designer_client, pattern)
    assert (sent["title-0"], sent["step-1"]) == ([""], [""])
    designer_client.post(address(pattern), {**sent, "title-0": "Back", "step-1": "Begin."})
    assert sections_of(pattern) == [{"title": "Back", "steps": ["Begin."]}]


def test_a_text_too_long_for_one_page_is_written_step_by_step(designer_client, pattern, monkeypatch):
    monkeypatch.setattr(text_views, "MOST_LINES", 2)
    answer = designer_client.get(address(pattern), follow=True)
    assert "too many for one page" in page_text(answer)


def test_what_each_reference_comes_from_is_reached_by_a_link(designer_client):
    pattern = make_pattern(
        "puffinbay_child", sections=[{"title": "Neck", "steps": ["{front_neck at start}"]}]
    )
    page = page_text(designer_client.get(address(pattern)))
    assert f'href="{reverse("entry", args=[pattern.slug, "curves", 0])}"' in page


def test_testers_and_visitors_neither_see_nor_write_the_text(client, pattern):
    def answers():
        sends = ("words_text", "words_text_change", "words_text_preview", "words_text_read")
        sent = {client.post(address(pattern, name), {"title-0": "Mine"}).status_code for name in sends}
        return {client.get(address(pattern)).status_code} | sent

    assert answers() == {302}
    client.force_login(make_person(role="tester"))
    assert answers() == {404}
    assert sections_of(pattern) == SECTIONS


@pytest.mark.parametrize("name", ["words_text_change", "words_text_preview", "words_text_read"])
def test_what_takes_a_text_along_is_only_sent(designer_client, pattern, name):
    assert designer_client.get(address(pattern, name)).status_code == 405


def test_the_page_and_its_preview_ask_the_database_little(
    designer_client, django_assert_max_num_queries, pattern
):
    sent = opened(designer_client, pattern)
    with django_assert_max_num_queries(15):
        designer_client.post(address(pattern, "words_text_preview"), sent)
    with django_assert_max_num_queries(25):
        designer_client.get(address(pattern))
