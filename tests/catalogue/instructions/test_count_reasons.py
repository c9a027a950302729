"""Counts that do not come out hold a release, unless the designer has written why they stay."""

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.instructions.count_reasons import FaultGone, counts_found, judged_faults, keep_fault
from catalogue.publishing.obstacles import in_the_way
from catalogue.technical_edit.technical_edits import state_record
from catalogue.versions.freezing import Heading, draft_record
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern
from tests.present import present

pytestmark = pytest.mark.django_db

STEP = "Ch 11. Row 1: sc in 2nd ch from hook and in each ch across. (11 sts)"
WRONG = [{"title": "Back", "steps": [STEP]}]
UNREAD = [{"title": "Back", "steps": ["Ch 11. Row 1: work 3 knot clusters in each ch. (33 sts)"]}]


def wrong_pattern():
    return make_pattern("brackenmere_pullover", sections=WRONG)


def said(pattern, kind, weight):
    return " ".join(one.says for one in in_the_way(pattern, kind) if one.weight == weight)


def reasoned(pattern, reason="The last loop is worked as a stitch here."):
    (judged,) = judged_faults(pattern)
    keep_fault(pattern=pattern, key=judged.fault.key, reason=reason, by=None)
    return judged


def test_a_count_that_does_not_come_out_stops_a_release_and_warns_of_a_test_version():
    pattern = wrong_pattern()
    assert "Back, step 1" in said(pattern, "release", "stop")
    assert "says 11, worked 10" in said(pattern, "release", "stop")
    assert "says 11, worked 10" not in said(pattern, "test", "stop")
    assert "says 11, worked 10" in said(pattern, "test", "warn")


def test_a_reason_lets_the_release_go_and_the_record_keeps_it():
    pattern = wrong_pattern()
    reasoned(pattern)
    assert "says 11, worked 10" not in said(pattern, "release", "stop")
    record = draft_record(pattern, Heading("1.0", "release", "", timezone.now()))
    assert [one["reason"] for one in record["count_audit"]["faults"]] == [
        "The last loop is worked as a stitch here."
    ]


def test_a_reason_holds_no_longer_than_the_words_do():
    pattern = wrong_pattern()
    reasoned(pattern)
    edit(
        pattern,
        lambda document: document["sections"][0]["steps"].__setitem__(0, STEP.replace("11 sts", "12 sts")),
    )
    assert "says 12, worked 10" in said(pattern, "release", "stop")


def test_a_reason_can_be_taken_back_and_none_is_kept_for_what_is_gone():
    pattern = wrong_pattern()
    judged = reasoned(pattern)
    keep_fault(pattern=pattern, key=judged.fault.key, reason="", by=None)
    assert "says 11, worked 10" in said(pattern, "release", "stop")
    with pytest.raises(FaultGone):
        keep_fault(pattern=pattern, key="0" * 64, reason="Gone.", by=None)


def test_what_cannot_be_read_is_counted_and_stops_nothing():
    pattern = make_pattern("brackenmere_pullover", sections=UNREAD)
    assert counts_found(pattern).faults == ()
    assert "1 of 2 rows checked" in said(pattern, "release", "warn")
    assert "checked" not in said(pattern, "release", "stop")


def test_a_reason_makes_no_sign_off_stale():
    pattern = wrong_pattern()
    before = state_record(pattern)
    reasoned(pattern)
    assert state_record(pattern) == before


def test_the_designer_writes_the_reason_on_the_page_and_an_editor_only_reads_it(client):
    pattern = wrong_pattern()
    (judged,) = judged_faults(pattern)
    send = reverse("row_reason", args=[pattern.slug])
    client.force_login(make_person(role="editor"))
    assert client.post(send, {"key": judged.fault.key, "reason": "No."}).status_code == 404
    client.force_login(make_person(role="designer"))
    assert client.post(send, {"key": judged.fault.key, "reason": "Meant so."}).status_code == 302
    page = client.get(reverse("row_by_row", args=[pattern.slug])).content.decode()
    assert "Kept as it is: Meant so." in page
    kept = present(judged_faults(pattern)[0].reason)
    assert kept.by is not None
    told = f"by {kept.by}, on {kept.kept_at:%-d %B %Y}"
    assert told in " ".join(page.split())
    gone = client.post(send, {"key": "0" * 64, "reason": "Gone."}, follow=True).content.decode()
    assert "Somebody changed the words or numbers of that row meanwhile" in gone
