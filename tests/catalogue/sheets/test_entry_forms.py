"""Forms of shapings, curves, pieces and stripes: what they offer, draw, say and keep."""

import re

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from grading.core.grade import grade as grade_module
from grading.sheets.documents import PARTS
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load, small_document, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def new(pattern, part):
    return reverse("entry_new", args=[pattern.slug, part])


def picture(client, pattern, part, **sent):
    answer = client.post(reverse("entry_new_picture", args=[pattern.slug, part]), {"revision": 0, **sent})
    return answer.content.decode()


def add(client, pattern, part, **sent):
    answer = client.post(new(pattern, part), {"revision": pattern.sheet.revision, **sent})
    assert answer.status_code == 302, answer.context["form"].errors
    return pattern_document(fresh(pattern))[part][-1]


SHAPING = {"name": "Sleeve taper", "from": "back", "to_typed": "40", "over_typed": "30", "each_typed": "2"}


def test_every_field_of_a_shaping_has_help_of_its_own(client, designer):
    form = client.get(new(load(), "shapings")).context["form"]
    assert "After blocking" not in form.fields["over"].help_text
    assert all(form.fields[part.key].help_text for part in form.parts if part.kind != "tick")


def test_every_field_of_every_part_can_be_typed_into(client, designer):
    pattern = load()
    for part in (part for part in PARTS if part != "sizes"):
        form = client.get(new(pattern, part)).context["form"]
        # What may be saved with an error is a button of its own, where there is an error.
        assert set(form.fields) - form.rendered_fields <= {"keep_anyway"}, part


def test_a_shaping_is_called_what_was_typed_and_never_line(client, designer):
    assert add(client, load(), "shapings", **SHAPING) == {
        "name": "sleeve_taper", "from": "back", "to": 40, "over": 30, "each": 2,
    }  # fmt: skip
    answer = client.post(new(load(title="Other"), "shapings"), {"revision": 0, **SHAPING, "name": ""})
    assert answer.context["form"].errors["name"]


def test_lines_are_chosen_by_their_labels(client, designer):
    page = client.get(new(load(), "shapings")).content.decode()
    assert '<option value="back">Back, stitches</option>' in page
    fields = page.split('id="entry-form"')[1].split("</form>")[0]
    # The name alone: a browser would ask for both halves of a line or number.
    assert len(re.findall(r" required[ >]", fields)) == 1


def test_a_line_and_a_number_at_once_is_refused(client, designer):
    answer = client.post(new(load(), "shapings"), {"revision": 0, **SHAPING, "from_typed": "12"})
    assert answer.context["form"].errors["from"] == ["Choose a line or type it, not both."]


def test_a_shaping_says_what_it_will_print_for_all_sizes_and_each(client, designer):
    said = picture(client, load(), "shapings", **SHAPING)
    assert "decrease 1 st at each end of every" in said
    assert said.count("<dt>") == 3
    assert "<code>{sleeve_taper}</code>" in said


def test_a_wrong_count_of_a_pick_up_is_told_at_the_count(client, designer):
    sent = {"name": "Band", "along": "row ends", "count_typed": "nothing_like_it", "ratio": "3 per 4"}
    answer = client.post(new(load(), "pick_ups"), {"revision": 0, **sent, "edge": "40 cm"})
    assert list(answer.context["form"].errors) == ["count"]


def test_a_bare_ratio_is_for_each_row(client, designer):
    made = add(client, load(), "pick_ups", name="Band", along="row ends", count="edge", ratio="2")
    assert made["ratio"] == "2 per 1"


def test_a_swatch_needs_stitches_rows_and_grams_only(client, designer):
    pattern = load()
    url = reverse("entry", args=[pattern.slug, "fabrics", 0])
    weighed = {"swatch__stitches": "20", "swatch__rows": "14", "swatch__weight": "12.6"}
    client.post(url, typed(client, url, **weighed))
    assert pattern_document(fresh(pattern))["fabrics"]["main"]["swatch"] == {
        "stitches": 20, "rows": 14, "weight": "12.6 g",
    }  # fmt: skip


RECTANGLE = {
    "label": "Back",
    "name": "",
    "shape": "rectangle",
    "side_width": "chest / 2",
    "side_height_typed": "60 cm",
}


def rounded():
    values = small_document()["values"]
    values[1] = {**values[1], "measured": {"how": "Round the body.", "tolerance": "2 cm", "around": True}}
    return load(values=values)


def test_a_piece_is_made_from_a_shape_and_lines(client, designer):
    pattern = rounded()
    assert add(client, pattern, "pieces", **RECTANGLE) == {
        "name": "back",
        "label": "Back",
        "outline": [["0 cm", "0 cm"], ["(chest / 2)", "0 cm"], ["(chest / 2)", "60 cm"], ["0 cm", "60 cm"]],
        "dimensions": [{"value": "chest", "from": 1, "to": 2}],
        "sides": [
            {"name": "bottom", "from": 1, "to": 2},
            {"name": "side", "from": 2, "to": 3},
            {"name": "top", "from": 3, "to": 4},
        ],
    }
    form = client.get(reverse("entry", args=[pattern.slug, "pieces", 0])).context["form"]
    assert [form["shape"].value(), form["side_width"].value(), form["side_height"].value()] == [
        "rectangle", "chest / 2", "60 cm",
    ]  # fmt: skip


def test_a_piece_is_drawn_in_every_size_while_it_is_chosen(client, designer):
    drawn = picture(client, rounded(), "pieces", **RECTANGLE)
    assert drawn.count('class="outline"') == 1 + 3  # one with its measurements, and all sizes small
    # Derived: chests 92, 100, 109 cm; half of each is drawn.
    assert drawn.count(", to scale</title>") == 3
    assert "half of the measurement all round" in drawn


def test_a_side_that_is_missing_is_told_at_its_field(client, designer):
    answer = client.post(new(rounded(), "pieces"), {"revision": 0, **RECTANGLE, "side_width": ""})
    assert list(answer.context["form"].errors) == ["side_width"]


def test_corners_are_a_table_and_a_wrong_one_is_told_by_its_number(client, designer):
    pattern = load()
    corners = ["0 cm", "0 cm", "30 cm", "0 cm", "30 cm", "40 cm"]
    sent = {f"outline-{i // 2}-{i % 2}": text for i, text in enumerate(corners)}
    piece = {"label": "Gusset", "shape": ""}
    assert add(client, pattern, "pieces", **piece, **sent)["outline"] == [
        ["0 cm", "0 cm"], ["30 cm", "0 cm"], ["30 cm", "40 cm"],
    ]  # fmt: skip
    answer = client.post(new(pattern, "pieces"), {"revision": 0, **piece, **sent, "outline-1-0": "30 cm +"})
    assert answer.context["form"].errors["outline"][0].startswith("Corner 2, across: ")


@pytest.mark.parametrize(
    ("typed_as", "stands_as"),
    [("30,5 cm", "30.5 cm"), ("30½", "30.5 cm"), ("11 3/4 in", "11.75 in"), ("12 inches", "12 in"),
     ("31", "31 cm"), ("chest / 4 + 2,5 cm", "chest / 4 + 2.5 cm"), ("0", "0")],
)  # fmt: skip
def test_corners_take_numbers_as_people_type_them(client, designer, typed_as, stands_as):
    corners = ["0 cm", "0 cm", typed_as, "0 cm", "30 cm", "40 cm"]
    sent = {f"outline-{i // 2}-{i % 2}": text for i, text in enumerate(corners)}
    piece = add(client, load(), "pieces", label="Gusset", shape="", **sent)
    assert piece["outline"] == [["0 cm", "0 cm"], [stands_as, "0 cm"], ["30 cm", "40 cm"]]


def test_a_corner_that_can_be_read_in_two_ways_is_asked_about(client, designer):
    pattern = load()
    corners = ["0 cm", "0 cm", "chest + 1,000 cm", "0 cm", "30 cm", "40 cm"]
    sent = {f"outline-{i // 2}-{i % 2}": text for i, text in enumerate(corners)}
    answer = client.post(new(pattern, "pieces"), {"revision": 0, "label": "Gusset", "shape": "", **sent})
    assert answer.context["form"].errors["outline"] == [
        "Corner 2, across: “1,000” can be read in two ways: write 1.000 or 1000."
    ]
    assert answer.context["form"]["outline"].value()[1][0] == "chest + 1,000 cm"


def test_a_side_of_a_shape_takes_a_fraction(client, designer):
    piece = add(
        client, load(), "pieces", label="Gusset", shape="rectangle", side_width="11½ in", side_height="30,5"
    )
    assert piece["outline"][2] == ["11.5 in", "30.5 cm"]


@pytest.mark.parametrize("name", ["brackenmere_pullover", "thistledrift_waistcoat"])
def test_stored_pieces_and_stripes_are_kept_when_nothing_is_typed(client, designer, name):
    pattern = load(name)
    before = pattern_document(fresh(pattern))
    for part in ("pieces", "joins", "stripes"):
        for place in range(len(before.get(part, []))):
            url = reverse("entry", args=[pattern.slug, part, place])
            assert "[[" not in client.get(url).content.decode()
            answer = client.post(url, typed(client, url))
            assert answer.status_code == 302, answer.context["form"].errors
    assert pattern_document(fresh(pattern)) == before


def test_sides_are_joined_by_choosing_them_and_their_lengths_are_seen(client, designer):
    pattern = rounded()
    add(client, pattern, "pieces", **RECTANGLE)
    pattern = fresh(pattern)
    page = client.get(new(pattern, "joins")).content.decode()
    assert page.count('<option value="back.side">Back: side</option>') >= 2
    sent = {"label": "Side seam", "edges-0-0": "back.side", "onto-0-0": "back.top", "onto-0-1": "2"}
    # Derived: 60 cm, and twice half of a chest of 92, 100 and 109 cm.
    drawn = client.post(
        reverse("entry_new_picture", args=[pattern.slug, "joins"]),
        {"revision": pattern.sheet.revision, **sent},
    ).content.decode()
    assert "Lengths that meet, in cm" in drawn
    cells = re.findall(r'<td class="number">([^<]*)</td>', drawn)
    assert cells[cells.index("60") :][:3] == ["60", "92", "−32"]
    assert add(client, pattern, "joins", **sent, tolerance="8") == {
        "name": "side_seam",
        "label": "Side seam",
        "edges": [{"edge": "back.side"}],
        "onto": [{"edge": "back.top", "times": 2}],
        "tolerance": "8 %",
    }
    sheet = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert "too short. Change one of them until they fit." in sheet


def test_an_edge_that_is_none_is_told_at_what_is_joined(client, designer):
    pattern = rounded()
    sent = {"label": "Seam", "edges-0-0": "front.side", "onto-0-0": "chest"}
    answer = client.post(new(pattern, "joins"), {"revision": 0, **sent})
    assert answer.context["form"].errors["edges"] == [
        "There is no piece “front”: choose a side of another piece."
    ]


def test_a_side_is_named_as_people_write_it(client, designer):
    sides = {"sides-0-0": "Front edge", "sides-0-1": "2", "sides-0-2": "3"}
    assert add(client, rounded(), "pieces", **RECTANGLE, **sides)["sides"] == [
        {"name": "front_edge", "from": 2, "to": 3}
    ]


def test_stripes_are_drawn_as_they_will_look(client, designer):
    pattern = load(yarns=[{"colour": "A", "label": "Tarnmoss"}, {"colour": "B", "label": "Tarnmoss"}])
    sent = {"sequence-0-0": "A", "sequence-0-1": "6", "sequence-1-0": "B", "sequence-1-1": "2"}
    drawn = picture(client, pattern, "stripes", name="Body", **sent)
    assert "Stripes of size 2 repeats: 16 rows from the bottom up" in drawn
    assert "6 rows A, 2 rows B" in drawn


def test_choices_of_options_are_ticked(client, designer):
    options = [
        {"name": "colour", "label": "Colour", "choices": ["plain", "five-colour stripes"], "default": "plain"}
    ]
    pattern = load(options=options)
    piece = {**RECTANGLE, "side_width": "chest", "when": ["colour=five-colour stripes"]}
    assert add(client, pattern, "pieces", **piece)["when"] == {"colour": "five-colour stripes"}


def test_a_new_length_is_previewed_in_the_persons_unit(client, designer):
    url = reverse("entry_new_preview", args=[load().slug, "values"])
    sent = {"label": "Hip", "kind": "length", "source": "formula", "formula": "96 cm", "revision": 0}
    said = client.post(url, sent).content.decode()
    assert "<strong>96</strong>" in said
    assert "960" not in said


def test_what_is_added_is_named_and_no_number_is_denied(client, designer):
    pattern = load()
    answer = client.post(
        new(pattern, "shapings"), {"revision": pattern.sheet.revision, **SHAPING}, follow=True
    )
    assert "sleeve taper is added." in answer.content.decode().lower().replace("_", " ")
    assert "added. No number" not in answer.content.decode()


def test_the_forms_own_example_of_a_tape_raises_no_finding(client, designer):
    pattern = load()
    form = client.get(new(pattern, "values")).context["form"]
    example = form.fields["measured__how"].help_text.split("“")[1].rstrip("”")
    sent = {"label": "Hem", "kind": "length", "source": "formula", "formula": "96 cm", "revision": 0,
            "measured__how": example, "measured__tolerance": "2 cm"}  # fmt: skip
    answer = client.post(reverse("entry_new_preview", args=[pattern.slug, "values"]), sent)
    assert not answer.context["difference"].new_findings


def test_a_yarn_part_is_proposed_from_a_piece_and_a_fabric(client, designer):
    pattern = rounded()
    add(client, pattern, "yarns", colour="A", label="Tarnmoss")
    pattern = fresh(pattern)
    add(client, pattern, "pieces", **RECTANGLE)
    url = new(pattern, "yarn_sections")
    assert "Back in Trebles" in client.get(url).content.decode()
    pattern = fresh(pattern)
    sent = typed(client, f"{url}?piece=back&fabric=main")
    answer = client.post(url, sent)
    assert answer.status_code == 302
    # Derived: half of 92, 100 and 109 cm, by 60 cm, at 14 stitches and 8 rows to 10 cm.
    worked = (
        client.post(
            reverse("entry_new_preview", args=[pattern.slug, "values"]),
            {"label": "Area", "kind": "area", "source": "formula", "formula": sent["worked"], "revision": 0},
        )
        .context["changed"][0]
        .cells
    )
    assert [cells[2] for cells in worked] == ["3091", "3360", "3662"]


def test_an_entry_is_worked_out_once_from_what_was_typed_to_what_is_stored(client, designer, monkeypatch):
    pattern = load()
    worked_out = []
    real = grade_module._graded  # every way to work a pattern out ends here

    def counted(*given):
        worked_out.append(given)
        return real(*given)

    monkeypatch.setattr(grade_module, "_graded", counted)
    url = reverse("value", args=[pattern.slug, "ease"])
    sent = typed(client, url, steps__base="9 cm")
    worked_out.clear()
    assert client.post(url, sent).status_code == 302
    assert len(worked_out) == 1


def test_an_error_is_marked_at_its_place_in_the_formula(client, designer):
    url = reverse("value", args=[load().slug, "chest"])
    page = client.post(url, typed(client, url, formula="bust + 4 - <b>")).content.decode()
    assert "is needed here, not “&lt;”" in page
    assert "<b>" not in page
    page = client.post(url, typed(client, url, formula="bust + 4")).content.decode()
    assert "Write 4 cm or 4 in, not 4." in page
    assert '<code class="formula-place">bust + <mark>4</mark></code>' in page
    preview = client.post(f"{url}preview/", typed(client, url, formula="bust +")).content.decode()
    assert '<code class="formula-place">bust +<mark>…</mark></code>' in preview


def test_the_dimension_of_a_formula_is_shown_while_it_is_typed(client, designer):
    url = reverse("value", args=[load().slug, "back"])
    preview = client.post(
        f"{url}preview/", typed(client, url, formula="chest * main.stitches")
    ).content.decode()
    assert "The formula gives: <strong>stitches</strong>." in preview
    preview = client.post(f"{url}preview/", typed(client, url, formula="chest * 2")).content.decode()
    assert "The formula gives: <strong>length</strong>." in preview
    assert "Take the length times the stitches of its fabric" in preview


def test_a_line_is_renamed_everywhere_in_one_edit_that_is_shown_before(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "chest"])
    before = pattern_document(fresh(pattern))
    unchanged = client.post(f"{url}preview/", typed(client, url)).content.decode()
    assert "Nothing is changed yet." in unchanged
    assert "Saving changes no number." not in unchanged
    sent = typed(client, url, name="girth")
    preview = client.post(f"{url}preview/", sent).content.decode()
    assert "“chest” is written “girth” in Back, stitches, wide enough." in preview
    assert "Saving changes no number." in preview
    assert "Saving would change" not in preview
    assert client.post(url, sent).status_code == 302
    after = pattern_document(fresh(pattern))
    assert [one["name"] for one in after["values"]] == ["ease", "girth", "back", "edge"]
    assert after["values"][2]["formula"] == "girth / 2 * main.stitches"
    assert after["checks"][0]["holds"] == "girth >= bust"
    client.post(reverse("undo", args=[pattern.slug]), {"revision": fresh(pattern).sheet.revision})
    assert pattern_document(fresh(pattern)) == before


def test_a_line_is_not_renamed_to_a_name_that_is_taken(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "chest"])
    for name in ("back", "bust", "cm", "Two Words"):
        answer = client.post(url, typed(client, url, name=name))
        assert answer.status_code == 200
        assert "name" in answer.context["form"].errors
    assert pattern_document(fresh(pattern))["values"][1]["name"] == "chest"


def test_pasted_measurements_are_refused_by_their_labels(client, designer):
    url = reverse("body_table", args=[load().slug])
    page = client.post(url, typed(client, url, table="Cm\t80\t90\t100")).content.decode()
    assert "$." not in page


@pytest.mark.parametrize("page", ["sizes", "body_table", "facts"])
def test_what_is_typed_into_a_form_of_the_pattern_is_kept_by_the_browser(client, designer, page):
    answer = client.get(reverse(page, args=[load().slug])).content.decode()
    assert re.search(r"<form[^>]* data-kept", answer)
    assert "site/pages/kept" in answer


def test_a_decimal_comma_in_a_formula_is_a_point_unless_it_can_be_read_in_two_ways(client, designer):
    pattern = load()
    typed_in = {"revision": 1, "source": "formula", "label": "Wide", "kind": "length"}
    client.post(new(pattern, "values"), {**typed_in, "formula": "(bust + 2,5 cm) / 2"})
    assert pattern_document(fresh(pattern))["values"][-1]["formula"] == "(bust + 2.5 cm) / 2"
    for formula, says in {
        "max(3,5)": "“3,5” can be read in two ways: write 3.5 or 3, 5.",
        "1,000 stitches": "write 1.000 or 1000",
    }.items():
        answer = client.post(new(pattern, "values"), {**typed_in, "revision": 2, "formula": formula})
        assert says in str(answer.context["form"].errors)


def test_a_save_can_lead_to_a_form_for_another_entry(client, designer):
    pattern = load()
    sent = {"source": "formula", "label": "Cuff", "kind": "length", "formula": "6 cm", "again": "on"}
    answer = client.post(new(pattern, "values"), {"revision": 1, **sent})
    assert answer["Location"] == new(pattern, "values")
    assert "Save and add another" in client.get(answer["Location"]).content.decode()
    standing = client.get(reverse("value", args=[pattern.slug, "cuff"])).content.decode()
    assert "Save and add another" not in standing
