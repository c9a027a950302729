"""The demo: Larkmoss Studio with patterns in every stage, made once."""

from dataclasses import replace

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.errata.guards import judge_draft, judge_version
from catalogue.holders.notices import letters_of
from catalogue.models import (
    Erratum,
    Guard,
    Help,
    Holder,
    MakerQuestion,
    Notice,
    Pattern,
    Person,
    Studio,
    Version,
)
from catalogue.questions.gains import asked_places
from catalogue.site.demo_begun import BEGUN
from catalogue.site.demo_cloth import Cloth, coloured
from catalogue.site.demo_errata import ASKING, BUYER, GONE, OF_FIRST, OF_SECOND, UNSURE
from catalogue.site.demo_pictures import LOOKS, draw_as_worn
from catalogue.site.demo_stages import sample_document
from catalogue.site.demo_studio import build, log_ins
from catalogue.studio.roles import is_designer, is_studio
from catalogue.technical_edit.technical_edits import blocking_sentences
from catalogue.versions.records import read_record
from testing.assessment.assessing import standing_found, store_assessment
from testing.calls.consent import written_day
from testing.models import Placement, Result, TestCall
from testing.results.asked_helps import asked_help
from testing.verdicts.judging import judge_call
from tests.present import present

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("the demo is in a SQLite database of its own, whatever DATABASE_URL names"),
]


@pytest.fixture
def demo_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    settings.IS_DEMO = True
    return tmp_path


def test_the_demo_is_made_once_with_patterns_in_every_stage(demo_folder, monkeypatch):
    with monkeypatch.context() as beside:  # as by a studio's worker: results are assessed once all are in
        beside.setattr("testing.assessment.assessing.store_assessment", lambda *, call: None)
        assert build() is True
    for call in TestCall.objects.all():
        store_assessment(call=call)
    assert build() is False
    assert Studio.objects.get().name == "Larkmoss Studio"
    check_stages()
    check_errata()
    check_results()
    check_helps()
    check_technical_edit()
    check_begun()
    check_selling()
    check_people()
    check_dates()
    page = Client().get(reverse("corrections", args=["brackenmere-pullover", "1.0"])).content.decode()
    assert "34 rows" in page


def check_dates():
    """Everything happens after what it is about."""
    for question in MakerQuestion.objects.exclude(version=None):
        assert timezone.localdate(question.version.published_at) <= question.asked_on
    for erratum in Erratum.objects.all():
        assert present(erratum.found_in).frozen_at < erratum.created_at <= timezone.now()
        assert erratum.due_on is None or erratum.due_on > timezone.localdate(erratum.created_at)
        told = {event.says: event.at for event in erratum.events.all()}
        assert all(at >= erratum.created_at for at in told.values())
    for call in TestCall.objects.all():
        assert timezone.localdate(call.created_at) < call.apply_by
        assert present(call.version).frozen_at < call.created_at
        for place in Placement.objects.filter(call=call).exclude(accepted_at=None):
            assert f"Everything sent in by {written_day(call.finish_by)}." in place.agreement
            assert f"erased on {written_day(call.erase_on)}, 12 months" in place.application.consent_text
            assert call.created_at < place.application.consented_at < present(place.accepted_at)
    for result in Result.objects.exclude(done_at=None):
        assert all(entry.changed_at <= present(result.done_at) for entry in result.entries.all())


def check_selling():
    hat = read_record(Version.objects.get(pattern__slug="plovermire-hat").record)
    assert "Fulling Lane Quarterly (magazine) has rights in this pattern" in hat["rights"]["notes"][0]
    pullover = Pattern.objects.get(slug="brackenmere-pullover")
    asked = asked_places(pullover)[0]
    assert (asked.at, asked.by_version) == ((0, 2), [("1.0", 3), ("1.2", 1)])
    assert asked.gain is not None
    assert (asked.gain.before, asked.gain.since) == (3, 1)
    page = Client().get(reverse("pattern_page", args=[pullover.slug])).content.decode()
    assert "https://market.larkmoss.example/brackenmere-pullover" in page
    kind = "65 % wool, 35 % linen, yarn weight light or medium"
    assert f"Take Larkmoss Wendlebury instead ({kind}): 50 g = 103 m (112 yd). You need the same" in page


def check_stages():
    assert Pattern.objects.count() == 8
    published = [(one.pattern.slug, one.number) for one in Version.objects.filter(state="published")]
    assert sorted(published) == [
        ("brackenmere-pullover", "1.0"),
        ("brackenmere-pullover", "1.1"),
        ("brackenmere-pullover", "1.2"),
        ("cinderfell-raglan", "0.1"),
        ("plovermire-hat", "1.0"),
        ("ternstrand-shawl", "1.0"),
        ("thistledrift-waistcoat", "0.1"),
    ]
    alts = dict(Pattern.objects.values_list("slug", "photos__alt"))
    assert alts["cinderfell-raglan"] == (
        "Cinderfell Raglan, drawn: a slate-blue raglan jumper with long sleeves and a band of purl stitches "
        "above its ribbed hem"
    )
    assert all(alts.values())
    record = read_record(Version.objects.get(pattern__slug="brackenmere-pullover", minor=1).record)
    assert [photo["caption"] for photo in record["photos"]] == [
        "A drawing of Brackenmere Pullover, shown in size XL."
    ]
    states = dict(TestCall.objects.values_list("pattern__slug", "state"))
    assert states == {"cinderfell-raglan": "closed", "thistledrift-waistcoat": "open"}


def check_errata():
    """Every state of an erratum, a guard that holds, and letters to those alone whom they concern."""
    errata = Erratum.objects.order_by("state", "pk")
    assert [one.state for one in errata] == [
        *("confirmed", "corrected", "corrected", "corrected", "corrected"),
        *("dismissed", "merged", "reported"),
    ]
    (guard,) = judge_draft(Pattern.objects.get(slug="brackenmere-pullover"), list(Guard.objects.all()))
    assert guard.holds
    (first,) = judge_version(
        Version.objects.get(pattern__slug="brackenmere-pullover", minor=0), [guard.guard]
    )
    assert not first.holds
    sent, drafted, later = Notice.objects.order_by("pk")
    assert (sent.state, drafted.state, later.state) == ("sent", "draft", "sent")
    assert [mail.holder.email for mail in later.mails.order_by("pk")] == [*OF_FIRST, UNSURE, OF_SECOND]
    assert [mail.holder.email for mail in sent.mails.order_by("pk")] == [*OF_FIRST, UNSURE]
    told, to_tell = sent.letters["1.0"][1], letters_of(drafted)[0].text
    assert "34 rows" in told
    assert "row ends" not in told
    assert "With the larger hook and the right side" in to_tell
    assert "34 rows" not in to_tell
    assert "With the larger hook and the right side" in later.letters["1.0"][1]  # corrected before
    assert [one.number for one in Holder.objects.get(email=BUYER).pdf_versions.all()] == ["1.0"]
    states = dict(Holder.objects.values_list("email", "state"))
    assert (states[GONE], states[ASKING], states[OF_SECOND]) == ("left", "asked", "wants")


def check_results():
    """A call of believable size: testers in every size, most done, some late, one who gave the place back."""
    call = TestCall.objects.get(pattern__slug="cinderfell-raglan")
    places = call.placements.filter(ended_at=None)
    assert places.count() == 20
    assert set(places.values_list("size", flat=True)) == set(call.quotas.values_list("size", flat=True))
    assert places.filter(result__done_at__isnull=False).count() == 16
    assert call.applications.filter(state__in=("withdrawn", "declined")).count() == 2
    rows = judge_call(call, standing_found(call)).rows
    off = {(row.line.name, row.size): row.deviation.is_beyond for row in rows}
    assert off["side_length", "M"]
    assert off["side_length", "L"]
    assert not off["chest", "M"]
    client = Client()
    client.force_login(Person.objects.get(email="designer@larkmoss.example"))
    page = client.get(reverse("call_results", args=[call.pattern.slug, call.pk])).content.decode()
    mend = [
        reverse("verdict_mend", args=[call.pattern.slug, call.pk, "side_length", value])
        for value in ("body_rounds", "hem_rib_rounds")
    ]
    assert [one in page for one in mend] == [True, False]
    assert "New counts of “Hem rib, rounds” alone would not make Underarm to hem come out as planned" in page


def check_helps():
    """Two samples have helps with pictures; the raglan has special stitches, and testers who were stuck."""
    told = {
        version.pattern.slug: read_record(version.record)
        for version in Version.objects.filter(pattern__slug__in=("cinderfell-raglan", "plovermire-hat"))
    }
    many = {slug: [len(one["pictures"]) for one in record["helps"]] for slug, record in told.items()}
    assert many == {"cinderfell-raglan": [2, 2], "plovermire-hat": [2]}
    stitches = told["cinderfell-raglan"]["pattern"]["special_stitches"]
    assert [one["short"] for one in stitches] == ["m1l", "m1r"]
    # The chart that shows both stands after both.
    assert ["rows" in one for one in stitches] == [False, True]
    asked = asked_help(Help.objects.get(name="short_rows_with_a_double_stitch"))
    assert (asked.stuck, asked.testers) == (4, 20)


def check_technical_edit():
    """One query is answered, the other holds the release of the cardigan."""
    pattern = Pattern.objects.get(slug="alderfleet-cardigan")
    assert [bool(query.answer) for query in pattern.edit_queries.order_by("pk")] == [True, False]
    assert len(list(blocking_sentences(pattern))) == 1


def check_begun():
    """What was begun from a construction has nothing that would stop it."""
    for name in BEGUN:
        pattern = Pattern.objects.get(slug=name.replace("_", "-"))
        assert not pattern.sheet.findings.filter(weight="stop").exists()


def check_people():
    people = {log_in.email.partition("@")[0]: log_in for log_in in log_ins()}
    for name in ("designer", "editor"):
        assert Client().login(email=people[name].email, password=people[name].password)
    for name in ("bram", "ysolde"):
        tester = Person.objects.get(email=people[name].email)
        assert not is_studio(tester)
        client = Client()
        client.force_login(tester)
        assert "Cinderfell" in client.get(reverse("my_making")).content.decode()
    assert is_designer(Person.objects.get(email=people["designer"].email))


def test_passwords_are_made_once_and_kept_to_their_owner(demo_folder):
    first = log_ins()
    assert log_ins() == first
    assert [bool(log_in.password) for log_in in first] == [True, True, False, False]
    assert (demo_folder / "log-ins.json").stat().st_mode & 0o077 == 0


def test_cloth_has_edges_of_another_yarn_and_seeds_above_them():
    """Below, the edge's colour; above it the garment's, and purl stitches only as high as told."""
    at = np.linspace(0.5, 119.5, 239, dtype=np.float32)
    x, y = np.meshgrid(at, at)
    plain = Cloth("knitting", 0.2, 0.2, (("#0000ff", 1),), rib_mm=30, is_ribbed=False)
    edged = coloured(replace(plain, edge_colour="#ff0000"), x, y)
    assert edged[y < 30][:, 2].max() == 0 < edged[y < 30][:, 0].min()
    assert edged[y > 30][:, 0].max() == 0 < edged[y > 30][:, 2].min()
    changed = (coloured(replace(plain, seeds_mm=40), x, y) != coloured(plain, x, y)).any(axis=-1)
    assert changed[(y > 30) & (y < 70)].all()
    assert not changed[y > 70].any()


def test_pictures_of_the_demo_show_cloth_on_a_quiet_ground():
    """Within the garment stitches differ in light; beside it nothing does."""
    for name, look in LOOKS.items():
        document = sample_document(name)
        middle = len(document["sizes"]) // 2
        picture = np.asarray(draw_as_worn(document, look, middle).convert("L"), dtype=float)
        high, wide = picture.shape
        at_corners = [picture[:60, :60], picture[-60:, -60:]]
        assert all(part.std() < 5 for part in at_corners), name
        within = picture[high // 2 - 60 : high // 2 + 60, wide // 3 - 60 : wide // 3 + 60]
        assert within.std() > 5, name
        assert within.mean() < picture[:60, :60].mean() - 20, name
