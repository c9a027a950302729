"""Places in sentences: named in words, linked, stops first; notices that wait are pointed at."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.drafts.finding_spots import finding_page, linked_findings
from catalogue.errata.errata import (
    Mistake,
    errata_of_version,
    judge_erratum,
    report_erratum,
    why_not_corrected,
)
from catalogue.holders.notice_names import named_notices
from catalogue.holders.notices import is_stalled
from catalogue.models import Holder, Notice, NoticeMail
from catalogue.publishing.obstacles import in_the_way
from catalogue.versions.records import read_record
from catalogue.versions.spots import spot_words
from catalogue.versions.standings import found_places
from grading.grid.grid import place_label
from grading.sheets.documents import PARTS, entries_of
from tests.builders import make_person, sample
from tests.catalogue.builders import SAMPLES, edit, make_pattern, make_record, make_version
from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole
from tests.pages import page_text
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]

ROOT = Path(__file__).resolve().parents[3]
RAW = re.compile(r"\w\[\d+\]|\b(values|checks|sections|steps|joins|fabrics|pieces)\.[a-z]|finding of weight")


def broken(document):
    """Break a step, a section and a line of a pattern."""
    document["sections"][0]["steps"][0] += " Work {body_lenght} on."
    document["sections"][-1]["when"] = {"cuffs": "none"}
    formula = next(one for one in reversed(document["values"]) if "formula" in one)
    formula["formula"] = f"({formula['formula']}) * nothing"


def wheres():
    """Every kind of place that the calculation gives to a finding, as its code writes them."""
    written = re.compile(r"f\"(\w+(?:\.|\[)\{[^\"]+)\"")
    kinds = set()
    for path in (ROOT / "grading/core").rglob("*.py"):
        kinds |= {re.split(r"[.\[]", found)[0] for found in written.findall(path.read_text(encoding="utf-8"))}
    return kinds


def test_no_kind_of_place_is_named_raw():
    document = {**sample("brackenmere_pullover"), "notions": ["5 buttons"]}
    kinds = wheres()
    assert {"sections", "values", "notions", "yarn_sections", "joins"} <= kinds
    for kind in kinds:
        entries = entries_of(document, kind) if kind in PARTS else []
        name = entries[0][0] if entries else "unknown_name"
        for where in (f"{kind}.{name}", f"{kind}[0]", f"{kind}.not_there"):
            assert not RAW.search(place_label(document, where)), where
            assert finding_page("fernside", document, where).startswith("/desk/fernside/")


@pytest.mark.parametrize("name", SAMPLES)
def test_no_sentence_of_findings_and_obstacles_names_a_raw_place(name):
    pattern = make_pattern(name)
    for change in (lambda document: None, broken):
        edit(pattern, change)
        obstacles = in_the_way(pattern, "release")
        record = make_record(pattern)
        groups = linked_findings(pattern.slug, record["pattern"], record["results"]["findings"])
        for says in [*(one.says for one in obstacles), *(one.place for one in obstacles)]:
            assert not RAW.search(says), says
        for one in groups:
            assert not RAW.search(one.group.sentence), one.group.sentence
    assert obstacles[0].weight == "stop"
    assert [one.group.weight for one in groups] == sorted(one.group.weight for one in groups)


def test_a_stop_in_the_instructions_is_the_act_of_home_and_links_its_step(designer_client):
    pattern = make_pattern()
    edit(pattern, lambda document: document["sections"][0]["steps"].append("Work {body_lenght} on."))
    section = sample("brackenmere_pullover")["sections"][0]
    place = f"{section['title']}, step {len(section['steps']) + 1}"
    step = reverse("step", args=[pattern.slug, 1, len(section["steps"]) + 1])
    for page in (reverse("desk"), reverse("desk_pattern", args=[pattern.slug])):
        shown = " ".join(designer_client.get(page).content.decode().split())
        assert re.search(rf'href="{step}"> ?Correct {place}', shown), page
    publish = designer_client.get(reverse("publish", args=[pattern.slug, "test"])).content.decode()
    assert f'<a href="{step}">Correct {place}</a>' in publish
    refused = designer_client.get(reverse("draft_pdf", args=[pattern.slug]), follow=True).content.decode()
    assert f"a Stop at {place}. Correct what is listed first below." in refused


def test_what_a_version_still_says_is_told_by_the_name_of_its_step():
    pattern = make_pattern()
    version = make_version(pattern, number="1.0")
    place = "sections[0].steps[0]"
    erratum = report_erratum(Mistake(pattern=pattern, place=place, gravity="cosmetic", found_in=version))
    later = make_version(pattern, number="1.1")
    says = why_not_corrected(erratum, later, read_record(later.record))
    title = sample("brackenmere_pullover")["sections"][0]["title"]
    still = f"Version 1.1 still says the same at {title}, step 1."
    assert says == f"{still} Correct it in the draft and publish a new version."
    assert spot_words(place, read_record(version.record)) == f"{title}, step 1"


def test_a_mistake_that_a_new_version_still_has_is_refused_with_a_link_to_its_step(designer_client):
    pattern = make_pattern()
    old = make_version(pattern, number="1.0")
    place = "sections[0].steps[0]"
    erratum = report_erratum(Mistake(pattern=pattern, place=place, gravity="cosmetic", found_in=old))
    judge_erratum(erratum=erratum, is_mistake=True)
    address = reverse("publish", args=[pattern.slug, "release"])
    answer = send_form(designer_client, address, number="1.1", corrects=[erratum.pk])
    said = " ".join(answer.content.decode().split())
    title = sample("brackenmere_pullover")["sections"][0]["title"]
    step = reverse("step", args=[pattern.slug, 1, 1])
    assert f"still says the same at {title}, step 1: correct it there first." in said
    assert f'<a href="{step}">Correct {title}, step 1</a>' in said
    assert pattern.versions.count() == 1


@pytest.mark.parametrize(
    ("rewrite", "place", "link"),
    [
        (lambda step: step, "{title}, step 2", ("step", 1, 2)),
        (lambda step: f"Now, {step}", "{title}, step 1 of version 1.0", ("words",)),
    ],
)
def test_a_mistake_whose_step_has_moved_is_told_and_linked_where_it_is_now(
    designer_client, rewrite, place, link
):
    pattern = make_pattern()
    old = make_version(pattern, number="1.0")
    wrong = read_record(old.record)["words"][0]["steps"][0]
    mistake = Mistake(
        pattern=pattern, place="sections[0].steps[0]", says=wrong[:20], gravity="cosmetic", found_in=old
    )
    erratum = report_erratum(mistake)
    judge_erratum(erratum=erratum, is_mistake=True)

    def moved(document):
        steps = document["sections"][0]["steps"]
        steps[:1] = ["Read all of it first.", rewrite(steps[0])]

    edit(pattern, moved)
    address = reverse("publish", args=[pattern.slug, "release"])
    answer = send_form(designer_client, address, number="1.1", corrects=[erratum.pk])
    said = " ".join(answer.content.decode().split())
    title = sample("brackenmere_pullover")["sections"][0]["title"]
    assert f"still says the same at {place.format(title=title)}: correct it there first." in said
    words = place.format(title=title) if link[0] == "step" else "the instructions"
    assert f'<a href="{reverse(link[0], args=[pattern.slug, *link[1:]])}">Correct {words}</a>' in said
    # Another version is read with its own numbers as well.
    later = make_version(pattern, number="1.1")
    assert [one.place for one in errata_of_version(later)] == [place.format(title=title)]


@pytest.fixture
def notice(db):
    """The draft of a notice: 1.0 had a mistake, 1.1 has not."""
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    old = make_version(pattern, number="1.0")
    Holder.objects.create(pattern=pattern, version=old, email="wren@larkmoss.example")
    Holder.objects.create(pattern=pattern, version=old, email="gone@larkmoss.example", state="left")
    erratum = report_erratum(Mistake(pattern=pattern, place="values.sleeve_rows", found_in=old))
    judge_erratum(erratum=erratum, is_mistake=True)
    edit(pattern, mended_armhole)
    make_version(pattern, number="1.1", corrects=[erratum])
    return Notice.objects.get(state="draft")


def test_a_notice_that_waits_is_pointed_at_and_says_who_it_goes_to(designer_client, notice):
    pattern = notice.version.pattern
    address = reverse("notice", args=[notice.pk])
    pages = [reverse("desk"), *(reverse(name, args=[pattern.slug]) for name in ("desk_pattern", "versions"))]
    for page in pages:
        shown = " ".join(designer_client.get(page).content.decode().split())
        assert f'<a href="{address}">{notice.name}</a>; not sent' in shown, page
    first = designer_client.get(pages[0]).content.decode().partition("desk-lines")[0]
    assert f'href="{address}"' in first, "it stands under “For you” as well"
    shown = " ".join(designer_client.get(address).content.decode().split())
    assert "Who it goes to" in shown
    assert "<summary> Holders of 1.0: 1 </summary> <ul> <li>wren@larkmoss.example</li> </ul>" in shown
    assert "gone@larkmoss.example" not in shown
    assert "Discard this notice" in shown


def test_a_version_names_each_of_its_notices_by_what_it_tells_and_who_is_left(designer_client, notice):
    pattern, page = notice.version.pattern, reverse("version", args=[notice.version.pattern.slug, "1.1"])
    about = named_notices([notice])[0].about
    assert about.endswith(", in 1.0")
    shown = page_text(designer_client.get(page))
    assert f"{about}: 1 holder not told yet." in shown
    assert f'<a href="{reverse("notice", args=[notice.pk])}">Read and send the notice' in shown
    holder = Holder.objects.get(email="wren@larkmoss.example")
    before = Notice.objects.create(version=notice.version, state="sent")
    place = "sections[0].steps[0]"
    told = report_erratum(Mistake(pattern=pattern, place=place, found_in=holder.version))
    before.errata.add(told)
    NoticeMail.objects.create(notice=before, holder=holder, state="handed")
    shown = page_text(designer_client.get(page))
    assert f"1 holder, about {found_places([told])[0]}, in 1.0, by the <a" in shown
    assert f"{about}: 1 holder not told yet." in shown


def test_addresses_of_holders_are_for_designers_alone(client, notice):
    client.force_login(make_person(role="editor", may_publish=True))
    shown = client.get(reverse("notice", args=[notice.pk])).content.decode()
    assert "wren@larkmoss.example" not in shown
    client.force_login(make_person(role="editor"))
    assert "Corrections out in" not in client.get(reverse("desk")).content.decode()


def test_going_on_is_offered_only_where_nothing_has_moved_for_a_while(notice):
    notice.state, notice.started_at = "sending", timezone.now()
    assert not is_stalled(notice)
    notice.started_at = timezone.now() - timedelta(minutes=4)
    assert is_stalled(notice)
    notice.state = "sent"
    assert not is_stalled(notice)
