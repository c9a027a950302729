"""Markdown becomes safe HTML, fast, with the star as a repeat mark."""

import json
import re
import time
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, cast

import pytest

from catalogue.instructions.markdown import LONGEST, markdown_html, markdown_problem

BAD: list[dict[str, Any]] = json.loads(
    (Path(__file__).parents[2] / "data/bad_markdown.json").read_text(encoding="utf-8")
)
ALLOWED = {"p", "br", "em", "strong", "code", "pre", "ul", "ol", "li", "blockquote", "a", "hr"}


class Elements(HTMLParser):
    """Collects the elements of a page, their attributes and the deepest nesting."""

    def __init__(self, html: str) -> None:
        """Read a page."""
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.depth = self.deepest = 0
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep an element."""
        self.found.append((tag, dict(attrs)))
        self.depth += tag not in ("br", "hr")
        self.deepest = max(self.deepest, self.depth)

    def handle_endtag(self, tag: str) -> None:
        """Leave an element."""
        self.depth -= tag not in ("br", "hr")


def bad_text(entry: dict[str, Any]) -> str:
    """Return the text of an entry."""
    return cast("str", entry["text"] if "text" in entry else entry["part"] * entry["times"])


@pytest.mark.parametrize("entry", BAD, ids=lambda entry: entry["name"])
def test_bad_input_is_safe_and_fast(entry: dict[str, Any]) -> None:
    started = time.process_time()
    page = Elements(markdown_html(bad_text(entry)))
    assert time.process_time() - started < 2
    assert {tag for tag, _ in page.found} <= ALLOWED
    assert all(set(attributes) <= {"href", "rel", "start"} for _, attributes in page.found)
    for _, attributes in page.found:
        assert re.match("https?:|mailto:", attributes.get("href") or "https:")
    assert page.deepest <= 30


def test_raw_html_is_shown_as_it_was_typed() -> None:
    assert markdown_html("<script>1</script> <!-- x") == ("<p>&lt;script&gt;1&lt;/script&gt; &lt;!-- x</p>\n")


def test_a_star_is_a_repeat_mark() -> None:
    for text in ("*k1, p1; rep from * to end*", "* k1", "***", "- * * *", "**2 dc**"):
        html = markdown_html(text)
        assert html.count("*") == text.count("*")
        assert "<em>" not in html
        assert "<strong>" not in html


def test_underscores_lists_and_quotations_are_markdown() -> None:
    assert markdown_html("_so_ __very__ `dc`") == (
        "<p><em>so</em> <strong>very</strong> <code>dc</code></p>\n"
    )
    assert markdown_html("- a\n- b") == "<ul>\n<li>a</li>\n<li>b</li>\n</ul>\n"
    assert "<blockquote>" in markdown_html("> a")
    assert markdown_html("a\n\nb") == "<p>a</p>\n<p>b</p>\n"


def test_links_lead_to_the_web_and_to_mailboxes_only() -> None:
    assert 'href="https://larkmoss.example/a"' in markdown_html("[a](https://larkmoss.example/a)")
    assert 'href="mailto:x@larkmoss.example"' in markdown_html("[a](mailto:x@larkmoss.example)")
    for address in ("javascript:alert(1)", "JAVASCRIPT:x", "/admin", "ftp://x.example", "//x.example"):
        assert "<a" not in markdown_html(f"[a]({address})")


def test_what_looks_like_other_markdown_is_kept() -> None:
    for text in ("# Row 1", "[x]: http://x.example", "![alt](http://x.example/i.png)"):
        html = markdown_html(text)
        assert "<h1" not in html
        assert "<img" not in html
        assert text.split("]")[0].lstrip("!") in html


def test_too_long_and_too_deep_texts_are_refused_with_a_sentence() -> None:
    assert markdown_problem("x" * LONGEST) is None
    assert "20,000 characters" in str(markdown_problem("x" * (LONGEST + 1)))
    deep = ">" * 24 + " a"
    assert "deep" in str(markdown_problem(deep))
    assert "&gt;&gt;" in markdown_html(deep)
