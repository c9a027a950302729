"""From a verdict to the steps that use the value: as they are, and as new counts would print them."""

import pytest
from django.urls import reverse

from testing.assessment.assessing import store_assessment
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
