"""Size tables compared with one's own copy: ticked row by row, signed and dated, lost when figures change."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.models import CheckedRow
from catalogue.sheets.checked_tables import check_rows, figures_of, row_standings
from grading.sizes.tables import find_table, own_number, store_own_table
from tests.builders import make_person
from tests.present import present

pytestmark = pytest.mark.django_db
KEY = "yarn-woman"
CAUTION = "Not yet checked against the published table"


def table_of(key):
    return present(find_table(key))


def ticked(key=KEY):
    return {one.name for one in row_standings(key, table_of(key)) if one.checked}


def test_rows_are_ticked_signed_and_unticked(designer_client):
    page = reverse("size_table", args=[KEY])
    assert CAUTION in designer_client.get(page).content.decode()
    ticks = {"row": ["bust", "waist"], "figures": figures_of(table_of(KEY))}
    answer = designer_client.post(reverse("size_table_compared", args=[KEY]), ticks, follow=True)
    shown = " ".join(answer.content.decode().split())
    assert "2 of 9 rows are compared" in shown
    assert f"Agrees: {present(CheckedRow.objects.first()).by}" in shown
    assert ticked() == {"bust", "waist"}
    designer_client.post(reverse("size_table_compared", args=[KEY]), {**ticks, "row": ["bust"]})
    assert ticked() == {"bust"}


def test_the_caution_goes_when_all_rows_are_compared(designer_client):
    names = [one.name for one in table_of(KEY).measurements]
    ticks = {"row": names, "figures": figures_of(table_of(KEY))}
    designer_client.post(reverse("size_table_compared", args=[KEY]), ticks)
    assert CAUTION not in designer_client.get(reverse("size_table", args=[KEY])).content.decode()


def test_the_list_parts_charts_that_nobody_has_compared_from_the_others(designer_client):
    name, list_of = table_of(KEY).name, reverse("size_tables")
    before = designer_client.get(list_of).content.decode()
    unchecked, others = before.split('<h2 id="published">From published charts</h2>')
    assert '<h2 id="unchecked">From published charts, not yet checked</h2>' in unchecked
    assert name in unchecked
    assert name not in others
    assert table_of("heads").name in others
    rows = {one.name for one in table_of(KEY).measurements}
    check_rows(key=KEY, table=table_of(KEY), names=rows - {"bust"}, by=make_person())
    assert name not in designer_client.get(list_of).content.decode().split('id="published"')[1]
    check_rows(key=KEY, table=table_of(KEY), names=rows, by=make_person(email="two@larkmoss.example"))
    others = designer_client.get(list_of).content.decode().split('id="published"')[1]
    assert name in others
    assert CAUTION not in others


def test_an_older_tick_keeps_its_name_and_day():
    first, second = make_person(email="one@larkmoss.example"), make_person(email="two@larkmoss.example")
    table = table_of(KEY)
    check_rows(key=KEY, table=table, names={"bust"}, by=first)
    CheckedRow.objects.update(checked_on=timezone.localdate() - dt.timedelta(days=9))
    check_rows(key=KEY, table=table, names={"bust", "hip"}, by=second)
    rows = {
        row.measurement: (row.by, (timezone.localdate() - row.checked_on).days)
        for row in CheckedRow.objects.all()
    }
    assert rows == {"bust": (first, 9), "hip": (second, 0)}


def test_changed_figures_and_unknown_rows_are_not_compared():
    person = make_person()
    table = table_of(KEY)
    own = type(table)(name="Ours", unit="in", sizes=table.sizes, measurements=table.measurements[:2])
    key = store_own_table(table=own)
    check_rows(key=key, table=table_of(key), names={"bust", "nothing"}, by=person)
    assert ticked(key) == {"bust"}
    wider = type(own)(name="Ours", unit="cm", sizes=own.sizes, measurements=own.measurements)
    store_own_table(table=wider, number=own_number(key))
    assert ticked(key) == set()


def test_rows_are_not_ticked_that_were_other_when_they_were_seen(designer_client):
    answer = designer_client.post(
        reverse("size_table_compared", args=[KEY]), {"row": ["bust"], "figures": "of before"}, follow=True
    )
    assert "compare its rows again" in answer.content.decode()
    assert ticked() == set()


def test_the_page_says_where_each_row_comes_from(designer_client):
    page = " ".join(designer_client.get(reverse("size_table", args=["yarn-baby"])).content.decode().split())
    assert '<p class="quiet small"> 17 in at 6 months is confirmed by a public quotation' in page
    assert page.count('<p class="quiet small"> Not compared yet </p>') == 8
    assert page.count("from memory") == 1
    assert (
        "8 rows were typed from memory by Evenrow’s makers; nobody in the studio has compared them yet."
        in page
    )


def test_what_is_confirmed_says_from_where():
    origins = {one.name: one.origin for one in row_standings("yarn-baby", table_of("yarn-baby"))}
    assert origins["chest"].startswith("17 in at 6 months is confirmed")
    assert origins["waist"] == ""
