"""What pages show of the guide: the link to the part that helps there, and examples worked out."""

from typing import Any

from django import template
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.safestring import SafeString

from catalogue.site.guide.examples import example_line, example_practice, printed_example
from catalogue.site.guide.parts import HELP_OF_ENTRY, HELP_OF_PAGE

register = template.Library()


@register.simple_tag(takes_context=True)
def guide_address(context: dict[str, Any]) -> str:
    """The address of the part of the guide that helps on this page; of its first page where none does."""
    match = getattr(context.get("request"), "resolver_match", None)
    if match is None or match.url_name is None:
        return reverse("guide")
    part = HELP_OF_ENTRY.get(match.kwargs.get("part", "")) or HELP_OF_PAGE.get(match.url_name)
    if part is None:
        return reverse("guide")
    name, _, section = part.partition("#")
    return reverse("guide_part", args=[name]) + (f"#{section}" if section else "")


@register.inclusion_tag("guide/_printed.html")
def printed(text: str) -> dict[str, Any]:
    """A step as typed, and as it prints for the guide's small pattern."""
    return {"typed": text, "prints": printed_example(text)}


@register.simple_block_tag
def printed_block(content: str) -> SafeString:
    """The same for a step of several lines."""
    return SafeString(render_to_string("guide/_printed.html", printed(content)))


@register.inclusion_tag("guide/_line.html")
def sheet_line(name: str) -> dict[str, Any]:
    """A line of the guide's small pattern: its label, what was typed, and its number in each size."""
    return {"line": example_line(name)}


@register.inclusion_tag("guide/_practice.html")
def practised(*keys: str) -> dict[str, Any]:
    """The practice piece of the guide's small pattern for some ticks."""
    return {"piece": example_practice(keys)}


@register.simple_block_tag
def section(content: str, name: str, title: str) -> str:
    """A section of a part of the guide with its heading, which links lead to."""
    heading = f'<h2 id="{name}-title">{title}</h2>'
    return SafeString(f'<section id="{name}" aria-labelledby="{name}-title">{heading}{content}</section>')
