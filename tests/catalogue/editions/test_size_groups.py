"""Editions of many sizes: each group of sizes by itself, with the numbers of the sheet."""

import io
import re

import pypdf
import pytest
from django.utils.html import strip_tags

from catalogue.editions.choices import check_choices, home_choices, suggested_choices
from catalogue.editions.editions import edition_context, graded_as_frozen, render_pdf
from catalogue.editions.ingredients import EditionFailed
from catalogue.models.edition_choices import choices_code, choices_words
from catalogue.publishing.forms import EditionForm
from catalogue.publishing.obstacles import in_the_way
from grading.core.instructions.facts import facts_of
from tests.catalogue.builders import make_pattern, make_record
from tests.catalogue.editions.many_sizes import GROUPS, SIZES, jacket_in_15

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]

# Before numbers of a curve or a shaping, which stand in no line: stitches left, times, stitches between.
OF_A_SHAPING = re.compile(r"\b(?:leave|slip stitch across|every(?: \w+)? row|times\)?|[\])] row) \(?$")
A_LIST = re.compile(r"[\d.]+ (?:[\[(][\d., –]+[\])] ?)+")


@pytest.fixture(scope="module")
def known():
    """What was made for the module, by name."""
    return {}


@pytest.fixture
def record(known):
    """The record of the jacket in 15 sizes."""
    if "record" not in known:
        pattern = make_pattern("puffinbay_child", **jacket_in_15())
        known["record"] = make_record(pattern, kind="release", number="1.0")
    return known["record"]


def context_of(record, **more):
    choices = {**home_choices(record), **more}
    return edition_context(record=record, graded=graded_as_frozen(record), choices=choices)


def lists_of(sections):
    """Every list in the steps: the words before it, and its numbers."""
    for section in sections:
        for step in section.steps:
            words = strip_tags(step)
            for found in A_LIST.finditer(words):
                yield words[: found.start()], re.findall(r"[\d.]+|–", found.group())


def rows_of_sheet(record, sizes):
    """Every count and pick-up in these sizes, and what steps add to one, as "{back_stitches + 1}"."""
    graded = graded_as_frozen(record)
    facts, places = facts_of(graded.pattern, graded), [SIZES.index(size) for size in sizes]
    steps = "".join(step for section in graded.pattern.sections for step in section.steps)
    counts = [one.name for one in graded.pattern.values if one.kind != "length"]
    names = [*counts, *(one.name for one in graded.pattern.pick_ups)]
    for name, more in [*((name, 0) for name in names), *re.findall(r"\{(\w+) \+ (\d+)\}", steps)]:
        row = [facts.row(name)[place] for place in places]
        yield ["–" if number is None else f"{number + int(more):.0f}" for number in row]


def wrong_lists(record, sections, sizes):
    """Lists with more numbers than sizes, or of whole numbers that no line has; how many are of a line."""
    sheet = list(rows_of_sheet(record, sizes))
    lists = list(lists_of(sections))
    wrong = [
        (words[-30:], one)
        for words, one in lists
        if len(one) > len(sizes)
        or (
            len(one) == len(sizes)
            and "." not in "".join(one)
            and one not in sheet
            and not OF_A_SHAPING.search(words)
        )
    ]
    return wrong, sum(one in sheet for _, one in lists)


def test_each_group_has_its_own_numbers_in_every_list(record):
    groups = context_of(record)["groups"]
    assert [group["label"] for group in groups] == ["Baby", "Child", "Adult"]
    for group, typed in zip(groups, GROUPS, strict=True):
        assert not [step for section in group["instructions"] for step in section.steps if "<table" in step]
        wrong, compared = wrong_lists(record, group["instructions"], typed["sizes"])
        assert wrong == []
        assert compared >= 15
        lists = [found for line in group["garment"].key for found in A_LIST.findall(str(line))]
        assert len(lists) >= 5
        assert {len(re.findall(r"[\d.]+|–", one)) for one in lists} == {len(typed["sizes"])}


def test_tables_of_sizes_stand_by_group(record):
    context = context_of(record)
    for tables in (context["measurement_tables"], context["yarn_tables"]):
        assert list(dict.fromkeys(table.caption for table in tables)) == ["Baby", "Child", "Adult"]
    sizes = [size for table in context["measurement_tables"] for size in table.sizes]
    assert sizes == SIZES
    assert [row.label for table in context["yarn_tables"] for row in table.rows] == SIZES


def test_what_groups_share_is_told_once_and_the_rest_by_group(record):
    context = context_of(record)
    assert len(context["tools"]) == 2
    shared, *others = context["notions"]
    assert shared == "1 sewing needle with sewing thread"
    assert [line.partition(":")[0] for line in others] == ["Baby", "Child", "Child", "Adult"]


def test_one_booklet_holds_all_groups_one_after_another_with_their_sizes_at_the_head(record):
    pdf = pypdf.PdfReader(io.BytesIO(render_pdf(record=record, choices=home_choices(record)).content))
    pages = [" ".join(page.extract_text().split()) for page in pdf.pages]
    begins = [
        at
        for label in ("Baby", "Child", "Adult")
        for at, text in enumerate(pages)
        if f"{label}: sizes" in text
    ]
    assert len(begins) == 3
    assert begins == sorted(begins)
    # A group may begin on a page that the one before still needs: that page has the sizes of the one before.
    baby = [text for text in pages[begins[0] + 1 : begins[1]] if "Baby: 6 m (12 m, 18 m)" in text]
    assert baby == pages[begins[0] + 1 : begins[1]]
    assert baby
    assert not [text for text in baby if "2X" in text or "12y" in text]
    for before, at in (("Baby: 6 m (12 m, 18 m)", begins[1]), ("Child: ", begins[2])):
        begins_a_page = pages[at].startswith(("Child: sizes", "Adult: sizes"))
        assert (before in pages[at]) != begins_a_page
    # What stands behind the last group is for everybody.
    behind = [text for text in pages if text.startswith(("Cautions", "About this version"))]
    assert not [text for text in behind if "Adult: " in text]


def test_a_booklet_of_one_group_has_no_other_size(record):
    choices = {**home_choices(record), "group": "Baby"}
    context = context_of(record, group="Baby")
    assert context["groups"] == []
    wrong, compared = wrong_lists(record, context["instructions"], GROUPS[0]["sizes"])
    assert wrong == []
    assert compared >= 15
    pdf = pypdf.PdfReader(io.BytesIO(render_pdf(record=record, choices=choices).content))
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "sizes of the group Baby" in text
    assert "2X" not in text
    assert "6 m (12 m, 18 m)" in text


def test_a_group_is_offered_named_and_known_by_its_code(record):
    home = home_choices(record)
    offered = [choices_words(one) for one, _ in suggested_choices(record["pattern"], ())]
    assert sum("of the group" in words for words in offered) == 3
    assert choices_code({**home, "group": "Child"}) == f"{choices_code(home)}|group Child"
    typed = {**home, "group": "Child", "helps": ""}
    form = EditionForm(typed, record=record)
    assert form.is_valid()
    assert form.choices() == {**home, "group": "Child"}
    both = EditionForm({**typed, "sizes": "4y"}, record=record)
    assert both.errors["group"] == [
        "An edition is of one size or of one group: choose all sizes beside the group."
    ]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"group": "Women"}, "no group of sizes “Women”"),
        ({"group": "Child", "sizes": "4y"}, "of one size or of one group"),
    ],
)
def test_a_group_that_is_none_is_refused(record, changes, says):
    with pytest.raises(EditionFailed, match=says):
        check_choices(record, {**home_choices(record), **changes})


def test_many_sizes_without_groups_are_warned_of_with_the_page_that_sets_them():
    pattern = make_pattern("puffinbay_child", **jacket_in_15(grouped=False))
    found = [one for one in in_the_way(pattern, "test") if one.says.startswith("There are 15 sizes")]
    assert [(one.weight, one.page) for one in found] == [("warn", f"/desk/{pattern.slug}/sizes/")]
    grouped = make_pattern("puffinbay_child", **{**jacket_in_15(), "title": "Puffinbay in groups"})
    assert not [one for one in in_the_way(grouped, "test") if "sizes, and every list" in one.says]
