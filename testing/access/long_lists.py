"""Long lists of a call, page by page."""

from typing import TypeVar

from django.core.paginator import Page, Paginator
from django.db.models import Model, QuerySet

Row = TypeVar("Row", bound=Model)

ON_A_PAGE = 50


def page_of(rows: QuerySet[Row], number: str) -> "Page[Row]":
    """One page of a list; the first or the last where there is no such page."""
    return Paginator(rows, ON_A_PAGE).get_page(number)
