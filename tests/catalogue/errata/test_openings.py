"""A confirmed erratum leads to where it is corrected in the draft, also where its step has moved."""

import pytest
from django.urls import reverse

from catalogue.errata.errata import Mistake, judge_erratum, report_erratum
from catalogue.errata.openings import openings_of
from catalogue.models import Studio
from tests.builders import make_person
from tests.catalogue.builders import edit, make_version
from tests.catalogue.desk_work import load
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def test_a_step_that_moved_is_opened_where_it_is_now_with_the_numbers_it_prints(client):
    Studio.objects.create(name="Larkmoss Studio")
    pattern = load(yarns=[{"colour": "A", "label": "Larkmoss Orrendale"}])
    version = make_version(pattern, kind="test", number="0.1")
    of_step, of_value, of_gauge = (
        report_erratum(Mistake(pattern=pattern, place=place, found_in=version))
        for place in ("sections[0].steps[1]", "values.edge", "gauge")
    )
    edit(pattern, lambda document: document["sections"][0]["steps"].insert(0, "Use the larger hook."))
    for one in (of_step, of_value, of_gauge):
        one.refresh_from_db()
    edge = ("Edge, rows", reverse("entry", args=[pattern.slug, "values", 3]))
    moved = ("Back, step 3", reverse("step", args=[pattern.slug, 1, 3]))
    assert [(one.label, one.page) for one in openings_of(of_step)] == [moved, edge]
    assert [(one.label, one.page) for one in openings_of(of_value)] == [edge]
    assert [one.page for one in openings_of(of_gauge)] == [reverse("sheet", args=[pattern.slug])]
    client.force_login(make_person(role="designer"))
    address = reverse("erratum", args=[pattern.slug, of_step.pk])
    assert f'href="{moved[1]}"' not in client.get(address).content.decode()
    judge_erratum(erratum=of_step, is_mistake=True)
    assert f'<a class="btn btn-primary" href="{moved[1]}">Open Back, step 3</a>' in page_text(
        client.get(address)
    )
