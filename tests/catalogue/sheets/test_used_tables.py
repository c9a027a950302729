"""A pattern whose body measurements come from a published size table says what nobody has compared of it."""

import pytest
from django.urls import reverse

from catalogue.publishing.obstacles import in_the_way
from catalogue.sheets.checked_tables import check_rows
from catalogue.sheets.used_tables import unchecked_tables
from grading.sizes.tables import find_table, published_tables, with_table
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern
from tests.present import present

pytestmark = pytest.mark.django_db

KEY = "yarn-child"


def taken(rule="middle", names=("chest", "waist"), key=KEY, count=4):
    table = published_tables()[key]
    sizes = list(table.sizes[:count])
    return with_table({"sizes": sizes, "body": {}}, table, rule, sizes, list(names))


def test_each_table_is_found_by_its_numbers_whatever_the_rule():
    for key in ("yarn-child", "yarn-woman"):
        table = published_tables()[key]
        names = [one.name for one in table.measurements][:2]
        for rule in ("middle", "low", "high"):
            (found,) = unchecked_tables(taken(rule, names, key))
            assert (found.key, found.compared, found.rows) == (key, 0, 2)


def test_other_numbers_units_and_names_of_sizes_are_no_tables():
    document = taken(names=["chest"])
    chest = document["body"]["chest"]
    others = [
        {**document, "body": {"chest": {**chest, "unit": "cm"}}},
        {**document, "body": {"chest": {**chest, "values": [*chest["values"][:-1], 99]}}},
        {**document, "sizes": ["A", "B", "C", "D"]},
        {**document, "body": {}},
    ]
    assert unchecked_tables(document)
    assert not any(unchecked_tables(one) for one in others)


def test_it_is_said_before_signing_and_before_publishing_until_its_rows_are_compared(client):
    pattern = make_pattern()
    table = present(find_table("yarn-woman"))
    names = [one.name for one in table.measurements][:2]

    def take(document):
        shared = [size if size in table.sizes else "" for size in document["sizes"]]
        document.update(with_table({**document, "body": document["body"]}, table, "middle", shared, names))

    edit(pattern, take)
    person = make_person(role="editor")
    client.force_login(person)
    page = reverse("edit_sign_off", args=[pattern.slug])
    link = f"{reverse('size_table', args=['yarn-woman'])}#compare"

    def said():
        warned = [one for one in in_the_way(pattern, "release") if one.page == link]
        sheet = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
        assert (link in sheet) == bool(warned)
        return [one.says for one in warned], client.get(page).content.decode()

    warned, signing = said()
    assert len(warned) == 1
    assert warned[0] in signing
    assert link in signing
    check_rows(key="yarn-woman", table=table, names={one.name for one in table.measurements}, by=person)
    warned, signing = said()
    assert warned == []
    assert link not in signing
