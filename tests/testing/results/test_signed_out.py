"""A session that is over, and what was pressed then; what a phone keeps for places without a connection."""

import re
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

NOT_YET = "Nothing was done yet"


@pytest.mark.parametrize(
    ("origin", "leads_to"),
    [("http://testserver", "page"), ("https://elsewhere.example", "act"), ("", "act")],
)
def test_a_button_pressed_after_the_session_leads_back_to_its_page(client, place, origin, leads_to):
    addresses = {
        "page": f"{reverse('making_withdraw', args=[place.pk])}?from=list",
        "act": reverse("making_return", args=[place.pk]),
    }
    headers = {"Referer": f"{origin}{addresses['page']}"} if origin else {}
    answer = client.post(addresses["act"], headers=headers)
    assert parse_qs(urlsplit(answer["Location"]).query)["next"] == [addresses[leads_to]]
    assert NOT_YET in client.get(answer["Location"], follow=True).content.decode()
    assert NOT_YET not in client.get(answer["Location"], follow=True).content.decode()


def test_each_question_that_a_page_offers_can_be_kept(as_tester, place):
    worker = as_tester.get(reverse("making_worker")).content.decode()
    found = re.search(r"QUESTION =\s*/(.+)/;", worker)
    assert found
    question = re.compile(found[1].replace("\\/", "/"))
    pages = [
        as_tester.get(reverse(name, args=[place.pk])).content.decode() for name in ("making", "making_more")
    ]
    links = [
        link
        for page in pages
        for part in re.findall(r"<(?:ul|div|p) [^>]*data-questions>(.*?)</(?:ul|div|p)>", page, re.DOTALL)
        for link in re.findall(r'href="([^"]+)"', part)
    ]
    assert reverse("making_counted", args=[place.pk]) in links
    assert len(links) > 15
    assert [link for link in links if not question.search(link)] == []
