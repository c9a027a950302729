"""The edition for one maker: one size, the chosen options and shades, boxes to tick, few pages."""

import io
import re

import pypdf
import pytest
from django.utils.html import strip_tags
from django.utils.safestring import SafeString

from catalogue.editions.choices import home_choices
from catalogue.editions.chosen import narrowed, options_text, read_options, shades_text
from catalogue.editions.editions import edition_context, graded_as_frozen, render_pdf
from catalogue.editions.for_one import measures_told
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.ticks import BOX, FIRST_WORDS, STEP_BOX, ticked
from catalogue.models.edition_choices import choices_code, choices_words, printed_choices
from catalogue.versions.freezing import record_pattern
from grading.core.pattern.pattern import OptionEntry
from grading.core.printing.size_rows import PageRow, PageTable
from tests.catalogue.builders import make_pattern, make_record
from tests.grading.yarn_by_choice import coloured_by_choice

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]

OPTIONS = (
    OptionEntry("sleeves", "Sleeves", ("long", "no; none"), "long"),
    OptionEntry("hood", "Hood", ("yes", "no"), "no"),
)
CHOSEN = {"pockets": "no", "colours": "striped"}
SHADES = {"A": "#4a3728", "B": "#8d6a9f", "C": "#d9c7a3"}


@pytest.fixture(scope="module")
def known():
    """What was made for the module, by name."""
    return {}


@pytest.fixture
def made(known):
    """The waistcoat for one maker, its record and the text of its pages."""
    if not known:
        record = make_record(make_pattern("thistledrift_waistcoat"), kind="release", number="1.0")
        choices = own_choices(record)
        pdf = render_pdf(record=record, choices=choices)
        pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages]
        known["waistcoat"] = (record, choices, pdf, pages)
    return known["waistcoat"]


def own_choices(record, **changes):
    own = {"sizes": "L", "options": options_text(CHOSEN), "shades": shades_text(SHADES)}
    return {**home_choices(record), **own, **changes}


def test_what_was_not_chosen_is_left_out_and_what_was_is_no_condition_any_more(made):
    text = " ".join(" ".join(made[3]).split())
    assert "Pockets (make 2)" not in text
    assert "Pocket (make 2)" not in text
    assert "Laid flat" not in text or "ith pockets" not in text
    first, *_, last = text.split("striped colors")
    assert "What you need" not in first  # on the first page, and where the edition is named
    assert "This edition" not in last
    assert text.count("striped colors") == 2


def test_it_has_one_yarn_line_a_colour(made):
    lines = [line for page in made[3] for line in page.splitlines() if " balls · " in line]
    assert len(lines) == 3
    assert re.search(r"A\s*5 balls · 220 g · 480 m", lines[0])


def test_it_takes_fewer_pages_than_the_edition_of_all_sizes(made):
    record, _, pdf, _ = made
    assert pdf.pages <= render_pdf(record=record, choices=home_choices(record)).pages - 3


def test_the_same_choices_give_the_same_bytes_and_other_shades_others(made):
    record, choices, pdf, _ = made
    assert render_pdf(record=record, choices=choices).sha256 == pdf.sha256
    other = {**choices, "shades": shades_text({**SHADES, "A": "#222222"})}
    assert render_pdf(record=record, choices=other).sha256 != pdf.sha256


def test_a_record_of_the_first_wording_has_no_edition_with_choices(made):
    record, choices, _, _ = made
    with pytest.raises(EditionFailed, match="edition of one size"):
        render_pdf(record={**record, "wording": 1}, choices=choices)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"sizes": "all"}, "choose a size first"),
        ({"options": "pockets=perhaps;colours=striped"}, "no such choice"),
        ({"options": "colours=striped"}, "no such choice"),
        ({"shades": "A#12345"}, "can't be read"),
        ({"shades": "Z#123456"}, "can't be read"),
        ({"shades": "A#12345g"}, "can't be read"),
    ],
)
def test_choices_that_the_pattern_has_not_are_refused_in_a_sentence(made, changes, says):
    with pytest.raises(EditionFailed, match=says):
        render_pdf(record=made[0], choices=own_choices(made[0], **changes))


def test_options_are_read_as_they_were_written_whatever_stands_in_them():
    chosen = {"sleeves": "no; none", "hood": "yes"}
    assert dict(read_options(OPTIONS, options_text(chosen)) or ()) == chosen
    assert read_options(OPTIONS, "") == ()
    assert read_options(OPTIONS, "hood=yes;sleeves=short") is None


def test_an_edition_without_choices_keeps_its_code_and_words():
    usual = {"hand": "right", "units": "cm", "terms": "UK", "sizes": "M", "print": "screen", "paper": "A4"}
    assert choices_code(usual) == "right|cm|UK|M|screen|A4"
    own = {**usual, "options": "hood=yes", "shades": "A#4a3728"}
    assert choices_code(own) == "right|cm|UK|M|screen|A4|options hood=yes|shades A#4a3728"
    assert "size M alone with hood: yes in your shades" in choices_words(own)
    assert printed_choices(usual) == "UK terms, centimetres, size M only, in colour, A4"
    assert "size M alone" in printed_choices(usual, is_wide=True)


def test_a_part_that_is_coloured_by_a_choice_is_left_in_what_was_chosen():
    record = make_record(make_pattern("thistledrift_waistcoat"), kind="release", number="1.0")
    document = coloured_by_choice(record["pattern"])
    pattern = record_pattern({**record, "pattern": document})
    for choice, colour, stripes in (("solid", "A", None), ("striped", None, "drift")):
        back = next(
            one for one in narrowed(pattern, (("colours", choice),)).yarn_sections if one.name == "Back"
        )
        assert (back.colour, back.stripes, back.when, back.by_choice) == (colour, stripes, (), ())


@pytest.mark.parametrize(
    ("line", "boxes"),
    [
        ("Row 1: work on.", 1),
        ("Rows 2 and 3: work on.", 2),
        ("Rows 4 to 6: work on.", 3),
        ("Work 9 rows.", 1),
    ],
)
def test_each_row_of_a_list_of_rows_has_its_box(line, boxes):
    step = SafeString(f'<p>Armholes: <span class="rows">{line}<br>Fasten off.</span></p>')
    assert ticked(step).count(BOX) == boxes + 1
    assert strip_tags(ticked(step)).replace(" ", "") == strip_tags(step).replace(" ", "")


def test_each_number_of_a_list_of_rows_stands_in_a_box():
    step = SafeString("<p>Decrease 1 st on rows 2, 4, 6 and 9, then work 12 rows. (19 sts)</p>")
    assert re.findall(r'<span class="row-number">(\d+)</span>', ticked(step)) == ["2", "4", "6", "9"]
    assert strip_tags(ticked(step)) == strip_tags(step)


def test_a_long_run_of_rows_has_a_box_for_each_and_what_follows_it_as_well():
    words = "<p>Increase on every 2nd round from 2 to 56, then rounds 60 and 64. (9 sts)</p>"
    made = ticked(SafeString(words))
    # By hand: 2, 4 … 56 are 28 rounds.
    assert made.count(BOX) == 28
    assert re.findall(r'<span class="row-number">(\d+)</span>', made) == ["60", "64"]
    assert " ".join(strip_tags(made).split()) == strip_tags(words)
    assert ticked(SafeString(words), has_strips=False).count(BOX) == 0
    assert ticked(SafeString("<p>Work every row from 1 to 900.</p>")).count(BOX) == 0


def test_each_step_has_its_box_in_its_first_line():
    plain = SafeString("<p>Fasten off.</p><p>Block.</p>")
    assert ticked(plain) == f"<p>{STEP_BOX}Fasten off.</p><p>Block.</p>"
    only = SafeString('<div class="only"><p class="only-for">Size M only</p><p>Fasten off.</p></div>')
    assert ticked(only) == only.replace("Size M", f"{STEP_BOX}Size M")
    assert ticked(only, FIRST_WORDS) == only.replace("Fasten", f"{STEP_BOX}Fasten")
    table = SafeString("<table></table>")
    assert ticked(table) == f"{STEP_BOX}<table></table>"


def test_joins_of_what_was_not_chosen_are_left_out():
    record = make_record(make_pattern("brackenmere_pullover"), kind="release", number="1.0")
    pattern = narrowed(record_pattern(record), (("sleeves", "none"),))
    assert "sleeve_join" not in {one.name for one in pattern.joins}
    assert "side_seam" in {one.name for one in pattern.joins}


@pytest.mark.parametrize(
    ("line", "boxes"),
    [("Rows 3 and 5: k2", 2), ("Rows 5, 6, 9 and 10: k2", 4), ("Rows 3 to 7: k2", 5), ("Row 4: k2", 1),
     ("Rows 2, 4 to 6 and 9: k2", 5), ("Knit", 1)],
)  # fmt: skip
def test_a_line_has_a_box_for_each_of_its_rows(line, boxes):
    step = SafeString(f'<p><span class="rows">{line}</span></p>')
    assert ticked(step).count('class="box"') == boxes


def test_numbers_of_rows_inside_a_line_break_no_boxes():
    step = SafeString(
        '<p><span class="rows">Row 1: k2<br>Work rows 2, 4 and 6 straight.<br>Row 8: k1</span></p>'
    )
    made = ticked(step)
    assert made.count('class="row"') == made.count('class="row-number"') == 3
    assert made.count("<span") == made.count("</span>")


def test_measurements_of_one_size_stand_once_with_their_units_and_how_they_are_taken():
    rows = [
        PageRow("To fit"),
        PageRow("Bust, cm", ("104",)),
        PageRow("Bust, in", ("41",)),
        PageRow("Finished measurements"),
        PageRow("Sleeve, underarm to wrist, cm", ("46.5",)),
        PageRow("Buttons", ("6",)),
    ]
    told = measures_told([PageTable(("L",), tuple(rows))], [("Bust", "no"), ("Buttons", "Count them.")])
    assert told == [
        {"head": "To fit", "rows": [{"label": "Bust", "text": "104 cm / 41 in", "how": ""}]},
        {
            "head": "Finished measurements",
            "rows": [
                {"label": "Sleeve, underarm to wrist", "text": "46.5 cm", "how": ""},
                {"label": "Buttons", "text": "6", "how": "Count them."},
            ],
        },
    ]


def test_two_measurements_of_one_label_have_a_row_each():
    rows = [
        PageRow("To fit"),
        PageRow("Finished measurements"),
        *(PageRow(f"Length, {unit}", (text,)) for unit, text in [("cm", "60"), ("in", "23½")] * 2),
        *(PageRow("Cuff, cm", (text,)) for text in ("20", "24")),
    ]
    how = [("Length", "At the back."), ("Length", "At the front."), ("Cuff", "Flat.")]
    (part,) = measures_told([PageTable(("L",), tuple(rows))], how)
    assert [(row["label"], row["text"], row["how"]) for row in part["rows"]] == [
        ("Length", "60 cm / 23½ in", "At the back."),
        ("Length", "60 cm / 23½ in", "At the front."),
        ("Cuff", "20 cm", "Flat."),
        ("Cuff", "24 cm", ""),
    ]


def test_the_front_page_of_one_size_says_nothing_of_others():
    record = make_record(make_pattern("puffinbay_child"))
    photo = {
        "digest": "0",
        "caption": "In size 8y. Size 2y has tape.",
        "height_px": 1,
        "width_px": 2,
        "alt": "",
    }
    record = {**record, "photos": [photo]}
    graded, home = graded_as_frozen(record), home_choices(record)
    told = {}
    for size in (None, "2y", "8y"):
        choices = home if size is None else {**home, "sizes": size}
        context = edition_context(record=record, graded=graded, choices=choices)
        told[size] = ("Size 2y" in context["summary"], context["photos"][0]["caption"])
    whole = (True, photo["caption"])
    assert told == {None: whole, "2y": whole, "8y": (False, "In size 8y.")}
