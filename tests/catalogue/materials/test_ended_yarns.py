"""A yarn that is no longer made: what to take in its place by weight and length, and whom that touches."""

import math
import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from catalogue.editions.needs import yarn_tables
from catalogue.editions.sources import source_of
from catalogue.editions.substitutes import substitute_columns, substitute_lines
from catalogue.materials.ended_yarns import ended_notes, ended_words, nearest_yarns, touched_by
from catalogue.models import Holder, PatternYarn, Yarn
from catalogue.versions.freezing import Heading, draft_record
from grading.models import YarnNeed
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_record, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture(autouse=True)
def designer(client):
    client.force_login(make_person(role="designer"))


def words(answer):
    return " ".join(answer.content.decode().split())


def make_yarn(name="Larkmoss Skeinbury", length=220, put_up=50):
    return Yarn.objects.create(name=name, length_per_100g_m=length, put_up_g=put_up)


def end(client, yarn, **typed):
    return client.post(reverse("yarn_ended", args=[yarn.pk]), typed, follow=True)


def use(pattern, yarn, colour="A"):
    PatternYarn.objects.create(pattern=pattern, colour=colour, yarn=yarn)


def test_the_finest_match_comes_first_and_ended_yarns_are_not_offered():
    yarn = make_yarn()
    names = {"Far": 90, "Near": 215, "Nearer": 222, "Half": 110, "Double": 440}
    for name, length in names.items():
        make_yarn(name, length)
    Yarn.objects.create(name="Gone", length_per_100g_m=220, put_up_g=50, ended_on="2026-03-02")
    assert [one.name for one in nearest_yarns(yarn)] == ["Nearer", "Near", "Double", "Half", "Far"]


def test_length_stays_and_weight_follows(client):
    # Worked by hand: 100 g with 220 m are 220 m; of a yarn with 200 m in 100 g that is 110 g. Balls of 50 g
    # hold 100 m of it; balls are rounded up from the weight times 1.1, not from the balls of before.
    yarn, other = make_yarn(), make_yarn("Larkmoss Orrendale", 200)
    pattern = make_pattern()
    use(pattern, yarn)
    answer = words(end(client, yarn, ended_on="2026-03-02", substitute=other.pk))
    weight = f"yarn weight {other.weight_words.lower()}"
    says = (
        f"Take Larkmoss Orrendale instead ({weight}): 50 g = 100 m (109 yd). You need the same length in all."
    )
    assert says in answer
    weights = [
        one for need in YarnNeed.objects.filter(sheet=pattern.sheet, colour="A") for one in need.weight_g
    ]
    least, most = (-(-min(weights) * 1.1 // 50), -(-max(weights) * 1.1 // 50))
    touched = touched_by(Yarn.objects.get(pk=yarn.pk))
    assert [(one.pattern, one.colour, one.instead) for one in touched] == [
        (pattern, "A", f"{least:.0f} to {most:.0f}")
    ]
    assert says in words(client.get(reverse("pattern_yarns", args=[pattern.slug])))


def test_makers_read_it_on_the_page_of_a_pattern_that_names_the_yarn(client):
    yarn, pattern = make_yarn(), make_pattern()

    def label(document):
        document["yarns"][0]["label"] = "Larkmoss Skeinbury, 100 % wool"

    edit(pattern, label)
    use(pattern, yarn)
    make_version(pattern)
    end(client, yarn, ended_on="2026-03-02", substitute="")
    client.logout()
    page = words(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert "Larkmoss Skeinbury is no longer made. Choose a yarn with the same gauge after a swatch." in page
    # By hand: a yarn with 200 m in 100 g weighs half a gram for each metre that is told.
    Yarn.objects.update(substitute=make_yarn("Larkmoss Orrendale", 200))
    bought = client.get(reverse("needs", args=[pattern.slug]), {"units": "cm"}).context["to_buy"]
    assert bought[1].label.startswith("instead: Larkmoss Orrendale; ")
    assert bought[1].length_words == bought[0].length_words
    assert bought[1].weight_g == float(bought[1].length_words.removesuffix(" m")) / 2
    page = words(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert f"A in Larkmoss Orrendale, with long sleeves: {bought[1].ball_words} (" in page
    assert page.index("A in Larkmoss Orrendale, with") < page.index("As it was designed")
    # 205 m in 100 g are 102.5 m in 50 g: told in the note as beside the amounts, 103 m.
    Yarn.objects.filter(name="Larkmoss Orrendale").update(length_per_100g_m=205)
    for name in ("needs", "pattern_page"):
        page = words(client.get(reverse(name, args=[pattern.slug])))
        assert "50 g = 103 m (112 yd). You need the same length in all. Make a swatch first." in page
        assert "102 m" not in page
    Yarn.objects.update(ended_on=None)
    assert "no longer made" not in words(client.get(reverse("pattern_page", args=[pattern.slug])))


def test_a_release_that_names_an_ended_yarn_is_told_of_whatever_the_draft_takes(client):
    yarn, pattern = make_yarn(), make_pattern()
    edit(pattern, lambda document: document["yarns"][0].update(label="Larkmoss Skeinbury, 100 % wool"))
    make_version(pattern)
    use(pattern, make_yarn("Larkmoss Orrendale"))
    end(client, yarn, ended_on="2026-03-02", substitute="")
    page = words(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert "Larkmoss Skeinbury is no longer made." in page


def test_the_longer_of_two_names_is_meant_and_a_part_of_a_word_never():
    for name in ("Larkmoss Fen", "Moss"):
        Yarn.objects.create(name=name, length_per_100g_m=220, put_up_g=50, ended_on="2026-03-02")
    make_yarn("Larkmoss Fen Fine")
    assert ended_notes(["Larkmoss Fen Fine, wool", "Mossy green"]) == []
    assert len(ended_notes(["Larkmoss Fen Fine", "Larkmoss Fen, wool"])) == 1


def test_a_yarn_that_ends_later_is_made_and_one_that_ended_replaces_none(client):
    today = timezone.localdate()
    other = make_yarn("Larkmoss Orrendale", 200)
    yarn = Yarn.objects.create(
        name="Larkmoss Skeinbury",
        length_per_100g_m=220,
        put_up_g=50,
        ended_on=today + timedelta(days=1),
        substitute=other,
    )
    yarn.refresh_from_db()
    assert ended_words(yarn) == ""
    assert "no longer made from" in words(client.get(reverse("yarns")))
    yarn.ended_on = today
    assert "Take Larkmoss Orrendale instead" in ended_words(yarn)
    Yarn.objects.filter(pk=other.pk).update(ended_on=today)
    yarn = Yarn.objects.get(pk=yarn.pk)
    yarn.ended_on = today
    assert ended_words(yarn).endswith("Choose a yarn with the same gauge after a swatch.")


def test_the_studio_reads_it_wherever_the_pattern_is_worked_on_and_makers_in_its_next_version(client):
    yarn, pattern = make_yarn(), make_pattern()
    use(pattern, yarn)
    heading = Heading("1.0", "release", "", timezone.now())
    assert "ended_yarns" not in draft_record(pattern, heading)
    assert "no longer made" not in words(client.get(reverse("desk_pattern", args=[pattern.slug])))
    end(client, yarn, ended_on="2026-03-02", substitute=make_yarn("Larkmoss Orrendale", 200).pk)
    says = "Larkmoss Skeinbury is no longer made; substitute Larkmoss Orrendale."
    ended, of_yarn = reverse("yarn_ended", args=[yarn.pk]), reverse("studio_yarn", args=[yarn.pk])
    for name, more in (("desk_pattern", []), ("publish", ["release"]), ("yarn_page", [])):
        page = words(client.get(reverse(name, args=[pattern.slug, *more])))
        assert says in page, name
        assert f'href="{ended}"' in page, name
    assert f'<a href="{of_yarn}">Larkmoss Skeinbury</a>' in page
    told = ended_words(Yarn.objects.get(pk=yarn.pk))
    assert draft_record(pattern, heading)["ended_yarns"] == [told]
    PatternYarn.objects.all().delete()
    assert "ended_yarns" not in draft_record(pattern, heading)


def test_a_pattern_whose_sheet_alone_names_the_yarn_is_touched_too(client, django_assert_num_queries):
    yarn = make_yarn("Skeinbury “Ö”")
    for name in ("brackenmere_pullover", "cinderfell_raglan"):

        def label(document):
            document["yarns"][0]["label"] = "Skeinbury “Ö” wool"

        edit(make_pattern(name), label)
    with django_assert_num_queries(8):
        touched = touched_by(yarn)
    assert [(one.pattern.slug, one.is_chosen) for one in touched] == [
        ("brackenmere-pullover", False),
        ("cinderfell-raglan", False),
    ]


def test_each_pattern_says_what_is_published_of_it_and_how_many_hold_it(client):
    yarn, other = make_yarn(), make_yarn("Larkmoss Skeinbury Fine")
    named, moved, draft = (
        make_pattern(one) for one in ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child")
    )
    edit(named, lambda document: document["yarns"][0].update(label="Larkmoss Skeinbury, wool"))
    edit(moved, lambda document: document["yarns"][0].update(label="Larkmoss Skeinbury, wool"))
    first = make_version(named)
    make_version(moved)
    edit(moved, lambda document: document["yarns"][0].update(label=f"{other.name}, wool"))
    make_version(moved, number="1.1")
    use(draft, yarn)
    for at, state in enumerate(("wants", "left", "asked")):
        Holder.objects.create(pattern=named, version=first, email=f"h{at}@mail.example", state=state)
    found = {one.pattern: (one.reach.newest, one.reach.naming, one.reach.holders) for one in touched_by(yarn)}
    assert found == {named: ("1.0", ("1.0",), 2), moved: ("1.1", ("1.0",), 0), draft: ("", (), 0)}
    assert [one.pattern for one in touched_by(yarn) if not one.colour] == [moved]
    page = words(client.get(reverse("yarn_ended", args=[yarn.pk])))
    assert "Mark Larkmoss Skeinbury as discontinued" in page
    assert "1.1; names this yarn: 1.0" in page
    assert "not published" in page
    assert "Mark as discontinued…" in words(client.get(reverse("studio_yarn", args=[yarn.pk])))


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"ended_on": "soon", "substitute": ""}, "Enter a valid date."),
        ({"ended_on": "", "substitute": "other"}, "Give the date since when it is not made"),
        ({"ended_on": "2026-03-02", "substitute": "99999"}, "99999"),
        ({"ended_on": "2026-03-02", "substitute": "own"}, "Select a valid choice"),
    ],
)
def test_what_does_not_fit_is_refused(client, typed, says):
    yarn, other = make_yarn(), make_yarn("Other")
    known = {"other": str(other.pk), "own": str(yarn.pk)}
    answer = end(client, yarn, **{**typed, "substitute": known.get(typed["substitute"], typed["substitute"])})
    assert answer.status_code == 400
    assert says in words(answer)
    yarn.refresh_from_db()
    assert (yarn.ended_on, yarn.substitute) == (None, None)


def test_who_downloads_the_pdf_reads_that_its_yarn_is_no_longer_made(client):
    """The PDF of a frozen version can't say so: its page does, at the button."""
    yarn, pattern = make_yarn(), make_pattern()
    edit(pattern, lambda document: document["yarns"][0].update(label="Larkmoss Skeinbury, 100 % wool"))
    make_version(pattern)
    says = (
        "The PDF is as version 1.0 was published. A yarn that it names is no longer made: see the note below."
    )
    assert says not in words(client.get(reverse("needs", args=[pattern.slug])))
    end(client, yarn, ended_on="2026-03-02", substitute="")
    assert says in words(client.get(reverse("needs", args=[pattern.slug])))
    client.logout()
    assert says not in words(client.get(reverse("needs", args=[pattern.slug])))  # no PDF for everybody


def test_the_next_version_tells_how_many_balls_of_the_other_yarn_each_size_takes(client):
    yarn, pattern = make_yarn(length=220), make_pattern()
    use(pattern, yarn)
    end(client, yarn, ended_on="2026-03-02", substitute=make_yarn("Larkmoss Orrendale", 206).pk)
    record = make_record(pattern)
    needs = record["results"]["yarn"]
    graded = graded_as_frozen(record)
    source = source_of(record, graded, home_choices(record))
    told = substitute_columns(source)
    assert told
    weights = [w for one in needs for w in one["colours"]["A"]["weight"]]
    # The same length: a gram of the old yarn is 220 / 206 g of the other; balls of 50 g.
    expected = {str(math.ceil(weight * 220 / 206 / 50 - 1e-9)) for weight in weights}
    assert {re.sub(r" balls?$", "", text) for one in told for text in one.texts} == expected
    assert all(one.head.startswith("A in Larkmoss Orrendale with") for one in told)
    (table,) = yarn_tables(source)
    heads = table.sizes
    assert heads[: len(told)] == tuple(one.head for one in told)
    assert heads[len(told) :] == tuple(
        f"A in Larkmoss Skeinbury (no longer made) {one.head.split('Orrendale ')[1]}" for one in told
    )
    printed = edition_context(record=record, graded=graded, choices=home_choices(record))["ended"]
    assert len(printed) == 1


def test_a_record_that_does_not_keep_the_old_name_tells_the_balls_in_lines_as_it_did(client):
    yarn, pattern = make_yarn(length=220), make_pattern()
    use(pattern, yarn)
    end(client, yarn, ended_on="2026-03-02", substitute=make_yarn("Larkmoss Orrendale", 206).pk)
    record = make_record(pattern)
    record["substitutes"] = [
        {key: value for key, value in one.items() if key != "old_name"} for one in record["substitutes"]
    ]
    source = source_of(record, graded_as_frozen(record), home_choices(record))
    assert all(line.startswith("A in Larkmoss Orrendale, with") for line in substitute_lines(source))
    (table,) = yarn_tables(source)
    assert all(head.startswith("A with") for head in table.sizes)
