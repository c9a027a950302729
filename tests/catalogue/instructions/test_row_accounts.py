"""The page “Row by row”: what each written row leaves in every size."""

import io
import re
from functools import cache
from pathlib import Path

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from catalogue.drafts.patterns import read_core
from catalogue.instructions.row_accounts import account_of, row_account, step_account
from catalogue.instructions.row_files import row_account_xlsx
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.catalogue.builders import edit, make_pattern

pytestmark = pytest.mark.django_db

SAMPLES = Path(__file__).resolve().parents[3] / "catalogue" / "site" / "demo"

WRONG = [{"title": "Back", "steps": ["Ch 11. Row 1: sc in 2nd ch from hook and in each ch across. (11 sts)"]}]


def page_of(client, pattern, **asked):
    return client.get(reverse("row_by_row", kwargs={"slug": pattern.slug}), asked).content.decode()


def test_each_row_shows_the_stitches_after_it_in_every_size(designer_client):
    page = " ".join(page_of(designer_client, make_pattern("brackenmere_pullover")).split())
    assert re.search(
        r"<strong>(\d+) of \d+ rows checked</strong>.*>\s*\1 rows come out in every size\.", page
    )
    row = page[page.index("evenly along the row ends") :]
    cells = re.findall(r'data-label="(\w+)"> (\d+) </td>', row[: row.index("</tr>")])
    assert [number for size, number in cells[:3]] == ["60", "68", "74"]
    assert [size for size, number in cells[:3]] == ["XS", "S", "M"]


def test_a_row_that_does_not_come_out_stands_first_with_both_counts(designer_client):
    page = page_of(designer_client, make_pattern("brackenmere_pullover", sections=WRONG))
    assert page.index("Look at these first") < page.index("Stitches after each row")
    assert "says 11, worked 10" in page


def test_a_row_that_cannot_be_read_marks_the_words(designer_client):
    sections = [{"title": "Back", "steps": ["Ch 11. Row 1: work 3 knot clusters in each ch. (33 sts)"]}]
    page = page_of(designer_client, make_pattern("brackenmere_pullover", sections=sections))
    assert "<mark>" in page
    assert "knot clusters" in page[page.index("<mark>") : page.index("</mark>")]


def test_what_makers_would_ask_stands_beside_the_rows(designer_client):
    sections = [{"title": "Left front", "steps": ["Ch 11. Mark the left edge."]}]
    page = page_of(designer_client, make_pattern("brackenmere_pullover", sections=sections))
    said = page[page.index("Look at these words too") : page.index('aria-label="Rows shown"')]
    assert "has no right front beside it" in said
    assert "can be read as worn or as seen" in said
    assert "No step says how to block" in said
    assert "Look at these words too" not in page_of(designer_client, make_pattern("puffinbay_child"))


def test_filters_keep_one_section_one_size_and_what_is_wrong(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    page = page_of(designer_client, pattern, section="2", size="M", show="unread")
    assert 'id="row-' not in page
    page = page_of(designer_client, pattern, section="1", size="M")
    head = page[page.index('class="row-account"') : page.index("</thead>")]
    assert re.findall(r'scope="col">([^<]*)<', head) == [
        *("Row", "What is done", "M", "Colour", "Rows so far", "Length so far"),
    ]


@cache
def sample(name):
    """A sample worked out, without a database."""
    return grade(read_pattern((SAMPLES / f"{name}.json").read_text(encoding="utf-8")))


def row_with(words, **asked):
    return next(row for row in account_of(sample("brackenmere_pullover"), asked).rows if words in row.text)


def test_references_are_shown_as_the_numbers_of_the_sizes_shown_each_with_its_value(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    row = row_with("evenly along the row ends", size="M")
    assert "74 hdc evenly along the row ends of the rib" in row.text
    assert "{rib_" not in page_of(designer_client, pattern)
    assert "back_stitches" in {piece.value for piece in row.pieces}
    value = reverse("value", args=[pattern.slug, "back_stitches"])
    assert f'href="{value}"' in page_of(designer_client, pattern)


def test_a_value_leads_to_the_rows_that_hang_on_it(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    origin = designer_client.get(
        reverse("value_origin", args=[pattern.slug, "cuff_stitches"])
    ).content.decode()
    rows = reverse("row_by_row", kwargs={"slug": pattern.slug})
    assert origin.count(f'href="{rows}?value=cuff_stitches"') == 1
    unused = designer_client.get(
        reverse("value_origin", args=[pattern.slug, "upper_sleeve"])
    ).content.decode()
    assert f'href="{rows}?value=' not in unused


def test_the_account_shows_the_rows_of_one_value_shapings_too():
    rows = account_of(sample("brackenmere_pullover"), {"value": "cuff_stitches"}).rows
    assert rows
    assert len(rows) < len(account_of(sample("brackenmere_pullover"), {}).rows)
    assert all("cuff_stitches" in row.values for row in rows)
    tapered = account_of(sample("brackenmere_pullover"), {"value": "sleeve_top_stitches"}).rows
    assert len(tapered) == 2  # picked up along the armhole, and tapered from there


def test_a_shaping_is_named_with_its_counts_and_its_rows_fold():
    row = row_with("sleeve taper", size="XS")
    assert "sleeve taper: stitches from 44 to 32 over 35 rows" in row.text
    shaped = [one for one in row.course if not one.is_straight]
    assert len(shaped) == 6  # 12 sts, 2 in each shaping row
    assert shaped[-1].counts == (32,)
    assert "–" in row.course[0].label
    assert row.course[0].is_straight


def test_rows_and_length_so_far_are_those_of_their_own_fabric_or_at_the_gauge_asked_for():
    # 48 rows of rib: 11 rows to 10 cm in the rib are 43.5 cm (rounded to half), 10 in the main fabric 48 cm.
    row = row_with("Repeat row 2", size="XS")
    assert (row.rows_so_far, row.length_so_far) == ("48", "43.5 cm")
    assert row_with("Repeat row 2", size="XS", gauge="main").length_so_far == "48 cm"


def test_a_piece_of_two_fabrics_is_as_long_as_it_is_printed():
    # 9 rows of rib, 18 to 10 cm, and 74 of simple stitch, 16 to 10 cm: 51.25 cm, printed in halves.
    rows = account_of(sample("thistledrift_waistcoat"), {"section": "2", "size": "XS"}).rows
    assert rows[-1].length_so_far == "51.5 cm"


def test_a_described_row_shows_what_it_changes_and_one_that_depends_names_the_step(designer_client):
    described = "The increase row, worked only where the next step says so: 2 sc in first st, sc in each st."
    steps = ["Ch 11. Row 1: sc in 2nd ch from hook and in each ch across. (10 sts)", described]
    steps += ["Wimple 1 row.", "1 sc in each st."]
    page = page_of(
        designer_client,
        make_pattern("brackenmere_pullover", sections=[{"title": "Back", "steps": steps}]),
        size="M",
    )
    assert re.search(r'data-label="M">\s*\+1\s*</td>', page)
    why = "<strong>Not checked:</strong> it depends on “Back”, step 3, which can’t be read"
    assert why in " ".join(page.split())


def test_an_option_leaves_out_the_rows_of_its_other_choices():
    rows = account_of(sample("puffinbay_child"), {"option": "fastening:buttons and ties"}).rows
    worked = [row for row in rows if row.options]
    assert {row.options for row in worked} == {(("fastening", "buttons and ties"),)}
    assert {row.choices for row in worked} == {"with buttons and ties"}


def test_an_edit_is_worked_anew():
    pattern = make_pattern("brackenmere_pullover")
    assert row_account(pattern, {}).wrong == ()
    edit(pattern, lambda document: document.update(sections=WRONG))
    assert len(row_account(pattern, {}).wrong) == 1


def test_nonsense_in_the_filters_shows_the_page(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    assert "Row by row" in page_of(designer_client, pattern, section="\x00", size="9X", show="ells")


def test_a_pattern_without_words_says_what_to_do_first(designer_client):
    assert "Write the first step" in page_of(
        designer_client, make_pattern("brackenmere_pullover", sections=[])
    )


def test_the_account_is_a_file_too(designer_client):
    pattern = make_pattern("brackenmere_pullover", sections=WRONG)
    answer = designer_client.get(reverse("row_by_row_file", args=[pattern.slug, "csv"]))
    lines = answer.content.decode().splitlines()
    assert lines[0].startswith("Section,Step,Row,Options,What is done,Verdict,Why,XS,S,M")
    assert any("disagrees" in line and "says 11, worked 10" in line for line in lines)


def test_the_spreadsheet_has_a_line_for_every_row_that_is_worked():
    made = row_account_xlsx(make_pattern("brackenmere_pullover"))
    rows = list(load_workbook(io.BytesIO(made))["Row by row"].iter_rows(values_only=True))
    assert rows[0][:8] == ("Section", "Step", "Row", "Options", "What is done", "Verdict", "Why", "XS")
    of_taper = [row for row in rows if row[0] == "Sleeves (make 2 alike)" and row[4] == "shaped"]
    assert of_taper[-1][7] == 32


def test_a_file_of_another_kind_is_not_there(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    assert designer_client.get(reverse("row_by_row_file", args=[pattern.slug, "docx"])).status_code == 404


def test_a_step_is_worked_as_it_is_typed_after_the_rows_before_it(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    typed = {
        "text": "Row 1: ch 1 (does not count), {back_stitches} hdc along the row ends. (61 sts)",
        "step": "2",
    }
    answer = designer_client.post(reverse("step_preview", args=[pattern.slug, 1]), typed).content.decode()
    account = answer[answer.index('id="step-account"') :]
    assert 'hx-swap-oob="true"' in account
    assert "says 61, worked 60" in account
    assert "{back_stitches}" in pattern.sections.first().steps.all()[1].text


def test_a_typed_step_marks_the_words_that_cannot_be_read_and_says_why():
    rows = step_account(sample("brackenmere_pullover"), 0, 1, "Row 1: work 3 knot clusters in each row end.")
    assert [piece.text for piece in rows[-1].pieces if piece.is_marked] == [
        "work 3 knot clusters in each row end"
    ]
    assert "not known" in rows[-1].why


def test_a_typed_step_agrees_with_the_same_step_in_the_whole_account():
    made = sample("cinderfell_raglan")
    lines = [row for row in account_of(made, {}).rows if (row.section, row.step) == (5, 3)]
    typed = step_account(made, 4, 2, made.pattern.sections[4].steps[2])
    assert [[cell.count for cell in row.cells] for row in typed] == [
        [cell.count for cell in row.cells] for row in lines
    ]


def test_the_page_of_a_new_step_has_an_empty_account(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    page = designer_client.get(reverse("step_add", args=[pattern.slug, 1])).content.decode()
    assert "No row with a count is written here yet." in page


def test_a_step_says_when_its_rows_become_unread_and_calls_values_by_their_labels(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    preview = reverse("step_preview", kwargs={"slug": pattern.slug, "section": 2})

    def typed(text):
        answer = designer_client.post(preview, {"step": 1, "text": text}).content.decode()
        return " ".join(answer.split())

    marked = "Work as the back, with the markers of the armholes, until {neck_rows} rows before the end."
    assert "can’t be read any more" not in typed(marked)
    unread = typed("Work as the old back wimpled until {neck_rows} rows before the end.")
    assert "1 row that was read can’t be read any more." in unread
    why = unread[unread.index("step-account") :]
    assert "{neck_rows}" not in why
    added = typed(f"{marked}\n\nRow 9: glorp to the end.")
    assert "<strong>1 row can’t be read.</strong>" in added
    assert "any more" not in added


def test_a_new_step_says_of_a_row_that_it_cannot_be_read_and_nothing_of_plain_words(designer_client):
    pattern = make_pattern("brackenmere_pullover")
    preview = reverse("step_preview", kwargs={"slug": pattern.slug, "section": 2})
    steps = len(read_core(pattern).sections[1].steps)
    for new in (0, steps + 1):
        typed = designer_client.post(preview, {"step": new, "text": "Row 9: glorp to the end."})
        page = typed.content.decode()
        assert "<strong>1 row can’t be read.</strong>" in page
        assert "any more" not in page
    plain = designer_client.post(preview, {"step": 0, "text": "Lay the front aside, and have some tea."})
    assert "be read" not in plain.content.decode()


def test_the_account_of_one_size_has_only_its_rows_and_bands_of_two_blocks_stand_once():
    pattern = make_pattern("puffinbay_child")
    bands = [row for row in row_account(pattern, {}).rows if row.text == "Work 6 rows of dc in all."]
    assert [row.rows_so_far for row in bands] == ["6"]
    cells = [row.cells[0].is_absent for row in row_account(pattern, {"size": "2y"}).rows]
    assert cells
    assert not any(cells)
