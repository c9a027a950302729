"""Every template can be read, and fills only blocks that its layout has: others are dropped unseen."""

from pathlib import Path

import pytest
from django.template import Engine
from django.template.loader_tags import BlockNode, ExtendsNode

FOLDER = Path(__file__).resolve().parents[2] / "templates"
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
