"""What a page keeps together: lists of numbers, drawings with their lists, stripes with their key."""

import pytest
import weasyprint
from django.utils.safestring import SafeString

from catalogue.editions.fitting import CONTENTS_TORN, TABLES_TORN, TORN
from catalogue.editions.page_boxes import laid_out_words
from catalogue.editions.pdf_writing import house_style
from catalogue.editions.row_lines import LONGEST_WHOLE, lines_apart, sentences_apart

PAGE = "@page { size: 120mm 100mm; margin: 10mm !important } html { font-size: 10pt }"


def pages_of(body, kind="close flowing", style=""):
    """The words of each page, as the house sets them on small pages."""
    html = f"<body class='{kind}'>{body}"
    own = weasyprint.CSS(string=f"{PAGE} {style}")
    document = weasyprint.HTML(string=html).render(stylesheets=[own, house_style(False)])
    return [laid_out_words([page]) for page in document.pages]


def fill(height_mm):
    """Room that is taken, with a word in it."""
    return f"<div style='height: {height_mm}mm'>above</div>"


KEY = "<ul class='plain key'><li>1 Chest<li>2 Length<li>3 Neck</ul>"
DRAWING = "<figure class='drawing'><div style='height: 20mm'>drawn</div></figure>"


@pytest.mark.parametrize(
    ("words", "is_whole"),
    [
        ("Work 60 (68, 74, 80) [88, 94, 102] (108, 116) sts.", True),
        ("Work 60 sts.", False),  # no list
        ("Work <strong>60</strong> (68, 74) sts.", True),
        ("Work <strong>60 (68, 74)", False),  # emphasis that goes on over rows
        ("Work 60 (68, 74). " + "x" * LONGEST_WHOLE, False),
    ],
)
def test_words_with_a_list_over_sizes_stay_whole(words, is_whole):
    assert ('class="whole"' in lines_apart(SafeString(f"<p>{words}</p>"))) == is_whole


@pytest.mark.parametrize(
    ("words", "boxes"),
    [
        ("Work 60 (68, 74) sts. Turn. (9 sts) Fasten off.", 1),  # short
        ("Work 60 (68, 74) sts. Turn. (9 sts) Fasten off. " + "x" * LONGEST_WHOLE, 3),
        ("Work <em>60 (68, 74) sts. Turn.</em> (9 sts) Fasten off. " + "x" * LONGEST_WHOLE, 0),
        ("Work 60 sts. Turn. " + "x" * LONGEST_WHOLE, 0),
    ],
)
def test_in_large_print_long_words_with_a_list_have_a_line_for_each_sentence(words, boxes):
    assert sentences_apart(SafeString(f"<p>{words}</p>")).count('class="whole"') == boxes


def test_a_list_of_numbers_is_not_torn_over_two_pages():
    numbers = ", ".join(str(number) for number in range(100, 165))
    torn = f"{fill(60)}<ol class='steps'><li><p>Work 98 ({numbers}) sts.</p></ol>"
    assert len([page for page in pages_of(torn) if ", 1" in page]) == 2
    assert len([page for page in pages_of(lines_apart(SafeString(torn))) if ", 1" in page]) == 1


@pytest.mark.parametrize("around", ["joining", "piece"])
def test_a_drawing_stands_with_its_list(around):
    kind = "close flowing large" if around == "piece" else "close flowing"
    above, below = pages_of(f"{fill(50)}<div class='{around}'>{DRAWING}{KEY}</div>", kind)
    assert above == "above"
    assert "drawn" in below
    assert "3 Neck" in below


def test_in_large_print_the_list_of_one_size_is_never_torn_from_the_drawing_beside_it():
    told = f"<div class='told-beside'><div class='drawings'>{DRAWING}</div>{KEY}</div>"
    piece = f"{fill(60)}<section class='schematics'><section class='piece'><h3>Back</h3>{told}</section>"
    for style in ("", TORN):
        above, below = pages_of(piece, "close flowing large for-one", style=style)
        assert above == "above"
        assert ("Back" in below, "drawn" in below, "3 Neck" in below) == (True, True, True)


def test_the_table_that_a_size_is_chosen_by_is_torn_only_where_a_page_stays_too_empty():
    rows = "".join(f"<tr><td>row {at}</td></tr>" for at in range(10))
    measures = (
        f"{fill(40)}<section class='measures'><table class='sizes'><tbody>{rows}</tbody></table></section>"
    )
    assert [page.count("row ") for page in pages_of(measures)] == [0, 10]
    assert "row 1" in pages_of(measures, style=TABLES_TORN)[0]


def test_a_short_list_leaves_its_drawing_after_a_line_where_a_page_stays_too_empty():
    drawn = f"{fill(46)}<div class='piece'>{DRAWING}{KEY}</div>"
    assert [page.count("above") for page in pages_of(drawn, "close flowing large")] == [1, 0]
    torn = f"{TORN} .drawing {{ display: block }}"
    # The list of joins goes with its drawing all the same: its letters are looked up there.
    assert [page.count("above") for page in pages_of(drawn.replace("piece", "joining"), style=torn)] == [1, 0]
    above, below = pages_of(drawn, "close flowing large", style=torn)
    assert "1 Chest" in above
    assert "3 Neck" in below


def test_the_key_of_stripes_stands_at_the_head_of_every_page_of_their_plan():
    band = "<section><h3>Back</h3><div class='drawings'><div style='height: 55mm'>band</div></div></section>"
    plan = f"<section class='stripes'><div class='plan'><div class='key-of-plan'>A Peat</div>{band * 3}</div>"
    pages = pages_of(plan)
    assert len(pages) == 3
    assert all(page.count("A Peat") == 1 and "band" in page for page in pages)


@pytest.mark.parametrize("kind", ["close flowing", "close flowing large"])
def test_the_numbers_of_a_swatch_stand_with_what_is_done_with_it(kind):
    numbers = "<ul class='plain'><li>18 stitches<li>20 stitches</ul><p>Make a swatch.</p>"
    gauge = f"<section class='gauge'><h2>Gauge</h2>{numbers}</section>"
    above, below = pages_of(f"{fill(58)}{gauge}", kind)
    assert above == "above"
    assert "18 stitches" in below
    assert "Make a swatch." in below


def test_a_stripe_stands_on_one_page_with_its_table_and_the_key_once():
    table = "<table class='sizes'><tbody><tr><td>78</td></tr></tbody></table>"
    drawn = "<div class='drawings'><div style='height: 20mm'>band</div></div>"
    band = f"<section><h3>Back</h3>{drawn}{table}</section>"
    key = "<div class='key-of-plan'>A Peat</div>"
    plan = f"<section class='stripes'><h2>Stripes</h2><div class='plan'>{key}{band}</div></section>"
    above, below = pages_of(f"{fill(35)}{plan}")
    assert above == "above"
    assert (below.count("A Peat"), "band" in below, "78" in below) == (1, True, True)


def rows_on_pages(count, height_mm, after=""):
    rows = "".join(f"<tr><td>row {at}</td></tr>" for at in range(count))
    table = f"<table class='sizes'><tbody>{rows}</tbody></table>{after}"
    return [page.count("row ") for page in pages_of(f"{fill(height_mm)}{table}")]


def test_a_short_table_is_whole_and_a_longer_one_leaves_five_rows_for_the_next_page():
    assert rows_on_pages(8, 55) == [0, 8]
    assert rows_on_pages(9, 35) == [4, 5]
    assert rows_on_pages(14, 20)[-1] >= 5


def test_the_sentence_below_a_table_stands_with_rows_of_it():
    note = "<p class='aside'>Amounts are estimates.</p>"
    assert rows_on_pages(12, 8) == [12]
    assert rows_on_pages(12, 8, note)[1] >= 5


def test_the_last_of_many_entries_does_not_stand_alone():
    entries = "".join(f"<div><dt>entry</dt><dd>{at}</dd></div>" for at in range(6))
    for height_mm in range(40, 70, 3):
        counts = [
            page.count("entry") for page in pages_of(f"{fill(height_mm)}<dl class='how'>{entries}</dl>")
        ]
        assert counts[-1] != 1


def test_short_tables_after_each_other_are_not_kept_on_one_page():
    table = f"<table class='sizes'><tbody>{'<tr><td>number</td></tr>' * 3}</tbody></table>"
    first, *_ = pages_of(f"{fill(20)}{table * 4}")
    assert "number" in first


def test_a_long_list_of_contents_begins_under_the_front_page_where_that_stays_too_empty():
    parts = "".join(f"<li><a href='#part{at}'>Part {at}</a></li>" for at in range(12))
    halves = f"<div class='halves'><ul class='plain'>{parts}</ul></div>"
    contents = f"<nav class='contents'><h2>Contents</h2>{halves}</nav>"
    whole = pages_of(f"{fill(20)}{contents}")
    torn = pages_of(f"{fill(20)}{contents}", style=CONTENTS_TORN)
    assert "Part" not in whole[0]
    assert pages_of(f"{fill(20)}{contents}", style=TORN) == whole  # for another page it stays whole
    assert "Part 1" in torn[0]
    assert "Part 11" in torn[1]


@pytest.mark.parametrize("code", ["", "<div class='qr'><div style='height: 18mm'>code</div></div>"])
def test_the_headings_of_helps_stand_with_the_first_words(code):
    words = "<div class='help-words'><p>one<br>two<br>three<br>four</p><ul><li>so</ul></div>"
    help_ = f"<section class='help'>{code}<h3>title</h3><p class='aside'>kind</p>{words}</section>"
    helps = f"<section class='helps'><h2>Helps</h2><p>Numbers</p>{help_}</section>"
    assert pages_of(f"{fill(50)}{helps}")[0] == "above"


def test_how_to_read_stands_with_its_abbreviations():
    short = "<div class='together'><h3>short</h3><dl class='short'><div>ch<br>st<br>sl</div></dl></div>"
    reading = f"<section class='reading'><h2>read</h2><p>one size</p>{short}</section>"
    assert pages_of(f"{fill(55)}{reading}", "close flowing for-one")[0] == "above"


def test_the_whole_ends_below_its_drawing():
    """The drawing floats beside its list: what follows begins under both."""
    drawing = "<div class='drawing'><div style='height: 30mm'>drawn</div></div>"
    whole = f"<figure class='halves whole'>{drawing}<figcaption>flat</figcaption></figure>"
    html = f"<body class='close flowing for-one'>{whole}<h2>next</h2>"
    own = weasyprint.CSS(string=PAGE)
    (page,) = weasyprint.HTML(string=html).render(stylesheets=[own, house_style(False)]).pages
    (heading,) = page.bookmarks
    assert heading[2][1] * 25.4 / 96 >= 40
