"""With the sheet or the letter alone a maker brings their copy to what the corrected version says."""

import re
from collections import Counter
from datetime import UTC, datetime
from html import unescape
from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from catalogue.holders.notices import letters_of
from catalogue.models import Erratum, Notice, ShopLink
from catalogue.public.corrections_sheets import corrections_sheet, sheet_html
from catalogue.versions.freezing import step_text
from catalogue.versions.records import read_record
from catalogue.versions.step_changes import facts_of_record
from grading.core.instructions.steps import render_step
from grading.core.printing.edition import PrintForm
from tests.builders import make_studio
from tests.catalogue.errata.planted import PLANTS, freeze, plant, spoil_count, spoil_words
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def studio():
    make_studio()


def copy_of(facts, *, units, size):
    """What a maker holds: where each step stands and its words, as the frozen version prints them."""
    form = PrintForm(units, facts.pattern.home_terms, size)
    return [
        (f"{section.title}, step {number}", step_text(render_step(step, facts, form, section.when)))
        for section in facts.pattern.sections
        for number, step in enumerate(section.steps, 1)
    ]


def corrected(copy, told):
    """The copy as a reader leaves it: what was kept, and what was written anew, by its place."""
    steps = dict(copy)
    assert len(steps) == len(copy)
    gone, come = set(), {}
    for where, old, new in told:
        here, _, there = where.partition(" (now ")
        if old != "not there":
            assert steps[here] == old, "a maker would not find this step"
            gone.add(here)
        if new != "left out":
            come[there.rstrip(")") or here] = new
    kept = [(where, words) for where, words in copy if where not in gone]
    return kept, come


def as_words(pieces):
    return [text for _, text in pieces if text]


def is_the_corrected_copy(kept, come, wanted):
    """Whether what was kept and what was written make up all steps of the newer version, in order."""
    taken = list(as_words(kept))
    for where, words in wanted:
        if come.get(where) == words:
            continue
        if words and (not taken or taken.pop(0) != words):
            return False
    return not taken and set(come) <= {where for where, _ in wanted}


def told_on_sheet(html):
    """Where, old and new of each step of the sheet."""
    part = html.partition("<h2>Steps that changed")[2].partition("<h2>")[0]
    one_step = r"<h3>(.*?)</h3>\s*<p>Old: (.*?)</p>\s*<p>New: <strong>(.*?)</strong></p>"
    found = re.findall(one_step, part, re.DOTALL)
    return [tuple(unescape(text.replace("<br>", "\n")) for text in one) for one in found]


def told_in_letter(text):
    """Where, old and new of each step of the letter."""
    part = text.partition("Steps that changed")[2].partition(":\n")[2]
    part = re.split(r"\n\nMeasurements and yarn|\n\nRead all this|\n\nNo more notices", part)[0]
    found = re.findall(
        r"(?:\A\n?|\n\n)([^\n]+)\nOld: (.*?)\nNew: (.*?)(?=\n\n[^\n]+\nOld: |\s*$)", part, re.DOTALL
    )
    return [(re.sub(r" \([^()]*\)$", "", where), old, new) for where, old, new in found]


def test_thirty_mistakes_are_planted():
    assert len(PLANTS) == 30


@pytest.mark.parametrize(("name", "place", "spoil"), PLANTS, ids=[f"{one[0]} {one[1]}" for one in PLANTS])
def test_sheet_and_letter_let_a_maker_write_the_corrected_steps(name, place, spoil):
    wrong, mended, _, notice = plant(name, place, spoil)
    both = [facts_of_record(read_record(one.record)) for one in (wrong, mended)]
    sizes = both[0].pattern.sizes
    for size, units in ((sizes[0], "cm"), (sizes[len(sizes) // 2], "in"), (sizes[-1], "both")):
        copy, wanted = (copy_of(one, units=units, size=size) for one in both)
        told = told_on_sheet(sheet_html(wrong, mended, units=units, size=size))
        kept, come = corrected(copy, told)
        assert is_the_corrected_copy(kept, come, wanted)
    (letter,) = letters_of(notice)
    copy, wanted = (copy_of(one, units="both", size=None) for one in both)
    told = told_in_letter(letter.text)
    assert told
    kept, come = corrected(copy, told)
    assert is_the_corrected_copy(kept, come, wanted)
    assert not is_the_corrected_copy(copy, {}, wanted), "the mistake changes no step, so this proves nothing"


def test_a_wrong_count_names_every_step_that_it_moves(client):
    wrong, _, _, notice = plant("brackenmere_pullover", "values.sleeve_rows", spoil_count("sleeve_rows"))
    moved = [f"Sleeves (make 2 alike), step {number}" for number in (2, 3)]
    url = reverse("corrections", args=[wrong.pattern.slug, "1.0"])
    page = page_text(client.get(url, {"size": "M"}))
    assert all(f">{where}</a>" in page for where in moved)
    assert "Steps that changed in size M" in page
    assert "(39, " not in page.partition("Steps that changed in size M")[2].partition("changed from")[0]
    assert "Sleeve, rows" not in page.partition("changed from")[2], "a count within the sheet is in no copy"
    (letter,) = letters_of(notice)
    assert f"Changed steps: {'; '.join(moved)}" in letter.text


def test_a_step_that_changed_without_a_mistake_says_so_once_wherever_it_is_told(client):
    def spoil(document):
        spoil_count("sleeve_rows")(document)
        spoil_words(document)

    wrong, mended, _, notice = plant("brackenmere_pullover", "values.sleeve_rows", spoil)
    (letter,) = letters_of(notice)
    assert "Yarn, color A" in letter.text, "the pattern is written in US terms"
    note = "It changed too; no mistake is listed for it."
    for text in (
        letter.text,
        letter.html,
        corrections_page(client, wrong),
        sheet_html(wrong, mended, units="cm", size=""),
    ):
        before, _, after = " ".join(text.split()).partition(note)
        assert "Back, step 2" in before[-400:]
        assert "Turn the work inside out." in after[:300]
        assert note not in after


def test_a_number_that_the_copy_does_not_print_is_told_by_its_steps(client):
    wrong, mended, erratum, notice = plant(
        "brackenmere_pullover", "values.sleeve_rows", spoil_count("sleeve_rows")
    )
    (made,) = [one for one in read_record(wrong.record)["pattern"]["values"] if one["name"] == "sleeve_rows"]
    assert not made.get("measured")
    Erratum.objects.filter(pk=erratum.pk).update(says="942 (942, 942)", should_say="836 (836, 836)")
    sheet = sheet_html(wrong, mended, units="cm", size="")
    later = freeze(wrong.pattern, 2)
    Erratum.objects.create(
        pattern=wrong.pattern, place="gauge", says="13 stitches", found_in=mended, state="corrected",
        corrected_in=later,
    )  # fmt: skip
    of_later = Notice.objects.create(version=later, state="draft")
    told = [corrections_page(client, wrong), sheet]
    told += [one.text for draft in (notice, of_later) for one in letters_of(draft)]
    assert len(told) == 4
    assert "Corrected before" in told[-1]
    for text in told:
        assert "number is not printed" in text
        assert "942" not in text
        assert "836" not in text


def test_a_size_that_no_version_has_is_all_sizes(client):
    wrong, *_ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    page = client.get(reverse("corrections", args=[wrong.pattern.slug, "1.0"]), {"size": "Q\x00"})
    assert page.status_code == 200
    assert page.context["size"] == ""


ALL_WRONG = "42 (42, 42, 42) [40, 40, 36] (36, 34)"
ALL_RIGHT = "36 (36, 36, 42) [34, 34, 30] (30, 28)"
SIZES = ["XS", "S", "M", "L", "XL", "2X", "3X", "4X", "5X"]


def corrections_page(client, wrong, size=""):
    """The page of corrections of a version as a reader sees it: its words alone."""
    url = reverse("corrections", args=[wrong.pattern.slug, wrong.number])
    return " ".join(
        unescape(re.sub(r"<[^>]*>", " ", client.get(url, {"size": size}).content.decode())).split()
    )


@pytest.mark.parametrize(
    ("size", "told"),
    [
        (
            "",
            f"It says {ALL_WRONG} It should say {ALL_RIGHT}",
        ),
        ("3X", "It says 36 It should say 30"),
        ("L", "Concerns size L No: nothing changes in it. It says 42 It should say 42"),
    ],
)
def test_a_list_over_all_sizes_is_told_to_one_size_by_its_own_number(client, size, told):
    wrong, mended, erratum, _ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    assert read_record(wrong.record)["results"]["sizes"] == SIZES
    erratum.says, erratum.should_say, erratum.place = ALL_WRONG, ALL_RIGHT, "materials"
    erratum.save()
    page = corrections_page(client, wrong, size)
    assert told in page
    assert ("What to correct in your copy It affects size 3X. In" in page) is (size == "3X")
    sheet = " ".join(re.sub(r"<[^>]*>", " ", sheet_html(wrong, mended, units="cm", size=size)).split())
    assert ("affect size" in sheet or "affects size" in sheet) is bool(size)


def test_a_correction_of_other_sizes_says_so(client):
    wrong, _, erratum, _ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    erratum.sizes = ["S", "L"]
    erratum.save()
    assert "Concerns size M No: it is about S, L." in corrections_page(client, wrong, "M")


def test_what_no_version_has_corrected_is_to_be_written_in_and_the_new_version_can_be_had(client):
    wrong, mended, erratum, _ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    ShopLink.objects.create(pattern=wrong.pattern, label="Larkmoss shop", address="https://shop.example/1")
    page = corrections_page(client, wrong)
    assert "To get version 1.1, ask where you bought the pattern: Larkmoss shop ." in page
    assert "Corrected in version 1.1" in page
    erratum.corrected_in = None
    erratum.save()
    assert "Corrected in no version yet: write it into your copy" in corrections_page(client, wrong)
    assert "write it into your copy" in sheet_html(wrong, mended, units="cm", size="")


def test_the_sheet_is_known_on_the_day_of_the_newest_thing_on_it():
    wrong, mended, erratum, _ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    Erratum.objects.filter(pk=erratum.pk).update(created_at=datetime(2026, 3, 2, tzinfo=UTC))
    mended.published_at = datetime(2026, 11, 9, 12, tzinfo=UTC)
    mended.save()
    sheet = " ".join(sheet_html(wrong, mended, units="cm", size="").split())
    assert "The current version is 1.1 of 9 November 2026. Known on 9 November 2026;" in sheet


def type_sizes(pdf):
    """How many letters stand in each size of type, in points."""
    sizes: Counter[float] = Counter()

    def count(text, current, matrix, _font, size):
        sizes[round(size * abs(matrix[0] * current[0]), 1)] += len(text.strip())

    for page in pdf.pages:
        page.extract_text(visitor_text=count)
    return +sizes


def test_the_sheet_is_set_as_large_as_one_page_leaves_and_nothing_in_it_below_ten_points():
    wrong, mended, _, _ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    few = pypdf.PdfReader(BytesIO(corrections_sheet(mended, mended, units="cm", size="M")))
    assert (len(few.pages), min(type_sizes(few))) == (1, 12)
    for number in range(12):
        why = f"Mistake {number}. " * 12
        Erratum.objects.create(
            pattern=wrong.pattern, place="gauge", says="1", should_say="2", why=why, found_in=wrong,
            state="confirmed",
        )  # fmt: skip
    many = pypdf.PdfReader(BytesIO(corrections_sheet(wrong, mended, units="cm")))
    assert len(many.pages) > 1
    assert min(type_sizes(many)) == 10


def test_without_a_size_the_page_asks_for_one_and_folds_what_all_sizes_need(client):
    wrong, _, _, _ = plant("brackenmere_pullover", "values.rib_rows", spoil_count("rib_rows"))
    address = reverse("corrections", args=[wrong.pattern.slug, wrong.number])
    for size in ("", "M"):
        html = page_text(client.get(address, {"size": size}))
        assert ("Choose your size first" in html) is not bool(size)
        assert len(re.findall(r'<details class="fold"( open)?>', html)) == 2
        assert html.count('<details class="fold" open>') == (2 if size else 0)
    every = page_text(client.get(address))
    assert "(all sizes)" in every
    assert "(sizes XS, S, M, L" not in every
