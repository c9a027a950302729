"""How full pages are: from the head of a page's room to the lowest ink in it."""

import pytest
import weasyprint

from catalogue.editions import fitting
from catalogue.editions.fitting import ROOMY, SMALLER, SNUG, USUAL, FittedBooklet, sparse_pages
from catalogue.editions.page_boxes import page_fills
from catalogue.site.benches.pages import FilledEdition

PAGE = "<style>@page { size: 100mm; margin: 10mm 10mm 15mm } * { margin: 0 } p { line-height: 15mm }</style>"


@pytest.mark.parametrize(
    ("words", "fills"),
    [
        ("<p>one line of five", [0.2]),
        ("<p>one<p>two<p>three", [0.6]),
        ("<p>one<div style='height: 50mm'></div>", [0.2]),  # what has no ink fills nothing
        ("<p>one<p style='break-before: page'>two<p>three", [0.2, 0.4]),
        (
            "<svg xmlns='http://www.w3.org/2000/svg' style='display: block' width='9mm' height='60mm'></svg>",
            [0.8],
        ),
        ("", [0.0]),
    ],
)
def test_a_page_is_as_full_as_its_lowest_ink_says(words, fills):
    pages = weasyprint.HTML(string=PAGE + words).render().pages
    assert page_fills(pages) == pytest.approx(fills, abs=0.02)


def test_what_stands_in_the_margins_fills_nothing():
    foot = "<style>@page { @bottom-left { content: 'version 1.0' } }</style>"
    pages = weasyprint.HTML(string=PAGE + foot + "<p>one").render().pages
    assert page_fills(pages) == pytest.approx([0.2], abs=0.02)


def test_the_bench_finds_the_pages_that_fitting_looks_for():
    assert FilledEdition("hat", "home", (0.59, 0.6, 1.0, 0.09)).sparse == [(1, 0.59), (4, 0.09)]
    assert FilledEdition("hat", "home", (0.59, 0.6, 1.0, 0.1)).sparse == [(1, 0.59)]


@pytest.mark.parametrize(
    ("fills", "sparse"),
    [
        ((0.9, 0.5, 1.0), [2]),
        ((0.59, 0.6, 0.2), [1]),
        ((0.3,), []),  # the last page is the only one
        ((1.0, 0.02), [2]),  # a line alone on a last page
        ((1.0, 0.2), []),
        ((), []),
    ],
)
def test_pages_are_too_empty_but_the_last_which_has_more_than_a_line(fills, sparse):
    assert sparse_pages(fills) == [(at, fills[at - 1]) for at in sparse]


class Layouts:
    """Answers for the renderer: how full pages are, by the way in which they are set."""

    def __init__(self, monkeypatch, fills, otherwise=(0.4, 0.9)):
        self.fills, self.otherwise, self.tried, self.painted, self.styles = fills, otherwise, [], [], []
        monkeypatch.setattr(fitting, "render_to_string", lambda _, context: str(context["share"]))
        monkeypatch.setattr(fitting, "write_pdf", self.write)

    def write(self, source, *, is_wanted, is_frozen):
        way = (float(source.html), fitting.LESS_AIR in source.style)
        self.tried.append(way)
        self.styles.append(source.style)
        if not is_wanted(self.fills.get(way, self.otherwise)):
            return None
        self.painted.append(way)
        return way

    def fit(self, wording=3, kind="screen", groups=(), pieces=(), *, is_for_one=True):
        context = {
            **dict.fromkeys(("measurement_tables", "yarn_tables", "instructions", "photos", "strips"), ()),
            "schematics": pieces,
            "wording": wording,
            "print": kind,
            "is_for_one": is_for_one,
            "is_read_early": False,
            "stripes": None,
            "has_size_line": True,
            "sizes_line": "M",
            "copy_for": "",
            "head_line": "M",
            "groups": groups,
            "share": 1.0,
        }
        return FittedBooklet(context, {}, "A4", "0" * 32, lambda share: {"share": share}).written()


FULL, SPARSE, WORST = (0.9, 0.9), (0.4, 0.9), (0.4, 0.3, 0.9)
AS_USUAL, AIRLESS = (USUAL, False), (USUAL, True)
CLOSER, CLOSE, ROOMIER = (SMALLER, True), (SNUG, True), (ROOMY, True)


@pytest.mark.parametrize(
    ("fills", "tried"),
    [
        ({AS_USUAL: FULL}, [AS_USUAL]),
        # A page that is too empty asks for smaller drawings and less air,
        ({AS_USUAL: SPARSE, CLOSER: FULL}, [AS_USUAL, CLOSER]),
        ({AS_USUAL: WORST, CLOSE: FULL}, [AS_USUAL, CLOSER, CLOSE]),
        # and so do a few lines alone on the last one.
        ({AS_USUAL: (0.9, 0.05), CLOSE: FULL}, [AS_USUAL, CLOSER, CLOSE]),
        # A last page that is worth it makes one size closer, whether it is its fifth
        ({AS_USUAL: (*FULL, *FULL, 0.39), CLOSER: (*FULL, *FULL)}, [AS_USUAL, CLOSER]),
        ({AS_USUAL: (*FULL, *FULL, 0.41)}, [AS_USUAL]),
        # or has less than a quarter; but a nearly empty last page is better than another that is half empty.
        ({AS_USUAL: (0.9, 0.15), CLOSER: SPARSE, CLOSE: SPARSE}, [AS_USUAL, CLOSER, CLOSE, AS_USUAL]),
        ({AS_USUAL: (0.9, 0.25)}, [AS_USUAL]),
        # The best of all is kept, laid out again to be painted where it is not the last.
        (
            {AS_USUAL: WORST, CLOSER: SPARSE, CLOSE: WORST},
            [AS_USUAL, CLOSER, CLOSE, CLOSER],
        ),
        ({}, [AS_USUAL, CLOSER, CLOSE]),
    ],
)
def test_pages_are_set_closer_until_they_are_full_and_painted_once(monkeypatch, fills, tried):
    layouts = Layouts(monkeypatch, fills)
    kept = layouts.fit()
    assert layouts.tried == tried
    assert layouts.painted == [kept] == [tried[-1]]


@pytest.mark.parametrize(
    ("last", "airless", "closer", "tried"),
    [
        (0.05, FULL, FULL, [AS_USUAL, AIRLESS]),
        (0.05, SPARSE, FULL, [AS_USUAL, AIRLESS, CLOSER]),
        (0.15, FULL, FULL, [AS_USUAL, AIRLESS]),
        (0.24, SPARSE, FULL, [AS_USUAL, AIRLESS, CLOSER]),
        (0.24, SPARSE, SPARSE, [AS_USUAL, AIRLESS, CLOSER, AS_USUAL]),
        (0.25, FULL, FULL, [AS_USUAL]),
        # Of last pages that stay, the fullest after the fewest pages is kept.
        (0.12, (0.9, 0.22), (0.9, 0.13), [AS_USUAL, AIRLESS, CLOSER, AIRLESS]),
        (0.12, (0.9, 0.9, 0.22), (0.9, 0.11), [AS_USUAL, AIRLESS, CLOSER, AS_USUAL]),
    ],
)
def test_all_sizes_are_set_closer_the_more_lines_a_last_page_has(monkeypatch, last, airless, closer, tried):
    layouts = Layouts(monkeypatch, {AS_USUAL: (0.9, last), AIRLESS: airless, CLOSER: closer})
    layouts.fit(kind="saving", is_for_one=False)
    assert layouts.tried == tried


def test_what_is_laid_out_is_not_laid_out_again_but_to_be_painted(monkeypatch):
    # Nothing moves in these pages, and there is no smaller drawing: the last way is the one before.
    layouts = Layouts(monkeypatch, {CLOSE: WORST, CLOSER: WORST})
    layouts.fit(kind="screen")
    assert layouts.tried == [AS_USUAL, CLOSER, CLOSE, AS_USUAL]


def test_in_large_print_pieces_take_more_room_before_one_is_torn_from_its_list(monkeypatch):
    layouts = Layouts(monkeypatch, {CLOSER: WORST, ROOMIER: WORST})
    layouts.fit(kind="large", pieces=["back"], is_for_one=False)
    assert layouts.tried == [AS_USUAL, CLOSER, ROOMIER, CLOSER, AS_USUAL]
    assert [fitting.TORN in style for style in layouts.styles] == [False, False, False, True, False]
    assert [fitting.ROOMY_LISTS in style for style in layouts.styles] == [False, False, True, False, False]


def test_in_large_print_of_one_size_a_piece_is_torn_from_its_list_last(monkeypatch):
    # "How to read" has no words here: where it moves, nothing is laid out otherwise.
    layouts = Layouts(monkeypatch, {CLOSER: WORST})
    layouts.fit(kind="large", pieces=["back"])
    assert layouts.tried == [AS_USUAL, CLOSER, CLOSER, AS_USUAL]
    assert [fitting.TORN in style for style in layouts.styles] == [False, False, True, False]


def test_in_large_print_how_to_read_stands_before_the_one_drawing_of_what_has_no_pieces(monkeypatch):
    layouts = Layouts(monkeypatch, {})
    layouts.fit(kind="large")
    assert layouts.tried == [AS_USUAL, CLOSER, CLOSER]
    before = Layouts(monkeypatch, {})
    before.fit(wording=2, kind="large")
    assert before.tried.count(CLOSE) == 1


@pytest.mark.parametrize(
    ("first", "close", "tried"),
    [
        (FULL, WORST, [AS_USUAL]),
        (SPARSE, FULL, [AS_USUAL, CLOSE]),
        (WORST, SPARSE, [AS_USUAL, CLOSE]),
        (SPARSE, WORST, [AS_USUAL, CLOSE, AS_USUAL]),
        ((0.9, 0.13), FULL, [AS_USUAL, CLOSE]),
        ((0.9, 0.14), FULL, [AS_USUAL]),
    ],
)
def test_pages_of_the_second_wording_are_tried_as_they_always_were(monkeypatch, first, close, tried):
    layouts = Layouts(monkeypatch, {AS_USUAL: first, CLOSE: close})
    layouts.fit(wording=2)
    assert layouts.tried == tried


def test_drawings_are_torn_from_their_lists_only_where_pages_stay_too_empty(monkeypatch):
    layouts = Layouts(monkeypatch, {})
    layouts.fit(kind="saving")
    assert [fitting.TORN in style for style in layouts.styles] == [False, True, True]


def test_groups_of_sizes_begin_where_the_one_before_ends_where_a_page_would_be_too_empty(monkeypatch):
    layouts = Layouts(monkeypatch, {})
    layouts.fit(groups=["Baby", "Adult"])
    assert layouts.tried == [AS_USUAL, CLOSER, CLOSE]
    assert [fitting.RUNNING_ON in style for style in layouts.styles] == [False, True, True]


def test_in_large_print_groups_are_tried_at_their_usual_size_first_with_the_words_below_a_drawing_kept(
    monkeypatch,
):
    layouts = Layouts(monkeypatch, {})
    layouts.fit(kind="large", groups=["Baby", "Adult"], is_for_one=False)
    assert layouts.tried == [AS_USUAL, AS_USUAL, AIRLESS, ROOMIER, CLOSE, CLOSER]
    assert [fitting.CAPTION_KEPT in style for style in layouts.styles] == [
        False,
        False,
        True,
        True,
        False,
        False,
    ]


@pytest.mark.parametrize("kind", ["large", "saving"])
def test_only_large_print_has_the_least_air_for_lines_that_stay_alone_on_a_last_page(monkeypatch, kind):
    layouts = Layouts(monkeypatch, {AS_USUAL: (0.9, 0.2)}, otherwise=(0.9, 0.9, 0.05))
    layouts.fit(kind=kind, is_for_one=False)
    assert any(fitting.CLOSEST in style for style in layouts.styles) == (kind == "large")


def test_of_pages_that_stay_too_empty_those_that_lack_least_are_kept(monkeypatch):
    layouts = Layouts(monkeypatch, {CLOSER: (0.58, 0.9), CLOSE: (0.45, 0.9)}, otherwise=(0.5, 0.9))
    assert layouts.fit() == CLOSER


def test_pages_are_judged_in_whole_percent():
    assert sparse_pages((0.596, 0.594, 0.9)) == [(2, 0.594)]


def test_pages_of_the_first_wording_are_set_once_as_they_always_were(monkeypatch):
    layouts = Layouts(monkeypatch, {})
    assert layouts.fit(wording=1) == AS_USUAL
    assert set(layouts.tried) == {AS_USUAL}


@pytest.mark.parametrize(
    ("sizes", "kind", "wording", "is_lower"),
    [
        ("S (M, L)", "large", 3, False),
        (
            "6 months (12 months, 2 years, 4 years) [8 years, 12 years, adult S] (adult M, adult L)",
            "large",
            3,
            True,
        ),
        (
            "6 months (12 months, 2 years, 4 years) [8 years, 12 years, adult S] (adult M, adult L)",
            "large",
            2,
            False,
        ),
        (
            "6 months (12 months, 2 years, 4 years) [8 years, 12 years, adult S] (adult M, adult L)",
            "saving",
            3,
            False,
        ),
    ],
)
def test_in_large_print_a_page_begins_below_the_sizes_at_its_head(sizes, kind, wording, is_lower):
    context = {"print": kind, "wording": wording, "is_for_one": False, "head_line": sizes}
    context |= {"has_size_line": False}
    assert ("margin-top" in fitting._page_style(context, "A4")) == is_lower
