"""What an editor's query is about: a step, and a row of its account, which is copied into the query."""

import re
from collections.abc import Mapping
from textwrap import shorten
from typing import Any

from catalogue.drafts.patterns import graded
from catalogue.instructions.row_accounts import AccountRow, account_of
from catalogue.models import Pattern
from catalogue.technical_edit.technical_edits import QueryAbout
from catalogue.technical_edit.work_lists import LONGEST_WORDS

STEP_PLACE = re.compile(r"sections\[(\d{1,4})\]\.steps\[(\d{1,4})\]")


def row_choices(pattern: Pattern, place: str = "") -> list[tuple[str, str]]:
    """The lines of the account that a query may be about: those of a step where the place is one."""
    rows = account_of(graded(pattern), {}).rows
    of_step = [row for row in rows if _place_of(row) == place] if step_anchor(place) else rows
    return [
        (row.anchor, shorten(f"{row.title}, step {row.step}: {row.text}", LONGEST_WORDS, placeholder=" …"))
        for row in of_step
    ]


def step_anchor(place: str) -> str:
    """Where a step stands on the page of its work list; nothing for a place that is no step.

    >>> step_anchor("sections[0].steps[1]"), step_anchor("values.chest")
    ('s1-2', '')
    """
    found = STEP_PLACE.fullmatch(place)
    return f"s{int(found[1]) + 1}-{int(found[2]) + 1}" if found else ""


def _place_of(row: AccountRow) -> str:
    """The step of a line, as queries name it."""
    return f"sections[{row.section - 1}].steps[{row.step - 1}]"


def place_of_row(pattern: Pattern, anchor: str) -> str:
    """The place of a line of the account, as queries name it; nothing where there is no such line."""
    rows = account_of(graded(pattern), {}).rows
    row = next((one for one in rows if one.anchor == anchor), None)
    return _place_of(row) if row else ""


def query_about(pattern: Pattern, typed: Mapping[str, Any]) -> tuple[str, QueryAbout]:
    """The place that a query names, and what else it is about; a row's line of the account is copied in."""
    rows = account_of(graded(pattern), {"size": typed["size"]}).rows
    row = next((one for one in rows if one.anchor == typed["row"]), None)
    place = _place_of(row) if row else typed["place"]
    line = _account_line(row) if row else ""
    return place, QueryAbout(typed["size"], line, typed["is_blocking"], typed["again"])


def _account_line(row: AccountRow) -> str:
    """A line of the account as text: what is done, the stitches after it, and what is wrong."""
    counts = ", ".join(f"size {cell.size}: {cell.count} sts" for cell in row.cells if cell.count is not None)
    parts = (f"“{row.text}”", f"{counts} after it" if counts else "", row.why)
    return "; ".join(part for part in parts if part)
