"""The written instructions of a pattern as safe HTML, for one edition."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from django.utils.safestring import SafeString

from catalogue.instructions.markdown import markdown_html
from grading.core.instructions.facts import Facts
from grading.core.instructions.filling import Stretch, TableRow
from grading.core.instructions.steps import PrintedPart, render_step, when_headed
from grading.core.pattern.pattern import When
from grading.core.printing.edition import PrintForm
from grading.core.printing.numbers import DASH
from grading.core.printing.size_rows import MOST_ACROSS, size_groups

# The address of the page of each entry, by its name; of a help by “help” and its name.
Links = Mapping[str, str]

# Private-use characters around the number of what is filled in, while Markdown is read: what is
# filled in is never taken for Markdown.
_OPEN, _CLOSE = "\ue000", "\ue001"
_MARK = re.compile(rf"{_OPEN}(\d+){_CLOSE}")


@dataclass(frozen=True)
class PrintedSection:
    """A section as printed: its title, for which choices it is ("" = all), its steps as HTML.

    `spots` say where each step stands in the pattern, section and step from 0: "0.2".
    """

    title: str
    label: str
    steps: tuple[SafeString, ...]
    spots: tuple[str, ...]


def render_instructions(
    facts: Facts, edition: PrintForm, across: int = MOST_ACROSS, links: Links | None = None
) -> list[PrintedSection]:
    """Return the sections that an edition has, in order; sections left without steps fall out.

    Tables have at most so many sizes across; what is filled in leads where links say.
    """
    sections = []
    for i, section in enumerate(facts.pattern.sections):
        steps = [step_html(step, facts, edition, section.when, across, links) for step in section.steps]
        kept = {f"{i}.{j}": step for j, step in enumerate(steps) if step}
        if kept:
            label = when_headed(section.when, facts, edition)
            title = facts.typeset(section.title)
            sections.append(PrintedSection(title, label, tuple(kept.values()), tuple(kept)))
    return sections


def step_html(
    text: str,
    facts: Facts,
    edition: PrintForm,
    when: When = (),
    across: int = MOST_ACROSS,
    links: Links | None = None,
) -> SafeString:
    """Return one step of a section for these choices as safe HTML; empty where the edition has none of it.

    What is filled in leads to the page of its entry, where links are given.
    """
    parts = render_step(text, facts, edition, when)
    return SafeString("".join(_part_html(part, across, links or {}) for part in parts))


def _part_html(part: PrintedPart, across: int, links: Links) -> str:
    """Return a part with its label above and its table below."""
    html = _words_html(part.pieces, links)
    if part.table:
        html += "".join(_table(part, sizes) for sizes in size_groups(part.sizes, across))
    if not part.label:
        return html
    return f'<div class="only"><p class="only-for">{escape(part.label)}</p>{html}</div>'


def _words_html(pieces: Sequence[Stretch], links: Links) -> str:
    """Return pieces as HTML: the author's words as Markdown, all else as it is."""
    text = "".join(_marked(piece, number) for number, piece in enumerate(pieces))
    return _MARK.sub(lambda mark: _linked_html(pieces[int(mark.group(1))], links), markdown_html(text))


def _marked(piece: Stretch, number: int) -> str:
    """Return the author's words, or the mark of what is filled in."""
    if piece.kind != "written":
        return f"{_OPEN}{number}{_CLOSE}"
    return piece.texts[0].replace(_OPEN, "").replace(_CLOSE, "")


def _linked_html(piece: Stretch, links: Links) -> str:
    """Return what is filled in as a link to its entry, where there is one."""
    html, address = _filled_html(piece), links.get(_link_key(piece))
    if piece.kind == "help":
        return _help_mark(html, address)
    return f'<a class="from-value" href="{escape(address)}">{html}</a>' if address else html


def _link_key(piece: Stretch) -> str:
    """By what the address of what is filled in is found."""
    return f"help {piece.name}" if piece.kind == "help" else piece.name


def _help_mark(html: str, address: str | None) -> str:
    """Return the mark of a help, which leads to it where the page has it."""
    if address:
        return f'<a class="help-mark" href="{escape(address)}">{html}</a>'
    return f'<span class="help-mark">{html}</span>'


def _filled_html(piece: Stretch) -> str:
    """Return what is filled in, lines on lines of their own."""
    lines = [escape(text) for text in piece.texts]
    if piece.kind in ("filled", "help"):
        return lines[0]
    return f'<span class="rows">{"<br>".join(lines)}</span>'


def _table(part: PrintedPart, across: slice) -> str:
    """Return the numbers of some sizes as a table."""
    heads = "".join(f'<th scope="col">{escape(size)}</th>' for size in part.sizes[across])
    rows = "".join(_table_row(row, across) for row in part.table)
    head = f'<thead><tr><th scope="col">Size</th>{heads}</tr></thead>'
    return f'<table class="step-numbers">{head}<tbody>{rows}</tbody></table>'


def _table_row(row: TableRow, across: slice) -> str:
    """Return one row of numbers, its key and name first."""
    name = escape(f"[{row.key}] {row.label}".rstrip() + (f", {row.unit}" if row.unit else ""))
    cells = "".join(f"<td>{escape(text or DASH)}</td>" for text in row.texts[across])
    return f'<tr><th scope="row">{name}</th>{cells}</tr>'
