"""The words page: typed and printed side by side, edited through the one edit path."""

import pytest
from django.urls import reverse

from catalogue.instructions.sections import NoSuchPlace, delete_step, sections_of
from tests.builders import make_person, sample
from tests.catalogue.builders import make_pattern
from tests.sent_forms import send_form

pytestmark = pytest.mark.django_db


def address(name, pattern, **parts):
    return reverse(name, kwargs={"slug": pattern.slug, **parts})


def revision_of(pattern):
    pattern.sheet.refresh_from_db()
    return pattern.sheet.revision


def test_typed_steps_stand_beside_the_printed_page(designer_client):
    pattern = make_pattern("puffinbay_child")
    page = designer_client.get(address("words", pattern)).content.decode()
    assert "With A and the larger hook, ch {back_stitches + 1}." in page
    assert "With A and the larger hook, ch 51 (55, 59, 61, 65, 67)." in page


def test_the_page_as_printed_for_one_size_other_units_and_terms(designer_client):
    pattern = make_pattern("puffinbay_child")
    page = designer_client.get(address("words", pattern), {"size": "6y", "units": "in", "terms": "US"})
    text = page.content.decode()
    assert "ch 59." in text
    assert (
        "Row 1: 1 hdc in the third ch" in text
    )  # a UK half treble is a US half double: the yarn council's table
    assert '<option value="6y" selected>' in text


def test_what_was_found_stands_at_its_step(designer_client):
    sections = [{"title": "Back", "steps": ["Fine.", "Chain {back_stiches}."]}]
    pattern = make_pattern("puffinbay_child", sections=sections)
    page = designer_client.get(address("words", pattern)).content.decode()
    assert "did you mean back_stitches?" in page
    assert page.index("Chain {back_stiches}.") < page.index("did you mean back_stitches?")


@pytest.mark.parametrize("query", [{"size": "9X"}, {"units": "ells"}, {"terms": "FR"}, {"size": "\x00"}])
def test_an_edition_that_there_is_not_shows_the_pattern_as_it_is(designer_client, query):
    assert designer_client.get(address("words", make_pattern()), query).status_code == 200


def test_a_pattern_without_words_says_what_to_do_first(designer_client):
    page = designer_client.get(address("words", make_pattern(sections=[]))).content.decode()
    assert "Add the first section" in page


def test_a_step_is_changed_and_the_difference_is_told(designer_client):
    pattern = make_pattern()
    data = {"revision": revision_of(pattern), "text": "Chain {back_stitches}.\r\nTurn."}
    answer = designer_client.post(address("step", pattern, section=1, step=1), data, follow=True)
    assert sections_of(pattern)[0]["steps"][0] == "Chain {back_stitches}.\nTurn."
    assert "The instructions are saved" in answer.content.decode()


def test_two_people_editing_lose_nothing(designer_client):
    pattern = make_pattern()
    old = revision_of(pattern)
    step = address("step", pattern, section=1, step=1)
    designer_client.post(step, {"revision": old, "text": "Theirs."})
    answer = designer_client.post(step, {"revision": old, "text": "Mine & ours."})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Theirs." in page
    assert "Mine &amp; ours." in page
    assert sections_of(pattern)[0]["steps"][0] == "Theirs."
    again = {"revision": revision_of(pattern), "text": "Mine & ours."}
    assert f'name="revision" value="{again["revision"]}"' in page
    designer_client.post(step, again)
    assert sections_of(pattern)[0]["steps"][0] == "Mine & ours."


@pytest.mark.parametrize("text", ["", "x" * 20_001, "nul \x00 byte"])
def test_words_that_cannot_be_kept_are_refused_with_what_was_typed(designer_client, text):
    pattern = make_pattern()
    before = sections_of(pattern)
    data = {"revision": revision_of(pattern), "text": text}
    answer = designer_client.post(address("step", pattern, section=1, step=1), data)
    assert answer.status_code == 200
    assert 'class="invalid-feedback"' in answer.content.decode()
    assert sections_of(pattern) == before


def test_sections_are_added_renamed_moved_and_taken_out(designer_client):
    pattern = make_pattern("puffinbay_child")
    titles = [one["title"] for one in sections_of(pattern)]
    data = {"revision": revision_of(pattern), "title": "Hood", "when_fastening": ["buttons"]}
    designer_client.post(address("section_add", pattern), data)
    added = sections_of(pattern)[-1]
    assert added == {"title": "Hood", "when": {"fastening": "buttons"}, "steps": []}
    number = len(titles) + 1
    data = {"revision": revision_of(pattern), "title": "Hood, again"}
    designer_client.post(address("section", pattern, section=number), data)
    assert sections_of(pattern)[-1] == {"title": "Hood, again", "steps": []}
    designer_client.post(address("section_up", pattern, section=number), {"revision": revision_of(pattern)})
    assert [one["title"] for one in sections_of(pattern)][-2:] == ["Hood, again", titles[-1]]
    designer_client.post(
        address("section_delete", pattern, section=number - 1), {"revision": revision_of(pattern)}
    )
    assert [one["title"] for one in sections_of(pattern)] == titles


def test_steps_are_added_moved_and_taken_out(designer_client):
    pattern = make_pattern()
    steps = sections_of(pattern)[0]["steps"]
    data = {"revision": revision_of(pattern), "text": "A last step."}
    designer_client.post(address("step_add", pattern, section=1), data)
    number = len(steps) + 1
    assert sections_of(pattern)[0]["steps"][-1] == "A last step."
    designer_client.post(
        address("step_up", pattern, section=1, step=number), {"revision": revision_of(pattern)}
    )
    assert sections_of(pattern)[0]["steps"][-2] == "A last step."
    designer_client.post(
        address("step_down", pattern, section=1, step=number), {"revision": revision_of(pattern)}
    )
    assert sections_of(pattern)[0]["steps"][-2] == "A last step."  # the last one stays where it is
    step = address("step_delete", pattern, section=1, step=number - 1)
    designer_client.post(step, {"revision": revision_of(pattern)})
    assert sections_of(pattern)[0]["steps"] == steps


@pytest.mark.parametrize("revision", ["", "0", "x", "9" * 40])
def test_a_button_of_an_old_page_does_nothing(designer_client, revision):
    pattern = make_pattern()
    before = sections_of(pattern)
    answer = designer_client.post(
        address("step_delete", pattern, section=1, step=1), {"revision": revision}, follow=True
    )
    assert "so nothing was done" in answer.content.decode()
    assert sections_of(pattern) == before


def test_a_place_that_there_is_not_answers_404(designer_client):
    pattern = make_pattern()
    revision = {"revision": revision_of(pattern)}
    assert designer_client.get(address("step", pattern, section=99, step=1)).status_code == 404
    assert designer_client.get(address("step", pattern, section=1, step=0)).status_code == 404
    assert (
        designer_client.post(address("step_delete", pattern, section=1, step=99), revision).status_code == 404
    )
    with pytest.raises(NoSuchPlace):
        delete_step(pattern=pattern, revision=revision_of(pattern), section=-1, step=0, by=None)


@pytest.mark.parametrize("name", ["section_delete", "section_up", "section_down"])
def test_what_changes_something_is_only_sent(designer_client, name):
    pattern = make_pattern()
    assert designer_client.get(address(name, pattern, section=1)).status_code == 405


def test_testers_and_visitors_see_no_words(client):
    pattern = make_pattern()
    assert client.get(address("words", pattern)).status_code == 302
    client.force_login(make_person(role="tester"))
    assert client.get(address("words", pattern)).status_code == 404
    client.force_login(make_person(role="editor"))
    assert client.get(address("words", pattern)).status_code == 200


def test_the_page_asks_the_database_little(designer_client, django_assert_max_num_queries):
    pattern = make_pattern("cinderfell_raglan")
    with django_assert_max_num_queries(60):
        designer_client.get(address("words", pattern))


def test_a_step_prints_while_it_is_typed_in_any_edition(designer_client):
    pattern = make_pattern("puffinbay_child")
    preview = address("step_preview", pattern, section=1)
    typed = {"text": "Row 1: 1 htr in each of {back_stitches} ch; {nothing}.", "size": "6y", "terms": "US"}
    page = designer_client.post(preview, typed).content.decode()
    # a UK half treble is a US half double: the yarn council's table
    assert "1 hdc in each of 58 ch" in page
    assert "nothing" in page
    assert "finding-stop" in page
    assert sections_of(pattern)[0]["steps"][0] != typed["text"]
    blocked = designer_client.post(preview, {"text": "::: only sizes=2y\nOnly here.\n:::", "size": "6y"})
    assert "Nothing of it is printed in this edition" in blocked.content.decode()
    empty = designer_client.post(preview, {"text": " "}).content.decode()
    assert "Nothing of it" not in empty
    assert "<li>" not in empty


@pytest.mark.parametrize(
    ("craft", "terms", "row"),
    [
        ("knitting", "US", "Row 1 (RS): k to the end. ({back_stitches} sts)"),
        ("crochet", "UK", "1 dc in 2nd ch from hook"),
        ("crochet", "US", "sc in 2nd ch from hook"),
        ("tunisian", "US", "tss in each st"),
    ],
)
def test_the_example_of_a_step_is_of_the_craft_of_its_pattern(designer_client, craft, terms, row):
    pattern = make_pattern(craft=craft, home_terms=terms)
    assert row in designer_client.get(address("step_add", pattern, section=1)).content.decode()


@pytest.mark.parametrize("text", ["", "[" * 20_000, "x" * 30_000, "\x00", "{" * 500])
def test_whatever_is_typed_has_a_preview(designer_client, text):
    preview = address("step_preview", make_pattern(), section=1)
    assert designer_client.post(preview, {"text": text}).status_code == 200
    assert designer_client.get(preview).status_code == 405


def test_a_draft_is_kept_offered_again_and_forgotten_once_it_is_saved(designer_client):
    pattern = make_pattern()
    step = address("step", pattern, section=1, step=1)
    draft = address("step_draft", pattern, section=1, step=1)
    typed = {"text": "Half a sentence <b>", "revision": revision_of(pattern)}
    assert designer_client.post(draft, typed).status_code == 204
    page = designer_client.get(step).content.decode()
    assert "Typed and not saved" in page
    assert "Half a sentence &lt;b&gt;" in page
    taken = designer_client.get(step, {"draft": "take"}).content.decode()
    assert ">Half a sentence &lt;b&gt;</textarea>" in taken.replace("\n", "")
    designer_client.post(step, {**typed, "text": "A whole sentence."})
    assert "Typed and not saved" not in designer_client.get(step).content.decode()


def test_a_draft_is_its_writers_alone_and_can_be_thrown_away(client):
    pattern = make_pattern()
    draft = address("step_draft", pattern, section=1, step=1)
    one, other = make_person(role="editor"), make_person(role="editor")
    client.force_login(one)
    client.post(draft, {"text": "Mine alone", "revision": revision_of(pattern)})
    client.force_login(other)
    assert "Mine alone" not in client.get(address("step", pattern, section=1, step=1)).content.decode()
    client.force_login(one)
    client.post(address("step_draft_drop", pattern, section=1, step=1))
    assert "Mine alone" not in client.get(address("step", pattern, section=1, step=1)).content.decode()
    assert client.post(draft, {"text": "x" * 20_001, "revision": "1"}).status_code == 400
    assert client.post(draft, {"text": "x", "revision": "9" * 40}).status_code == 400


def test_names_stand_ready_for_completion(designer_client):
    page = designer_client.get(address("step_add", make_pattern(), section=1)).content.decode()
    assert 'data-name="back_stitches"' in page
    assert 'data-name="front_neck reversed"' in page


def test_a_step_that_is_saved_with_a_stop_says_so_and_where(designer_client):
    pattern = make_pattern()
    url = reverse("step", args=[pattern.slug, 1, 1])
    shown = send_form(designer_client, url, action=url, text="Work {body_lenght} on.")
    said = designer_client.get(shown.url).content.decode()
    title = sample("brackenmere_pullover")["sections"][0]["title"]
    assert f"Saved with a Stop at {title}, step 1: " in said
