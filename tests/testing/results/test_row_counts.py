"""What makers count after a row stands in the account, and is a remark where it does not agree."""

from django.urls import reverse

from catalogue.instructions.row_accounts import row_account
from testing.asked.figures import placement_figures
from testing.models import EarlierEntry, Entry, Remark
from testing.results.counted_rows import counted_rows
from testing.results.row_counts import save_count
from tests.catalogue.builders import make_pattern
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import make_call, make_place


def pullover_call():
    return make_call(pattern=make_pattern("brackenmere_pullover"))


def first_row(place):
    return counted_rows(placement_figures(place), place.size)[0]


def cells(place):
    rows = row_account(place.call.pattern, {"size": place.size}).rows
    return [cell.makers for row in rows for cell in row.cells if cell.makers]


def test_a_count_that_agrees_stands_in_its_cell_and_is_no_remark(db):
    place = make_place(pullover_call())
    row = first_row(place)
    assert save_count(placement=place, row=row, stitches=row.worked)
    assert cells(place) == [f"1 maker: {row.worked}"]
    assert not Remark.objects.exists()


def test_counts_of_several_makers_are_told_together_and_a_later_one_takes_the_place_of_its_own(db):
    call = pullover_call()
    one, other = make_place(call), make_place(call, name="Moss Reed", email="moss@larkmoss.example")
    row = first_row(one)
    for place, stitches in ((one, 1), (one, row.worked), (other, row.worked)):
        save_count(placement=place, row=row, stitches=stitches)
    assert cells(one) == [f"2 makers: {row.worked}"]


def test_the_phone_page_takes_a_count_and_one_that_disagrees_is_a_remark_of_kind_count(client, db):
    place = make_place(pullover_call())
    row = first_row(place)
    client.force_login(place.person)
    page = reverse("making_counted", args=[place.pk])
    assert row.in_section in client.get(page).content.decode()
    worked = present(row.worked)
    sent = client.post(page, {"row": row.name, "stitches": worked - 1}, follow=True).content.decode()
    assert f"The pattern comes to {row.worked} here" in sent
    remark = Remark.objects.get()
    assert (remark.kind, remark.place) == ("count", row.place)
    assert f"I have {worked - 1}, the pattern {row.worked}." in remark.text
    own = client.get(reverse("making", args=[place.pk])).content.decode()
    assert "noted by Evenrow from your stitch count" in own
    assert "the studio has been told, and you need not write it again" in " ".join(own.split())
    assert "the studio has been told: you need not write a remark." in " ".join(sent.split())
    assert "you need not write a remark too" in " ".join(client.get(page).content.decode().split())
    assert cells(place) == [f"1 maker: {worked - 1}"]
    refused = client.post(page, {"row": "9.9.9", "stitches": "many"}).content.decode()
    assert "Select a valid choice" in refused
    assert Entry.objects.count() == 1


def test_each_step_of_the_reading_page_leads_to_its_remark_and_to_its_count(client, db):
    place = make_place(pullover_call())
    row = next(one for one in counted_rows(placement_figures(place), place.size) if one.spot != "0.0")
    client.force_login(place.person)
    page = client.get(reverse("making_read", args=[place.pk])).content.decode()
    remark, count = (reverse(name, args=[place.pk]) for name in ("making_remark", "making_counted"))
    assert page.count(f'href="{remark}?step=') == len(placement_figures(place).steps(place.size)) == 12
    assert page.count(f'href="{count}?step={row.spot}"') == 1
    answer = client.get(remark, {"step": row.spot})
    assert f'href="{count}?step={row.spot}"' in answer.content.decode(), "a number alone is checked there"
    form = answer.context["form"]
    assert form["place"].value() == row.place
    form = client.get(count, {"step": row.spot}).context["form"]
    assert form["row"].value() == row.name
    for address in (remark, count):
        assert client.get(address, {"step": "9.9.9"}).status_code == 200


def test_a_step_that_only_tells_how_many_stitches_there_are_can_be_counted_after(db):
    """The raglan's last step of the yoke works nothing: "After 62 rounds there are 320 sts"."""
    place = make_place(make_call(pattern=make_pattern("cinderfell_raglan")))
    rows = counted_rows(placement_figures(place), place.size)
    yoke = [row for row in rows if row.title == "Yoke"]
    assert yoke[-1].in_section.startswith("Yoke 6: After ")
    assert f" {yoke[-1].worked} sts: " in yoke[-1].shown
    assert yoke[-1].worked == yoke[-2].worked
    assert len({(row.spot, row.name) for row in rows}) == len(rows)


def test_a_count_from_another_phone_is_shown_before_it_is_replaced(client, db):
    place = make_place(pullover_call())
    row, other = counted_rows(placement_figures(place), place.size)[:2]
    client.force_login(place.person)
    page = reverse("making_counted", args=[place.pk])
    opened = client.get(page).content.decode()
    save_count(placement=place, row=row, stitches=present(row.worked) - 2)
    worked = present(row.worked)
    answer = send_form(client, page, page=opened, row=row.name, stitches=worked)
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert f"<ins>{worked - 2}</ins>" in shown
    assert Entry.objects.get().meant["stitches"] == worked - 2
    assert send_form(client, page, page=opened, row=other.name, stitches=other.worked).status_code == 302
    assert send_form(client, page, page=shown, row=row.name, stitches=row.worked).status_code == 302
    assert Entry.objects.get(name=row.name).meant["stitches"] == row.worked
    assert EarlierEntry.objects.get().meant["stitches"] == worked - 2
