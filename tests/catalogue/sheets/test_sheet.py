"""The sheet page and the forms of its entries."""

import re

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.models import PatternEdit
from grading.grid.grid import place_label
from grading.models import Finding, Sheet, StoredResult
from tests.builders import make_person, sample
from tests.catalogue.desk_work import fresh, load, small_document, typed, worked

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def value_url(pattern, name):
    return reverse("value", args=[pattern.slug, name])


def test_the_grid_shows_worked_numbers_in_centimetres(client, designer):
    pattern = load()
    page = client.get(reverse("sheet", args=[pattern.slug]))
    rows = {row.name: row for _, rows in page.context["groups"] for row in rows}
    # Derived: bust 84 + ease 8, 92 + 8, 100 + 9; half of it at 14 sts over 10 cm, to the nearest stitch.
    assert rows["chest"].cells == ("92", "100", "109")
    assert rows["back"].cells == ("64", "70", "76")
    assert rows["wide_enough"].cells == ("holds", "holds", "holds")


def test_the_grid_shows_inches_to_who_prefers_them(client, designer):
    designer.units = "in"
    designer.save()
    page = client.get(reverse("sheet", args=[load().slug]))
    rows = {row.name: row for _, rows in page.context["groups"] for row in rows}
    assert rows["chest"].cells == ("36.22", "39.37", "42.91")
    assert rows["chest"].unit == "in"


def test_findings_stand_at_their_row(client, designer):
    values = small_document()["values"]
    values[1] = {**values[1], "formula": "bust + eaze"}
    pattern = load(values=values)
    page = client.get(reverse("sheet", args=[pattern.slug]))
    rows = {row.name: row for _, rows in page.context["groups"] for row in rows}
    assert "Did you mean “ease”?" in rows["chest"].findings[0]["says"]
    assert rows["back"].cells == ("–", "–", "–")
    assert rows["edge"].cells == ("4", "4", "6")


def test_an_empty_sheet_says_what_to_do_first(client, designer):
    pattern = load(values=[], body={}, checks=[], sections=[])
    assert "This sheet is empty" in client.get(reverse("sheet", args=[pattern.slug])).content.decode()


@pytest.mark.parametrize("name", ["brackenmere_pullover", "thistledrift_waistcoat"])
def test_saving_forms_untouched_changes_nothing(client, designer, name):
    pattern = load(name)
    before = pattern_document(fresh(pattern))
    urls = [value_url(pattern, value["name"]) for value in before["values"][::5]]
    urls += [
        reverse("entry", args=[pattern.slug, part, 0])
        for part in (
            "body",
            "fabrics",
            "checks",
            "shapings",
            "curves",
            "pick_ups",
            "options",
            "yarns",
            "yarn_sections",
        )
    ]
    for url in urls:
        answer = client.post(url, typed(client, url))
        assert answer.status_code == 302, (url, answer.context["form"].errors)
    assert pattern_document(fresh(pattern)) == before
    assert not PatternEdit.objects.filter(pattern=pattern).exists()


def test_changing_ease_changes_numbers_and_says_so(client, designer):
    pattern = load()
    url = value_url(pattern, "ease")
    answer = client.post(url, typed(client, url, steps__base="10 cm"), follow=True)
    assert worked(pattern, "chest") == [940.0, 1020.0, 1110.0]
    assert str(next(iter(answer.context["messages"]))) == (
        "9 numbers in 3 sizes (“Ease”, “Chest wanted” and “Back, stitches”); "
        "printed: 64 → 66 (size S), 70 → 71 (size M), 76 → 78 (size L)."
    )


def test_a_value_becomes_a_list(client, designer):
    pattern = load()
    url = value_url(pattern, "chest")
    cells = {"list__0": "90 cm", "list__1": "98 cm", "list__2": "42 in"}
    client.post(url, typed(client, url, source="list", **cells))
    assert pattern_document(fresh(pattern))["values"][1] == {
        "name": "chest", "label": "Chest wanted", "kind": "length", "list": ["90 cm", "98 cm", "42 in"],
    }  # fmt: skip
    assert worked(pattern, "chest") == [900.0, 980.0, pytest.approx(1066.8)]


def test_a_value_is_added_with_a_name_from_its_label(client, designer):
    pattern = load()
    url = reverse("entry_new", args=[pattern.slug, "values"])
    client.post(
        url, typed(client, url, label="Front, stitches", kind="stitches", formula="back + 2 stitches")
    )
    assert worked(pattern, "front_stitches") == [66, 72, 78]


def test_a_value_can_be_rounded_and_measured(client, designer):
    pattern = load()
    url = value_url(pattern, "chest")
    changes = {"round__to": "up", "round__multiple": "5 cm", "measured__how": "Round the body.",
               "measured__tolerance": "2 cm", "measured__around": "on"}  # fmt: skip
    client.post(url, typed(client, url, **changes))
    assert worked(pattern, "chest") == [950.0, 1000.0, 1100.0]
    assert pattern_document(fresh(pattern))["values"][1]["measured"]["around"] is True


def test_deleting_a_value_blanks_what_hangs_on_it_and_undo_brings_it_back(client, designer):
    pattern = load()
    before = pattern_document(fresh(pattern))
    client.post(reverse("entry_delete", args=[pattern.slug, "values", 0]), {"revision": 1})
    assert Finding.objects.filter(sheet=pattern.sheet, where="values.chest", weight="stop").exists()
    client.post(reverse("undo", args=[pattern.slug]), {"revision": fresh(pattern).sheet.revision})
    assert pattern_document(fresh(pattern)) == before
    assert not Finding.objects.filter(sheet=pattern.sheet, weight="stop").exists()


def test_undo_goes_back_step_by_step(client, designer):
    pattern = load()
    url = value_url(pattern, "ease")
    for base in ("9 cm", "10 cm"):
        client.post(url, typed(client, url, steps__base=base))
    seen = []
    for _ in range(3):
        client.post(reverse("undo", args=[pattern.slug]), {"revision": fresh(pattern).sheet.revision})
        seen.append(pattern_document(fresh(pattern))["values"][0]["steps"]["base"])
    assert seen == ["9 cm", "8 cm", "8 cm"]


def test_an_entry_moves_below_another(client, designer):
    pattern = load()
    client.post(reverse("entry_move", args=[pattern.slug, "values", 0]), {"revision": 1, "below": 2})
    assert [one["name"] for one in pattern_document(fresh(pattern))["values"]] == [
        "chest",
        "back",
        "ease",
        "edge",
    ]
    client.post(reverse("entry_move", args=[pattern.slug, "values", 3]), {"revision": 2, "below": -1})
    assert [one["name"] for one in pattern_document(fresh(pattern))["values"]] == [
        "edge",
        "chest",
        "back",
        "ease",
    ]


def test_the_preview_says_what_would_change_and_stores_nothing(client, designer):
    pattern = load()
    url = value_url(pattern, "ease")
    answer = client.post(
        reverse("value_preview", args=[pattern.slug, "ease"]), typed(client, url, steps__base="-20 cm")
    )
    page = answer.content.decode()
    assert "check “wide enough” now fails in S, M and L" in page
    assert worked(pattern, "chest") == [920.0, 1000.0, 1090.0]
    assert fresh(pattern).sheet.revision == 1


def test_the_preview_names_lines_by_their_labels_and_shows_all_that_moves(client, designer):
    pattern = load()
    data = typed(client, value_url(pattern, "ease"), steps__base="9 cm")
    page = client.post(reverse("value_preview", args=[pattern.slug, "ease"]), data).content.decode()
    assert "Chest wanted" in page
    assert "Back, stitches prints in Back, step 1" in page
    # M has 9 cm, S 0 cm less, L 1 cm more: steps of the sheet, by hand.
    new = page.split("Where the new numbers come from")[1]
    worked_now = re.findall(r'<bdi>(\w+)</bdi></th>\s*<td class="number">([^<]*)</td>', new)
    assert worked_now == [("S", "9 cm"), ("M", "9 cm"), ("L", "10 cm")]


def test_the_preview_of_a_wrong_formula_says_why(client, designer):
    pattern = load()
    data = typed(client, value_url(pattern, "chest"), formula="bust + back")
    page = client.post(reverse("value_preview", args=[pattern.slug, "chest"]), data).content.decode()
    assert "It cannot be saved like this yet" in page


def test_a_wrong_name_is_refused_and_can_be_kept_with_its_finding(client, designer):
    pattern = load()
    url = value_url(pattern, "chest")
    data = typed(client, url, formula="bust + eaze")
    refused = client.post(url, data)
    assert refused.status_code == 200
    assert "Did you mean “ease”?" in refused.context["form"].errors["formula"][0]
    assert "Save with this error" in refused.content.decode()
    assert worked(pattern, "chest") == [920.0, 1000.0, 1090.0]
    client.post(url, {**data, "keep_anyway": "on"})
    assert pattern_document(fresh(pattern))["values"][1]["formula"] == "bust + eaze"
    assert worked(pattern, "edge") == [4, 4, 6]
    stored = StoredResult.objects.filter(sheet=pattern.sheet, part="values", name="back").first()
    assert stored is None or set(stored.figures["worked"]) == {None}


def test_a_circle_is_told_with_its_path(client, designer):
    pattern = load()
    url = value_url(pattern, "ease")
    answer = client.post(url, typed(client, url, source="formula", formula="chest - bust"))
    assert "ease → chest → ease" in answer.context["form"].errors["formula"][0]


def test_what_cannot_be_read_cannot_be_kept(client, designer):
    pattern = load()
    url = value_url(pattern, "chest")
    answer = client.post(url, typed(client, url, formula="bust +", keep_anyway="on"))
    assert answer.status_code == 200
    assert "Save with this error" not in answer.content.decode()
    assert pattern_document(fresh(pattern))["values"][1]["formula"] == "bust + ease"


def test_the_later_of_two_edits_is_told_and_loses_nothing(client, designer):
    pattern = load()
    url = value_url(pattern, "ease")
    mine = typed(client, url, steps__base="11 cm", note="Wider for layers.")
    client.post(url, typed(client, url, steps__base="9 cm"))
    answer = client.post(url, mine)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Somebody else saved first" in page
    assert "9 cm" in page
    assert answer.context["form"]["steps__base"].value() == "11 cm"
    assert answer.context["form"]["note"].value() == "Wider for layers."
    assert worked(pattern, "chest") == [930.0, 1010.0, 1100.0]
    client.post(url, {**mine, "revision": answer.context["form"]["revision"].value()})
    assert worked(pattern, "chest") == [950.0, 1030.0, 1120.0]


def test_an_entry_is_found_by_its_name_after_somebody_moved_it(client, designer):
    pattern = load()
    url = reverse("entry", args=[pattern.slug, "values", 0])
    mine = typed(client, url, steps__base="11 cm")
    client.post(reverse("entry_move", args=[pattern.slug, "values", 0]), {"revision": 1, "below": 3})
    answer = client.post(url, mine)
    assert answer.status_code == 409
    client.post(url, {**mine, "revision": answer.context["form"]["revision"].value()})
    names = [one["name"] for one in pattern_document(fresh(pattern))["values"]]
    assert names == ["chest", "back", "edge", "ease"]
    assert worked(pattern, "chest") == [950.0, 1030.0, 1120.0]


def test_deleting_after_somebody_else_edited_is_told(client, designer):
    pattern = load()
    Sheet.objects.filter(pk=pattern.sheet.pk).update(revision=5)
    answer = client.post(reverse("entry_delete", args=[pattern.slug, "values", 0]), {"revision": 1})
    assert answer.status_code == 409
    assert len(pattern_document(fresh(pattern))["values"]) == 4


def test_where_a_number_comes_from_is_told_with_its_numbers(client, designer):
    pattern = load()
    page = client.get(reverse("value_origin", args=[pattern.slug, "back"])).content.decode()
    assert "92 cm / 2 * (14 stitches / 10 cm)" in page
    assert "64 sts" in page
    assert "64.4" in page
    assert "Back, step 1" in page


def test_stale_results_are_never_shown(client, designer):
    pattern = load()
    pattern.sheet.values.filter(name="edge").update(
        typed={"name": "edge", "label": "Edge", "kind": "rows", "list": [8, 8, 8]}
    )
    page = client.get(reverse("sheet", args=[pattern.slug]))
    rows = {row.name: row for _, rows in page.context["groups"] for row in rows}
    assert rows["edge"].cells == ("8", "8", "8")


@pytest.mark.parametrize("name", ["undo", "entry_delete", "entry_move", "value_preview", "entry_preview"])
def test_addresses_that_only_take_what_is_sent_refuse_to_be_looked_at(client, designer, name):
    pattern = load()
    parts = {"undo": [], "value_preview": ["ease"]}.get(name, ["values", 0])
    assert client.get(reverse(name, args=[pattern.slug, *parts])).status_code == 405


@pytest.mark.parametrize("role", ["tester", None])
def test_the_sheet_does_not_exist_for_others(client, role):
    pattern = load()
    if role:
        client.force_login(make_person(role=role))
    answer = client.get(reverse("sheet", args=[pattern.slug]))
    assert answer.status_code == (404 if role else 302)
    posted = client.post(reverse("entry_delete", args=[pattern.slug, "values", 0]), {"revision": 1})
    assert posted.status_code == (404 if role else 302)
    assert len(pattern_document(fresh(pattern))["values"]) == 4


def test_an_editor_may_edit(client):
    client.force_login(make_person(role="editor"))
    pattern = load()
    url = value_url(pattern, "ease")
    assert client.post(url, typed(client, url, steps__base="9 cm")).status_code == 302
    assert worked(pattern, "chest")[0] == 930.0


@pytest.mark.parametrize(("part", "place"), [("values", 4), ("sizes", 0), ("nonsense", 0)])
def test_what_is_not_there_answers_404(client, designer, part, place):
    assert client.get(reverse("entry", args=[load().slug, part, place])).status_code == 404
    assert client.get(reverse("value", args=["marlstone-vest", "nothing"])).status_code == 404


def test_the_number_of_queries_does_not_grow_with_the_sheet(client, designer, django_assert_max_num_queries):
    pattern = load("cinderfell_raglan")
    with django_assert_max_num_queries(32):
        client.get(reverse("sheet", args=[pattern.slug]))
    url = value_url(pattern, "ease")
    data = typed(client, url, steps__base="9 cm")
    with django_assert_max_num_queries(95):
        assert client.post(url, data).status_code == 302


@pytest.mark.parametrize(
    ("where", "says"),
    [
        ("values.chest", "Chest"),
        ("checks.chest_near_target", "chest near target"),
        ("sections[0].steps[1]", "Back, step 2"),
        ("yarn_sections[0].amount", "Back and front"),
        ("fabrics.main", "Half double crochet"),
        ("yarn", "Yarn"),
        ("values.no_such", "Values, no such"),
    ],
)
def test_a_place_of_a_finding_is_said_in_the_words_of_the_pattern(where, says):
    assert place_label(sample("brackenmere_pullover"), where) == says


def test_a_place_of_a_stitch_pattern_is_said_by_its_label():
    assert place_label(sample("cinderfell_raglan"), "stitch_patterns.seeds") == "Scattered seeds"
    assert place_label(sample("cinderfell_raglan"), "stitch_patterns.gone") == "Stitch patterns, gone"


@pytest.mark.parametrize(
    ("cell", "stored", "mm"),
    [
        ("16", "16 cm", 160.0),
        ("47,5 cm", "47.5 cm", 475.0),
        ("18½ in", "18.5 in", 469.9),
        ("18 1/2 inches", "18.5 in", 469.9),
        ("47.50 cm", "47.50 cm", 475.0),
    ],
)
def test_a_length_of_a_list_is_typed_as_people_write_it(client, designer, cell, stored, mm):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    sent = typed(client, url, kind="length", source="list", list__0="4 cm", list__1=cell, list__2="60 cm")
    answer = client.post(url, sent)
    assert answer.status_code == 302, answer.context["form"].errors
    (entry,) = (one for one in pattern_document(fresh(pattern))["values"] if one["name"] == "edge")
    assert entry["list"] == ["4 cm", stored, "60 cm"]
    assert worked(pattern, "edge")[1] == pytest.approx(mm)


def test_a_number_that_can_be_read_in_two_ways_is_not_guessed(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "edge"])
    answer = client.post(url, typed(client, url, list__1="1,200"))
    assert answer.status_code == 200
    assert answer.context["form"]["list__1"].value() == "1,200"


def test_groups_of_sizes_are_saved_on_the_page_of_the_sizes(client, designer):
    pattern = load()
    sizes = pattern_document(pattern)["sizes"]
    typed_in = {"revision": pattern.sheet.revision, "labels": "\n".join(sizes)}
    address = reverse("sizes", args=[pattern.slug])
    refused = client.post(address, {**typed_in, "groups": f"Large: {sizes[1]}"})
    assert f"Size {sizes[0]} is in no group" in refused.content.decode()
    saved = client.post(address, {**typed_in, "groups": f"Small: {sizes[0]}\nLarge: {sizes[1]}"})
    assert saved.status_code == 302
    pattern.refresh_from_db()
    assert pattern_document(pattern)["size_groups"] == [
        {"label": "Small", "sizes": sizes[:1]},
        {"label": "Large", "sizes": sizes[1:]},
    ]
    assert "Groups of sizes" in client.get(address).content.decode()
