"""The table of errata: duplicates say of what, no mistake is in no version, lateness names its day."""

import re
from datetime import date

import pytest
from django.urls import reverse

from catalogue.errata.errata import Mistake, judge_erratum, report_erratum
from catalogue.errata.merging import merge_errata
from catalogue.models import Erratum
from tests.catalogue.builders import make_pattern, make_version
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def cells_of(page, place):
    """The cells of an erratum's row as words."""
    row = page.split(f">{place}</a>")[1].split("</tr>")[0]
    cells = re.findall(r"<td[^>]*>(.*?)</td>", row, re.DOTALL)
    return [" ".join(re.sub(r"<[^>]+>", " ", cell).split()) for cell in cells]


def test_what_is_no_mistake_or_a_duplicate_is_told_as_that_and_no_more(designer_client):
    pattern = make_pattern()
    version = make_version(pattern, number="1.0")
    first, second, third = (
        report_erratum(Mistake(pattern=pattern, place=f"values.{name}", found_in=version))
        for name in ("sleeve_rows", "chest", "sleeve_rows")
    )
    judge_erratum(erratum=second, is_mistake=False)
    merge_errata(erratum=third, into=first, by=None)
    Erratum.objects.filter(pk=first.pk).update(due_on=date(2026, 3, 5))
    page = designer_client.get(reverse("errata", args=[pattern.slug])).content.decode()
    main = page.split("<tbody>")[1]
    chest = present(re.search(rf'errata/{second.pk}/">([^<]*)</a>', main)).group(1)
    no_mistake = cells_of(main, chest)
    assert no_mistake[-3:] == ["not a mistake", "–", "–"]
    kept = reverse("erratum", args=[pattern.slug, first.pk])
    label = present(re.search(rf'href="{kept}">([^<]*)</a>', main)).group(1)
    assert re.search(rf'duplicate\s+of\s+<a href="{kept}">{re.escape(label)}</a>', main)
    assert "Overdue: it was due on 5 March" in main
