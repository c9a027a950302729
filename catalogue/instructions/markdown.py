"""Markdown of the instructions as safe HTML.

A star is a repeat mark here, not emphasis, a bullet or a rule. There are no images, no headings,
no raw HTML (it is shown as typed), and links lead to http, https and mailto only. Links are read by
a rule of our own: the parser's takes quadratic time over many open brackets.
"""

import re
from collections.abc import Callable
from html import escape

import nh3
from markdown_it import MarkdownIt
from markdown_it.rules_block import StateBlock, hr, list_block
from markdown_it.rules_inline import StateInline, emphasis

LONGEST = 20_000
DEEPEST = 20

_OFF = ("image", "link", "autolink", "html_block", "html_inline", "reference", "heading", "lheading", "code")
_TAGS = {"p", "br", "em", "strong", "code", "pre", "ul", "ol", "li", "blockquote", "a", "hr"}
_LINK = re.compile(r"(?<!!)\[([^\[\]\n]{1,200})\]\(([^()\s<>\"'\ue000\ue001]{1,500})\)")
_SCHEME = re.compile(r"(?:https?://|mailto:)\S+", re.IGNORECASE)

_BlockRule = Callable[[StateBlock, int, int, bool], bool]


def markdown_problem(text: str) -> str | None:
    """Say why a text is not taken as Markdown, or None."""
    if len(text) > LONGEST:
        return f"At most {LONGEST:,} characters fit here, these are {len(text):,}: divide the text."
    if _depth(text) > DEEPEST:
        return f"Lists, quotations and emphasis can be nested {DEEPEST} deep at most: use fewer levels."
    return None


def markdown_html(text: str) -> str:
    """Return a text as safe HTML; one that is too long or too deep as it was typed."""
    if markdown_problem(text):
        return f"<p>{escape(text)}</p>"
    return nh3.clean(
        _PARSER.render(text),
        tags=_TAGS,
        attributes={"a": {"href"}, "ol": {"start"}},
        url_schemes={"http", "https", "mailto"},
        link_rel="noopener noreferrer",
    )


def _depth(text: str) -> int:
    """Return how deep the deepest element of a text stands."""
    tokens = _PARSER.parse(text)
    levels = [token.level + child.level for token in tokens for child in token.children or ()]
    return max([*levels, *(token.level for token in tokens)], default=0)


def _unless_star(rule: _BlockRule) -> _BlockRule:
    """Keep a rule of blocks from lines that begin with a star."""

    def read(state: StateBlock, start_line: int, end_line: int, silent: bool) -> bool:
        place = state.bMarks[start_line] + state.tShift[start_line]
        if state.src[place : place + 1] == "*":
            return False
        return rule(state, start_line, end_line, silent)

    return read


def _emphasis(state: StateInline, silent: bool) -> bool:
    """Read emphasis by underscores only."""
    return state.src[state.pos] != "*" and emphasis.tokenize(state, silent)


def _link(state: StateInline, silent: bool) -> bool:
    """Read a link; one that leads elsewhere than the web or to a mailbox is its words alone."""
    found = _LINK.match(state.src, state.pos) if state.src[state.pos] == "[" else None
    if found is None:
        return False
    if not silent:
        words, address = found.groups()
        leads = _SCHEME.fullmatch(address) is not None
        if leads:
            state.push("link_open", "a", 1).attrs = {"href": address}
        state.push("text", "", 0).content = words
        if leads:
            state.push("link_close", "a", -1)
    state.pos = found.end()
    return True


def _parser() -> MarkdownIt:
    """Make the parser."""
    parser = MarkdownIt("commonmark", {"html": False, "maxNesting": DEEPEST + 5}).disable(_OFF)
    ends_lines_of = ["paragraph", "reference", "blockquote"]
    parser.block.ruler.at("list", _unless_star(list_block), {"alt": ends_lines_of})
    parser.block.ruler.at("hr", _unless_star(hr), {"alt": [*ends_lines_of, "list"]})
    parser.inline.ruler.at("emphasis", _emphasis)
    parser.inline.ruler.before("emphasis", "web_link", _link)
    return parser


_PARSER = _parser()
