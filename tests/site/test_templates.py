"""Every template can be read, and fills only blocks that its layout has: others are dropped unseen."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.template import Engine, NodeList
from django.template.defaulttags import CsrfTokenNode
from django.template.loader_tags import BlockNode, ExtendsNode, IncludeNode

FOLDER = Path(__file__).resolve().parents[2] / "templates"
MOST_IN_A_LINE = 120
LONG_FOR_A_REASON = {
    ".txt": "an e-mail goes out as it is written: a line broken here is a line broken in the letter",
    ".css": "formatted by its own tool",
    ".js": "formatted by its own tool",
}
PAGES = sorted(path.relative_to(FOLDER).as_posix() for path in FOLDER.rglob("*.html"))


def blocks_of(nodes):
    return {node.name for node in nodes.get_nodes_by_type(BlockNode)}


def own_blocks(template):
    """Blocks that a template puts straight into its layout, without those that it opens inside them."""
    (extends,) = template.nodelist.get_nodes_by_type(ExtendsNode)
    return {node.name for node in extends.nodelist if isinstance(node, BlockNode)}


def layout_name(template):
    found = template.nodelist.get_nodes_by_type(ExtendsNode)
    return found[0].parent_name.resolve({}) if found else None


@pytest.mark.parametrize("name", PAGES)
def test_a_page_fills_only_blocks_of_its_layout(name):
    template = Engine.get_default().get_template(name)
    layout = layout_name(template)
    levels, offered = 1, set()
    while layout:
        above = Engine.get_default().get_template(layout)
        offered |= blocks_of(above.nodelist)
        levels, layout = levels + 1, layout_name(above)
    if levels > 1:
        assert own_blocks(template) <= offered
    assert levels <= 4


@pytest.mark.parametrize("name", PAGES)
def test_a_page_holds_no_style_or_script_of_its_own(name):
    text = (FOLDER / name).read_text("utf-8")
    assert " style=" not in text
    assert "<style" not in text
    assert "<script>" not in text
    assert " onclick=" not in text


def long_lines(path):
    """The lines of a template that are too long to be read at a glance, by their numbers."""
    lines = path.read_text("utf-8").split("\n")
    return [number for number, line in enumerate(lines, 1) if len(line) > MOST_IN_A_LINE]


def test_no_line_of_a_template_is_too_long_to_be_read():
    """A Django tag can't be broken, but the words and attributes round it can."""
    templates = sorted(path for path in FOLDER.rglob("*.*") if path.suffix not in LONG_FOR_A_REASON)
    assert len(templates) > 200
    found = {path.relative_to(FOLDER).as_posix(): long_lines(path) for path in templates}
    assert {name: lines for name, lines in found.items() if lines} == {}


def test_a_line_of_121_characters_is_too_long(tmp_path):
    (tmp_path / "page.html").write_text("\n".join(["<p>", "é" * 120, "x" * 121, "</p>"]), "utf-8")
    assert long_lines(tmp_path / "page.html") == [3]


def included(nodes: NodeList) -> list[Any]:
    """What a template includes."""
    return list(nodes.get_nodes_by_type(IncludeNode))


def sends_a_form(name, above=()):
    """Whether a template, or one that it includes, has a form that is sent with a token."""
    nodes = Engine.get_default().get_template(name).nodelist
    inner = {node.template.var for node in included(nodes)} - {name, *above}
    return bool(nodes.get_nodes_by_type(CsrfTokenNode)) or any(
        sends_a_form(one, (name, *above)) for one in inner if isinstance(one, str)
    )


@pytest.mark.parametrize("name", PAGES)
def test_a_form_in_an_included_template_has_its_token(name):
    """What is included with `only` has but what it is given: without a token its forms are refused."""
    template = Engine.get_default().get_template(name)
    alone = [node for node in included(template.nodelist) if node.isolated_context]
    named = [node for node in alone if isinstance(node.template.var, str)]
    dead = [node.template.var for node in named if "csrf_token" not in node.extra_context]
    assert [one for one in dead if sends_a_form(one)] == []


@pytest.mark.parametrize("name", PAGES)
def test_a_tag_stands_on_one_line(name):
    """A tag that is broken over two lines is no tag: it is printed as text, and what it closes stays open."""
    text = (FOLDER / name).read_text("utf-8")
    assert re.findall(r"\{[%{](?:(?![%}]\}).)*\n", text) == []
