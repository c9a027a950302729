"""What parts above the catalogue add to its pages: the root names them, so that no page has to."""

from django import template
from django.conf import settings
from django.utils.html import format_html_join
from django.utils.module_loading import import_string
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
def page_parts(page: str, about: object) -> SafeString:
    """The HTML that is added to a page, made by each function that the settings name for it."""
    makers = [import_string(name) for name in settings.PAGE_PARTS.get(page, ())]
    return format_html_join("", "{}", ((make(about),) for make in makers))
