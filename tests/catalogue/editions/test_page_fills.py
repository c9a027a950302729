"""How full pages are: from the head of a page's room to the lowest ink in it."""

import pytest
import weasyprint

from catalogue.editions.page_boxes import page_fills
from catalogue.site.benches.pages import FilledEdition

PAGE = "<style>@page { size: 100mm; margin: 10mm 10mm 15mm } * { margin: 0 } p { line-height: 15mm }</style>"


@pytest.mark.parametrize(
    ("words", "fills"),
    [
        ("<p>one line of five", [0.2]),
        ("<p>one<p>two<p>three", [0.6]),
        ("<p>one<div style='height: 50mm'></div>", [0.2]),  # what has no ink fills nothing
        ("<p>one<p style='break-before: page'>two<p>three", [0.2, 0.4]),
        (
            "<svg xmlns='http://www.w3.org/2000/svg' style='display: block' width='9mm' height='60mm'></svg>",
            [0.8],
        ),
        ("", [0.0]),
    ],
)
def test_a_page_is_as_full_as_its_lowest_ink_says(words, fills):
    pages = weasyprint.HTML(string=PAGE + words).render().pages
    assert page_fills(pages) == pytest.approx(fills, abs=0.02)


def test_what_stands_in_the_margins_fills_nothing():
    foot = "<style>@page { @bottom-left { content: 'version 1.0' } }</style>"
    pages = weasyprint.HTML(string=PAGE + foot + "<p>one").render().pages
    assert page_fills(pages) == pytest.approx([0.2], abs=0.02)


def test_the_last_page_may_be_as_empty_as_it_likes():
    assert FilledEdition("hat", "home", (0.59, 0.6, 1.0, 0.1)).sparse == [(1, 0.59)]
