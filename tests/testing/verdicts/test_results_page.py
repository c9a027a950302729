import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from django.urls import reverse

from catalogue.models import Erratum
from catalogue.versions.records import read_record
from testing.asked.figures import Figures, call_figures
from testing.places.places import accept_offer, give_place
from testing.privacy.erasing import erase_person
from testing.results.results import add_remark, save_entry
from testing.verdicts.judging import placed_remarks
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import (
    make_application,
    make_call,
    make_pattern,
    make_place,
    make_version,
    vest_document,
)


def send(place, *, length_mm, chest_mm=1000.0, gauge=(0.2, 0.28), rib=(0.22, 0.30)):
    for fabric, (stitches, rows) in (("main", gauge), ("rib", rib)):
        save_entry(
            placement=place, part="gauge", name=fabric, typed={}, meant={"stitches": stitches, "rows": rows}
        )
    for name, mm in (("chest", chest_mm), ("body_length", length_mm)):
        save_entry(placement=place, part="measured", name=name, typed={}, meant={"mm": mm})


@pytest.fixture
def results(call):
    """Two makers of M at gauges of their own; the second worked 132 rows instead of 146."""
    right = make_place(call)
    send(right, chest_mm=10 * 200 / 1.9, length_mm=10 * (5 + 146 / 2.6), gauge=(0.19, 0.26))
    wrong = make_place(call, name="Moss Reed", email="moss@larkmoss.example")
    send(wrong, chest_mm=10 * 200 / 2.1, length_mm=10 * (5 + 132 / 3.0), gauge=(0.21, 0.30))
    return right.result, wrong.result


def address(call, name="call_results", *more):
    return reverse(name, args=[call.pattern.slug, call.pk, *more])


def test_an_empty_page_says_so(as_designer, call):
    page = as_designer.get(address(call)).content.decode()
    assert "No finished measurement has come in yet." in page
    assert "No remarks yet." in page


def test_who_wrote_is_counted_apart_from_who_measured(as_designer, call, results):
    assert "have written" not in as_designer.get(address(call)).content.decode()
    save_entry(placement=results[0].placement, part="note", name="", typed={"text": "Soft."}, meant={})
    said = "Of the makers, 1 has written and 2 have measured: each counts for what they have sent."
    assert said in as_designer.get(address(call)).content.decode()


def test_steps_are_printed_once_for_all_remarks_of_a_size(call, results, monkeypatch):
    place = call_figures(call).steps("M")[0][0]
    for result in results:
        add_remark(placement=result.placement, place=place, text="Not clear.")
    asked = []
    steps = Figures.steps

    def noted(figures, size):
        asked.append(size)
        return steps(figures, size)

    monkeypatch.setattr(Figures, "steps", noted)
    placed = placed_remarks(call)
    assert asked == ["M"]
    assert [one.step for one in placed] == [dict(steps(call_figures(call), "M"))[place]] * 2


def test_a_wrong_row_count_stands_out_and_nothing_else(as_designer, call, results):
    page = as_designer.get(address(call)).content.decode().partition('id="picture"')[2]
    # 132 rows at 3 to the cm instead of 146: 14 / 3 cm too short (derived)
    assert "◇ −4.7 cm" in page
    assert page.count("beyond the tolerance</span>") == 1
    assert page.count("<polygon") == 1
    assert page.count("<circle") == 3


def test_the_picture_is_told_in_words_too(as_designer, call, results):
    page = as_designer.get(address(call)).content.decode()
    svg = ET.fromstring(present(re.search(r"<svg class=\"plot\".*?</svg>", page, re.DOTALL)).group(0))
    named = svg.attrib["aria-labelledby"].split()
    assert [svg[0].attrib["id"], svg[1].attrib["id"]] == named
    assert "The tables below have the same numbers." in present(svg[1].text)
    assert 'style="' not in page
    bands = [part for part in svg.iter() if part.attrib.get("class") == "plot-band"]
    assert len(bands) == 2


def test_each_result_is_judged_by_the_version_it_was_worked_from(as_designer, call, results):
    document = vest_document()
    document["values"][3]["list"] = [140, 132, 152]
    other = make_pattern(title="Sedgebank Vest", values=document["values"])
    make_version(other)
    second = make_call(pattern=other, version=False)
    place = give_place(application=make_application(second), size="M")
    accept_offer(placement=place)
    place.refresh_from_db()
    send(place, length_mm=10 * (5 + 132 / 2.8))
    assert "beyond the tolerance</span>" not in as_designer.get(address(second)).content.decode()


def test_the_page_needs_no_more_queries_for_more_results(
    as_designer, call, results, django_assert_max_num_queries
):
    for i in range(2):
        send(make_place(call, size="S", name=f"Maker {i}", email=f"maker{i}@larkmoss.example"), length_mm=550)
    page = address(call)
    # One for the sizes that have no result yet, one for who holds a place and has sent none, and one for what
    # errors follow from others.
    with django_assert_max_num_queries(22):
        as_designer.get(page)


def test_a_result_becomes_an_erratum_without_the_testers_name(as_designer, call, results):
    _, wrong = results
    form = as_designer.get(address(call, "result_erratum", wrong.pk, "body_length")).content.decode()
    assert '<option value="values.body_length" selected' in form
    told, public = form.rsplit("<form", 1)
    assert "−4.7 cm off, beyond the tolerance of" in told
    assert "−4.7 cm" not in public
    assert re.search(r'<textarea[^>]*name="why"[^>]*>\s*</textarea>', public)
    assert "Moss" not in public
    results_of_record = read_record(wrong.version.record)["results"]
    rows = results_of_record["values"]["body_rows"]["worked"][results_of_record["sizes"].index("M")]
    sent: dict[str, Any] = {
        "place": "values.body_rows",
        "sizes": ["M"],
        "says": f"{rows:g} rows",
        "should_say": "146 rows",
        "why": "Garments come out short.",
        "gravity": "wrong",
    }
    answer = send_form(as_designer, address(call, "result_erratum", wrong.pk, "body_length"), **sent)
    assert answer.url == address(call)
    erratum = Erratum.objects.get()
    assert (erratum.place, erratum.sizes, erratum.found_in) == ("values.body_rows", ["M"], wrong.version)
    assert erratum.found_by == "A tester's result, size M"


def test_an_erratum_is_offered_only_beyond_the_tolerance(as_designer, call, results):
    right, wrong = results
    offers = {one: address(call, "result_erratum", one.pk, "body_length") for one in results}
    page = as_designer.get(address(call)).content.decode()
    assert (offers[wrong] in page, offers[right] in page) == (True, False)
    for one, is_offered in ((wrong, True), (right, False)):
        garment = as_designer.get(address(call, "call_garment", one.pk)).content.decode()
        assert (offers[one] in garment) is is_offered
    form = as_designer.get(offers[right]).content.decode()
    assert "By itself that is no mistake of the pattern." in form
    assert '<option value="cosmetic" selected' in form
    assert '<option value="wrong" selected' in as_designer.get(offers[wrong]).content.decode()


def test_a_remark_on_a_step_that_is_gone_says_so_in_words(as_designer, call, results):
    add_remark(placement=results[0].placement, place="sections[7].steps[9]", text="Where is this?")
    page = as_designer.get(address(call)).content.decode()
    assert "A step that this version no longer has" in page
    assert "sections[" not in page


def test_a_remark_becomes_an_erratum_once(editor, client, call, results):
    right, _ = results
    remark = add_remark(
        placement=right.placement, place="sections[0].steps[1]", text="I end with 38, not 40."
    )
    client.force_login(editor)
    form = client.get(address(call, "remark_erratum", remark.pk)).content.decode()
    assert "I end with 38, not 40." in form
    why = re.search(r'<textarea[^>]*name="why"[^>]*>(.*?)</textarea>', form, re.DOTALL)
    assert why is not None
    assert why[1].strip() == "", "makers read the reason: nothing of the tester is in it unchosen"
    assert "It is public: write it in your own words, and name no tester." in form
    printed = next(re.finditer(r"Work (\d+) rows", form))  # as the tester read it, for their size alone
    sent: dict[str, Any] = {"place": remark.place, "sizes": ["M"], "says": "999", "should_say": "132"}
    address_of_form = address(call, "remark_erratum", remark.pk)
    refused = send_form(client, address_of_form, **sent, gravity="wrong")
    assert "does not say this" in refused.content.decode()
    assert not Erratum.objects.exists()
    sent["says"] = printed.group(0)
    send_form(client, address(call, "remark_erratum", remark.pk), **sent, gravity="wrong")
    remark.refresh_from_db()
    assert remark.erratum == Erratum.objects.get()
    assert remark.erratum.found_by == "A tester's remark, size M"
    assert "erratum added" in client.get(address(call)).content.decode()


def test_a_remark_on_a_missing_step_becomes_an_erratum_where_it_belongs(as_designer, call, results):
    text = "Nobody tells me to fasten off."
    remark = add_remark(placement=results[0].placement, place="sections[0].steps[1]", text=text)
    link = address(call, "remark_erratum", remark.pk)
    form = as_designer.get(link).content.decode()
    assert '<optgroup label="A step is missing">' in form
    sent: dict[str, Any] = {"place": "sections[0].steps[1].after", "gravity": "wrong", "should_say": ""}
    said = send_form(as_designer, link, **sent).content.decode()
    assert "A missing step has no words there." in said  # the step of the remark was filled in
    assert "Write the step that is missing" in said
    send_form(as_designer, link, **{**sent, "says": "", "should_say": "Fasten off."})
    erratum = Erratum.objects.get()
    assert (erratum.place, erratum.is_missing_step) == (sent["place"], True)


@pytest.mark.parametrize(
    "change",
    [{"place": "values.hat"}, {"says": ""}, {"sizes": ["9X"]}, {"gravity": "dire"}, {"says": "a\x00"}],
)
def test_a_bad_erratum_keeps_what_was_typed(as_designer, call, results, change):
    sent = {"place": "values.chest", "sizes": ["M"], "says": "x", "why": "Kept words", "gravity": "wrong"}
    page = as_designer.post(address(call, "result_erratum", results[0].pk, "chest"), {**sent, **change})
    assert page.status_code == 200
    assert "Kept words" in page.content.decode()
    assert not Erratum.objects.exists()


def test_results_of_another_call_are_not_found(as_designer, call, results):
    other = make_call(pattern=call.pattern, version=False)
    assert as_designer.get(address(other, "result_erratum", results[0].pk, "chest")).status_code == 404
    assert as_designer.get(address(call, "result_erratum", results[0].pk, "hat")).status_code == 404


def test_a_tester_sees_no_results(client, call, results):
    client.force_login(results[0].placement.person)
    assert client.get(address(call)).status_code == 404
    assert client.get(address(call, "result_erratum", results[0].pk, "chest")).status_code == 404


def test_figures_of_an_erased_tester_stay_without_a_name(as_designer, call, results):
    erase_person(person=results[1].placement.person)
    page = as_designer.get(address(call)).content.decode()
    assert "◇ −4.7 cm" in page
    assert "Moss Reed" not in page
    assert "A tester (erased)" in page


@pytest.mark.parametrize("sends_yarn", [False, True])
def test_a_pattern_without_fabric_has_results_too(as_designer, studio, sends_yarn):
    """Its lengths are typed and hang on no gauge."""
    chest = {"name": "chest", "label": "Chest", "kind": "length", "list": ["90 cm", "100 cm", "110 cm"]}
    measured = {**chest, "measured": {"how": "Round the chest.", "around": True, "tolerance": "2 cm"}}
    bare = {"fabrics": {}, "values": [measured], "checks": [], "sections": [], "yarn_sections": []}
    pattern = make_pattern(**{key: [] for key in ("shapings", "spreads", "curves", "pieces")}, **bare)
    call = make_call(pattern=pattern)
    place = make_place(call)
    save_entry(placement=place, part="measured", name="chest", typed={}, meant={"mm": 1010.0})
    if sends_yarn:
        save_entry(placement=place, part="yarn", name="A", typed={"weight": "300"}, meant={"g": 300.0})
    page = as_designer.get(address(call))
    assert page.status_code == 200
    assert "+1.0 cm" in page.content.decode()
    assert as_designer.get(address(call, "call_report")).status_code == 200
