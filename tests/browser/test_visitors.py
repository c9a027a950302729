"""Pages for visitors in a browser: light, still, without a cookie, and nothing that the policy forbids."""

import gzip

import pytest
from django.urls import reverse

from tests.catalogue.builders import make_pattern, make_photo, make_version
from tests.catalogue.conftest import quick_pdf  # noqa: F401 used by name

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("quick_pdf"),
    pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all"),
]

MOVED = """() => new Promise(done => {
  let sum = 0;
  new PerformanceObserver(list => { for (const one of list.getEntries()) sum += one.value; })
    .observe({type: "layout-shift", buffered: true});
  setTimeout(() => done(sum), 500);
})"""
MOST_BYTES = 100_000


@pytest.mark.parametrize("name", ["catalogue", "pattern_page", "needs"])
def test_a_page_is_light_and_still_and_keeps_to_the_policy(window, settings, name):
    settings.STUDIO_URL = "https://larkmoss.example"
    pattern = make_pattern("thistledrift_waistcoat")
    make_photo(pattern)
    make_version(pattern, number="1.0")
    page, complaints, answers = window(width=1000), [], []
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.on("response", lambda answer: answers.append(answer))
    args = [] if name == "catalogue" else [pattern.slug]
    page.goto(reverse(name, args=args), wait_until="networkidle")
    assert complaints == []
    assert answers[0].headers["content-encoding"] == "gzip"
    assert page.evaluate(MOVED) < 0.02
    assert page.context.cookies() == []
    sent = {answer.url: _bytes_sent(answer) for answer in answers if "/photos/" not in answer.url}
    assert sum(sent.values()) < MOST_BYTES, sent


def _bytes_sent(answer):
    """What goes over the wire: pages, styles and scripts are sent compressed, fonts are so by themselves."""
    content = answer.body()
    return len(content) if answer.url.endswith(".woff2") else len(gzip.compress(content))
