"""Where a maker reads their size, what no version corrects yet is at its step as well, and yarn is marked."""

import re

import pytest
from django.urls import reverse

from catalogue.holders.holders import NewHolder
from catalogue.holders.pdf_links import pdf_key, store_buyers
from catalogue.models import Erratum, Holder, Yarn
from catalogue.versions.records import read_record
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]

PLACE = "sections[0].steps[0]"


@pytest.fixture
def pattern():
    pattern = make_pattern()
    edit(pattern, lambda document: document["sections"][0]["steps"].__setitem__(0, STEP))
    make_version(pattern)
    type(pattern).objects.update(is_free=True)
    return pattern


STEP = "Chain {back_stitches} sts. Turn, and work 2 rows of dc, then 2 rows of tr in rib."


def mistake(pattern, says, should_say, place=PLACE, **more):
    return Erratum.objects.create(
        pattern=pattern, place=place, says=says, should_say=should_say, state="confirmed",
        found_in=pattern.versions.get(major=1, minor=0), **more,
    )  # fmt: skip


def read(client, pattern, size="M"):
    page = page_text(client.get(reverse("read_your_size", args=[pattern.slug]), {"size": size}))
    return " ".join(page.split())


def work_as(page):
    """What a page says is to be worked in place of steps."""
    return re.findall(r'Work this step as: <strong class="rows">(.*?)</strong>', page)


def test_words_that_no_version_corrects_yet_are_put_right_in_the_whole_step(client, pattern):
    mistake(pattern, "Turn, and work 2 rows of dc", "Do not turn: work 4 rows of dc")
    page = read(client, pattern)
    (now,) = work_as(page)
    (was,) = re.findall("<del>(.*?)</del>", page)
    assert "Turn, and work 2 rows of dc" in was
    assert "Turn, and work 2 rows of dc, then" not in page.replace(was, ""), (
        "the wrong step is struck through"
    )
    assert re.fullmatch(r"Chain \d+ sts. Do not turn: work 4 rows of dc, then 2 rows of tr in rib.", now)


def test_a_list_over_all_sizes_is_put_right_by_the_number_of_the_size(client, pattern):
    words = read_record(pattern.versions.get().record)["words"][0]["steps"][0]
    says = words.partition(" sts")[0] + " sts"
    numbers = re.findall(r"\d+", says)
    assert len(numbers) > 1
    should_say = re.sub(r"\d+", lambda number: str(int(number[0]) + 100), says)
    mistake(pattern, says, should_say)
    sizes = read_record(pattern.versions.get().record)["results"]["sizes"]
    for size in ("M", sizes[-1]):
        (now,) = work_as(read(client, pattern, size))
        assert now.startswith(f"Chain {int(numbers[sizes.index(size)]) + 100} sts. Turn")


def test_nothing_is_guessed_where_the_words_are_twice_in_the_step_or_not_at_all_or_of_other_sizes(
    client, pattern
):
    found = mistake(pattern, "2 rows", "4 rows")
    for changed in ({}, {"says": "9 rows"}, {"says": "", "should_say": "Work 4 rows."}):
        Erratum.objects.filter(pk=found.pk).update(**changed)
        page = read(client, pattern)
        assert "Correction:" in page
        assert work_as(page) == []
    Erratum.objects.filter(pk=found.pk).update(says="in rib", should_say="in moss stitch", sizes=["L"])
    assert work_as(read(client, pattern)) == []
    assert len(work_as(read(client, pattern, "L"))) == 1


def test_what_a_newer_version_and_an_open_correction_change_in_one_step_are_both_in_it(
    client, pattern, holder_page
):
    first = pattern.versions.get()
    mended = STEP.replace("Turn, and work", "Work")
    edit(pattern, lambda document: document["sections"][0]["steps"].__setitem__(0, mended))
    second = make_version(pattern, number="1.1")
    found = mistake(pattern, "Turn, and work", "Work")
    Erratum.objects.filter(pk=found.pk).update(state="corrected", corrected_in=second)
    mistake(pattern, "in rib", "in moss stitch")
    (now,) = work_as(holder_page(first))
    assert re.fullmatch(r"Chain \d+ sts. Work 2 rows of dc, then 2 rows of tr in moss stitch.", now)


def test_a_corrected_step_names_the_sizes_of_its_tools_as_an_edition_does(client, pattern, holder_page):
    sized = r"With smaller hook \(\d[\d.]* mm, US [A-Z\d/-]+\), chain \d+ sts, then work "

    def version_of(number, rows):
        def write(document):
            words = f"With smaller hook, chain {{back_stitches}} sts, then work {rows} rows in rib."
            document["sections"][0]["steps"][0] = words
            for fabric in document["fabrics"].values():
                fabric["tool_mm"] = 5

        edit(pattern, write)
        return make_version(pattern, number=number)

    first = version_of("1.1", 34)
    found = mistake(pattern, "work 34 rows", "work 36 rows")
    Erratum.objects.filter(pk=found.pk).update(found_in=first)
    (now,) = work_as(read(client, pattern))
    assert re.fullmatch(sized + "36 rows in rib.", now)
    second = version_of("1.2", 38)
    Erratum.objects.filter(pk=found.pk).update(state="corrected", corrected_in=second)
    (now,) = work_as(holder_page(first))
    assert re.fullmatch(sized + "38 rows in rib.", now)


def test_yarn_that_is_wrong_is_marked_where_it_is_listed_with_what_a_newer_version_has(
    client, pattern, holder_page
):
    first = pattern.versions.get()
    assert "As your version has it" not in read(client, pattern)
    open_one = mistake(
        pattern, "Larkmoss Orrendale", "Larkmoss Skeinbury", place="materials", gravity="misleading"
    )
    assert "As your version has it:" in read(client, pattern).partition('<h2 id="gauge">')[0]
    open_one.delete()
    other = Yarn.objects.create(name="Larkmoss Wendlebury", length_per_100g_m=210, put_up_g=50)
    Yarn.objects.create(
        name="Larkmoss Orrendale", length_per_100g_m=220, put_up_g=50, ended_on="2026-03-02", substitute=other
    )
    (own,) = re.findall(r"instead: Larkmoss Wendlebury[^:]*: (.*?) </li>", holder_page(first))
    assert re.fullmatch(r"\d+ balls, .*", own), "nothing is wrong in it yet"
    edit(pattern, lambda document: document.__setitem__("yarn_allowance", "40 %"))
    second = make_version(pattern, number="1.1")
    found = mistake(pattern, "too little yarn", "more yarn", place="materials")
    Erratum.objects.filter(pk=found.pk).update(state="corrected", corrected_in=second)
    mistake(pattern, "14 sts", "15 sts", place="gauge")
    page = holder_page(first)
    needs, _, rest = page.partition('<h2 id="gauge">')
    assert "says “too little yarn”" in re.sub("<[^>]+>", "", needs)
    (told,) = re.findall(r"<p> Yarn, color A \(([^)]+)\), in version 1\.1: (.*?) </p>", needs)
    assert told[0] == "sleeves long", "what is chosen, or usual"
    assert re.fullmatch(r"\d+ g \(\d+ balls\) → <strong>\d+ g \(\d+ balls\)</strong>", told[1])
    (amounts,) = re.findall(r"instead: Larkmoss Wendlebury[^:]*: (.*?) </li>", needs)
    (new,) = re.findall(r"instead: Larkmoss Wendlebury[^:]*: (.*?) </li>", read(client, pattern))
    assert new != own
    assert amounts == (
        f'<span class="says">{own}</span>; in version 1.1: <span class="should-say">{new}</span>'
    )
    assert "As your version has it:" in needs
    assert "The amounts below are those of your version." in needs
    assert "should say “15 sts”" in re.sub("<[^>]+>", "", rest.partition("<h2 ")[0])


@pytest.fixture
def holder_page(client, pattern):
    """What a buyer reads of the version that they have."""

    def page(version):
        new = NewHolder("ida@larkmoss.example", pattern, version, None)
        store_buyers(holders=[new], source="imported")
        address = reverse("holder_read", args=[pdf_key(Holder.objects.get())])
        asked = {"size": "M", "version": version.number}
        return " ".join(page_text(client.get(address, asked)).split())

    return page
