"""How an edition is fitted to its pages: with or without a list of contents, and as snugly as fills them.

Laying out takes most of an edition's time, and painting a third: what is laid out in vain is not painted.
"""

import gc
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil
from operator import itemgetter
from typing import Any

from django.template.loader import render_to_string
from django.utils.html import strip_tags

from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.pdf_writing import Files, PageSource, WrittenPdf, write_pdf
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING

TYPE_SIZE = {"screen": "10pt", "saving": "10pt", "large": "18pt"}
FOOT_LARGE = "32mm"
MARGINS = {"one": "17mm 19mm 21mm", "saving": "15mm 17mm 20mm", "large": "15mm 14mm 27mm"}
# In large print the sizes at the head of a page take so many lines, each so high. Since the third wording it
# has more of the paper: head and foot stand nearer to the words.
CHARACTERS_A_HEAD, HEAD_MM, HEAD_LINE_MM = 80, 8.0, 6.0
MARGINS_LARGE, HEAD_MM_LARGE = "13.5mm 12mm 24mm", 6.5
LARGE_MARGIN_BOXES = (
    " @page { @top-left { padding-bottom: 2.5mm !important }"
    " @bottom-left { padding-top: 3mm !important } @bottom-right { padding-top: 3mm !important } }"
)
LEAST_FILL = 0.6
# A last page has more than a line or two; up to the second wording it had to have more yet.
LEAST_LAST_FILL, LEAST_LAST_FILL_WIDE = 0.10, 0.14
# One that has no more than so much is worth a closer setting, which may save it; one size has few pages.
SAVED_LAST_FILL = 0.25
SAVED_LAST_FILL_OF_ONE, PAGES_OF_ONE, SAVED_LAST_FILL_OF_LARGE = 0.4, 4, 0.35
# While a page is too empty, pieces and garment in this share of their usual room move what stands on the next
# page up.
USUAL, SMALLER, SNUG, ROOMY = 1.0, 0.7, 0.42, 1.6
# Less air pulls a few lines in that stand alone on a last page; below a smaller photo a list of contents has
# its place on the front page.
LESS_AIR = (
    ".flowing h2 { margin-top: 1rem !important } .flowing.large { line-height: 1.26 !important }"
    " .close.saving { line-height: 1.28 !important }"
    " .close.screen:not(.for-one) { line-height: 1.36 !important }"
    " .close.screen:not(.for-one) .cover .photo img { max-height: 74mm !important }"
    " .close.large { line-height: 1.18 !important } .close.large h2 { margin-top: 0.5rem !important }"
    " .close.large h3 { margin-top: 0.35rem !important }"
    " .close.large :is(p, .steps > li) { margin-bottom: 0.2rem !important }"
    " .close.large dl { margin-bottom: 0.4rem }"
    " .close.large:not(.for-one) .row { padding-left: 1em !important; text-indent: -1em !important }"
    " .close.large :is(.cautions, .colophon) h2 { margin-top: 0.4rem !important; padding-top: 0.25rem }"
    " .close.large .cautions li { margin-bottom: 0.1rem !important }"
    " .close.large .colophon p { display: inline }"
    " .close:not(.large, .for-one) .steps > li { margin-bottom: 0.45rem !important }"
    " .close.for-one:not(.large) { line-height: 1.3 !important }"
    " .close.for-one:not(.large) .steps > li { margin-bottom: 0.2rem !important }"
    " .close.for-one:not(.large) h2 { margin-top: 0.5rem !important }"
    " .close.for-one:not(.large) h3 { margin-top: 0.4rem !important }"
    " .close.for-one:not(.large) .steps p { margin-bottom: 0.2rem !important }"
)
# What stands together with its list is torn before pages stay too empty: one line of it stays at the least.
# A drawing with its list beside it is not: the list would end on another page than it began.
WORN_TORN = (
    " .close :is(.worn .piece:not(.keyed), .order) { break-inside: auto !important }"
    " .close.large .joining { break-inside: auto !important }"
    " .close .worn .key li { break-after: auto !important }"
    " .close.large .worn .piece > .drawing { display: block }"
    " .close .worn > .drawings { break-before: auto !important }"
)
# The words below a drawing stand on its page, unless that leaves the page before too empty.
CAPTION_KEPT = " .close.large .worn .piece > figure.drawing { break-inside: avoid !important }"
TORN = (
    f"{WORN_TORN} .close :is(.piece:not(.keyed), .plan > section) {{ break-inside: auto !important }}"
    " .close .key li { break-after: auto !important }"
)
# Large print whose last lines still stand alone on a page has the least air.
CLOSEST = (
    " .close.large { line-height: 1.16 !important }"
    " .close.large :is(p, .steps > li) { margin-bottom: 0.12rem !important }"
    " .close.large :is(.cautions, .colophon) { line-height: 1.12 !important }"
    " .close.large :is(.cautions, .colophon) h2 { margin-top: 0.2rem !important; padding-top: 0.1rem }"
)
# Tables that a size is chosen by are torn before a drawing is torn from its list.
TABLES_TORN = " .close .measures table.sizes { break-inside: auto !important }"
# Where pages of large pieces stay half empty, these take more room, and their lists are as large as the rest.
ROOMY_LISTS = (
    ' .close.large .schematics .key { font: 1rem/1.5 "Source Sans 3" !important }'
    " .close.large .schematics .key li { margin-bottom: 0.2rem !important }"
    " .close.large .joining .key { line-height: 1.42 !important }"
)
# A list of contents is torn where the front page stays too empty without it, and where it names sections of
# every group of sizes.
CONTENTS_TORN = " .close .contents { break-inside: auto !important }"
# A group of sizes begins on a page of its own, unless the page before is left too empty: then a page on which
# one begins has the sizes of the group before at its head. The heading hands them on: it may leave a page on
# which it was tried. What is for everybody behind the last group has none.
RUNNING_ON = (
    ".size-group { break-before: auto !important }"
    " .size-group > h2 { string-set: head-sizes attr(data-sizes) } .cautions { string-set: head-sizes '' }"
    " @page { @top-left { content: string(head-sizes, start) !important; text-align: left;"
    ' font: 0.8rem/1.35 "Source Sans 3"; font-variant-numeric: lining-nums tabular-nums } }'
)
# A page that begins behind the instructions has no lists, and no sizes at its head: `start` asks for them
# where a page begins. The page where lists begin has them though they begin further down. The cover has none.
WHOLE_HEAD = (
    " .head-sizes + section h2 {{ string-set: head-begun {sizes} }}"
    " .head-sizes + section h2 + * {{ string-set: head-begun '', head-going {sizes} }}"
    " .instructions ~ section {{ string-set: head-going '' }}"
    " @page {{ @top-left {{ content: string(head-begun, first) string(head-going, start) !important;"
    " text-align: left; font: {size}/1.48 Literata;"
    " font-variant-numeric: lining-nums tabular-nums }} }}"
    " @page :first {{ @top-left {{ content: none !important }} }}"
)
PAGES_WITH_CONTENTS, LARGE_PAGES_WITH_CONTENTS = 8, 12
LINES_OF_A_LONG_BOOKLET = 195
LARGE_LINES, LARGE_LINES_OF_ONE = 150, 180
CHARACTERS_A_LINE = 85
LINES_A_DRAWING, LINES_A_PAGE = 16, 45

# The space between a number and what it counts, and before the unit of a row, where no line may end.
_BEFORE_UNIT = re.compile(
    r"(?<=[\d¼½¾)\]]) (?=(?:mm|cm|m|g|in|oz|yd|sts?|ch|ss|h?dc|h?tr|dtr|sc|T[kps]s)\b)"
    r"|(?<=\bch) (?=\d)|(?<=,) (?=(?:cm|in|g|m|oz|yd|balls|%)</th>)"
)

# Since the third wording: a short bracket of a list over sizes, and a row with its number.
_SHORT_BRACKET = re.compile(r"(?<= )[(\[](?:[^\s,()\[\]<>&]{1,6}, ){1,4}[^\s,()\[\]<>&]{1,6}(?=[)\]])")
_BEFORE_ROW_NUMBER = re.compile(r"\b([Rr](?:ow|ound)s?) (?=\d)")
LONGEST_BRACKET = 24
_WORDS = re.compile(r"(?:^|(?<=>))[^<]+")

Fills = Sequence[float]
Emptiness = tuple[int, int, float]


@dataclass(frozen=True)
class Way:
    """A way to set an edition: pieces in a share of their room, lines closer.

    "How to read" may stand on the other side of the pieces, and groups of sizes begin where the one before
    ends. `torn` is the style of what may go on overleaf though it stands together.
    """

    share: float
    has_less_air: bool = False
    moves_reading: bool = False
    runs_on: bool = False
    torn: str = ""

    @property
    def style(self) -> str:
        """What it changes in the style of all pages."""
        kinds = (
            (self.has_less_air, LESS_AIR),
            (self.runs_on, RUNNING_ON),
            (self.share > USUAL, ROOMY_LISTS),
        )
        return "".join(f" {style}" for holds, style in kinds if holds) + self.torn


class FittedBooklet:
    """What one edition prints, set in the way that fills its pages best."""

    def __init__(
        self,
        context: dict[str, Any],
        files: Files,
        paper: str,
        identity: str,
        drawn: Callable[[float], dict[str, Any]],
    ) -> None:
        self.context, self.files, self.identity, self.drawn = context, files, identity, drawn
        self.is_first_wording = context["wording"] == FIRST_WORDING
        self.is_wide = context["wording"] <= WIDE_WORDING
        self.is_close_large = context["print"] == "large" and not self.is_wide
        self.style = _page_style(context, paper)
        self.has_contents, self.is_judged = _seems_long(context), False
        self.has_gaps = False
        self.laid_out: dict[int, Fills] = {}

    def written(self) -> WrittenPdf:
        """Set anew while pages are too empty, as the first setting asks for; keep what has the fewest such.

        Raises:
            EditionFailed: It can't be made.
        """
        waiting, tried = [Way(USUAL)], list[tuple[Way, Emptiness]]()

        def is_full(fills: Fills) -> bool:
            """Whether nothing better is to be tried, or was."""
            sparse = sparse_pages(fills, self._least_last(len(fills)))
            if sparse and not tried:
                self.has_gaps = sparse[0][0] < len(fills)
                waiting.extend(self._closer_ways(sparse[0], len(fills)))
            emptiness = self._emptiness(sparse, fills)
            is_best = not waiting and all(emptiness <= other for _, other in tried)
            tried.append((way, emptiness))
            return not sparse or is_best

        while waiting:
            way = waiting.pop(0)
            written = self._write(way, is_full)
            if written is not None:
                return written
        best, _ = min(tried, key=itemgetter(1))
        written = self._write(best, bool)
        if written is None:
            raise EditionFailed("The PDF could not be made: it has no pages.")
        return written

    def _least_last(self, pages: int) -> float:
        """How full a last page has to be, after so many pages; in large print less where gaps were filled."""
        if self.is_wide:
            return LEAST_LAST_FILL_WIDE
        kind = self.context["print"]
        if self.has_gaps and kind == "large":
            return LEAST_LAST_FILL
        if kind == "large" and not self.context["is_for_one"]:
            return SAVED_LAST_FILL_OF_LARGE
        is_one_more = self.context["is_for_one"] and kind != "large" and pages > PAGES_OF_ONE
        return SAVED_LAST_FILL_OF_ONE if is_one_more else SAVED_LAST_FILL

    def _emptiness(self, sparse: Sequence[tuple[int, float]], fills: Fills) -> Emptiness:
        """How empty pages are, least first; of as many, the fewer pages, then what these lack least."""
        pages = len(fills)
        count = sum(1 if self.is_wide or self._may_end(page, pages) else 2 for page in sparse)
        lacking = sum(LEAST_FILL - fill for at, fill in sparse if at < pages)
        # How full the last page is weighs only between ways that lack as much.
        return (count, 0, 0.0) if self.is_wide else (count, pages, lacking - fills[-1] / 10)

    @staticmethod
    def _may_end(page: tuple[int, float], pages: int) -> bool:
        """Whether a sparse page is a last one with more than a line or two, which hurts less."""
        at, fill = page
        return at == pages and fill >= LEAST_LAST_FILL

    def _closer_ways(self, first_sparse: tuple[int, float], pages: int) -> list[Way]:
        """What else is tried: less air for a few lines alone on a last page, else smaller drawings."""
        if self.is_first_wording:
            return []
        snug = Way(SNUG, has_less_air=True)
        if self.is_wide:
            return [snug]
        at, fill = first_sparse
        runs_on = bool(self.context["groups"])
        torn = TABLES_TORN + TORN + (CONTENTS_TORN if at == 1 or runs_on else "")
        closer = Way(SMALLER, has_less_air=True, torn=torn)
        snug = replace(closer, share=SNUG)
        is_last_alone, is_for_one = at == pages, self.context["is_for_one"]
        if is_last_alone and fill >= LEAST_LAST_FILL:
            usual = replace(closer, share=USUAL, torn=TABLES_TORN if self.is_close_large else torn)
            closest = [replace(usual, torn=TABLES_TORN + CLOSEST)] if self.is_close_large else []
            ways = [closer, snug] if is_for_one else [usual, closer, *closest]
        elif is_last_alone:
            ways = [closer, snug] if is_for_one else [Way(USUAL, has_less_air=True), closer, snug]
        elif self.is_close_large and runs_on:
            kept = replace(closer, torn=f"{torn}{CAPTION_KEPT}")
            ways = [Way(USUAL), *(replace(kept, share=share) for share in (USUAL, ROOMY)), snug, closer]
        elif self.is_close_large:
            whole = replace(closer, torn=TABLES_TORN)
            moved = replace(whole, moves_reading=True)
            roomy = moved if is_for_one else replace(whole, share=ROOMY)
            ways = [whole, roomy, closer] if self._has_pieces() else [moved, closer]
        else:
            ways = [closer, snug]
        return [replace(way, runs_on=runs_on) for way in ways]

    def _has_pieces(self) -> bool:
        """Whether pieces are drawn or told one by one: "how to read" stands before or behind these."""
        return bool(self.context["schematics"] or self.context["strips"])

    def _write(self, way: Way, is_wanted: Callable[[Fills], bool]) -> WrittenPdf | None:
        """Set in one way, once more where the list of contents was misjudged; None where it isn't wanted."""
        before = self.has_contents
        written = self._paint(way, lambda fills: self._keeps_contents(len(fills)) and is_wanted(fills))
        if written is None and self.has_contents != before:
            written = self._paint(way, is_wanted)
        return written

    def _keeps_contents(self, pages: int) -> bool:
        """Whether so many pages suit what was judged of the list of contents; judged anew by the first."""
        before = self.has_contents
        if not self.is_judged:
            least = LARGE_PAGES_WITH_CONTENTS if self.is_close_large else PAGES_WITH_CONTENTS
            self.is_judged, self.has_contents = True, pages >= least
        return self.has_contents == before

    def _paint(self, way: Way, is_wanted: Callable[[Fills], bool]) -> WrittenPdf | None:
        """Lay out in one way, and paint what is wanted."""
        gc.collect()  # what was laid out in vain; nobody else collects in a child of the renderer
        context = {**self.context, "has_contents": self.has_contents}
        if way.share != USUAL:
            context |= self.drawn(way.share)
        if way.moves_reading:
            context["is_read_early"] = self._has_pieces() and not context["is_read_early"]
            context["is_read_first"] = not self._has_pieces()
        html = _BEFORE_UNIT.sub("\u00a0", render_to_string("catalogue/pdf/edition.html", context))
        html = html if self.is_wide else kept_whole(html)
        source = PageSource(
            html,
            self.files,
            f"{self.style}{way.style}",
            self.identity,
            in_greys=self.context["print"] == "saving",
            has_loose_drawings=not self.is_first_wording,
        )
        known = hash((source.html, source.style))

        def is_wanted_so(fills: Fills) -> bool:
            """Remember how full its pages are: the smallest drawings may be no smaller than those before."""
            self.laid_out[known] = fills
            return is_wanted(fills)

        if known in self.laid_out and not is_wanted(self.laid_out[known]):
            return None
        is_asked = bool if known in self.laid_out else is_wanted_so
        return write_pdf(source, is_wanted=is_asked, is_frozen=not self.context["copy_for"])


def kept_whole(html: str) -> str:
    """What is printed, with no line that ends within a short bracket or before the number of a row.

    >>> kept_whole("At row 1 (2 (3, 4, 5) [6, 7] sts").replace("\u00a0", "_")
    'At row_1 (2 (3,_4,_5) [6,_7] sts'
    """
    return _WORDS.sub(_with_whole_parts, html)


def _with_whole_parts(words: re.Match[str]) -> str:
    """Words between tags; what stands within tags is not printed."""
    return _BEFORE_ROW_NUMBER.sub("\\1\u00a0", _SHORT_BRACKET.sub(_unbroken, words[0]))


def _unbroken(found: re.Match[str]) -> str:
    """A bracket without places to end a line, unless it is long."""
    return found[0].replace(" ", "\u00a0") if len(found[0]) < LONGEST_BRACKET else found[0]


def sparse_pages(fills: Fills, least_last: float = LEAST_LAST_FILL) -> list[tuple[int, float]]:
    """Pages that are less full than they should be, in whole percent; a last one only with a line or two."""
    least = [*[LEAST_FILL] * (len(fills) - 1), least_last if len(fills) > 1 else 0.0]
    return [
        (at, fill)
        for at, (fill, least_fill) in enumerate(zip(fills, least, strict=False), 1)
        if round(fill, 2) < least_fill
    ]


def _seems_long(context: dict[str, Any]) -> bool:
    """Whether a booklet will have a list of contents, told from its lines before it is laid out."""
    is_large, is_for_one = context["print"] == "large", context["is_for_one"]
    is_wide = context["wording"] <= WIDE_WORDING
    if is_for_one and (is_wide or not is_large):
        return bool(is_large)
    if context["groups"]:
        return True
    tables = [*context["measurement_tables"], *context["yarn_tables"]]
    rows = sum(len(table.rows) + 2 for table in tables)
    steps = [
        strip_tags(step.replace("<br>", "\n"))
        for section in context["instructions"]
        for step in section.steps
    ]
    lines = sum(len(step) / CHARACTERS_A_LINE + 1 + step.count("\n") for step in steps)
    pages = len(context["photos"]) + bool(context["stripes"])
    drawn = LINES_A_DRAWING * len(context["schematics"]) + LINES_A_PAGE * pages
    if is_large and not is_wide:
        return rows + lines + drawn > (LARGE_LINES_OF_ONE if is_for_one else LARGE_LINES)
    return is_large or rows + lines + drawn > LINES_OF_A_LONG_BOOKLET


def _page_style(context: dict[str, Any], paper: str) -> str:
    """What depends on paper, print and whom it is for; pages of the first wording stay as they were."""
    kind = context["print"]
    which = "one" if context["is_for_one"] and kind == "screen" else kind
    page = f"size: {paper};"
    if context["wording"] > FIRST_WORDING and which in MARGINS:
        is_close_large = kind == "large" and context["wording"] > WIDE_WORDING
        page += f" margin: {MARGINS_LARGE if is_close_large else MARGINS[which]} !important"
        lines = ceil(len(context["head_line"]) / CHARACTERS_A_HEAD)
        if is_close_large and lines > 1:
            page += f"; margin-top: {HEAD_MM_LARGE + lines * HEAD_LINE_MM:g}mm !important"
    elif kind == "large":
        page += f" margin-bottom: {FOOT_LARGE} !important"
    style = f"@page {{ {page} }} html {{ font-size: {TYPE_SIZE[kind]} }}"
    if context["wording"] > WIDE_WORDING:
        style += LARGE_MARGIN_BOXES if kind == "large" else ""
        style += f" @page {{ @top-left {{ color: {'#000' if kind == 'saving' else '#2b241d'} }} }}"
    has_head = context["has_size_line"] and context["wording"] > WIDE_WORDING
    return style + _whole_head(context) if has_head else style


def _whole_head(context: dict[str, Any]) -> str:
    """The sizes at the head of the pages that have lists of them."""
    sizes = f"Sizes: {context['sizes_line']}".replace("\\", "\\\\").replace("'", "\\'")
    size = "0.7rem" if context["print"] == "large" else "0.86rem"
    return WHOLE_HEAD.format(sizes=f"'{sizes}'", size=size)
