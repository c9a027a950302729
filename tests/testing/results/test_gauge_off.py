"""A gauge that is off: what to do is said at entry, on the garment’s page, in the copy and the guide."""

import re

from django.test import Client
from django.urls import reverse

from testing.models import Result
from tests.catalogue.builders import make_pattern
from tests.testing.builders import make_call, make_place


def address(name, place, *more):
    return reverse(name, args=[place.pk, *more])


def test_what_to_do_is_said_after_saving_and_until_something_is_measured(as_tester, place):
    asked = address("making_gauge", place, "main")
    # the pattern has 20 stitches and 28 rows
    shown = as_tester.post(asked, {"stitches": "22", "rows": "28"}, follow=True).content.decode()
    advice = (
        "You have 22 stitches, the pattern 20: count once more. "
        "If it stays, try a larger needle, then swatch again before you begin."
    )
    assert advice in shown
    assert advice in as_tester.get(asked).content.decode()
    making = address("making", place)
    assert advice in as_tester.get(making).content.decode()
    as_tester.post(asked, {"stitches": "20", "rows": "28"})
    assert "swatch again" not in as_tester.get(making).content.decode()
    as_tester.post(asked, {"stitches": "22", "rows": "28"}, follow=True)
    as_tester.post(address("making_measured", place, "chest"), {"length": "92"})
    assert "swatch again" not in as_tester.get(making).content.decode()
    differs = "Differs from the pattern, and that is fine: 22 stitches over 10 cm, the pattern has 20"
    assert differs in as_tester.get(making).content.decode()
    again = as_tester.get(asked).content.decode()
    assert "swatch again" not in again
    assert "Differs from the pattern: 22 stitches over 10 cm, the pattern has 20." in again
    assert 'href="/guide/measuring/#begun"' in again, "what is told of a garment that is made"
    assert "what to do" not in again


def test_a_pattern_in_uk_terms_asks_for_the_tension_on_each_page(client, db):
    place = make_place(make_call(pattern=make_pattern("cinderfell_raglan")))
    client.force_login(place.person)
    asked = address("making_gauge", place, "main")
    client.post(asked, {"stitches": "22", "rows": "30"})
    pages = (
        asked,
        address("making", place),
        address("making_more", place),
        address("making_garment_gauge", place, "main"),
        address("making_tool", place),
        address("making_read", place),
    )
    for page in pages:
        shown = re.sub(r"<[^>]*>", " ", client.get(page).content.decode())
        assert "tension" in shown.lower(), page
        assert not re.search(r"\bgauge", shown, re.IGNORECASE), page
    # a fabric in the round has rounds (common practice)
    assert "Rounds over 10 cm" in client.get(asked).content.decode()
    client.post(asked, {"stitches": "22", "rows": "28"})
    told = client.get(asked).content.decode()
    assert "You have 28 rounds, the pattern 30: lengths that are counted in rounds" in told
    assert not re.search(r"[\d.]+ rows", told), "the same word as the field"
    assert re.search(r'If your tension is off:\s+<a href="/guide/measuring/#swatch">what to do</a>\.', told)


def test_who_counts_over_4_in_is_told_the_number_that_is_printed(as_tester, place):
    # 10 cm and 4 in (101.6 mm) are one square to the trade (common practice): 20 is printed for both
    place.person.units = "in"
    place.person.save()
    asked = address("making_gauge", place, "main")
    as_tester.post(asked, {"stitches": "20", "rows": "28"})
    assert "the pattern" not in as_tester.get(address("making", place)).content.decode()
    as_tester.post(asked, {"stitches": "22", "rows": "28"})
    assert "You have 22 stitches, the pattern 20:" in as_tester.get(asked).content.decode()
    place.person.units = "cm"  # what was counted stays as it was counted
    place.person.save()
    assert "You have 22 stitches, the pattern 20:" in as_tester.get(asked).content.decode()


def test_the_phone_copy_and_the_guide_say_it_too(as_tester, place):
    copy = " ".join(as_tester.get(address("making_read", place)).content.decode().split())
    assert "More stitches than this? Try a larger needle. Fewer? Try a smaller one." in copy
    guide = as_tester.get("/guide/measuring/").content.decode()
    assert "If your gauge (tension in UK patterns) is off" in guide
    assert 'id="begun"' in guide


def test_the_studio_sees_a_gauge_that_is_off_on_the_call_and_at_the_garment(as_tester, designer, place):
    as_designer = Client()
    as_designer.force_login(designer)
    call = place.call
    pages = [reverse("call", args=[call.pattern.slug, call.pk])]
    as_tester.post(address("making_gauge", place, "main"), {"stitches": "20.4", "rows": "28"})
    result = Result.objects.get(placement=place)
    pages.append(reverse("call_garment", args=[call.pattern.slug, call.pk, result.pk]))
    for page in pages:
        assert "the pattern has" not in as_designer.get(page).content.decode()
    as_tester.post(address("making_gauge", place, "main"), {"stitches": "18", "rows": "28"})
    for page in pages:
        assert "18 stitches over 10 cm, the pattern has 20" in as_designer.get(page).content.decode()
