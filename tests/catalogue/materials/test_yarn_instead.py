"""Another yarn in the place of one that a draft counts: the length stays, the weights follow."""

import datetime as dt
import json
from decimal import Decimal

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import undo_last_edit
from catalogue.drafts.yarn_ends import yarn_ends
from catalogue.materials.ended_yarns import touched_by
from catalogue.materials.yarn_instead import NotInPlace, with_yarn
from catalogue.models import Pattern, PatternYarn, Yarn
from grading.models import YarnNeed
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern
from tests.catalogue.desk_work import fresh

pytestmark = pytest.mark.django_db


@pytest.fixture
def yarns():
    """The yarn of the pattern, 220 m in 100 g, no longer made; and one with 205 m to take in its place."""
    other = Yarn.objects.create(
        name="Larkmoss Wendlebury", put_up_g=Decimal(50), length_per_100g_m=Decimal(205)
    )
    old = Yarn.objects.create(
        name="Larkmoss Orrendale", put_up_g=Decimal(50), length_per_100g_m=Decimal(220), substitute=other,
        ended_on=dt.date(2026, 3, 2),
    )  # fmt: skip
    return old, other


@pytest.fixture
def pattern(client, yarns):
    client.force_login(make_person(role="designer"))
    made = make_pattern()
    edit(made, lambda document: document["yarns"][0].update(label="Larkmoss Orrendale", put_up="50 g"))
    PatternYarn.objects.create(pattern=made, colour="A", yarn=yarns[0])
    return Pattern.objects.get(pk=made.pk)


def amounts(pattern):
    needs = YarnNeed.objects.filter(sheet=pattern.sheet, colour="A").order_by("pk")
    return [number for need in needs for number in need.length_m], [
        number for need in needs for number in need.weight_g
    ]


def words(answer):
    return " ".join(answer.content.decode().split())


def put(client, pattern, yarn):
    sent = {"colour": "A", "to": f"{yarn.pk}-0", "revision": pattern.sheet.revision}
    return client.post(reverse("yarn_instead", args=[pattern.slug]), sent)


def test_the_length_stays_and_the_weights_follow(client, yarns, pattern):
    # Derived by hand: 12.6 g of 220 m in 100 g are 12.6 × 2.2 = 27.72 m. Of 205 m in 100 g that is
    # 27.72 / 2.05 = 13.52195… g. 10.4 g: 22.88 m, 11.16098 g. Extra 12 g: 26.4 m, 12.87805 g.
    old, other = yarns
    before = pattern_document(pattern)
    metres, grams = amounts(pattern)
    told = touched_by(old)[0]
    assert [before["fabrics"][one]["swatch"]["weight"] for one in ("main", "rib")] == ["12.6 g", "10.4 g"]
    page = words(client.get(reverse("yarn_instead", args=[pattern.slug])))
    assert "Use Larkmoss Wendlebury in place of Larkmoss Orrendale" in page
    assert "<td>12.6 g</td><td>13.522 g</td>" in page
    assert f"{told.balls} before, {told.instead} after." in page
    assert put(client, pattern, other).status_code == 302
    after = pattern_document(Pattern.objects.get(pk=pattern.pk))
    assert [after["fabrics"][one]["swatch"]["weight"] for one in ("main", "rib")] == ["13.522 g", "11.161 g"]
    assert after["yarn_sections"][0]["extra"] == "12.878 g"
    assert after["yarns"][0] | {"label": "", "yarn_weight": 3} == {
        "colour": "A", "label": "", "yarn_weight": 3, "length_per_100g": "205 m", "put_up": "50 g"
    }  # fmt: skip
    new_metres, new_grams = amounts(pattern)
    assert new_metres == pytest.approx(metres, rel=1e-4)  # weights are typed to a milligram in some ten grams
    assert new_grams == pytest.approx([one * 220 / 205 for one in grams], rel=1e-4)


def test_the_warning_goes_and_the_balls_are_those_that_were_told(client, yarns, pattern):
    old, other = yarns
    told = touched_by(old)[0].instead
    assert yarn_ends(pattern, pattern_document(pattern))
    put(client, pattern, other)
    assert yarn_ends(pattern, pattern_document(Pattern.objects.get(pk=pattern.pk))) == []
    assert touched_by(other)[0].balls == told


def test_undoing_once_brings_back_the_sheet_and_the_chosen_yarn(client, yarns, pattern):
    before = pattern_document(pattern)
    put(client, pattern, yarns[1])
    assert PatternYarn.objects.get(pattern=pattern).yarn == yarns[1]
    stored = Pattern.objects.get(pk=pattern.pk)
    undo_last_edit(pattern=stored, revision=stored.sheet.revision, by=None)
    assert pattern_document(Pattern.objects.get(pk=pattern.pk)) == before
    assert PatternYarn.objects.get(pattern=pattern).yarn == yarns[0]


def test_a_computed_weight_is_marked_until_a_weighed_one_is_typed(client, yarns, pattern):
    put(client, pattern, yarns[1])
    where = reverse("entry", args=[pattern.slug, "fabrics", 0])
    marked = f'computed, not weighed. <a href="{where}">'
    assert marked in words(client.get(reverse("yarn_page", args=[pattern.slug])))
    form = client.get(where).context["form"]
    assert form["swatch__computed"].value() is True
    file = json.loads(client.get(reverse("pattern_file", args=[pattern.slug])).content)
    assert file["fabrics"]["main"]["swatch"]["computed"] is True
    sent = {name: form[name].value() or "" for name in form.fields} | {"swatch__computed": "on"}
    client.post(where, {**sent, "label": "Renamed"})
    assert pattern_document(pattern)["fabrics"]["main"]["swatch"]["computed"] is True
    client.post(where, {**sent, "revision": fresh(pattern).sheet.revision, "swatch__weight": "13.4"})
    swatch = pattern_document(pattern)["fabrics"]["main"]["swatch"]
    assert (swatch["weight"], "computed" in swatch) == ("13.4 g", False)
    assert marked not in words(client.get(reverse("yarn_page", args=[pattern.slug])))
    assert "swatch__computed" not in client.get(where).context["form"].fields


def test_a_swatch_that_counts_for_a_yarn_that_stays_is_refused(client, yarns, pattern):
    def second(document):
        document["yarns"].append({"colour": "B", "label": "Larkmoss Skeinbury", "length_per_100g": "220 m"})
        document["yarn_sections"][2]["colour"] = "B"

    edit(pattern, second)
    document = pattern_document(Pattern.objects.get(pk=pattern.pk))
    with pytest.raises(NotInPlace, match="counts for yarn B too, which stays"):
        with_yarn(document, "A", yarns[1])
    answer = put(client, Pattern.objects.get(pk=pattern.pk), yarns[1])
    assert answer.status_code == 400
    assert "counts for yarn B too" in words(answer)
    assert pattern_document(Pattern.objects.get(pk=pattern.pk)) == document


def test_a_formula_of_an_extra_weight_is_multiplied(yarns, pattern):
    document = pattern_document(pattern)
    document["yarn_sections"][0]["extra"] = "2 * 6 g"
    assert with_yarn(document, "A", yarns[1]).document["yarn_sections"][0]["extra"] == "(2 * 6 g) * 220 / 205"


def test_an_edit_that_came_first_is_told_and_nothing_is_stored(client, yarns, pattern):
    document = pattern_document(pattern)
    sent = {"colour": "A", "to": f"{yarns[1].pk}-0", "revision": 0}
    answer = client.post(reverse("yarn_instead", args=[pattern.slug]), sent)
    assert "Somebody else changed this pattern" in words(answer)
    assert pattern_document(Pattern.objects.get(pk=pattern.pk)) == document
    assert PatternYarn.objects.get(pattern=pattern).yarn == yarns[0]


@pytest.mark.parametrize(("colour", "to", "status"), [("Z", "", 404), ("A", "nothing", 400)])
def test_what_is_not_there_is_refused(client, pattern, colour, to, status):
    answer = client.get(reverse("yarn_instead", args=[pattern.slug]), {"colour": colour, "to": to})
    assert answer.status_code == status


def test_another_length_typed_for_a_yarn_warns_before_and_after_it_is_saved(client, pattern):
    # Derived: grams stay, so the metres are multiplied by 205 / 220.
    most = max(amounts(pattern)[0])
    sent = {
        "revision": pattern.sheet.revision, "was": "A", "colour": "A", "label": "Larkmoss Wendlebury",
        "length_per_100g": "205 m", "put_up": "50 g",
    }  # fmt: skip
    says = f"falls from {most:.0f} to {most * 205 / 220:.0f} m in the size that takes most."
    where = [pattern.slug, "yarns", 0]
    assert says in words(client.post(reverse("entry_preview", args=where), sent))
    answer = client.post(reverse("entry", args=where), sent)
    assert answer.status_code == 302
    assert any(says in str(one) for one in get_messages(answer.wsgi_request))
    sent |= {"revision": pattern.sheet.revision + 1, "label": "Larkmoss Wendlebury, wool"}
    assert "swatch was weighed" not in words(client.post(reverse("entry_preview", args=where), sent))
    document = pattern_document(Pattern.objects.get(pk=pattern.pk))
    document["yarns"][0]["length_per_100g"] = "220 m"
    file = SimpleUploadedFile("pattern.json", json.dumps(document).encode())
    loaded = client.post(reverse("desk_load"), {"file": file, "replace": "on"})
    back = f"rises from {most * 205 / 220:.0f} to {most:.0f} m in the size that takes most."
    assert any(back in str(one) for one in get_messages(loaded.wsgi_request))


def test_a_shade_of_another_yarn_is_told_apart_from_the_yarn_of_the_sheet(client, yarns, pattern):
    sent = {"colour_0": f"{yarns[1].pk}-0"}
    answer = client.post(reverse("pattern_yarns", args=[pattern.slug]), sent, follow=True)
    assert "The sheet still counts colour A in Larkmoss Orrendale, not in Larkmoss Wendlebury." in words(
        answer
    )
