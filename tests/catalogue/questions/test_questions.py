"""Makers' questions: pasted without who asked, answered once, counted by step over versions, erased."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Erratum, MakerQuestion
from catalogue.questions.gains import asked_places
from catalogue.questions.pasted import sent_day, without_sender
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
MAIL = """From: Ida Fulling <ida@larkmoss.example>
To: hello@larkmoss.example
Subject: your pullover

Dear Runa,

how many rows has the hem? I counted 34.
You can call me at +44 20 7946 0000 or write to ida@larkmoss.example.

Many thanks,
Ida

On 2 March 2026 at 10:00, Runa wrote:
> Here is your pattern.
"""
LOVE = "Which row is it?\nThanks for the great pattern, I love it!"
KEPT = """how many rows has the hem? I counted 34.
You can call me at [number] or write to [address]."""


@pytest.fixture(autouse=True)
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def words(answer):
    return " ".join(answer.content.decode().split())


def ask(client, of, /, **typed):
    known = {
        "says": "Which row?",
        "version": of.pk,
        "place": "sections[0].steps[0]",
        "asked_on": "2026-03-02",
    }
    return client.post(reverse("question_new", args=[of.pattern.slug]), {**known, **typed}, follow=True)


def act(client, question, name, **typed):
    address = reverse(f"question_{name}", args=[question.pattern.slug, question.pk])
    return client.post(address, typed, follow=True)


@pytest.mark.parametrize(
    ("pasted", "kept"),
    [
        (MAIL, KEPT),
        ("Hi!\nWhich row?\n-- \nIda Fulling", "Which row?"),
        (LOVE, LOVE),
        ("-- \nWhich row?", "Which row?"),
        ("Which row?\r\n\r\nKind regards,\r\nIda\r\nLarkmoss", "Which row?"),
        ("Dear Runa, which row is it in size M?", "Dear Runa, which row is it in size M?"),
        ("Date: I mean the row of the date stitch", ""),
        ("Which row?\nThanks so much!\nIda x", "Which row?"),
        ("Which row?\n\nMany thanks in advance,\nIda Fulling", "Which row?"),
        ("Which row?\nLove,\nIda", "Which row?"),
        ("Which row?\n\nBR\nIda Fulling", "Which row?"),
        ("Which row?\nBR, Ida", "Which row?"),
        ("Which row?\nThx\nIda", "Which row?"),
        ("Where do I find br and kr?\nIn the chart?", "Where do I find br and kr?\nIn the chart?"),
        ("Which row?\n\nIda\n\nSent from my phone", "Which row?"),
        ("Which row?\n\nIda Fulling\n020 7946 0000\nwww.larkmoss.example", "Which row?"),
        ("Which row?\n\nIda Fulling", "Which row?"),
        ("Call (555) 010-0199, see https://larkmoss.example/ida", "Call [number], see [web link]"),
        ("Which row do I start with?\n\nLeft Front", "Which row do I start with?\n\nLeft Front"),
        ("Which row?\nFor Size XL", "Which row?\nFor Size XL"),
        ("Love", ""),
        ("I repeat 12 14 16 18 20 22 rows.", "I repeat 12 14 16 18 20 22 rows."),
    ],
)  # fmt: skip
def test_an_e_mail_is_kept_without_what_tells_who_wrote_it(pasted, kept):
    assert without_sender(pasted) == kept


@pytest.mark.parametrize(
    ("head", "day"),
    [
        ("Date: Mon, 2 Mar 2026 10:00:00 +0100", dt.date(2026, 3, 2)),
        ("Sent: Monday, 2 March 2026 10:00", dt.date(2026, 3, 2)),
        ("From: Ida\nDate: March 2, 2026 at 10:00", dt.date(2026, 3, 2)),
        ("Date: 2026-03-02", dt.date(2026, 3, 2)),
        ("Date: 03/02/2026", None),
        ("Date: 31 February 2026", None),
        ("Date: 2 March 2027", None),
        ("Hi,\nwhich row?\nDate: 2 March 2026", None),
    ],
)
def test_the_day_asked_is_that_of_the_e_mail_where_it_is_a_day_that_has_been(head, day):
    assert sent_day(f"{head}\n\nWhich row?", dt.date(2026, 5, 1)) == day


def test_the_form_takes_the_day_of_the_e_mail_and_tells_what_looks_like_a_name(client):
    version = make_version(kind="test", number="0.1")
    mail = "Date: 2 March 2026\n\nMy friend Ysolde, order 1234567, counts 30. Who is right?"
    answer = ask(client, version, says=mail, asked_on=timezone.localdate().isoformat())
    assert MakerQuestion.objects.get().asked_on == dt.date(2026, 3, 2)
    assert "This looks like a name or a number: “Ysolde”, “1234567”." in words(answer)


def test_a_pasted_question_is_kept_without_a_name_unless_wanted(client):
    version = make_version(kind="test", number="0.1")
    answer = ask(client, version, says=MAIL)
    question = MakerQuestion.objects.get()
    assert (question.name, question.email) == ("", "")
    assert "Ida" not in question.says
    assert "@" not in question.says
    assert "Check that the words don’t show who asked." in words(answer)
    assert "To reply, answer the e-mail that the question came with" in words(answer)
    ask(client, version, name="Ida", email="ida@larkmoss.example")
    named = MakerQuestion.objects.get(name="Ida")
    shown = words(client.get(reverse("question", args=[version.pattern.slug, named.pk])))
    assert "From Ida" in shown
    assert "Write to ida@larkmoss.example</a> to reply" in shown
    client.force_login(make_person(role="editor"))
    page = words(client.get(reverse("question", args=[version.pattern.slug, named.pk])))
    assert "ida@larkmoss.example" not in page
    assert "Erase the asker" not in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (
            {"says": "Dear Runa,\n\nBest wishes,\nIda"},
            "Nothing is left after removing head, greeting and signature",
        ),
        ({"asked_on": "2999-01-01"}, "This day is in the future"),
        ({"place": "sections[99].steps[0]"}, "sections[99].steps[0]"),
        ({"version": "9" * 20}, "Select a valid choice"),
        ({"same_as": "0"}, "Select a valid choice"),
    ],
)
def test_a_question_that_does_not_fit_is_refused_and_stays_typed(client, typed, says):
    version = make_version(kind="test", number="0.1")
    answer = ask(client, version, **typed)
    assert answer.status_code == 400
    assert says in words(answer)
    assert typed.get("says", "Which row?") in answer.content.decode()
    assert not MakerQuestion.objects.exists()


def test_without_a_version_there_is_nothing_to_ask_about(client):
    answer = client.get(reverse("question_new", args=[make_pattern().slug]), follow=True)
    assert "publish one first" in words(answer)


def test_the_same_question_is_answered_once(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version)
    first = MakerQuestion.objects.get()
    act(client, first, "answer", answer="Row 28.")
    assert "It was answered before: copy the answer." in words(ask(client, version, same_as=first.pk))
    ask(client, version, says="Which row is it?")
    third = MakerQuestion.objects.get(says="Which row is it?")
    act(client, third, "same", same_as=first.pk)
    assert sorted(first.again.values_list("says", flat=True)) == ["Which row is it?", "Which row?"]
    assert "Row 28." in words(client.get(reverse("question", args=[third.pattern.slug, third.pk])))
    act(client, first, "delete")
    left = MakerQuestion.objects.get(same_as=None)
    assert (left.answer, left.again.count()) == ("Row 28.", 1)


def test_an_erratum_is_begun_with_what_the_version_says_there(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version, place="sections[0].steps[2]")
    page = words(client.get(reverse("question", args=[version.pattern.slug, MakerQuestion.objects.get().pk])))
    assert f'action="{reverse("erratum_new", args=[version.pattern.slug])}"' in page
    begun = {"found_in": version.pk, "place": "sections[0].steps[2]", "source": "letter", "kind": "wording",
             "found_by": "a maker’s question", "show": "1"}  # fmt: skip
    form = client.post(reverse("erratum_new", args=[version.pattern.slug]), begun).context["form"]
    assert (form["source"].value(), form["kind"].value()) == ("letter", "wording")
    assert form["says"].value()


def test_fewer_questions_are_seen_since_a_step_is_clearer_though_it_moved(client):
    pattern = make_pattern()
    first = make_version(pattern, kind="test", number="0.1")

    def clearer(document):
        steps = document["sections"][0]["steps"]
        steps[2] = f"{steps[2]} Count the rows from the hem."
        steps.insert(0, "Read the whole pattern first.")

    edit(pattern, clearer)
    second = make_version(pattern, kind="test", number="0.2")
    for _ in range(3):
        ask(client, first, place="sections[0].steps[2]")
    ask(client, second, place="sections[0].steps[3]")
    ask(client, second, place="sections[0].steps[2]", says="Another step")
    question = MakerQuestion.objects.filter(version=first)[0]
    later = client.get(reverse("question", args=[pattern.slug, question.pk])).context["outcome_form"]
    assert [one.number for one in later.fields["clearer_in"].queryset] == ["0.2"]
    act(client, question, "outcome", clearer_in=second.pk, erratum="")
    places = asked_places(pattern)
    assert [(one.at, len(one.questions)) for one in places] == [((0, 3), 4), ((0, 2), 1)]
    assert places[0].by_version == [("0.1", 3), ("0.2", 1)]
    assert (
        "Version 0.2 says this more clearly. Older versions: 3 questions. 0.2 and later: 1 question so far."
        in words(client.get(reverse("questions", args=[pattern.slug])))
    )


def test_an_erratum_that_is_corrected_tells_the_gain_too(client):
    pattern = make_pattern()
    first, second = (make_version(pattern, kind="test", number=number) for number in ("0.1", "0.2"))
    ask(client, first)
    question = MakerQuestion.objects.get()
    erratum = Erratum.objects.create(
        pattern=pattern, place=question.place, found_in=first, corrected_in=second, state="corrected"
    )
    act(client, question, "outcome", clearer_in="", erratum=erratum.pk)
    assert [one.gain and one.gain.version for one in asked_places(pattern)] == [second]


def test_the_gain_counts_all_and_words_alone_are_cut(client, django_assert_max_num_queries):
    pattern = make_pattern()
    first, second = (make_version(pattern, kind="test", number=number) for number in ("0.1", "0.2"))
    MakerQuestion.objects.bulk_create(
        MakerQuestion(
            pattern=pattern,
            version=version,
            place="sections[0].steps[0]",
            says="?",
            clearer_in=clearer,
            asked_on=timezone.localdate(),
        )
        for version, clearer, count in ((first, None, 300), (second, second, 200))
        for _ in range(count)
    )
    with django_assert_max_num_queries(18):
        asked = asked_places(pattern)[0]
    assert asked.gain is not None
    assert (asked.gain.before, asked.gain.since, asked.open) == (300, 200, 500)
    assert (len(asked.firsts), asked.unseen) == (400, 100)
    assert "100 more are counted and not shown." in words(
        client.get(reverse("questions", args=[pattern.slug]))
    )


def test_who_asked_and_their_words_are_erased_in_the_erratum_too(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version, says="How many rows has it?", name="Ida", email="ida@larkmoss.example")
    question = MakerQuestion.objects.get()
    erratum = Erratum.objects.create(
        pattern=version.pattern, place=question.place, why="A maker: How many rows  has it?"
    )
    act(client, question, "outcome", erratum=erratum.pk, clearer_in="")
    act(client, question, "answer", answer="28.")
    act(client, question, "erase")
    question.refresh_from_db()
    erratum.refresh_from_db()
    assert (question.says, question.name, question.email, question.answer) == ("[erased]", "", "", "28.")
    assert erratum.why == "A maker: [erased]"


def test_words_leave_the_erratum_that_a_question_led_to_before_as_well(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version, says="How many rows has it?")
    question = MakerQuestion.objects.get()
    first, second, other = (
        Erratum.objects.create(
            pattern=version.pattern, place=question.place, why=f"{n}: How many rows has it?"
        )
        for n in ("first", "second", "other")
    )
    for chosen in (first.pk, second.pk, "", second.pk):
        act(client, question, "outcome", erratum=chosen, clearer_in="")
    act(client, question, "erase")
    found = list(Erratum.objects.order_by("pk").values_list("why", flat=True))
    assert found == ["first: [erased]", "second: [erased]", "other: How many rows has it?"]
    assert other.pk not in question.earlier_errata.values_list("pk", flat=True)


def test_the_list_asks_no_more_for_more_questions(client, django_assert_max_num_queries):
    version = make_version(kind="test", number="0.1")
    ask(client, version)
    address = reverse("questions", args=[version.pattern.slug])
    client.get(address)
    MakerQuestion.objects.bulk_create(
        MakerQuestion(pattern=version.pattern, version=version, place=f"sections[0].steps[{n % 3}]",
                      says="Which?", asked_on=timezone.localdate())
        for n in range(40)
    )  # fmt: skip
    client.get(address)
    with django_assert_max_num_queries(12):
        client.get(address)


@pytest.mark.parametrize("name", ["delete", "words"])
def test_words_that_go_leave_the_erratum_too(client, name):
    version = make_version(kind="test", number="0.1")
    ask(client, version, says="Ida says: which row?")
    question = MakerQuestion.objects.get()
    erratum = Erratum.objects.create(pattern=version.pattern, place=question.place, why=question.says)
    act(client, question, "outcome", erratum=erratum.pk, clearer_in="")
    act(client, question, name, says="Which row?")
    erratum.refresh_from_db()
    assert erratum.why == "[erased]"
    assert [one.says for one in MakerQuestion.objects.all()] == (["Which row?"] if name == "words" else [])


def test_an_erratum_made_of_a_question_is_led_to_by_it(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version, place="sections[0].steps[2]")
    question = MakerQuestion.objects.get()
    address = reverse("erratum_new", args=[version.pattern.slug])
    begun = {"found_in": version.pk, "place": question.place, "question": question.pk, "kind": "wording"}
    form = client.post(address, {**begun, "show": "1"}).context["form"]
    typed = {**begun, "question": form["question"].value(), "says": form["says"].value(), "gravity": "wrong"}
    client.post(address, {**typed, "should_say": "Clearer."})
    question.refresh_from_db()
    assert question.erratum == Erratum.objects.get()


def test_the_next_question_keeps_its_own_outcome_when_the_first_is_deleted(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version)
    first = MakerQuestion.objects.get()
    ask(client, version, same_as=first.pk)
    later = MakerQuestion.objects.get(same_as=first)
    erratum = Erratum.objects.create(pattern=version.pattern, place=first.place)
    MakerQuestion.objects.filter(pk=later.pk).update(erratum=erratum, answer="Row 29.")
    MakerQuestion.objects.filter(pk=first.pk).update(answer="Row 28.", clearer_in=version)
    act(client, first, "delete")
    later.refresh_from_db()
    assert (later.same_as, later.erratum, later.clearer_in, later.answer) == (
        None,
        erratum,
        version,
        "Row 29.",
    )


def test_an_answer_is_still_shown_with_the_first_and_the_question_can_be_one_of_its_own_again(client):
    version = make_version(kind="test", number="0.1")
    ask(client, version)
    first = MakerQuestion.objects.get()
    ask(client, version, says="Which row is it?")
    later = MakerQuestion.objects.exclude(pk=first.pk).get()
    act(client, later, "answer", answer="Row 28.")
    assert "Make it a separate question" in words(act(client, later, "same", same_as=first.pk))
    assert "Row 28." in words(client.get(reverse("question", args=[version.pattern.slug, first.pk])))
    assert "Asked again: <a" in words(client.get(reverse("questions", args=[version.pattern.slug])))
    act(client, later, "own")
    for one in (first, later):
        one.refresh_from_db()
    assert (first.answer, later.answer, later.same_as) == ("Row 28.", "Row 28.", None)


def for_you(client):
    found = client.get(reverse("desk")).context["for_you"]
    return [(task.says, task.button, task.address) for task in found if "question" in task.says]


def test_questions_without_an_answer_are_for_the_designer_and_lead_to_where_they_are_answered(client):
    version = make_version(make_pattern("brackenmere_pullover"))
    ask(client, version)
    first = MakerQuestion.objects.get()
    page = reverse("question", args=[version.pattern.slug, first.pk])
    assert for_you(client) == [("1 maker’s question to answer", "Answer it", page)]
    ask(client, version, says="How long is the hem?")
    second = MakerQuestion.objects.exclude(pk=first.pk).get()
    of_all = reverse("questions", args=[version.pattern.slug])
    assert for_you(client) == [("2 makers’ questions to answer", "Answer them", of_all)]
    act(client, second, "same", same_as=first.pk)
    assert len(for_you(client)) == 1
    assert for_you(client)[0][2] == page, "the same question asked again is answered with the first"
    act(client, first, "answer", answer="34 rows.")
    assert for_you(client) == []


def test_a_question_is_for_no_editor(client):
    ask(client, make_version(make_pattern("brackenmere_pullover")))
    assert len(for_you(client)) == 1
    client.force_login(make_person(role="editor", email="editor@larkmoss.example"))
    assert for_you(client) == []
