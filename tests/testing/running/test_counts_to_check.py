"""A tester's stitch count that is not the pattern's waits for the designer until it is dealt with."""

import pytest
from django.urls import reverse

from catalogue.models import Erratum
from testing.asked.figures import placement_figures
from testing.models import Remark, TestCall
from testing.results.counted_rows import counted_rows
from testing.results.results import change_remark
from testing.results.row_counts import save_count
from tests.catalogue.builders import make_pattern
from tests.testing.builders import make_call, make_person, make_place

pytestmark = pytest.mark.django_db


def counted(call, *, off, name="Wren Alder", email="wren@larkmoss.example"):
    """A tester who counted after the first row, and what the pattern says there."""
    place = make_place(call, name=name, email=email)
    row = counted_rows(placement_figures(place), place.size)[0]
    save_count(placement=place, row=row, stitches=row.worked - off)
    return place, row


def for_you(client, person):
    client.force_login(person)
    return [task.says for task in client.get(reverse("desk")).context["for_you"]]


def pressed(client, name, remark, **sent):
    call = remark.result.call
    return client.post(reverse(name, args=[call.pattern.slug, call.pk, remark.pk]), sent, follow=True)


def test_a_count_that_is_off_says_who_counted_what_where_and_one_that_agrees_waits_for_nobody(client):
    call = make_call(pattern=make_pattern("brackenmere_pullover"))
    place, row = counted(call, off=2)
    counted(call, off=0, name="Moss Reed", email="moss@larkmoss.example")
    designer, editor = (
        make_person("designer@larkmoss.example", "designer"),
        make_person("editor@larkmoss.example", "editor"),
    )
    (says,) = for_you(client, designer)
    told = f"{row.shown.partition(':')[0]}: I have {row.worked - 2}, the pattern {row.worked}."
    assert says == f"Wren Alder, size {place.size}: “{told}”"
    page = client.get(reverse("desk")).content.decode()
    assert "1 stitch count of testers to check" in page
    remark = Remark.objects.get()
    address = f"{reverse('call_results', args=[call.pattern.slug, call.pk])}#remark-{remark.pk}"
    assert f'href="{address}"' in page
    assert f'id="remark-{remark.pk}"' in client.get(address).content.decode()
    assert for_you(client, editor) == []


def test_it_leaves_with_a_right_count_an_erratum_a_word_of_the_designer_and_the_end_of_the_call(client):
    call = make_call(pattern=make_pattern("brackenmere_pullover"))
    place, row = counted(call, off=2)
    designer = make_person("designer@larkmoss.example", "designer")
    save_count(placement=place, row=row, stitches=row.worked)
    assert for_you(client, designer) == []
    save_count(placement=place, row=row, stitches=row.worked + 1)
    remark = Remark.objects.get()
    answer = pressed(client, "remark_settle", remark, seen="another text").content.decode()
    assert "nothing was decided" in answer
    assert len(for_you(client, designer)) == 1
    answer = pressed(client, "remark_settle", remark, seen=remark.text).content.decode()
    assert "no erratum needed" in answer
    assert for_you(client, designer) == []
    pressed(client, "remark_open", remark)
    assert len(for_you(client, designer)) == 1
    TestCall.objects.update(state="ended")
    assert for_you(client, designer) == []
    TestCall.objects.update(state="open")
    erratum = Erratum.objects.create(
        pattern=call.pattern, place=remark.place, says="a", should_say="b", why="c", gravity="wrong"
    )
    Remark.objects.update(erratum=erratum)
    assert for_you(client, designer) == []


def test_a_remark_that_its_tester_changes_is_open_again(client):
    call = make_call(pattern=make_pattern("brackenmere_pullover"))
    counted(call, off=2)
    designer = make_person("designer@larkmoss.example", "designer")
    client.force_login(designer)
    remark = Remark.objects.get()
    pressed(client, "remark_settle", remark, seen=remark.text)
    change_remark(remark=remark, text="I counted three times.")
    assert for_you(client, designer) == [f"Wren Alder, size {remark.result.size}: “I counted three times.”"]
