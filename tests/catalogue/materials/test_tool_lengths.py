"""Lengths of hooks and needles on sale: common ones, changed by the studio, named in the booklet."""

import pytest
from django.urls import reverse

from catalogue.editions.choices import home_choices
from catalogue.editions.needs import tool_lines
from catalogue.editions.sources import source_of
from catalogue.materials.tool_lengths import changed_lengths, lengths_on_sale, read_lengths, store_lengths
from catalogue.models import ToolLengthList
from catalogue.versions.freezing import record_pattern
from grading.core.grade.grade import grade
from grading.core.tools.tools import COMMON_LENGTHS
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_record
from tests.catalogue.desk_work import typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("60 cm / 24 in", [[60, 24]]),
        ("60 cm = 24 in\n\n 80cm/32in ", [[60, 24], [80, 32]]),
        ("22.5 cm / 9 in", [[22.5, 9]]),
    ],
)
def test_lengths_are_read_line_by_line(text, wanted):
    assert read_lengths(text) == wanted


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("60 cm / 24 in\neighty", "Line 2, “eighty”"),
        ("60", "Line 1"),
        ("80 cm / 32 in\n60 cm / 24 in", "rise from the shortest"),
        ("0 cm / 0 in", "above 0"),
        ("\n", "at least one length"),
    ],
)
def test_lengths_that_make_no_sense_are_refused(text, says):
    with pytest.raises(ValueError, match=says):
        read_lengths(text)


def test_only_lists_that_differ_from_the_common_ones_are_kept():
    common = [[float(one.cm.split()[0]), float(one.inches.split()[0])] for one in COMMON_LENGTHS.circulars]
    store_lengths(lists={"circulars": common, "cord_hooks": [[70, 28]]})
    assert changed_lengths() == {"cord_hooks": [[70, 28]]}
    assert lengths_on_sale().circulars == COMMON_LENGTHS.circulars
    store_lengths(lists={"cord_hooks": [[60, 24], [80, 32], [100, 40], [120, 47], [150, 60]]})
    assert not ToolLengthList.objects.exists()


def test_the_page_keeps_what_was_typed_and_says_what_is_wrong(client, designer):
    page = reverse("tool_lengths")
    assert "80 cm / 32 in" in client.get(page).content.decode()
    answer = client.post(page, typed(client, page, circulars="forty"))
    assert answer.status_code == 400
    assert "Line 1, “forty”" in answer.content.decode()
    assert answer.context["form"]["circulars"].value() == "forty"
    assert client.post(page, typed(client, page, cord_hooks="70 cm / 28 in")).status_code == 302
    assert changed_lengths() == {"cord_hooks": [[70, 28]]}


def test_a_version_names_the_lengths_as_they_were_on_sale_when_it_was_frozen():
    store_lengths(lists={"cord_hooks": [[70, 28], [170, 67]]})
    record = make_record(make_pattern("thistledrift_waistcoat"))
    store_lengths(lists={"cord_hooks": [[90, 36]]})
    source = source_of(record, grade(record_pattern(record)), home_choices(record))
    first = tool_lines(source)[0]
    # common practice: every stitch of a Tunisian row is on the hook, and the narrowest back is 41 cm wide
    assert "a Tunisian hook with a cord of 70 cm" in first
    assert "90 cm" not in first
