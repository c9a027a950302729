"""Stitch patterns on the desk: the list, the form, the preview with its chart, and one taken out."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drawings.stitch_forms import typed_rows
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def address(pattern, name, *args):
    return reverse(name, args=[pattern.slug, *args])


def sent(pattern, **changes):
    """A lace ground as it is typed."""
    return {
        "revision": fresh(pattern).sheet.revision,
        "label": "Trellis lace",
        "introduction": "",
        "craft": "",
        "worked": "rounds",
        "multiple": "4",
        "plus": "0",
        "rows": "Round 1: *K1, yo, ssk, k1; repeat from * to end.\n\nKnit.",
        "grid": "",
        "stitch": "",
        "over": ["body_stitches"],
        "left_over": "",
        **changes,
    }


def stored(pattern):
    return pattern_document(fresh(pattern))["stitch_patterns"]


def test_rows_are_typed_one_on_each_line_with_or_without_their_numbers():
    text = "Row 1 (RS): K to end.\n\n  Rnd 2. P to end\nK1, row 3 is not named."
    assert typed_rows(text) == ["K to end.", "P to end", "K1, row 3 is not named."]


def test_the_list_shows_each_with_its_chart_and_how_a_step_names_it(client, designer):
    page = page_text(client.get(address(load("cinderfell_raglan"), "stitch_patterns")))
    assert "Round 3: *K1, p1, k2; repeat from * to the end." in page.replace("</strong>", "").replace(
        "<strong>", ""
    )
    assert "<title>Chart of Scattered seeds. Round 1:" in page
    assert "Body: 176 (184, 204" in page
    assert "<code>{seeds}</code>" in page


def test_a_new_one_is_saved_under_a_name_made_from_its_label(client, designer):
    pattern = load("cinderfell_raglan")
    answer = client.post(address(pattern, "stitch_pattern_new"), sent(pattern))
    assert answer.status_code == 302
    assert stored(pattern)[1] == {
        "name": "trellis_lace",
        "label": "Trellis lace",
        "rounds": True,
        "multiple": 4,
        "rows": ["*K1, yo, ssk, k1; repeat from * to end.", "Knit."],
        "over": ["body_stitches"],
    }
    again = sent(pattern, worked="WS", rows="", grid="ab|ab|", multiple="2", plus="2", over=[])
    client.post(address(pattern, "stitch_pattern_new"), again)
    assert stored(pattern)[2]["name"] == "trellis_lace_2"
    assert stored(pattern)[2]["grid"] == ["AB|AB|"]


def test_one_is_changed_under_its_name_and_taken_out(client, designer):
    pattern = load("cinderfell_raglan")
    change = address(pattern, "stitch_pattern", 1)
    assert "*K3, p1; repeat from * to the end." in client.get(change).content.decode()
    client.post(change, sent(pattern, label="Seeds"))
    assert (stored(pattern)[0]["name"], stored(pattern)[0]["label"]) == ("seeds", "Seeds")
    take_out = address(pattern, "stitch_pattern_delete", 1)
    client.post(take_out, {"revision": "0"})
    assert len(stored(pattern)) == 1
    client.post(take_out, {"revision": fresh(pattern).sheet.revision})
    assert stored(pattern) == []
    assert client.get(change).status_code == 404


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"rows": ""}, "Type at least one row."),
        ({"grid": "AB"}, "Type the rows in words or a grid of colours, not both."),
        ({"multiple": "0"}, "greater than or equal to 1"),
        ({"label": "two\nlines"}, "in one line"),
        ({"rows": "x" * 2001}, "Row 1: This is longer than 2000 characters."),
    ],
)
def test_what_is_no_stitch_pattern_is_refused_and_what_was_typed_stays(client, designer, changes, says):
    pattern = load("cinderfell_raglan")
    answer = client.post(address(pattern, "stitch_pattern_new"), sent(pattern, **changes))
    assert answer.status_code == 200
    page = page_text(answer)
    assert says in page
    assert len(stored(pattern)) == 1
    assert 'value="4"' in page or changes.get("multiple")


def test_show_prints_what_is_typed_and_stores_nothing(client, designer):
    pattern = load("cinderfell_raglan")
    preview = address(pattern, "stitch_pattern_preview", 0)
    whole = page_text(client.post(preview, sent(pattern)))
    assert "<title>Chart of Trellis lace. Round 1: *K1, yo, ssk, k1; repeat from * to end." in whole
    assert '<form method="post" id="stitch-form"' in whole
    part = page_text(
        client.post(preview, sent(pattern, rows="MB, k to end."), headers={"hx-request": "true"})
    )
    assert "<form" not in part
    assert "Round 1 is printed in words and not in the chart: “MB”: these words are not known here." in part
    assert "No row can be drawn" in part
    assert "Type at least one row." in page_text(client.post(preview, sent(pattern, rows="")))
    assert len(stored(pattern)) == 1


def test_a_size_that_does_not_fit_stands_on_the_page(client, designer):
    pattern = load("cinderfell_raglan")
    preview = address(pattern, "stitch_pattern_preview", 0)
    page = page_text(client.post(preview, sent(pattern, multiple="6", rows="Knit.")))
    assert "Trellis lace needs a multiple of 6 sts, and Body, stitches has 176: 174 or 180 would fit." in page


def test_somebody_who_was_first_is_told_of_and_what_was_typed_stays(client, designer):
    pattern = load("cinderfell_raglan")
    late = sent(pattern)
    client.post(address(pattern, "stitch_pattern_new"), sent(pattern, label="First"))
    answer = client.post(address(pattern, "stitch_pattern_new"), late)
    assert answer.status_code == 409
    assert "yours is not saved yet" in page_text(answer)
    assert "*K1, yo, ssk, k1; repeat from * to end." in page_text(answer)
    assert len(stored(pattern)) == 2


def test_a_size_that_does_not_fit_is_told_wherever_findings_are_and_holds_up_publishing(client, designer):
    pattern = load("cinderfell_raglan")
    client.post(address(pattern, "stitch_pattern", 1), sent(pattern, multiple="6", rows="Knit."))
    says = "needs a multiple of 6 sts, and Body, stitches has 176: 174 or 180 would fit."
    for name, *kind in (("sheet",), ("publish", "release"), ("stitch_patterns",)):
        assert says in page_text(client.get(address(pattern, name, *kind))), name


def test_a_step_is_offered_the_names_of_stitch_patterns(client, designer):
    page = page_text(client.get(address(load("cinderfell_raglan"), "step_add", 1)))
    assert "<code>{seeds}</code> <span>stitch pattern</span>" in page


@pytest.mark.parametrize("label", ["Rows", "Stitches", "Round", "Max"])
def test_a_word_of_formulas_may_be_the_label_of_a_stitch_pattern(client, designer, label):
    pattern = load("cinderfell_raglan")
    answer = client.post(address(pattern, "stitch_pattern_new"), sent(pattern, label=label))
    assert answer.status_code == 302
    assert (stored(pattern)[1]["name"], stored(pattern)[1]["label"]) == (f"{label.lower()}_pattern", label)


def with_three(client):
    """A pattern with the stitch patterns seeds, two and three, and what somebody typed into Two."""
    pattern = load("cinderfell_raglan")
    for label in ("Two", "Three"):
        client.post(address(pattern, "stitch_pattern_new"), sent(pattern, label=label, over=[]))
    return pattern, sent(pattern, name="two", label="Two mended", over=[])


def labels(pattern):
    return [(one["name"], one["label"]) for one in stored(pattern)]


def take_out(client, pattern, number):
    gone = address(pattern, "stitch_pattern_delete", number)
    client.post(gone, {"revision": fresh(pattern).sheet.revision})


def test_a_save_finds_its_stitch_pattern_by_name_when_places_have_moved(client, designer):
    pattern, typed = with_three(client)
    assert 'name="name" value="two"' in client.get(address(pattern, "stitch_pattern", 2)).content.decode()
    take_out(client, pattern, 1)
    change = address(pattern, "stitch_pattern", 2)
    answer = client.post(change, typed)
    assert answer.status_code == 409
    assert "Stitch pattern Two" in page_text(answer)
    again = {**typed, "revision": fresh(pattern).sheet.revision}
    assert client.post(answer.context["save_address"], again).status_code == 302
    assert labels(pattern) == [("two", "Two mended"), ("three", "Three")]


def test_what_was_typed_into_one_that_is_gone_stays_and_may_be_saved_as_a_new_one(client, designer):
    pattern, typed = with_three(client)
    take_out(client, pattern, 3)
    take_out(client, pattern, 2)
    answer = client.post(address(pattern, "stitch_pattern", 2), typed)
    assert answer.status_code == 409
    page = page_text(answer)
    assert "Somebody else took this stitch pattern out meanwhile" in page
    assert "Two mended" in page
    assert "*K1, yo, ssk, k1; repeat from * to end." in page
    assert client.post(address(pattern, "stitch_pattern_preview", 2), typed).status_code == 200
    form = answer.context["form"]
    client.post(answer.context["save_address"], {**typed, "name": form["name"].value(),
                                                 "revision": form["revision"].value()})  # fmt: skip
    assert labels(pattern)[1:] == [("two_mended", "Two mended")]
