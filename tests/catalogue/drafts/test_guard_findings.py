"""A change that breaks a guard is told before it is saved, and among the findings of the draft."""

import pytest
from django.urls import reverse

from catalogue.drafts.edits import standing_sheet
from catalogue.errata.errata import judge_erratum
from catalogue.models import Erratum, Guard
from catalogue.publishing.obstacles import in_the_way
from grading.sheets.kept_sheets import kept_sheet
from tests.builders import make_person
from tests.catalogue.builders import edit
from tests.catalogue.desk_work import load, typed

pytestmark = pytest.mark.django_db

SAYS = "A corrected mistake would come back: The edge is too long (wanted: “Edge, rows” at most 6 rows)."


@pytest.fixture
def guarded(client):
    """A pattern whose edge may not be longer than six rows again."""
    client.force_login(make_person(role="designer"))
    pattern = load()
    erratum = Erratum.objects.create(pattern=pattern, place="values.edge", state="corrected")
    Guard.objects.create(erratum=erratum, holds="edge <= 6 rows", says="The edge is too long.")
    return pattern


def test_both_previews_tell_that_a_corrected_mistake_would_come_back(client, guarded):
    change = {"part": "values", "name": "edge", "field": "2", "was": "6", "text": "8"}
    told = client.post(
        reverse("grid_preview", args=[guarded.slug]),
        {"revision": 1, "changes": [change]},
        content_type="application/json",
    ).json()
    (found,) = told["new_findings"]
    assert (found["place"], found["weight"], found["part"], found["name"]) == (
        "Edge, rows", "stop", "values", "edge",
    )  # fmt: skip
    assert found["says"] == f"Size L: {SAYS}"
    assert told["sentence"].endswith("1 new Stop, so it can’t be published.")
    sent = typed(client, reverse("value", args=[guarded.slug, "edge"]), list__2="8")
    preview = client.post(reverse("value_preview", args=[guarded.slug, "edge"]), sent).content.decode()
    assert SAYS in preview


def test_a_broken_guard_is_noticed_on_the_page_of_the_pattern_and_on_its_sheet(client, guarded):
    pages = [reverse(name, args=[guarded.slug]) for name in ("desk_pattern", "sheet")]
    assert not any("would come back" in client.get(page).content.decode() for page in pages)

    def longer(document):
        document["values"][3]["list"] = [4, 4, 8]

    edit(guarded, longer)
    for page in pages:
        assert SAYS in client.get(page).content.decode(), page


def test_the_desk_says_since_when_a_corrected_mistake_stops_the_pattern_until_it_is_mended(client, guarded):
    def edge_of(large):
        def change(document):
            document["values"][3]["list"] = [4, 4, large]

        return change

    pages = [reverse("desk"), reverse("desk_pattern", args=[guarded.slug])]
    edit(guarded, edge_of(8))
    Guard.objects.update(broken_since="2026-11-02T12:00:00Z")
    edit(guarded, edge_of(9))
    stopped = (
        f"{guarded.title} can’t be published: The edge is too long, a corrected mistake, since 2 November"
    )
    for page in pages:
        shown = client.get(page).content.decode()
        assert stopped in shown
        assert "Remove the mistake that came back" in shown
        assert reverse("erratum", args=[guarded.slug, Erratum.objects.get().pk]) in shown
    assert "A release is stopped" in client.get(reverse("versions", args=[guarded.slug])).content.decode()
    edit(guarded, edge_of(6))
    assert "A release is stopped" not in client.get(reverse("versions", args=[guarded.slug])).content.decode()
    assert not any("can’t be published: The edge" in client.get(page).content.decode() for page in pages)


def longest_edge(rows):
    """An edit by which the edge of L has so many rows."""

    def change(document):
        document["values"][3]["list"] = [4, 4, rows]

    return change


def test_many_guards_are_noted_each_by_itself_and_leave_other_patterns_worked_out(guarded):
    erratum, fingerprint = Erratum.objects.get(), standing_sheet(load(title="Other")).fingerprint
    Guard.objects.bulk_create(Guard(erratum=erratum, holds=f"edge <= {most} rows") for most in range(7, 30))
    edit(guarded, longest_edge(8))
    broken = Guard.objects.filter(broken_since__isnull=False)
    assert [one.holds for one in broken] == ["edge <= 6 rows", "edge <= 7 rows"]
    assert kept_sheet(fingerprint)


def test_a_guard_stops_the_pattern_from_when_its_mistake_is_confirmed_until_it_is_none(client, guarded):
    erratum = Erratum.objects.get()
    Erratum.objects.update(state="reported")
    edit(guarded, longest_edge(8))
    assert Guard.objects.get().broken_since is None
    erratum.refresh_from_db()
    judge_erratum(erratum=erratum, is_mistake=True)
    assert Guard.objects.get().broken_since is not None
    page = client.get(reverse("desk")).content.decode()
    assert "The edge is too long, a known mistake, since" in page
    (found,) = [one.says for one in in_the_way(guarded, "release") if "too long" in one.says]
    assert found.startswith("A known mistake is in the pattern in L: The edge is too long (wanted: ")
    noticed = client.get(reverse("desk_pattern", args=[guarded.slug])).content.decode()
    assert "A known mistake is in the pattern: The edge is too long (wanted: " in noticed
    assert "come back" not in noticed
    assert "Correct a known mistake" in page
    judge_erratum(erratum=erratum, is_mistake=False)
    assert Guard.objects.get().broken_since is None


def test_lengths_in_the_formula_of_a_guard_are_no_finding(client, guarded):
    Guard.objects.update(holds="chest >= bust + 5 cm")
    page = client.get(reverse("desk_pattern", args=[guarded.slug])).content.decode()
    assert "stays as it is in every edition" not in page
    assert "mistake" not in page


def test_all_that_is_in_the_way_of_publishing_leads_to_where_it_is_mended(guarded):
    def emptied(document):
        document["values"][3]["list"] = [4, 4, 8]
        document["fabrics"]["main"].pop("tool_mm")

    edit(guarded, emptied)
    found = in_the_way(guarded, "release")
    assert [one.says for one in found if not one.page or not one.place] == []
    pages = {one.says: one.page for one in found}
    broken = next(says for says in pages if "would come back" in says)
    assert pages[broken] == reverse("entry", args=[guarded.slug, "values", 3])
    assert "(wanted: “Edge, rows” at most 6 rows)" in broken
    tool = next(says for says in pages if "No hook or needle" in says)
    assert pages[tool] == reverse("entry", args=[guarded.slug, "fabrics", 0])
    photo = next(says for says in pages if "There is no photo" in says)
    assert pages[photo] == reverse("photos", args=[guarded.slug])
