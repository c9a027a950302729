"""Pages and code of a part name no address and no tag of a part above it: the root hands such things in."""

import ast
import re
from pathlib import Path

import pytest
from django.urls import URLPattern, get_resolver

ROOT = Path(__file__).resolve().parents[2]
PARTS = ("grading", "catalogue", "testing", "catalogue.site")
TAGS = {
    path.stem: part
    for part in PARTS
    for path in (ROOT / part.replace(".", "/")).glob("templatetags/[a-z]*.py")
}


def part_of(module):
    return "catalogue.site" if module.startswith("catalogue.site.") else module.split(".")[0]


def addresses(patterns):
    """Every named address with the part whose page it is; those of libraries are wired lower than any."""
    for one in patterns:
        if not isinstance(one, URLPattern):
            yield from addresses(one.url_patterns)
        elif one.name and part_of(one.callback.__module__) in PARTS:
            yield one.name, part_of(one.callback.__module__)


ADDRESSES = dict(addresses(get_resolver().url_patterns))


def is_above(part, other):
    return PARTS.index(part) > PARTS.index(other)


@pytest.mark.parametrize("part", ["catalogue", "testing"])
def test_templates_name_no_address_and_load_no_tag_of_a_part_above(part):
    named = []
    for path in sorted((ROOT / "templates" / part).rglob("*.*")):
        text = path.read_text(encoding="utf-8")
        names = re.findall(r"\{% url ['\"](\w+)['\"]", text)
        tags = [tag for load in re.findall(r"\{% load ([\w ]+?) %\}", text) for tag in load.split()]
        named += [(path.name, one) for one in names if is_above(ADDRESSES.get(one, part), part)]
        named += [(path.name, one) for one in tags if is_above(TAGS.get(one, part), part)]
    assert named == []


@pytest.mark.parametrize("part", ["catalogue", "testing"])
def test_code_names_no_address_of_a_part_above(part):
    named = []
    for path in sorted((ROOT / part).rglob("*.py")):
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        if part_of(module) != part or ".migrations." in module:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and name_of(node.func) in ("reverse", "redirect", "Standing"):
                texts = [one.value for one in node.args if isinstance(one, ast.Constant)]
                named += [(module, one) for one in texts if is_above(ADDRESSES.get(one, part), part)]
    assert named == []


def name_of(function):
    return getattr(function, "id", getattr(function, "attr", ""))


def test_the_addresses_and_tags_of_all_parts_are_known():
    assert {"catalogue", "testing", "catalogue.site"} <= set(ADDRESSES.values())
    assert TAGS["page_parts"] == "catalogue"
    assert TAGS["lengths"] == "testing"
