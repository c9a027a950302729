"""What was noticed stands in one short list, and is settled with its reason; what an edit moves is told."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from grading.sizes.sizes import resize
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load, small_document, typed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def shrinking():
    """The rows of the edge get fewer from size to size."""
    values = small_document()["values"]
    values[3] = {**values[3], "list": [8, 6, 4]}
    return load(values=values)


def sheet(client, pattern):
    return client.get(reverse("sheet", args=[pattern.slug]))


def settle(client, pattern, **sent):
    typed = {
        "revision": 1,
        "part": "values",
        "name": "edge",
        "settled_by": "may_shrink",
        "why": "A longer body needs less.",
        **sent,
    }
    return client.post(reverse("settle", args=[pattern.slug]), typed)


def test_what_differs_by_size_alone_is_one_line_of_a_short_list(client):
    page = sheet(client, shrinking())
    assert [group.sentence for group in page.context["noticed"]] == ["Edge, rows: smaller in M, L"]
    assert 'href="#values-edge"' in page.content.decode()


def test_a_saved_edit_names_what_is_new_and_what_is_gone_and_leads_to_the_list(client):
    pattern = load()

    def said(was, text, revision):
        change = {"part": "values", "name": "edge", "field": "2", "was": was, "text": text}
        sent = {"revision": revision, "changes": [change]}
        url = reverse("grid_save", args=[pattern.slug])
        client.post(url, sent, content_type="application/json")
        return str(list(sheet(client, pattern).context["messages"])[-1])

    link = f'<a href="{reverse("sheet", args=[pattern.slug])}#findings">See all findings</a>'
    come = said("6", "2", 1)
    assert come.endswith(f"; 1 new finding (Edge, rows: smaller in L). {link}")
    assert said("2", "6", 2).endswith("; 1 finding gone (Edge, rows: smaller in L).")


def test_a_finding_that_is_right_is_settled_with_its_reason(client):
    pattern = shrinking()
    answer = settle(client, pattern)
    assert answer.status_code == 302
    assert "Settled: Edge, rows." in client.get(answer["Location"]).content.decode()
    edge = pattern_document(fresh(pattern))["values"][3]
    why = "A longer body needs less."
    assert edge["settled"] == [{"what": "may_shrink", "sizes": ["M", "L"], "why": why}]
    page = sheet(client, pattern)
    assert page.context["noticed"] == []
    assert "(8 → 6, S to M; 6 → 4, M to L)." in page.content.decode()


def test_a_list_that_lacks_a_number_stops_until_somebody_says_why(client):
    values = small_document()["values"]
    values[3] = {**values[3], "list": [8, 8, None]}
    steps = [{"title": "Edge", "steps": [f"Work {{{values[3]['name']}}} rows."]}]
    pattern = load(values=values, sections=steps)
    says = (
        "Edge, rows in L: There is no number, and Edge, step 1 needs it: enter it, or say why there is none."
    )
    assert says in [group.sentence for group in sheet(client, pattern).context["noticed"]]
    assert "Why it is right" in sheet(client, pattern).content.decode()
    assert settle(client, pattern, settled_by="missing", why="L has no edge.").status_code == 302
    assert says not in [group.sentence for group in sheet(client, pattern).context["noticed"]]


def test_only_a_list_is_asked_why_it_has_no_number(client):
    pattern = load()

    def page(name):
        return client.get(reverse("value", args=[pattern.slug, name])).content.decode()

    assert "No number in a size" in page("edge")
    for name in ("chest", "ease"):
        assert "A step unlike the others" in page(name)
        assert "No number in a size" not in page(name)
    url = reverse("value", args=[pattern.slug, "chest"])
    sent = {**typed(client, url), "source": "list", "list__0": "92", "list__1": "100", "list__2": "?"}
    assert "No number in a size" in client.post(url, sent).content.decode()  # it is a list from now on


def test_a_reason_excuses_the_sizes_it_was_given_for_and_not_the_line_in_all_others(client):
    values = small_document()["values"]
    values[3] = {**values[3], "list": [8, 6, 7]}
    pattern = load(values=values)
    assert settle(client, pattern, why="Another construction.").status_code == 302
    assert sheet(client, pattern).context["noticed"] == []
    url = reverse("value", args=[pattern.slug, "edge"])
    assert client.post(url, typed(client, url, list__2="4")).status_code == 302
    page = sheet(client, pattern)
    assert [group.sentence for group in page.context["noticed"]] == ["Edge, rows: smaller in L"]
    assert "smaller in M\n" in page.content.decode()


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"why": " "}, "Write why it is right"),
        ({"name": "gone"}, "The line “gone” is gone"),
        ({"settled_by": "anything"}, "anything"),
        ({"settled_by": "ease"}, "This is no longer a finding"),
        ({"part": "body"}, "body"),
    ],
)
def test_what_settles_nothing_is_refused_in_one_sentence(client, sent, says):
    pattern = shrinking()
    answer = settle(client, pattern, **sent)
    assert answer.status_code == 400
    assert says in answer.content.decode()
    assert "settled" not in pattern_document(fresh(pattern))["values"][3]


def warned(**check):
    """A check that fails in S and M, and an ease that is not wanted in all sizes."""
    values = small_document()["values"]
    how = {"how": "Round the body.", "tolerance": "1 cm", "around": True, "compares_to": "bust"}
    values[1] = {**values[1], "measured": {**how, "ease": ["90 cm", "99 cm"]}}
    few = {
        "name": "enough",
        "holds": "chest > 101 cm",
        "says": "The back is narrow.",
        "weight": "warn",
        **check,
    }
    return load(values=values, checks=[few])


def test_a_check_that_warns_is_settled_in_the_sizes_where_it_fails(client):
    pattern = warned()
    sent = {"part": "checks", "name": "enough", "settled_by": "holds", "why": "Small sizes want it so."}
    before = sheet(client, pattern)
    (group,) = [one for one in before.context["noticed"] if one.part == "checks"]
    assert group.settled_by == "holds"
    assert settle(client, pattern, **sent).status_code == 302
    (check,) = pattern_document(fresh(pattern))["checks"]
    assert check["settled"] == [{"sizes": list(group.sizes), "why": "Small sizes want it so."}]
    after = sheet(client, pattern)
    assert not [one for one in after.context["noticed"] if one.part == "checks"]
    page = after.content.decode()
    assert "Exceptions with their reasons: 1" in page
    assert "Small sizes want it so." in page


def test_another_size_in_which_a_settled_check_fails_is_noticed(client):
    pattern = warned(settled=[{"sizes": ["S"], "why": "Small sizes want it so."}])
    groups = [one for one in sheet(client, pattern).context["noticed"] if one.part == "checks"]
    assert [one.sizes for one in groups] == [("M",)]


def test_the_ease_of_a_line_is_settled_and_the_form_of_the_line_shows_it(client):
    pattern = warned()
    name = small_document()["values"][1]["name"]
    assert settle(client, pattern, name=name, settled_by="ease", why="A shawl.").status_code == 302
    assert not [one for one in sheet(client, pattern).context["noticed"] if one.settled_by == "ease"]
    page = client.get(reverse("entry", args=[pattern.slug, "values", 1])).content.decode()
    assert "Not the ease that was wanted" in page
    assert 'value="A shawl."' in page


def test_a_check_that_stops_is_never_settled(client):
    pattern = warned(weight="stop")
    sent = {"part": "checks", "name": "enough", "settled_by": "holds", "why": "It is right."}
    answer = settle(client, pattern, **sent)
    assert answer.status_code == 400
    assert "A Stop can’t be settled with a reason: correct the line." in answer.content.decode()
    assert "settled" not in pattern_document(fresh(pattern))["checks"][0]
    url = reverse("entry", args=[pattern.slug, "checks", 0])
    row = {"settled-0-0": "S", "settled-0-1": "It is right."}
    refused = client.post(url, typed(client, url, **row))
    assert "A check that stops the pattern can’t be settled" in str(refused.context["form"].errors)


def test_a_stop_of_a_line_is_never_settled(client):
    values = small_document()["values"]
    values[3] = {**values[3], "list": [-8, -6, -4]}
    answer = settle(client, load(values=values))
    assert answer.status_code == 400
    assert "A Stop can’t be settled with a reason" in answer.content.decode()


def test_what_was_settled_goes_with_its_size_when_sizes_are_renamed_or_go():
    row = {"sizes": ["S", "M"], "why": "Small sizes want it so."}
    check = {"name": "enough", "holds": "chest > 101 cm", "says": "Narrow.", "weight": "warn"}
    document = small_document(checks=[{**check, "settled": [row]}])
    document["values"][0] = {"name": "ease", "kind": "length", "list": ["8 cm", "8 cm", "9 cm"]}
    sizes = document["sizes"]
    renamed = resize(document, ["Small", *sizes[1:]])
    assert renamed["checks"][0]["settled"][0]["sizes"] == ["Small", "M"]
    assert resize(document, sizes[1:])["checks"][0]["settled"][0]["sizes"] == ["M"]
    assert "settled" not in resize(document, sizes[2:])["checks"][0]


def test_a_settled_line_that_somebody_else_edited_meanwhile_is_not_overwritten(client):
    pattern = shrinking()
    settle(client, pattern)
    assert settle(client, pattern, why="Once more.").status_code == 409


def test_what_stops_a_pattern_comes_first(client):
    values = small_document()["values"]
    values[3] = {**values[3], "list": [8, 6, 4]}
    values.append({"name": "lost", "label": "Lost", "kind": "length", "formula": "bust + eaze"})
    groups = sheet(client, load(values=values)).context["noticed"]
    assert [group.weight for group in groups] == ["stop", "warn"]


def test_a_preview_tells_instructions_yarn_and_pieces_that_move(client):
    swatch = {"stitches": 14, "rows": 8, "weight": "10 g"}
    fabrics = {"main": {**small_document()["fabrics"]["main"], "swatch": swatch}}
    pieces = [
        {"name": "back_piece", "label": "Back",
         "outline": [["0 cm", "0 cm"], ["chest / 2", "0 cm"], ["chest / 2", "50 cm"]]},
        {"name": "flap", "label": "Flap",
         "outline": [["0 cm", "0 cm"], ["9 cm", "0 cm"], ["9 cm", "5 cm"]]},
    ]  # fmt: skip
    pattern = load(
        fabrics=fabrics,
        pieces=pieces,
        yarns=[{"colour": "A", "label": "Larkmoss Orrendale", "length_per_100g": "200 m", "put_up": "50 g"}],
        yarn_sections=[{"name": "Back", "fabric": "main", "worked": "back * 8 rows", "colour": "A"}],
    )
    change = {
        "part": "values",
        "name": "chest",
        "field": "source",
        "was": "bust + ease",
        "text": "bust + 20 cm",
    }
    batch = {"revision": 1, "changes": [change]}
    answer = client.post(reverse("grid_preview", args=[pattern.slug]), batch, content_type="application/json")
    told = answer.json()["moves"]
    # Half of 104, 112 and 120 cm at 14 stitches over 10 cm; 112 places of the swatch weigh 10 g (derived).
    assert told[0] == "Back, stitches prints in Back, step 1"
    assert told[1:4] == [f"Back, step 1, {one}" for one in ("S: 64 → 73", "M: 70 → 78", "L: 76 → 84")]
    # 2 m in a gram, 50 g in a ball: 52.1 g and 55.7 g take a second one (derived).
    assert (
        "Yarn A: S 45.7 → 52.1 g, M 50 → 55.7 g, L 54.3 → 60 g; S 91.4 → 104.3 m, M 100 → 111.4 m, "
        "L 108.6 → 120 m; S 1 → 2 balls, M 1 → 2 balls"
    ) in told
    assert told[-1] == "Pieces drawn differently: Back"
