"""From a verdict to the steps that use the value: as they are, and as new counts would print them."""

import pytest
from django.urls import reverse

from testing.assessment.assessing import store_assessment
from testing.models import Result
from tests.testing.builders import make_call, make_pattern, make_place
from tests.testing.verdicts.test_verdict_pages import measure, vest_with_hem

pytestmark = pytest.mark.django_db


@pytest.fixture
def call(studio):
    document = vest_with_hem()
    hem = {"title": "Hem", "steps": ["Work {hem_stitches} sts for the hem.", "Fasten off."]}
    sections = [*document["sections"], hem]
    call = make_call(pattern=make_pattern(values=document["values"], sections=sections), at_most=3)
    for size in ("S", "M", "L"):
        for number in range(3):
            email = f"{size}{number}@larkmoss.example".lower()
            measure(
                make_place(call, size=size, name=f"Maker {size}{number}", email=email, sizes=[size]), number
            )
    store_assessment(call=call)
    return call


def mend_page(client, call, **query):
    url = reverse("verdict_mend", args=[call.pattern.slug, call.pk, "hem", "hem_stitches"])
    return client.get(url, query)


def test_the_steps_that_use_the_value_stand_old_and_new_for_one_size(as_designer, call):
    page = mend_page(as_designer, call, size="M")
    (step,) = page.context["steps"]
    counts = {size: (now, then) for size, now, then in page.context["mending"].counts}
    assert step.where == "Hem, step 1"
    assert (step.old, step.new) == tuple(f"Work {count} sts for the hem." for count in counts["M"])
    assert step.old != step.new
    text = page.content.decode()
    assert "Steps with these counts in size M" in text
    assert step.new in text


def test_an_unknown_size_is_the_first_that_changes(as_designer, call):
    assert mend_page(as_designer, call, size="9X").context["size"] == "S"


def test_the_page_of_a_garment_tells_what_was_planned_expected_and_measured(
    as_designer, call, django_assert_max_num_queries
):
    result = Result.objects.filter(placement__size="M").order_by("pk")[0]
    with django_assert_max_num_queries(25):
        page = as_designer.get(reverse("call_garment", args=[call.pattern.slug, call.pk, result.pk]))
    row = next(one for one in page.context["measured"] if one.row.line.name == "hem")
    # 190 stitches at 2 to the cm; this maker's own gauge gives another length.
    assert row.planned_mm == 950
    text = " ".join(page.content.decode().split())
    expected, measured = row.row.deviation.expected_mm / 10, row.row.deviation.measured_mm / 10
    sent = row.row.at_sent_gauge_mm / 10
    cells = [f'<td class="number">{cell:.1f} cm</td>' for cell in (sent, expected, measured)]
    assert '<td class="number"> 95.0 cm </td> ' + " ".join(cells) in text
    link = reverse("result_erratum", args=[call.pattern.slug, call.pk, result.pk, "hem"])
    assert f'<a href="{link}">Add an erratum' in text


def test_where_offers_the_steps_first_that_make_the_number(as_designer, call):
    result = Result.objects.filter(placement__size="M").order_by("pk")[0]
    address = reverse("result_erratum", args=[call.pattern.slug, call.pk, result.pk, "hem"])
    (group, steps), *rest = as_designer.get(address).context["form"].fields["place"].choices
    assert group == "Steps that make this number"
    assert [words.split(":")[0] for _, words in steps] == ["Hem, step 1"]
    assert steps[0] not in rest
    assert any(words.startswith("Hem, step 2") for _, words in rest)


def test_the_results_say_first_how_many_garments_there_are_and_what_is_wrong(as_designer, call):
    page = as_designer.get(reverse("call_results", args=[call.pattern.slug, call.pk]))
    wrong = page.context["shown"].wrong
    assert page.context["in_short"].startswith(f"9 garments were measured. {wrong[0].says}")
    assert wrong[0].name == "hem"
