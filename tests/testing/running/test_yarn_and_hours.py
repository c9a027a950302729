"""Who brings the yarn of a test, how much there is of it, and how many hours to reckon with."""

import importlib
import re

import pytest
from django.urls import reverse

from testing.asked.figures import call_figures
from testing.calls.consent import agreement_text
from testing.models import TestCall
from testing.places.places import give_place, offer_key
from testing.running.call_exports import call_json
from tests.sent_forms import send_form
from tests.testing.builders import make_application, make_call, make_pattern
from tests.testing.running.test_calls_pages import address, call_form

SAID = {"yarn_from": "part", "yarn_note": "We send yarn A", "hours_from": "38", "hours_to": "60"}


def words(answer):
    return " ".join(answer.content.decode().split())


def test_the_form_asks_for_yarn_and_hours_and_stores_them(as_designer):
    pattern = make_pattern()
    page = words(as_designer.get(reverse("call_new", args=[pattern.slug])))
    for choice in (
        "Not said",
        "Testers bring their own",
        "The studio gives it",
        "The studio gives part of it",
    ):
        assert f">{choice}</option>" in page
    as_designer.post(reverse("call_new", args=[pattern.slug]), call_form(**SAID))
    call = TestCall.objects.get()
    assert (call.yarn_from, call.yarn_note) == ("part", "We send yarn A")
    assert (call.hours_from, call.hours_to) == (38, 60)


def test_a_draft_shows_what_it_says_of_yarn_and_hours_and_may_take_it_back(as_designer, studio):
    call = make_call(opened=False, yarn_from="own", hours_from=20, hours_to=30)
    form = as_designer.get(address(call, "call_change")).context["form"]
    assert [form[name].value() for name in ("yarn_from", "hours_from", "hours_to")] == ["own", 20, 30]
    send_form(
        as_designer, address(call, "call_change"), **call_form(yarn_from="", hours_from="", hours_to="")
    )
    call.refresh_from_db()
    assert (call.yarn_from, call.hours_from, call.hours_to) == ("", None, None)


@pytest.mark.parametrize(
    ("hours", "says"),
    [
        ((38, 60), "38 to 60"),
        ((40, 40), "40"),
        ((38, None), "at least 38"),
        ((None, 60), "up to 60"),
        ((None, None), ""),
    ],
)
def test_hours_are_told_as_far_as_they_are_known(hours, says):
    assert TestCall(hours_from=hours[0], hours_to=hours[1]).hours_in_words == says


def test_the_page_of_a_call_says_who_brings_the_yarn_and_how_long_it_takes(client, studio):
    call = make_call(yarn_from="part", yarn_note="We send yarn A", hours_from=38, hours_to=60)
    page = words(client.get(reverse("call_page", args=[call.slug])))
    needs = page.split("<h2>What you need</h2>")[1].split("</section>")[0]
    assert "<dt>Who brings the yarn</dt><dd>The studio gives part of it. We send yarn A</dd>" in needs
    assert "<dt>Hours to reckon with</dt><dd>38 to 60</dd>" in needs


def test_a_call_that_says_nothing_of_them_shows_no_empty_line(client, studio):
    page = words(client.get(reverse("call_page", args=[make_call().slug])))
    assert "Who brings the yarn" not in page
    assert "Hours to reckon with" not in page


def test_metres_stand_beside_grams_on_the_page_of_a_call(client, studio):
    page = words(client.get(reverse("call_page", args=[make_call().slug])))
    table = page.split('id="yarn-by-size"')[1].split("</table>")[0]
    assert re.findall(r"Yarn [AB] \([gm]\)", table) == [
        "Yarn A (g)",
        "Yarn A (m)",
        "Yarn B (g)",
        "Yarn B (m)",
    ]
    first = re.findall(r">([0-9]+)</td>", table)[:2]
    # 180 x 140 stitch-rows x 9 g / 1200 x 1.08 = 204.12 g, at 220 m in 100 g 449.06 m, to buy 450 (derived)
    assert first == ["205", "450"]


def test_without_the_length_of_a_yarn_there_are_grams_alone(studio):
    yarns = [{"colour": "A", "label": "Peat"}, {"colour": "B", "label": "Oat"}]
    assert call_figures(make_call(pattern=make_pattern(yarns=yarns))).yarn_columns == ["A (g)", "B (g)"]


def test_who_is_offered_a_place_agrees_to_the_yarn_and_reads_it(client, studio):
    call = make_call(yarn_from="given", hours_to=60)
    assert "Yarn: The studio gives it\n\nHours to reckon with: up to 60" in agreement_text(call, "M")
    placement = give_place(application=make_application(call), size="M")
    page = words(client.get(reverse("offer", args=[offer_key(placement)])))
    assert "<dt>Who brings the yarn</dt><dd>The studio gives it</dd>" in page
    assert re.search(r"[0-9]+ g, [0-9]+ m; an estimate", page)


def test_the_file_of_a_call_has_them(studio):
    told = call_json(make_call(yarn_from="own", hours_from=38))
    assert (told["yarn"], told["hours_from"], told["hours_to"]) == ("Testers bring their own", 38, None)


def test_the_migration_only_adds_columns_with_a_value_for_calls_that_exist():
    migration = importlib.import_module("testing.migrations.0014_call_yarn_and_hours").Migration
    for operation in migration.operations:
        assert type(operation).__name__ == "AddField"
        assert operation.field.null or operation.field.default == ""
