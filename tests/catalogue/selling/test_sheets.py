"""The shooting list and the promotion sheet of a pattern."""

import pytest
from django.urls import reverse

from catalogue.helps.helps import save_help
from catalogue.models import EditQuery, MakerQuestion, SellingFacts, ShopLink
from catalogue.selling.promotion import promotion_sheet
from catalogue.selling.shooting_list import shooting_list
from catalogue.technical_edit.technical_edits import beside_sign_off, open_queries, sign_off, state_record
from catalogue.versions.draft_glances import draft_glance
from catalogue.versions.frozen_rights import renew_rights
from testing.results.results import add_remark
from tests.builders import make_person
from tests.catalogue.builders import edit, make_photo
from tests.catalogue.builders import make_pattern as make_sample
from tests.catalogue.helps.builders import name_in_step
from tests.testing.builders import make_call, make_pattern, make_place, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def editor(client):
    client.force_login(make_person(role="editor"))


def words(answer):
    return " ".join(answer.content.decode().split())


def test_the_most_named_steps_come_first_and_follow_the_draft():
    pattern = make_pattern()
    placement = make_place(make_call(pattern=pattern))
    version = pattern.versions.get()
    for text in ("Which loop?", "Which side?"):
        add_remark(placement=placement, place="sections[0].steps[1]", text=text)
    for place in ("sections[0].steps[1]", "sections[0].steps[0]", "values.chest", ""):
        MakerQuestion.objects.create(
            pattern=pattern, version=version, place=place, says="?", asked_on="2026-03-02"
        )
    edit(pattern, lambda document: document["sections"][0]["steps"].insert(0, "Read all of it first."))
    pattern.refresh_from_db()
    EditQuery.objects.create(pattern=pattern, place="sections[0].steps[0]", asks="Why?")
    found = shooting_list(pattern)
    named = {(one.step, one.remarks, one.questions, one.queries) for one in found.steps}
    assert {(3, 2, 1, 0), (2, 0, 1, 0), (1, 0, 0, 1)} <= named
    assert found.steps[0].step == 3
    assert found.steps[0].why.startswith("2 testers’ remarks, 1 maker’s question")
    totals = [one.total for one in found.steps]
    assert totals == sorted(totals, reverse=True)


def test_a_query_of_a_signed_round_follows_its_step():
    pattern = make_pattern()
    EditQuery.objects.create(pattern=pattern, place="sections[0].steps[1]", asks="Why?", answer="So.")
    state = state_record(pattern)
    glance = draft_glance(pattern, state, beside_sign_off(open_queries(pattern)))
    sign_off(pattern=pattern, seen=glance, note="", by=None)
    edit(pattern, lambda document: document["sections"][0]["steps"].insert(0, "Read all of it first."))
    pattern.refresh_from_db()
    EditQuery.objects.create(pattern=pattern, place="sections[0].steps[0]", asks="Which?")
    found = {(one.step, one.queries) for one in shooting_list(pattern).steps if one.queries}
    assert found == {(1, 1), (3, 1)}


def test_a_step_with_a_help_is_not_listed(client):
    pattern = make_pattern()
    EditQuery.objects.create(pattern=pattern, place="sections[0].steps[0]", asks="Why?")
    assert shooting_list(pattern).steps[0].step == 1
    page = words(client.get(reverse("shooting_list", args=[pattern.slug])))
    assert "1 editor’s query" in page
    found = save_help(found=None, by=None, title="Chain", text="Draw each loop up.")
    name_in_step(pattern, found.name)
    assert (1, 1) not in [(one.section, one.step) for one in shooting_list(pattern).steps]


def test_the_promotion_sheet_says_what_a_shop_needs_in_plain_words(client):
    pattern = make_pattern(skill="easy", construction="From the hem up.", summary="A plain vest.")
    SellingFacts.objects.create(
        pattern=pattern,
        techniques=["blocks"],
        tags=["gift", "first garment"],
        finished_use="Sell what you make.",
    )
    ShopLink.objects.create(
        pattern=pattern, label="Larkmoss shop", address="https://shop.larkmoss.example/vest"
    )
    renew_rights(pattern)
    make_photo(pattern, alt="A vest on a line")
    make_version(pattern, number="1.0", kind="release")
    text = client.get(reverse("promotion_file", args=[pattern.slug])).content.decode()
    blocks = dict(block.split("\n", 1) for block in text.strip().split("\n\n")[2:])
    assert text.startswith(f"{pattern.title}\n\nA plain vest.\n\nWhat it is\n- Knitting pattern\n")
    assert "- Skill level: Easy" in blocks["What it is"]
    assert "- Construction: From the hem up." in blocks["What it is"]
    assert "- Techniques: blocks" in blocks["What it is"]
    assert blocks["Sizes and measurements"].startswith("- Sizes: S, M")
    assert blocks["Use of finished items"] == "- Sell what you make."
    assert blocks["Links"].splitlines() == [
        f"- https://larkmoss.example/patterns/{pattern.slug}/",
        "- Larkmoss shop: https://shop.larkmoss.example/vest",
    ]
    assert blocks["Tags"] == "- gift, first garment"
    page = words(client.get(reverse("promotion", args=[pattern.slug])))
    assert "Description: A vest on a line" in page
    assert "Still to take: " in page
    assert "Evenrow sends nothing anywhere." in page


def test_a_draft_has_its_sheet_and_balls_are_those_of_the_numbers():
    pattern = make_sample("puffinbay_child")
    sheet = promotion_sheet(pattern)
    assert sheet.version is None
    parts = dict(sheet.parts)
    assert "What you get" not in parts
    assert "Links" not in parts
    assert any("strangle" in line or "choke" in line or "Safety" in line for line in parts["Please note"])
    balls = list(pattern.sheet.yarn_needs.filter(position=0))
    assert len(parts["Yarn"]) >= len(balls)
    for need in balls:
        least, most = min(need.balls), max(need.balls)
        assert any(f"{least:.0f} to {most:.0f} balls, by size" in line for line in parts["Yarn"])


def test_balls_are_told_for_each_choice_that_changes_them():
    pattern = make_sample("thistledrift_waistcoat")
    sold = dict(promotion_sheet(pattern).parts)
    assert sold["What it is"][0] == "Tunisian crochet pattern"
    needs = pattern.sheet.yarn_needs.filter(colour="A")
    least, most = (pick(pick(need.balls) for need in needs) for pick in (min, max))
    (a,) = (line for line in sold["Yarn"] if line.startswith("Color A: "))
    (b,) = (line for line in sold["Yarn"] if line.startswith("Color B: "))
    assert f"; {least:.0f} to " in a
    assert f" to {most:.0f} balls, by size (" in a
    assert "; none (in solid colors)" in b
    assert "0 balls" not in b
