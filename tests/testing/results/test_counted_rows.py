"""Which rows a maker may count, what is expected after each, and what is left unjudged."""

import re

import pytest
from django.urls import reverse

from testing.asked.figures import placement_figures
from testing.models import Placement, Remark
from testing.results.counted_rows import counted_rows
from testing.results.row_counts import save_count
from tests.catalogue.builders import SAMPLES, edit, make_pattern
from tests.present import present
from tests.testing.builders import make_call, make_place


def place_of(sample: str, size: str) -> Placement:
    place: Placement = make_place(make_call(pattern=make_pattern(sample)))
    Placement.objects.filter(pk=place.pk).update(size=size)
    place.size = size
    return place


def row_with(place, words):
    rows = counted_rows(placement_figures(place), place.size)
    return next(row for row in rows if words in row.shown)


# Steps that run at the same time, counted by hand from what they print: the raglan's step 6 says 340 sts
# after 64 rounds; the armhole takes 14 of 49 sts in 8 rows, and the V one on rows 2, 4, 6 and 8 of the same.
@pytest.mark.parametrize(
    ("sample", "step", "row", "expected"),
    [
        ("cinderfell_raglan", "Yoke, step 4", None, 340),
        ("cinderfell_raglan", "Yoke, step 4", 64, 340),
        ("cinderfell_raglan", "Yoke, step 5", 9, 144),
        ("thistledrift_waistcoat", "Right front (as worn), step 3", None, 31),
        ("thistledrift_waistcoat", "Right front (as worn), step 3", 2, 39),
        ("thistledrift_waistcoat", "Left front (as worn), step 3", None, 31),
    ],
)
def test_steps_at_the_same_time_are_counted_together(db, sample, step, row, expected):
    assert row_with(place_of(sample, "L"), step).at(row).worked == expected


def test_the_second_side_of_a_neck_is_not_worked_at_the_same_time_as_the_first(db):
    first = row_with(place_of("brackenmere_pullover", "L"), "Front, step 2: Row 1")
    assert (first.worked, first.is_joint, first.at(1).worked) == (27, False, 35)


def test_what_cannot_be_known_is_kept_and_not_judged(client, db):
    place = place_of("cinderfell_raglan", "L")
    client.force_login(place.person)
    page = reverse("making_counted", args=[place.pk])
    row = row_with(place, "short rows")
    said = client.post(page, {"row": row.name, "stitches": "116"}, follow=True).content.decode()
    assert "This row can’t be checked here." in said
    shown = " ".join(client.get(page).content.decode().split())
    assert f"{row.shown} 116 stitches" in shown
    assert not Remark.objects.exists()


def test_rows_alone_are_offered_by_section_and_numbered_as_her_copy_prints_them(client, db):
    def other_first(document):  # a step of the yoke that L's copy does not print
        document["sections"][1]["steps"].insert(0, "::: only sizes=XS\nBegin with the smaller needle.\n:::")

    pattern = make_pattern("cinderfell_raglan")
    edit(pattern, other_first)
    place = make_place(make_call(pattern=pattern))
    Placement.objects.filter(pk=place.pk).update(size="L")
    client.force_login(place.person)
    rows = client.get(reverse("making_counted", args=[place.pk])).context["form"].fields["row"].choices
    offered = {title: [words for _, words in of] for title, of in rows[1:]}
    yoke = [words.partition(":")[0] for words in offered["Yoke"]]
    assert yoke == ["Yoke 1", "Yoke 2", "Yoke 2", "Yoke 4", "Yoke 5", "Yoke 6"]
    told = [words for of in offered.values() for words in of]
    assert not [one for one in told if "worked only where" in one or "That is" in one]
    steps = client.get(reverse("making_remark", args=[place.pk])).context["form"].fields["place"].choices
    assert steps[2][0] == "Yoke"
    assert [words.partition(":")[0] for _, words in steps[2][1]] == [f"Step {at}" for at in range(1, 7)]


def test_a_row_inside_a_step_is_named_and_what_is_expected_is_told(client, db):
    place = place_of("cinderfell_raglan", "L")
    client.force_login(place.person)
    page, row = reverse("making_counted", args=[place.pk]), row_with(place, "Yoke, step 5")
    said = client.post(page, {"row": row.name, "at": "9", "stitches": "144"}, follow=True).content.decode()
    assert "Sent: 144 is what the pattern comes to here." in said
    assert not Remark.objects.exists()
    said = client.post(page, {"row": row.name, "at": "65", "stitches": "144"}).content.decode()
    assert "This step has 64 rows: write 1 to 64" in said


def test_a_later_count_takes_the_remark_of_the_first_with_it(db):
    place = place_of("cinderfell_raglan", "L")
    row = row_with(place, "Yoke, step 5").at(9)
    assert save_count(placement=place, row=row, stitches=140) is False
    assert save_count(placement=place, row=row, stitches=142) is False
    assert ", round 9: I have 142, the pattern 144." in Remark.objects.get().text
    assert save_count(placement=place, row=row, stitches=144)
    assert not Remark.objects.exists()


@pytest.mark.parametrize("sample", SAMPLES)
def test_no_name_of_the_sheet_stands_on_a_testers_page(client, db, sample):
    place = place_of(sample, "8y" if sample == "puffinbay_child" else "L")
    figures = placement_figures(place)
    pattern = figures.pattern
    client.force_login(place.person)
    client.post(
        reverse("making_counted", args=[place.pk]),
        {"row": counted_rows(figures, place.size)[-1].name, "stitches": "1"},
    )
    unlabelled = {one.name for one in pattern.shapings} | {one.name for one in pattern.curves}
    unlabelled |= {one.name for one in pattern.spreads}
    names = {one.name for one in pattern.values} | {one.name for one in pattern.pick_ups} | unlabelled
    names = {name for name in names if "_" in name}
    spaced = {name.replace("_", " ") for name in unlabelled}
    for page in (
        "making",
        "making_counted",
        "making_remark",
        "making_worked",
        "making_altered",
        "making_fit",
    ):
        html = client.get(reverse(page, args=[place.pk])).content.decode()
        options = re.findall(r"<option[^>]*>([^<]*)</option>", html)
        text = " ".join(re.sub(r"<script.*?</script>|<[^>]*>", " ", html, flags=re.DOTALL).split())
        assert "{" not in text, page
        assert not [name for name in names if name in text], page
        assert not [words for words in options if words.lower().split(": ")[-1] in spaced], page


def test_a_row_is_kept_also_where_the_count_does_not_change(client, db):
    place = place_of("brackenmere_pullover", "L")
    plain = [row for row in counted_rows(placement_figures(place), place.size) if len(set(row.counts)) == 1]
    row = next(row for row in plain if len(row.counts) > 20)
    worked = present(row.worked)
    client.force_login(place.person)
    page = reverse("making_counted", args=[place.pk])
    for at, stitches in ((10, worked), (20, worked + 1)):
        client.post(page, {"row": row.name, "at": str(at), "stitches": str(stitches)})
        shown = " ".join(client.get(page).content.decode().split())
        assert re.search(rf"Last sent on [^<]*\((row|round) {at}\) {stitches} stitches", shown)
    assert Remark.objects.get().text.endswith(f" 20: I have {worked + 1}, the pattern {worked}.")
    refused = client.post(page, {"row": row.name, "at": "9999", "stitches": "1"}).content.decode()
    assert f"This step has {len(row.counts)} rows" in refused


def test_the_last_row_of_a_step_is_its_end_and_is_named(db):
    row = row_with(place_of("cinderfell_raglan", "L"), "Yoke, step 5")
    last = row.at(len(row.counts))
    assert (last.name, last.worked) == (row.name, row.worked)
    assert last.shown.endswith(f" {len(row.counts)})")
