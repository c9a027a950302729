"""The technical edit: queries, answers, sign-off, what changed since, and what stops publishing."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import undo_last_edit
from catalogue.drafts.patterns import graded
from catalogue.models import (
    EditQuery,
    Erratum,
    Pattern,
    PatternYarn,
    PracticeChoice,
    Studio,
    TargetDate,
    TechnicalEdit,
    Yarn,
)
from catalogue.publishing.obstacles import in_the_way
from catalogue.selling.dates import due_dates
from catalogue.technical_edit.editors_work import editors_work
from catalogue.technical_edit.left_open import left_open
from catalogue.technical_edit.technical_edits import (
    QueryAbout,
    SignOffRefused,
    answer_query,
    ask,
    beside_sign_off,
    last_sign_off,
    open_queries,
    sign_off,
    state_record,
    whole_record,
    withdraw_sign_off,
)
from catalogue.technical_edit.work_lists import mark_read, reading_progress, work_list
from catalogue.versions.draft_glances import DraftMoved, draft_glance
from grading.beginnings.constructions import constructions
from grading.grid.finding_groups import finding_groups
from tests.builders import make_person, sample
from tests.catalogue.builders import edit, make_pattern, make_version, value_of
from tests.present import present
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def seen(pattern):
    return draft_glance(pattern, state_record(pattern), beside_sign_off(open_queries(pattern)))


def signed(pattern, **more):
    return sign_off(pattern=pattern, seen=seen(pattern), note="", by=None, **more)


def warnings(pattern):
    return " ".join(one.says for one in in_the_way(pattern, "release") if one.weight == "warn")


def widen(document):
    value_of(document, "ease")["steps"]["base"] = "24 cm"


def test_what_stops_publishing_warns_while_nobody_has_signed():
    assert "No technical edit is signed off" in warnings(make_pattern())


def test_a_sign_off_holds_until_the_pattern_changes_and_then_lists_what_changed():
    pattern = make_pattern()
    signed(pattern)
    assert "technical edit" not in warnings(pattern)
    assert present(last_sign_off(pattern)).is_fresh
    edit(pattern, widen)
    stale = present(last_sign_off(pattern))
    assert not stale.is_fresh
    assert "chest" in {one.name for one in stale.changes.numbers}
    assert "was changed since the technical edit" in warnings(pattern)


def test_publishing_alone_makes_no_sign_off_stale():
    pattern = make_pattern()
    signed(pattern)
    make_version(pattern)
    assert present(last_sign_off(pattern)).is_fresh


def test_what_was_changed_while_it_was_read_is_not_signed():
    pattern = make_pattern()
    read = seen(pattern)
    edit(pattern, widen)
    with pytest.raises(DraftMoved) as moved:
        sign_off(pattern=pattern, seen=read, note="", by=None)
    assert "chest" in {one.name for one in moved.value.since.changes.numbers}
    assert not TechnicalEdit.objects.exists()


def test_a_query_without_an_answer_holds_up_the_signature_and_is_attached_with_it():
    pattern = make_pattern()
    query = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=None)
    assert "1 query of the technical edit waits for an answer." in warnings(pattern)
    with pytest.raises(SignOffRefused, match="no answer yet"):
        signed(pattern)
    answer_query(query=query, answer="It is meant to be.", by=None)
    done = signed(pattern)
    assert [one.answer for one in done.queries.all()] == ["It is meant to be."]
    answer_query(query=query, answer="Another answer", by=None)
    query.refresh_from_db()
    assert query.answer == "It is meant to be."


def test_the_round_on_its_pages(client):
    pattern = make_pattern()
    editor = make_person(role="editor")
    client.force_login(editor)
    page = reverse("technical_edit", args=[pattern.slug])
    assert client.post(page, {"place": "values.chest", "asks": "Why so wide?"}).status_code == 302
    query = EditQuery.objects.get()
    answer = reverse("query_answer", args=[pattern.slug, query.pk])
    assert client.post(answer, {"answer": "Mine."}).status_code == 404  # the designer is asked
    assert answer not in client.get(page).content.decode()
    designer = make_person(role="designer")
    client.force_login(designer)
    EditQuery.objects.update(place="sections[0].steps[0]", size=graded(pattern).sizes[0])
    step = work_list(pattern, None)[0].cells[0]
    asking = client.post(answer, {"answer": ""})
    assert asking.context["step"] == step.printed
    assert step.printed[:20] in asking.content.decode()
    done = client.post(answer, {"answer": "It is meant to be."}, follow=True)
    assert done.redirect_chain[-1][0].endswith("#queries")
    assert "The answer is saved." in done.content.decode()
    client.force_login(editor)
    said = client.get(page).content.decode()
    assert "Why so wide?" in said
    assert "It is meant to be." in said
    sign = reverse("edit_sign_off", args=[pattern.slug])
    old = send_form(client, sign, action=sign, seen="{}", note="Read twice.")
    assert "changed after you opened this page" in old.content.decode()
    assert "Read twice." in old.content.decode()
    asked = send_form(client, sign, action=sign, note="Read twice.").content.decode()
    unread = reading_progress(pattern, editor).unread
    assert f"Sign with {unread} cells unread?" in asked
    assert not TechnicalEdit.objects.exists()
    fewer = send_form(client, sign, action=sign, page=asked, unread=str(unread - 1))
    assert f"Sign with {unread} cells unread?" in fewer.content.decode()
    assert send_form(client, sign, action=sign, page=asked).status_code == 302
    assert TechnicalEdit.objects.get().note == "Read twice."
    assert f", {unread} unread" in " ".join(client.get(page).content.decode().split())
    assert "This state is signed already" in client.get(sign).content.decode()
    assert "Signed off as it stands" in client.get(page).content.decode()
    rounds = client.get(page).content.decode().partition('id="rounds"')[2]
    assert "It is meant to be." in rounds.partition("</details>")[0].partition("<details open>")[2]
    edit(pattern, widen)
    said = " ".join(client.get(page).content.decode().split())
    assert "What changed since the sign-off" in said
    assert "It does not count for the pattern as it is now" in said


@pytest.fixture
def designer():
    return make_person(role="designer")


def tasks(pattern, editor):
    return [
        (re.split(r" of | \(", one.says)[0], one.button)
        for one in editors_work([pattern], editor)[pattern.pk].tasks
    ]


def test_of_what_waits_for_an_editor_the_most_urgent_comes_first_and_what_is_unread_is_one_entry(client):
    for count in range(9):
        pattern = make_pattern(title=f"Larkmoss {count}")
    Erratum.objects.create(pattern=pattern, place="gauge", due_on=timezone.localdate() - timedelta(days=1))
    make_version(Pattern.objects.get(title="Larkmoss 0"), kind="release")
    for_designer = editors_work([pattern], None)[pattern.pk].to_answer
    assert [one.button for one in for_designer] == ["Settle it"]
    known = r"gauge \(wrong\), known since \d+ \w+, from the studio itself. It was due \d+ \w+, 1 day ago"
    assert re.fullmatch(known, for_designer[0].says)
    Erratum.objects.update(why="Two swatches\nsay otherwise.")
    (told,) = editors_work([pattern], None)[pattern.pk].to_answer
    assert ": “Two swatches say otherwise”. It was due" in told.says
    assert any(
        one.what == "Settle the erratum at gauge"
        for one in due_dates(today=timezone.localdate(), with_support=True)
    )
    client.force_login(make_person(role="editor"))
    page = client.get(reverse("desk")).content.decode().split("desk-lines")[0]
    assert page.index("gauge (wrong), known since") < page.index("Not read by you yet")
    assert page.count("Not read by you yet") == 1
    unread = page.partition("Not read by you yet")[2]
    assert unread.count("#work-list") == 8
    assert "Larkmoss 0<" not in unread  # published, and unchanged since


def test_what_waits_for_an_editor_stands_first_on_their_desk(client, designer):
    pattern, editor = make_pattern(), make_person(role="editor")
    client.force_login(editor)
    assert tasks(pattern, editor) == [("Not read by you yet", "Read it")]
    query = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=editor)
    other = ask(pattern=pattern, place="values.chest", asks="Why so long?", by=make_person(role="editor"))
    for one in (query, other):
        answer_query(query=one, answer="It is meant to be.", by=designer)
    today = timezone.localdate()
    assert tasks(pattern, editor)[0] == ("Your query is answered", "Read the answer")
    task = editors_work([pattern], editor)[pattern.pk].tasks[0]
    assert task.says == f"Your query is answered ({today.day} {today:%B}). Settle it, or ask again"
    sign_off(pattern=pattern, seen=seen(pattern), note="", by=editor)
    assert tasks(pattern, editor) == []
    Erratum.objects.create(pattern=pattern, place="gauge", due_on=timezone.localdate() - timedelta(days=1))
    TargetDate.objects.create(pattern=pattern, what="Photos", due_on=timezone.localdate() - timedelta(days=3))
    yesterday = timezone.localdate() - timedelta(days=1)
    assert tasks(pattern, editor) == [("gauge", "Settle it")]
    (task,) = editors_work([pattern], editor)[pattern.pk].tasks
    assert task.address == reverse("erratum", args=[pattern.slug, Erratum.objects.get().pk])
    edit(pattern, widen)
    page = client.get(reverse("desk")).content.decode()
    assert page.index("For you") < page.index("Changed since your signature") < page.index("desk-lines")
    assert "Next dates" not in page
    client.force_login(designer)
    page = client.get(reverse("desk")).content.decode()
    assert f"It was due {yesterday.day} {yesterday:%B}, 1 day ago" in page.partition("desk-lines")[0]
    assert "Changed since" not in page.partition("desk-lines")[0]
    assert "“Photos” was due on" in page.partition("desk-lines")[0]
    assert "Next dates" in page


def test_a_query_that_holds_the_release_is_the_first_thing_for_the_designer(client, designer):
    pattern, editor = make_pattern(), make_person(role="editor")
    about = QueryAbout(is_blocking=True)
    query = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=editor, about=about)
    answers = f'{reverse("technical_edit", args=[pattern.slug])}#queries"'
    client.force_login(designer)
    page = client.get(reverse("desk")).content.decode()
    assert "1 query stops the release" in page.partition("desk-lines")[0]
    assert "Answer 1 query (stops the release)" in page.partition("desk-lines")[2]
    assert page.count(answers) == 2
    client.force_login(editor)
    page = client.get(reverse("desk")).content.decode()
    assert "Answer 1 query" not in page
    assert "Read it in the technical edit" in page
    query.is_blocking = False
    query.save()
    client.force_login(designer)
    page = client.get(reverse("desk")).content.decode()
    assert "For you" not in page
    assert "Answer 1 query<" in page


def test_an_answer_is_settled_or_asked_again_and_waits_no_longer(client, designer):
    pattern, editor = make_pattern(), make_person(role="editor")
    about = QueryAbout(is_blocking=True)
    first = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=editor, about=about)
    client.force_login(editor)
    address, settle = (
        reverse("technical_edit", args=[pattern.slug]),
        reverse("query_settle", args=[pattern.slug, first.pk]),
    )
    assert settle not in client.get(address).content.decode()
    said = client.get(client.post(settle).url).content.decode()
    assert "Nothing was changed" in said
    answer_query(query=first, answer="It is.", by=designer)
    assert tasks(pattern, editor)[0] == ("Your query is answered", "Read the answer")
    page = f"{address}?place=values.chest&again={first.pk}"
    assert f"again={first.pk}#ask" in client.get(address).content.decode()
    send_form(client, page, place="values.chest", asks="By how much?")
    assert [task[0] for task in tasks(pattern, editor)] == ["Not read by you yet"]
    second = EditQuery.objects.exclude(pk=first.pk).get()
    assert second.is_blocking
    answer_query(query=second, answer="By 20 cm.", by=designer)
    assert client.post(reverse("query_settle", args=[pattern.slug, second.pk])).status_code == 302
    assert [task[0] for task in tasks(pattern, editor)] == ["Not read by you yet"]
    answer_query(query=second, answer="By 22 cm.", by=designer)  # another answer is read again
    assert tasks(pattern, editor)[0] == ("Your query is answered", "Read the answer")


def test_a_signature_that_is_out_of_date_is_told_until_the_edit_is_taken_back(client, designer):
    pattern = make_pattern()

    def summarise(document):
        document["summary"] = "For cold mornings."

    edit(pattern, summarise)
    sign_off(pattern=pattern, seen=seen(pattern), note="", by=make_person(role="editor", name="Ines"))
    pages = [reverse("desk"), reverse("desk_pattern", args=[pattern.slug])]
    changed = (
        f'<a href="{reverse("technical_edit", args=[pattern.slug])}#changed">Changed since the signature'
    )

    def told():
        client.force_login(designer)
        return [changed in client.get(page).content.decode() for page in pages]

    def undo():
        pattern.refresh_from_db()
        undo_last_edit(pattern=pattern, revision=pattern.sheet.revision, by=None)

    assert told() == [False, False]
    edit(pattern, lambda document: value_of(document, "ease")["steps"].update(base="20 cm"))
    assert told() == [True, True]
    undo()
    assert told() == [False, False]
    undo()  # of an edit that was signed
    assert told() == [True, True]
    edit(pattern, summarise)
    assert told() == [False, False]


def test_only_an_editor_signs(designer_client):
    pattern = make_pattern()
    page = designer_client.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
    assert "Go to sign-off" not in page
    sign = reverse("edit_sign_off", args=[pattern.slug])
    assert designer_client.post(sign, {"seen": seen(pattern)}).status_code == 404


def break_a_step(document):
    document["sections"][0]["steps"][0] += " Work {body_lenght} on."


def test_a_stop_forbids_a_signature_and_is_named_with_its_page(client):
    pattern = make_pattern()
    edit(pattern, break_a_step)
    client.force_login(make_person(role="editor"))
    sign = reverse("edit_sign_off", args=[pattern.slug])
    page = client.get(sign).content.decode()
    assert "It can’t be signed yet" in page
    assert reverse("step", args=[pattern.slug, 1, 1]) in page
    assert "Sign off the pattern as it stands" not in page
    title = sample("brackenmere_pullover")["sections"][0]["title"]
    with pytest.raises(SignOffRefused, match=f"a Stop at {title}, step 1"):
        signed(pattern)
    assert not TechnicalEdit.objects.exists()


def test_what_is_open_is_listed_before_the_signature(client):
    pattern = make_pattern()
    client.force_login(make_person(role="editor"))
    page = " ".join(client.get(reverse("edit_sign_off", args=[pattern.slug])).content.decode().split())
    assert "cells unread" in page
    assert "No tester’s result yet in any size." in page
    assert "can’t be read by the count audit" in page
    assert "Sign off the pattern as it stands" in page
    assert not TechnicalEdit.objects.exists()


def test_a_count_without_a_reason_forbids_a_signature():
    row = "Row 1: sc in 2nd ch from hook and in each ch. (61 sts)"
    pattern = make_pattern(sections=[{"title": "Back", "steps": ["Ch {back_stitches} + 1.", row]}])
    with pytest.raises(SignOffRefused, match="a Stop at Back, step 2"):
        signed(pattern)


def test_a_sign_off_is_withdrawn_with_a_reason_that_the_designer_sees(client):
    pattern, editor = make_pattern(), make_person(role="editor")
    signed(pattern)
    client.force_login(editor)
    withdraw = reverse("edit_withdraw", args=[pattern.slug])
    assert send_form(client, withdraw, reason="").status_code == 200
    assert present(last_sign_off(pattern)).is_fresh
    assert send_form(client, withdraw, reason="Sleeve, step 2 was not read.").status_code == 302
    assert last_sign_off(pattern) is None
    edit_row = TechnicalEdit.objects.get()
    assert (edit_row.withdrawn_by, edit_row.withdrawal) == (editor, "Sleeve, step 2 was not read.")
    assert "was withdrawn: “Sleeve, step 2 was not read.”" in warnings(pattern)
    client.force_login(make_person(role="designer"))
    assert "Sleeve, step 2 was not read." in client.get(reverse("desk")).content.decode()
    assert "withdrawn" in client.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
    signed(pattern)
    assert "Sleeve, step 2 was not read." not in client.get(reverse("desk")).content.decode()


def test_a_withdrawal_sent_twice_takes_no_older_signature_back(client):
    pattern = make_pattern()
    first, second = signed(pattern), signed(pattern)
    client.force_login(make_person(role="editor"))
    withdraw = reverse("edit_withdraw", args=[pattern.slug])
    page = client.get(withdraw).content.decode()
    for _ in range(2):
        said = send_form(client, withdraw, page=page, reason="Sleeve, step 2 was not read.")
    assert said.status_code == 302
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.withdrawn_at, bool(second.withdrawn_at)) == (None, True)
    told = client.get(said.url).content.decode()
    assert "Nothing was withdrawn: the sign-off that you saw is no longer the newest." in told


def test_after_the_newest_signature_is_withdrawn_no_page_says_that_it_is_signed(client):
    pattern = make_pattern()
    signed(pattern)
    second = signed(pattern)
    client.force_login(make_person(role="editor"))
    withdraw_sign_off(pattern=pattern, seen=second.pk, reason="Sleeve not read.", by=None)
    page = " ".join(client.get(reverse("technical_edit", args=[pattern.slug])).content.decode().split())
    assert "It is not signed off: the last sign-off was withdrawn." in page
    assert "Signed off as it stands" not in page
    assert "Nobody has signed it off yet" not in page
    assert last_sign_off(pattern) is None
    assert "was withdrawn: “Sleeve not read.”" in warnings(pattern)
    assert "There is no sign-off to withdraw." in (
        client.get(reverse("edit_withdraw", args=[pattern.slug])).content.decode()
    )


def test_days_of_the_technical_edit_are_those_of_the_studio_s_time_zone(client):
    pattern = make_pattern()
    Studio.objects.update_or_create(defaults={"time_zone": "Pacific/Auckland"})
    late = datetime(2026, 3, 2, 20, tzinfo=UTC)  # the third of March in Auckland
    done = signed(pattern)
    edit(pattern, lambda document: document.update(yarn_allowance="17 %"))
    TechnicalEdit.objects.filter(pk=done.pk).update(signed_at=late)
    with timezone.override("Pacific/Auckland"):
        assert "changed since the technical edit of 3 March 2026:" in warnings(pattern)
    TechnicalEdit.objects.filter(pk=done.pk).update(withdrawn_at=late, withdrawal="Sleeve not read.")
    client.force_login(make_person(role="designer"))
    assert "Sign-off withdrawn on 3 March by" in client.get(reverse("desk")).content.decode()


def test_an_editor_s_own_answer_to_a_blocking_query_is_signed_only_by_saying_so(client):
    pattern, editor = make_pattern(), make_person(role="editor")
    about = QueryAbout(is_blocking=True)
    query = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=editor, about=about)
    answer_query(query=query, answer="It is meant to be.", by=editor)
    assert "1 blocking query was answered by the person who asked" in warnings(pattern)
    client.force_login(editor)
    sign = reverse("edit_sign_off", args=[pattern.slug])
    refused = send_form(client, sign, action=sign).content.decode()
    assert "tick that you sign with this answer" in refused
    assert not TechnicalEdit.objects.exists()
    unread = str(reading_progress(pattern, editor).unread)
    assert send_form(client, sign, action=sign, own_answers="on", unread=unread).status_code == 302
    page = " ".join(client.get(reverse("technical_edit", args=[pattern.slug])).content.decode().split())
    assert f"Answer by {editor}, who asked it:" in page


@pytest.mark.parametrize(
    ("change", "shown"),
    [
        (lambda document: document["checks"][0].update(says="Other words."), "Checks, "),
        (lambda document: document.update(yarn_allowance="17 %"), "Yarn allowance"),
        (lambda document: value_of(document, "chest").update(note="Asked by two makers."), "Values, "),
    ],
)
def test_every_change_since_the_signature_is_listed(change, shown):
    pattern = make_pattern()
    signed(pattern)
    edit(pattern, change)
    stale = present(last_sign_off(pattern))
    assert any(one.place.startswith(shown) for one in stale.changes.entries)


def test_rights_and_use_are_signed_with_the_pattern():
    pattern = make_pattern()
    signed(pattern)
    Pattern.objects.update(rights={"finished_use": "Sell what you make."})
    stale = present(last_sign_off(Pattern.objects.get()))
    assert not stale.is_fresh
    assert [(one.place, one.new) for one in stale.changes.entries] == [
        ("Use of finished items", "Sell what you make.")
    ]


def test_of_the_practice_piece_what_is_ticked_is_signed_and_what_follows_from_it_is_not(monkeypatch):
    pattern = make_pattern()
    choice = PracticeChoice.objects.create(pattern=pattern, techniques=["mirror:front_neck"])
    signed(pattern)
    kept = whole_record(pattern)["practice"]
    otherwise = {**kept, "sizes": [], "lost": ["Worked out in another way."]}
    monkeypatch.setattr("catalogue.versions.freezing.practice_record", lambda *_: otherwise)
    assert present(last_sign_off(pattern)).is_fresh
    monkeypatch.undo()
    choice.techniques = ["mirror:front_neck", "pick_up:armhole_row_ends"]
    choice.save()
    stale = present(last_sign_off(Pattern.objects.get()))
    assert not stale.is_fresh
    (change,) = stale.changes.entries
    assert change.place == "Practice piece, techniques"
    assert change.new.startswith(f"{change.old}, ")


def test_an_editor_s_list_of_patterns_says_what_is_left_and_offers_no_act_of_others(client):
    pattern, editor = make_pattern(), make_person(role="editor")
    ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=editor)
    client.force_login(editor)
    page = client.get(reverse("desk")).content.decode()
    assert "1 open query" in page
    assert "Not read by you yet" in page
    assert "Read it in the technical edit" in page
    assert "Publish a test version" not in page
    steps = work_list(pattern, editor)
    shown = {step.key: {cell.size: cell.digest[:16] for cell in step.cells} for step in steps}
    first = steps[0].key
    mark_read(pattern=pattern, by=editor, shown=shown, ticked={(first, size) for size in shown[first]})
    total = sum(len(step.cells) for step in steps)
    assert (
        f"{total - len(shown[first])} of {total} cells unread" in client.get(reverse("desk")).content.decode()
    )


def test_an_editor_s_list_of_patterns_asks_no_more_for_more_patterns_begun(client):
    editor = make_person(role="editor")
    client.force_login(editor)
    asked = []
    for count in range(4):
        pattern = make_pattern(title=f"Larkmoss {count}")
        step = work_list(pattern, editor)[0]
        size, digest = step.cells[0].size, step.cells[0].digest
        mark_read(
            pattern=pattern, by=editor, shown={step.key: {size: digest[:16]}}, ticked={(step.key, size)}
        )
        page = client.get(reverse("desk")).content.decode()
        assert page.count("cells unread") == 2 * (count + 1)  # in the list of patterns, and under "For you"
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("desk"))
        asked.append(len(queries))
    assert len(set(asked)) == 1


def test_the_page_of_the_signature_counts_findings_as_the_list_that_it_links(client):
    pattern = make_pattern("cinderfell_raglan")
    client.force_login(make_person(role="editor"))
    record = whole_record(pattern)
    shown = finding_groups(record["pattern"], record["results"]["findings"])
    listed = sum(group.weight == "warn" for group in shown)
    assert 0 < listed < sum(one["weight"] == "warn" for one in record["results"]["findings"])
    assert len(left_open(pattern, record, None, []).warnings) == listed
    page = " ".join(client.get(reverse("edit_sign_off", args=[pattern.slug])).content.decode().split())
    assert f'#findings">{listed} finding' in page
    assert f"{listed} finding" in warnings(pattern)
    ended = Yarn.objects.create(
        name="Larkmoss Skeinbury", length_per_100g_m=220, put_up_g=50, ended_on=timezone.localdate()
    )
    PatternYarn.objects.create(pattern=pattern, colour="A", yarn=ended)
    told = left_open(pattern, whole_record(pattern), None, []).warnings
    assert told[listed:] == ["Larkmoss Skeinbury is no longer made"]


def test_what_a_construction_settled_is_told_apart_and_each_reason_can_be_asked_about(client):
    said = next(
        str(entry["note"])
        for entry in constructions()["set-in"].pattern["values"]
        if entry.get("may_shrink") and entry.get("note")
    )
    pattern = make_pattern()

    def settle(document):
        line = {"kind": "rows", "list": [9, 10, 8, 8, 8, 8, 8, 8, 8], "may_shrink": True}
        document["values"].append({"name": "side", "label": "Side, rows", **line, "note": said})
        document["values"].append(
            {"name": "edge", "label": "Edge, rows", **line, "note": "Two makers asked."}
        )
        value_of(document, "chest").update(may_shrink=True, note=said)

    edit(pattern, settle)
    found = left_open(pattern, whole_record(pattern), None, []).settled
    assert [(one.name, one.steps) for one in found.by_construction] == [("side", ("10 → 8, S to M",))]
    assert [one.name for one in found.by_people] == ["edge"]
    client.force_login(make_person(role="editor"))
    sign = client.get(reverse("edit_sign_off", args=[pattern.slug])).content.decode()
    assert "1 exception with the construction’s reasons</a>, not yet" in sign
    address = reverse("technical_edit", args=[pattern.slug])
    page = client.get(address).content.decode()
    assert "Exceptions with the construction’s reasons, not yet looked at: 1" in page
    assert f'{address}?place=values.side#ask"' in page
    asking = client.get(address, {"place": "values.side"}).content.decode()
    assert '<option value="values.side" selected>' in asking
    check = f"checks.{pattern_document(pattern)['checks'][0]['name']}"
    assert client.post(address, {"place": check, "asks": "Does it hold?"}).status_code == 302
    assert EditQuery.objects.get().place == check
    assert client.get(address).status_code == 200
