"""The practice piece of a pattern: ticked, shown at once, frozen, printed, shown to testers, and recorded."""

import io
import json
import re

import pypdf
import pytest
from django.urls import reverse

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen, render_pdf
from catalogue.models import PracticeChoice
from catalogue.practice.showing import shown_piece
from catalogue.versions.frozen_practice import record_piece
from catalogue.versions.records import read_record
from grading.core.printing.edition import PrintForm
from tests.builders import make_person, sample
from tests.catalogue.builders import edit, make_pattern, make_record, make_version
from tests.present import present

pytestmark = pytest.mark.django_db
TICKS = ["mirror:armhole_curve", "decreases:v_neck", "stripes:drift", "pick_up:front_band_side"]


@pytest.fixture
def pattern():
    return make_pattern("thistledrift_waistcoat")


@pytest.fixture
def studio(client):
    client.force_login(make_person(role="designer"))
    return client


def words(answer):
    return " ".join(answer.content.decode().split())


def tick(pattern, *keys, in_pdf=True):
    return PracticeChoice.objects.create(pattern=pattern, techniques=list(keys or TICKS), in_pdf=in_pdf)


def flat(outline):
    for one in outline:
        if isinstance(one, list):
            yield from flat(one)
        else:
            yield one


def test_what_the_pattern_has_is_offered_and_a_tick_shows_the_piece_before_it_is_kept(studio, pattern):
    address = reverse("practice", args=[pattern.slug])
    page = words(studio.get(address))
    for label in ("The same mirrored: armhole curve", "Colour change on the return pass: drift"):
        assert label in page
    assert "Tick something" in page
    # Only saving sends the form's token: it must not stand in the address of a look.
    form = page.partition('id="practice-form"')[2].partition("</form>")[0]
    tokens = re.findall(r"<(\w+)[^>]*csrfmiddlewaretoken", form)
    assert tokens == ["button"]
    page = words(studio.get(address, {"preview": "1", "techniques": "mirror:armhole_curve"}))
    assert "Practice piece: 6 stitches, 7 rows." in page
    assert "This is a preview" in page
    assert not PracticeChoice.objects.exists()


def test_ticks_are_kept_and_can_be_changed_and_taken_back(studio, pattern):
    address = reverse("practice", args=[pattern.slug])
    answer = studio.post(address, {"techniques": TICKS[:2], "in_pdf": "on"}, follow=True)
    kept = PracticeChoice.objects.get()
    assert (kept.pattern, kept.techniques, kept.in_pdf) == (pattern, TICKS[:2], True)
    assert "Mirrored practice piece" in words(answer)
    studio.post(address, {})
    kept.refresh_from_db()
    assert (kept.techniques, kept.in_pdf) == ([], False)


def test_two_first_saves_at_once_keep_one_choice(studio, pattern, monkeypatch):
    monkeypatch.setattr("catalogue.practice.views.chosen_practice", lambda _: None)
    tick(pattern, TICKS[0])
    answer = studio.post(reverse("practice", args=[pattern.slug]), {"techniques": TICKS[1:2]})
    assert answer.status_code == 302
    assert PracticeChoice.objects.get().techniques == TICKS[1:2]


def test_a_tick_that_the_pattern_has_not_is_refused_in_a_sentence_and_kept_as_typed(studio, pattern):
    answer = studio.post(reverse("practice", args=[pattern.slug]), {"techniques": ["curve:gone", TICKS[1]]})
    assert answer.status_code == 400
    assert "The pattern has no “curve:gone” now" in words(answer)
    assert answer.context["form"]["techniques"].value() == ["curve:gone", TICKS[1]]
    assert words(answer).count(" checked") == 1
    assert not PracticeChoice.objects.exists()


def test_what_is_ticked_and_gone_from_the_pattern_is_told_and_stops_nothing(studio, pattern):
    tick(pattern)

    def without_curve(document):
        document["stripes"] = []
        document["yarn_sections"] = [one for one in document["yarn_sections"] if "stripes" not in one]

    edit(pattern, without_curve)
    page = words(studio.get(reverse("practice", args=[pattern.slug])))
    assert "The pattern has no “drift” any more" in page
    assert "Mirrored practice piece" in page
    assert record_piece(make_record(pattern)) is not None
    assert "This is a preview" not in page, "what still stands is saved"


def test_a_pattern_without_a_fabric_says_what_to_do(studio, pattern, monkeypatch):
    says = "The pattern has no fabric yet: add one with its gauge."
    monkeypatch.setattr(
        "catalogue.practice.views.piece_record", lambda *_, **__: {"sheet": {}, "lost": [says]}
    )
    page = words(
        studio.get(reverse("practice", args=[pattern.slug]), {"preview": "1", "techniques": TICKS[1]})
    )
    assert says in page


def test_yarn_is_told_by_length_alone_but_in_pieces_of_the_first_kind(pattern):
    tick(pattern, "pick_up:front_band_side")
    record = make_record(pattern)
    first = {**record, "practice": {key: of for key, of in record["practice"].items() if key != "is_first"}}
    edition = PrintForm("cm", "US")
    now, then = (shown_piece(present(record_piece(one)), edition) for one in (record, first))
    assert [one.partition(" g")[1] for one in now.yarn] == [""] * len(now.yarn)
    assert [f"{one}, " for one in now.yarn] == [one.rpartition(", ")[0] + ", " for one in then.yarn]
    edge = next(one for one in record["practice"]["sizes"] if "edges" in one)["edges"][0]
    assert f"; an edge of {edge} stitches." in now.sizes[0]


def test_losses_are_told_in_the_terms_of_the_edition():
    pattern = make_pattern("puffinbay_child")
    tick(pattern, "pick_up:hem_edge")
    piece = present(record_piece(make_record(pattern)))
    told = {
        terms: " ".join(shown_piece(piece, PrintForm("cm", terms)).lost).lower() for terms in ("US", "UK")
    }
    assert "of half treble crochet it" in told["UK"]
    assert "of half double crochet it" in told["US"]


def test_a_version_keeps_its_piece_and_one_without_prints_as_it_did(pattern):
    bare = make_record(pattern)
    assert "practice" not in bare
    choice = tick(pattern)
    record = make_record(pattern)
    assert {**record, "practice": None} == {**bare, "practice": None}
    kept = record_piece(record)
    assert kept is not None
    assert kept.techniques[0].key == "foundation"
    choice.delete()
    again = record_piece(read_record(json.dumps(record)))
    assert again is not None
    assert again.graded.as_json() == kept.graded.as_json()
    context = edition_context(record=bare, graded=graded_as_frozen(bare), choices=home_choices(bare))
    assert context["practice"] is None


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.parametrize("name", ["thistledrift_waistcoat", "puffinbay_child"])
def test_the_pdf_has_the_piece_at_its_end_tagged_and_the_same_twice(name):
    pattern = make_pattern(name)
    keys = {"puffinbay_child": ["mirror:front_neck", "increases:hood_growth", "pick_up:front_edge"]}
    tick(pattern, *keys.get(name, TICKS))
    record = make_record(pattern, kind="release", number="1.0")
    made = render_pdf(record=record, choices=home_choices(record))
    assert made.content == render_pdf(record=record, choices=home_choices(record)).content
    reader = pypdf.PdfReader(io.BytesIO(made.content))
    text = "".join("".join(page.extract_text().split()) for page in reader.pages)
    for said in (
        "Work this first",
        "Practice piece, its measurements:",
        "Mirrored practice piece, its measurements:",
        "Practice piece:",
        "Mirrored practice piece",
        "Work as the practice piece for",
    ):
        assert "".join(said.split()) in text
    pages = ["".join(page.extract_text().split()) for page in reader.pages]
    at = next(i for i, page in enumerate(pages, 1) if "Workthisfirst" in page)
    assert f"Practisefirst:seepage{at}." in text
    titles = [one.title for one in flat(reader.outline)]
    assert titles.index("Practice piece") > titles.index("Instructions")
    # In the edition for one size the piece is there as well, in its own one size.
    one = {**home_choices(record), "sizes": record["results"]["sizes"][1], "terms": "UK", "units": "in"}
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=one)
    assert context["practice"].sections[0].title == "Practice piece"
    assert " yd" in context["practice"].yarn[0]


def test_a_piece_that_is_not_to_be_printed_stands_with_testers_alone(pattern):
    tick(pattern, in_pdf=False)
    record = make_record(pattern)
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    assert context["practice"] is None
    assert record_piece(record) is not None


def test_the_recording_plan_lists_every_step_in_order_with_what_to_show(studio, pattern):
    address = reverse("practice_recording", args=[pattern.slug])
    assert "Tick what it should teach" in words(studio.get(address))
    tick(pattern, "mirror:armhole_curve", "stripes:drift")
    answer = studio.get(address)
    scenes = answer.context["scenes"]
    sheet = make_record(pattern)["practice"]["sheet"]
    assert len(scenes) == sum(len(section["steps"]) for section in sheet["sections"])
    taught = [one.teaches for one in scenes if one.teaches]
    assert taught == [
        "Colour change on the return pass: drift (A, B, A, C, B)",
        "Foundation",
        "Curve in steps: armhole curve (Each armhole taken off)",
        "The same mirrored: armhole curve (Each armhole taken off)",
    ]
    assert all(one.show for one in scenes)
    assert scenes[-1].show == ("How the last stitch is closed. Then the piece laid flat beside a tape.",)


def test_pages_ask_few_queries(studio, pattern, django_assert_max_num_queries):
    tick(pattern)
    studio.get(reverse("practice", args=[pattern.slug]))
    with django_assert_max_num_queries(10):
        studio.get(reverse("practice", args=[pattern.slug]))
    with django_assert_max_num_queries(10):
        studio.get(reverse("practice_recording", args=[pattern.slug]))


@pytest.mark.usefixtures("quick_pdf")
def test_a_published_version_has_it_in_its_record():
    pattern = make_pattern("thistledrift_waistcoat")
    tick(pattern, "decreases:v_neck")
    version = make_version(pattern, kind="test", number="0.1")
    assert read_record(version.record)["practice"]["sizes"] == [
        {"title": "Practice piece", "stitches": 6, "rows": 15, "unit": "rows"}
    ]
    assert sample("thistledrift_waistcoat")["title"] == pattern.title


def test_yarn_of_the_piece_is_bought_where_the_balls_do_not_hold_it():
    """A size needs one ball of 50 g more where its balls have less left than the piece takes."""
    pattern = make_pattern("puffinbay_child")
    tick(pattern, "mirror:front_neck", "decreases:sleeve_taper", "pick_up:front_edge")
    record = make_record(pattern)
    graded, home, sizes = graded_as_frozen(record), home_choices(record), record["results"]["sizes"]
    piece_g = present(record_piece(record)).graded.yarn[0].colours["A"].weight_g[0]
    weights = record["results"]["yarn"][0]["colours"]["A"]["weight"]
    short = [size for size, g in zip(sizes, weights, strict=True) if -g % 50 < piece_g]
    enough = next(size for size in sizes if size not in short)
    context = edition_context(record=record, graded=graded, choices=home)
    said = f"For the practice piece, buy 1 more ball of A for sizes {', '.join(short[:-1])} and {short[-1]}."
    assert context["yarn_note"].endswith(said)
    assert context["practice_yarn"] == f"The amounts to buy do not include this yarn. {said}"
    of_one = edition_context(record=record, graded=graded, choices={**home, "sizes": enough})
    assert "practice piece" not in of_one["yarn_note"]
    assert of_one["practice_yarn"] == "The balls that you buy leave enough yarn for it."
    assert all("step-box" in step for section in of_one["practice"].sections for step in section.steps)
