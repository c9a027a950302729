"""The patterns of the demo, each at another stage of the job; made by the services that the pages use."""

import datetime as dt
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.utils import timezone

from catalogue.drafts.patterns import load_pattern
from catalogue.materials.yarns import choose_yarns
from catalogue.models import Pattern, Person, PracticeChoice, Yarn, YarnShade
from catalogue.publishing.publishing import Publication, publish_version
from catalogue.site.demo_begun import BEGUN, begun_sample
from catalogue.site.demo_dates import days_ago
from catalogue.site.demo_helps import HELPS, explain
from catalogue.site.demo_makers import Maker, makers
from catalogue.site.demo_pictures import LOOKS, add_picture, picture_in_colour
from catalogue.technical_edit.technical_edits import QueryAbout, answer_query, ask
from testing.applications.applications import Answers, apply_for_place
from testing.asked.expected import expected_lengths
from testing.asked.figures import placement_figures
from testing.asked.step_helps import step_helps
from testing.calls.calls import CallWording, Quota, close_call, create_call, extend_call, open_call
from testing.calls.schedule import Schedule, default_schedule
from testing.models import Application, Placement, Result, TestCall
from testing.places.dropouts import decline_offer, withdraw_place
from testing.places.places import accept_offer, give_place
from testing.results.own_photos import add_photo
from testing.results.results import add_remark, finish_result, save_entry

SAMPLES = Path(__file__).parent / "demo"
TOO_LONG_MM = 32.0
FIRST_TO_SAY = "bram@larkmoss.example"
# Testers of the raglan who were stuck at its short rows, and what they say.
STUCK = {
    "bryony@larkmoss.example": "I see one leg only where I turned. Which way do I pull?",
    "hollis@larkmoss.example": "Do I count the double stitch as one or as two?",
    "linnet@larkmoss.example": "There is a hole at each turn on the right side.",
    "orrin@larkmoss.example": "How do I work both legs together from the purl side?",
}
# What the editor asks of the cardigan: where, what, and of which kind.
QUERIES = (
    (
        "sections[2].steps[0]",
        "Which side faces me at the end of row 1, where the neck edge is?",
        QueryAbout(),
    ),
    (
        "sections[5].steps[1]",
        "How many rows has the hem band before the cast-on of the front band? I find no number in size 4X.",
        QueryAbout(size="4X", is_blocking=True),
    ),
)
# What the practice piece of a draft teaches.
PRACTISED = {"puffinbay_child": ["mirror:front_neck", "decreases:sleeve_taper", "pick_up:front_edge"]}
SHADES = {
    "thistledrift_waistcoat": {
        "A": ("Peat", "#4a3728"),
        "B": ("Thistle", "#8d6a9f"),
        "C": ("Oat", "#d9c7a3"),
    },
    "plovermire_hat": {"A": ("Straw", "#c9a24a"), "B": ("Peat", "#4a3728")},
}


def sample_document(name: str) -> dict[str, Any]:
    """A pattern file of the demo, by its name without ending; some are begun from a construction."""
    if name in BEGUN:
        return begun_sample(name)
    document: dict[str, Any] = json.loads((SAMPLES / f"{name}.json").read_text())
    return document


def make_draft(name: str, *, by: Person) -> Pattern:
    """A pattern as loaded, with its shades and its picture and nothing published."""
    document = sample_document(name)
    pattern = load_pattern(document=document, by=by)
    if name in SHADES:
        _choose_shades(pattern, SHADES[name])
    add_picture(pattern=pattern, name=name, document=document)
    if pattern.slug in HELPS:
        explain(pattern, by=by)
    if name in PRACTISED:
        PracticeChoice.objects.create(pattern=pattern, techniques=PRACTISED[name], in_pdf=True)
    return pattern


def make_release(name: str, *, by: Person) -> Pattern:
    """A pattern as loaded, and released once."""
    pattern = make_draft(name, by=by)
    publish_version(
        Publication(
            pattern=pattern, kind="release", number="1.0", note="First release.", by=by, at=days_ago(45)
        )
    )
    return pattern


def make_draft_being_read(name: str, *, by: Person, read_by: Person) -> Pattern:
    """A draft in its technical edit: one query is answered, one holds the release."""
    pattern = make_draft(name, by=by)
    asked = [
        ask(pattern=pattern, place=place, asks=asks, by=read_by, about=about)
        for place, asks, about in QUERIES
    ]
    answer_query(query=asked[0], answer="The right side: the hem is at its start.", by=by)
    return pattern


def make_call_with_results(*, by: Person) -> TestCall:
    """A call whose time is over: most testers are done, some late, some gone; the body came out too long."""
    pattern = make_draft("cinderfell_raglan", by=by)
    publish_version(
        Publication(
            pattern=pattern, kind="test", number="0.1", note="For the testers.", by=by, at=days_ago(75)
        )
    )
    call = _open_call(pattern)
    placed = [(maker, _place(call, maker)) for maker in makers()]
    _apply(call, name="Fennel Ashby", email="fennel@larkmoss.example", size="7X", bust_mm=1720.0)
    close_call(call=call)
    extend_call(call=call, schedule=_begun_weeks_ago(7))
    for maker, placement in placed:
        _follow(maker, Placement.objects.select_related("call", "application").get(pk=placement.pk))
    return call


def _follow(maker: Maker, placement: Placement) -> None:
    """What became of a place."""
    if maker.course == "done":
        _send_everything(maker, placement)
    elif maker.course == "on the way":
        _send_gauge(maker, placement)
        _send_lengths(maker, placement, only=("chest", "body_length"))
    elif maker.course == "given back":
        _send_gauge(maker, placement)
        withdraw_place(placement=placement)


def make_call_for_waistcoat(*, by: Person) -> TestCall:
    """A call that takes applications."""
    pattern = make_draft("thistledrift_waistcoat", by=by)
    publish_version(
        Publication(
            pattern=pattern, kind="test", number="0.1", note="For the testers.", by=by, at=days_ago(10)
        )
    )
    call = _open_call(pattern)
    _apply(call, name="Juno Tarn", email="juno@larkmoss.example", size="S", bust_mm=880.0)
    _apply(call, name="Perrin Holt", email="perrin@larkmoss.example", size="2X", bust_mm=1240.0)
    return call


def _choose_shades(pattern: Pattern, wanted: Mapping[str, tuple[str, str]]) -> None:
    """A yarn of the studio with the shades that play the colours of a pattern."""
    yarn, _ = Yarn.objects.get_or_create(
        name="Larkmoss Skeinbury", fibre="100 % wool", put_up_g=50, length_per_100g_m=220
    )
    chosen = {
        colour: (yarn, YarnShade.objects.get_or_create(yarn=yarn, name=name, srgb=srgb)[0])
        for colour, (name, srgb) in wanted.items()
    }
    choose_yarns(pattern=pattern, chosen=chosen)


def _open_call(pattern: Pattern) -> TestCall:
    """A call with places in every size."""
    document = sample_document(pattern.slug.replace("-", "_"))
    gauge = "gauge" if document["home_terms"] == "US" else "tension"
    has_stripes = len(document["yarns"]) > 1
    terms = CallWording(
        invitation=f"Would you like to test the {document['title']} before it is published?",
        must_send=f"Your {gauge}, the finished measurements, the yarn that you used and one picture.",
        in_return="The finished pattern, and our thanks by name if you like.",
        rules="Please show no pictures before the release.",
        measurements=["bust"],
        keep_months=12,
        yarn_from="part" if has_stripes else "own",
        yarn_note="We send yarn A; B and C come from your own stash." if has_stripes else "",
        hours_from=35,
        hours_to=80,
    )
    quotas = [Quota(size, 1, 2) for size in document["sizes"]]
    schedule = default_schedule(timezone.localdate())
    call = create_call(pattern=pattern, terms=terms, schedule=schedule, quotas=quotas)
    open_call(call=call)
    call.refresh_from_db()
    return call


def _begun_weeks_ago(weeks: int) -> Schedule:
    """The dates of a call that is under way."""
    starts_on = timezone.localdate() - dt.timedelta(weeks=weeks)
    return Schedule(
        apply_by=starts_on - dt.timedelta(weeks=1),
        starts_on=starts_on,
        midway_on=starts_on + dt.timedelta(weeks=3),
        finish_by=starts_on + dt.timedelta(weeks=6),
    )


def _apply(call: TestCall, *, name: str, email: str, size: str, bust_mm: float) -> Application:
    """An application, as the public form sends it."""
    answers = Answers(
        name=name,
        email=email,
        units="cm",
        body_mm={"bust": bust_mm},
        typed_body={"bust": f"{bust_mm / 10:g}"},
        sizes=[size],
        yarn="Larkmoss Skeinbury",
        tool="4 mm",
        experience=2,
        access_needs="",
    )
    apply_for_place(call=call, answers=answers)
    return Application.objects.get(call=call, email=email)


def _place(call: TestCall, maker: Maker) -> Placement:
    """A place that was offered, and taken but by those who decline."""
    sizes = sample_document("cinderfell_raglan")
    bust_mm = sizes["body"]["bust"]["values"][sizes["sizes"].index(maker.size)] * 10 + maker.bust_off_mm
    application = _apply(
        call, name=maker.name, email=maker.email, size=maker.size, bust_mm=round(bust_mm / 5) * 5.0
    )
    placement = give_place(application=application, size=maker.size)
    if maker.course == "declined":
        decline_offer(placement=placement)
    else:
        accept_offer(placement=placement)
    return placement


def _send_gauge(maker: Maker, placement: Placement) -> None:
    """The gauge of both fabrics."""
    for fabric, stitches, rows in maker.gauge:
        typed = {"stitches": stitches, "rows": rows, "over": "10 cm"}
        meant = {"stitches": float(stitches) / 100, "rows": float(rows) / 100}
        save_entry(placement=placement, part="gauge", name=fabric, typed=typed, meant=meant)


def _send_lengths(maker: Maker, placement: Placement, only: tuple[str, ...] = ()) -> None:
    """What came off the needles at this maker's own gauge, as the tape read it; the body is too long."""
    figures = placement_figures(placement)
    size = figures.size_place(placement.size)
    gauge = {
        fabric: {"stitches": float(stitches) / 100, "rows": float(rows) / 100}
        for fabric, stitches, rows in maker.gauge
    }
    expected = expected_lengths(figures.ground(), gauge)
    for value in figures.measurements:
        if only and value.name not in only:
            continue
        extra = TOO_LONG_MM if value.name in ("side_length", "body_length") else 0.0
        length = expected[value.name][size] * maker.fabric_factor + extra + maker.tape_off_mm
        length_cm = round(length / 5) / 2
        typed, meant = {"length": f"{length_cm:g}", "unit": "cm"}, {"mm": length_cm * 10}
        save_entry(placement=placement, part="measured", name=value.name, typed=typed, meant=meant)


def _send_everything(maker: Maker, placement: Placement) -> None:
    """All that a tester is asked for, from some a photo as well; the first one says a word on a step."""
    _send_gauge(maker, placement)
    _send_lengths(maker, placement)
    place = placement_figures(placement).size_place(placement.size)
    grams = round((330 + 38 * place) * (1 + maker.tape_off_mm / 200))
    save_entry(
        placement=placement, part="yarn", name="A", typed={"weight": f"{grams}"}, meant={"g": float(grams)}
    )
    hours = 38 + 3 * place + round(maker.tape_off_mm)
    save_entry(
        placement=placement, part="hours", name="", typed={"hours": f"{hours}"}, meant={"hours": float(hours)}
    )
    if maker.colour:
        picture = picture_in_colour(
            sample_document("cinderfell_raglan"), LOOKS["cinderfell_raglan"], place, maker.colour
        )
        add_photo(placement=placement, photo=picture, alt=f"My raglan in size {placement.size}, laid flat")
    if maker.email == FIRST_TO_SAY:
        remark = "The body came out longer than the table says, and I counted the rounds twice."
        add_remark(placement=placement, place="sections[3].steps[0]", text=remark)
    if maker.email in STUCK:
        _say_stuck(placement, STUCK[maker.email])
    finish_result(placement=placement)
    in_time = placement.call.finish_by - dt.timedelta(days=place % 5)
    said_at = timezone.make_aware(dt.datetime.combine(in_time, dt.time(18)))
    Result.objects.filter(placement=placement).update(done_at=said_at)


def _say_stuck(placement: Placement, remark: str) -> None:
    """A remark of somebody who was stuck at the first help."""
    stuck_at = step_helps(placement)[0]
    add_remark(placement=placement, place=stuck_at.places[0], text=remark, help_code=stuck_at.code)
