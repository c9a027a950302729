"""Numbers typed in steps: pointed at, written as references by one click, and told when print changes."""

import html
import re

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document, preview_edit, undo_last_edit
from catalogue.instructions.sections import sections_of
from catalogue.models import WordsDraft
from grading.models import Finding
from tests.catalogue.builders import make_pattern, value_of

pytestmark = pytest.mark.django_db
# The rows of the child's jacket below the armholes, `side_rows`, are 20 (24, 24, 30, 34, 38).
STEP = "Row 1: ch 2, turn. Work 33 rows *in htr*; sew the sides. ({back_stitches} sts)"
FILLED = "Row 1: ch 2, turn. Work {side_rows} rows *in htr*; sew the sides. ({back_stitches} sts)"


def address(name, pattern, **parts):
    return reverse(name, kwargs={"slug": pattern.slug, **parts})


def revision_of(pattern):
    pattern.sheet.refresh_from_db()
    return pattern.sheet.revision


def first_step(pattern):
    return sections_of(pattern)[0]["steps"][0]


def pattern_with(*steps):
    return make_pattern("puffinbay_child", sections=[{"title": "Back", "steps": list(steps)}])


def page_of(answer):
    return html.unescape(answer.content.decode())


def buttons(page):
    """What the buttons of a page that write references send."""
    return re.findall(r'name="number" value="([^"]*)"', page)


def number(pattern, sent, revision=None, step=1):
    data = {"number": sent, "revision": revision or revision_of(pattern)}
    return address("step_number", pattern, section=1, step=step), data


def test_a_typed_number_stands_at_its_step_with_the_values_it_may_mean(designer_client):
    pattern = pattern_with("Fine.", STEP)
    page = page_of(designer_client.get(address("words", pattern)))
    assert page.count("“33 rows” is typed; sleeve_later_rows is 33 in size 12y only") == 1
    assert "24|33|{side_rows}" in buttons(page)
    assert '{side_rows}</code> <span class="quiet">20 (24, 24, 30, 34, 38)<' in page
    (finding,) = Finding.objects.filter(sheet=pattern.sheet, where__startswith="sections")
    assert (finding.where, finding.weight, finding.line, finding.column) == (
        "sections[0].steps[1]",
        "warn",
        1,
        25,
    )
    overview = page_of(designer_client.get(address("desk_pattern", pattern)))
    assert "Back, step 2: “33 rows” is typed" in overview


def test_one_click_writes_the_reference_and_keeps_the_rest(designer_client):
    pattern = pattern_with("Fine.", STEP, STEP)
    url, data = number(pattern, "24|33|{side_rows}", step=2)
    page = page_of(designer_client.post(url, data, follow=True))
    assert sections_of(pattern)[0]["steps"] == ["Fine.", FILLED, STEP]
    assert (
        "The instructions are changed. Printed: 33 → 20 (size 2y), 33 → 24 (sizes 4y, 6y), 33 → 30 (" in page
    )
    assert designer_client.get(url).status_code == 405


def test_a_list_for_all_sizes_and_a_length_are_written_as_references_too(designer_client):
    pattern = pattern_with("Ch 50 (54, 58, 60, 64, 66) + 1 and work 11 in long.")
    for sent, text in (
        ("3|50 (54, 58, 60, 64, 66)|{back_stitches}", "Ch {back_stitches} + 1 and work 11 in long."),
        ("32|11 in|{11 in}", "Ch {back_stitches} + 1 and work {11 in} long."),
    ):
        assert sent in buttons(page_of(designer_client.get(address("words", pattern))))
        url, data = number(pattern, sent)
        designer_client.post(url, data)
        assert first_step(pattern) == text


def test_of_two_people_the_second_is_told_and_overwrites_nothing(designer_client):
    pattern = pattern_with(STEP)
    url, data = number(pattern, "24|33|{side_rows}")
    designer_client.post(address("step", pattern, section=1, step=1), {**data, "text": "Theirs: 33 rows."})
    page = page_of(designer_client.post(url, data, follow=True))
    assert "so nothing was changed" in page
    assert first_step(pattern) == "Theirs: 33 rows."


@pytest.mark.parametrize(
    "sent",
    [
        "", "|", "24|33|", "24|34|{side_rows}", "23|33|{side_rows}", "x|33|{side_rows}", "-1|33|{side_rows}",
        "24||{side_rows}", "24|33|{nothing}", "24|33|{front_neck at end}", "24|33|{main}",
        "24|33|plain words", "24|33|{side_rows}{side_rows}", "9" * 5000 + "|33|{side_rows}",
        "24|33|{{", "24|33|" + "{" * 5000,
    ],
)  # fmt: skip
def test_what_no_button_sends_writes_nothing_and_says_so(designer_client, sent):
    pattern = pattern_with(STEP)
    url, data = number(pattern, sent)
    assert "That number is no longer in the step" in page_of(designer_client.post(url, data, follow=True))
    assert first_step(pattern) == STEP
    fill = address("step_fill", pattern, section=1, step=1)
    page = page_of(designer_client.post(fill, {**data, "text": STEP}))
    assert "That number is no longer in the step" in page
    assert f">\n{STEP}</textarea>" in page


def test_a_number_is_written_as_a_reference_while_the_step_is_typed(designer_client):
    pattern = pattern_with("Fine.")
    preview = address("step_preview", pattern, section=1)
    shown = page_of(designer_client.post(preview, {"text": STEP, "step": "1"}))
    assert "“33 rows” is typed" in shown
    fill = address("step_fill", pattern, section=1, step=1)
    assert f'formaction="{fill}"' in shown
    data = {
        "revision": revision_of(pattern),
        "text": STEP.replace(" *", "\r\n*"),
        "number": "24|33|{side_rows}",
    }
    page = page_of(designer_client.post(fill, data))
    filled = FILLED.replace(" *", "\n*")
    assert f">\n{filled}</textarea>" in page
    assert f'action="{address("step", pattern, section=1, step=1)}"' in page
    assert first_step(pattern) == "Fine."
    assert WordsDraft.objects.get().text == filled
    designer_client.post(address("step", pattern, section=1, step=1), {**data, "text": filled})
    assert first_step(pattern) == filled
    assert not WordsDraft.objects.exists()


def test_a_new_step_is_filled_too_and_saved_where_it_belongs(designer_client):
    pattern = pattern_with("Fine.")
    data = {"revision": revision_of(pattern), "text": "Work 33 rows.", "number": "5|33|{side_rows}"}
    page = page_of(designer_client.post(address("step_fill", pattern, section=1, step=0), data))
    assert "Work {side_rows} rows.</textarea>" in page
    assert f'action="{address("step_add", pattern, section=1)}"' in page
    assert designer_client.post(address("step_fill", pattern, section=1, step=9), data).status_code == 404
    assert designer_client.post(address("step_fill", pattern, section=9, step=1), data).status_code == 404


def test_an_editor_who_was_overtaken_while_filling_is_told_at_saving(designer_client):
    pattern = pattern_with(STEP)
    old = revision_of(pattern)
    save = address("step", pattern, section=1, step=1)
    designer_client.post(save, {"revision": old, "text": "Theirs."})
    fill = address("step_fill", pattern, section=1, step=1)
    page = page_of(designer_client.post(fill, {"revision": old, "text": STEP, "number": "24|33|{side_rows}"}))
    assert f'name="revision" value="{old}"' in page
    assert designer_client.post(save, {"revision": old, "text": FILLED}).status_code == 409
    assert first_step(pattern) == "Theirs."


def test_saving_a_step_says_what_changed_in_print(designer_client):
    pattern = pattern_with(FILLED)
    data = {"revision": revision_of(pattern), "text": STEP.replace("33", "30")}
    page = page_of(designer_client.post(address("step", pattern, section=1, step=1), data, follow=True))
    assert (
        "Printed: 20 → 30 (size 2y), 24 → 30 (sizes 4y, 6y), 34 → 30 (size 10y) and 1 more; "
        "1 new finding (Back, step 1: “30 rows” is typed; side_rows is 30 in size 8y only: write {side_rows}"
        in page
    )
    assert "no number changed" not in page.lower()
    assert "printed: 20 → 30 (size 2y)" in pattern.edits.last().says


def test_an_edit_of_a_value_says_what_changes_in_print_before_and_after():
    pattern = pattern_with("Sew on {buttons} buttons, then rest.", "{tie_length} long.")
    document = pattern_document(pattern)
    value = value_of(document, "buttons")
    before = value.pop("formula", None) or value.pop("list")
    value.pop("round", None)
    value["list"] = [5] * 6
    assert before != [5] * 6
    previewed = preview_edit(pattern=pattern, document=document)
    pattern.refresh_from_db()
    stored = edit_document(pattern=pattern, revision=pattern.sheet.revision, document=document, by=None)
    assert "; printed: " in stored.sentence
    assert "→ 5 (sizes" in stored.sentence
    assert previewed.printed == stored.printed
    undone = undo_last_edit(pattern=pattern, revision=pattern.sheet.revision, by=None)
    assert "printed: 5 is gone (size 2y), 5 → 4 (size 4y)" in undone.sentence


def test_words_without_another_number_still_say_that_none_changes(designer_client):
    pattern = pattern_with(FILLED)
    data = {"revision": revision_of(pattern), "text": FILLED + " Rest."}
    page = page_of(designer_client.post(address("step", pattern, section=1, step=1), data, follow=True))
    assert "The instructions are saved. The numbers are as they were." in page
