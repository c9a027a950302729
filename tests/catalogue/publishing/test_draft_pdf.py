"""The PDF of a draft: few pages after a pattern has begun, with the numbers of its sheet."""

import io

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from pypdf import PdfReader

from catalogue.drafts.documents import pattern_document
from catalogue.models import Pattern, Version
from grading.core.printing.numbers import number_list
from grading.models import StoredResult
from tests.catalogue.desk_work import load, small_document, worked
from tests.sent_forms import form_on

pytestmark = pytest.mark.django_db
MOST_PAGES = 5


def test_from_a_new_pattern_to_its_first_pdf_are_five_pages_at_most(designer_client):
    pages = []

    def look(address):
        pages.append(address)
        return designer_client.get(address)

    desk = look(reverse("desk")).content.decode()
    assert reverse("beginnings") in desk
    assert reverse("beginning", args=["hat"]) in look(reverse("beginnings")).content.decode()
    fields = form_on(look(reverse("beginning", args=["hat"])).content.decode(), "")
    known = {"title": "Fernside Hat", "stitches": "18", "rows": "24", "weight": "11.5"}
    begun = designer_client.post(reverse("beginning", args=["hat"]), {**fields, **known})
    assert begun.status_code == 302, begun.content.decode()
    sheet = look(begun["Location"]).content.decode()
    pattern = Pattern.objects.get()
    assert reverse("draft_pdf", args=[pattern.slug]) in sheet
    answer = look(reverse("draft_pdf", args=[pattern.slug]))
    assert answer["Content-Type"] == "application/pdf"
    assert len(pages) <= MOST_PAGES
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    text = " ".join(text.split())
    assert "copy for the studio" in text
    assert "Draft to read through: not a version" in text
    assert "est version" not in text
    (stitches,) = StoredResult.objects.filter(sheet=pattern.sheet, part="values", name="hat_stitches")
    assert number_list([str(one) for one in stitches.figures["worked"]]) in text
    assert not Version.objects.exists()


def test_a_group_of_sizes_has_a_draft_of_its_own(designer_client):
    document = small_document()
    *small, large = document["sizes"]
    groups = [{"label": "Small", "sizes": small}, {"label": "Large", "sizes": [large]}]
    pattern = load(size_groups=groups)
    page = designer_client.get(reverse("desk_pattern", args=[pattern.slug])).content.decode()
    assert '<option value="Large">Large alone</option>' in page
    texts = {}
    for group in ("", "Small", "Large"):
        answer = designer_client.get(reverse("draft_pdf", args=[pattern.slug]), {"group": group})
        pdf = PdfReader(io.BytesIO(answer.content))
        texts[group] = " ".join(one.extract_text() for one in pdf.pages)
    assert len({*texts.values()}) == 3
    answer = designer_client.get(reverse("draft_pdf", args=[pattern.slug]), {"group": "Middle"}, follow=True)
    assert "there is no group of sizes “Middle”. Choose one in the list." in answer.content.decode()


def test_a_draft_with_a_stop_finding_has_no_pdf_and_says_why(designer_client):
    pattern = load(
        values=[{"name": "chest", "label": "Chest", "kind": "length", "formula": "nobody"}], checks=[]
    )
    answer = designer_client.get(reverse("draft_pdf", args=[pattern.slug]))
    assert answer["Location"] == reverse("desk_pattern", args=[pattern.slug])
    (said,) = [str(one) for one in get_messages(answer.wsgi_request)]
    assert said.startswith("There is no PDF of this draft yet:")
    assert "a Stop at Chest and 2 more. Correct what is listed first below." in said


def test_a_draft_is_printed_in_one_size_that_is_chosen_on_its_pages(designer_client):
    pattern = load("brackenmere_pullover")
    document = pattern_document(pattern)
    for name in ("desk_pattern", "sheet"):
        page = designer_client.get(reverse(name, args=[pattern.slug])).content.decode()
        assert f'action="{reverse("draft_pdf", args=[pattern.slug])}"' in page
        assert '<option value="">all sizes</option>' in page
        assert all(f'<option value="{size}">size {size}</option>' in page for size in document["sizes"])
    address, texts = reverse("draft_pdf", args=[pattern.slug]), []
    for asked in ({}, {"size": "M"}):
        answer = designer_client.get(address, asked)
        assert answer["Content-Type"] == "application/pdf"
        pages = PdfReader(io.BytesIO(answer.content)).pages
        texts.append(" ".join(" ".join(page.extract_text() for page in pages).split()))
    lists = [
        number_list([str(one) for one in worked(pattern, value["name"])])
        for value in document["values"]
        if value["kind"] == "stitches"
    ]
    in_all = [one for one in lists if "(" in one and one in texts[0]]
    assert in_all
    assert not [one for one in in_all if one in texts[1]]


def test_a_size_that_the_draft_does_not_have_is_refused_in_a_sentence(designer_client):
    pattern = load("brackenmere_pullover")
    answer = designer_client.get(reverse("draft_pdf", args=[pattern.slug]), {"size": "nobody"})
    assert answer["Location"] == reverse("desk_pattern", args=[pattern.slug])
    (said,) = [str(one) for one in get_messages(answer.wsgi_request)]
    assert said == ("There is no PDF of this draft yet: there is no size “nobody”. Choose one in the list.")
