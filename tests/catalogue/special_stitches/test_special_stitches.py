"""Special stitches: kept by the studio, taken over into patterns, never changed there in silence."""

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import undo_last_edit
from catalogue.drafts.patterns import read_core
from catalogue.models import SpecialStitch, StitchPicture, StitchState
from catalogue.publishing.obstacles import check_before_publishing
from catalogue.special_stitches.stitches import newest_state, save_stitch
from grading.core.instructions.missing_words import missing_words
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_record
from tests.catalogue.pictures import jpeg
from tests.catalogue.special_stitches.builders import TYPED, make_stitch, take_over
from tests.sent_forms import send_form

pytestmark = pytest.mark.django_db
SENT = {**TYPED, "rows": "\n".join(TYPED["rows"])}


@pytest.fixture(autouse=True)
def designer(client):
    person = make_person(role="designer", name="Ida Moss")
    client.force_login(person)
    return person


def words(answer):
    return " ".join(answer.content.decode().split())


def stored(pattern):
    pattern.refresh_from_db()
    return pattern_document(pattern)


def act(client, pattern, name, *args, **sent):
    pattern.refresh_from_db()
    address = reverse(name, args=[pattern.slug, *args])
    return words(client.post(address, {"revision": pattern.sheet.revision, **sent}, follow=True))


def test_a_stitch_is_written_once_and_shown_with_its_chart(client, designer):
    answer = client.post(reverse("special_stitch_new"), SENT, follow=True)
    state = StitchState.objects.get()
    assert (state.number, state.label, state.by) == (1, "Puff stitch", designer)
    page = words(answer)
    assert "<h2>Puff stitch (ps)</h2>" in page
    assert "<title>Chart of Puff stitch." in page
    assert "Worked over a multiple of 2" in page
    listed = words(client.get(reverse("special_stitches")))
    assert "with a chart" in listed
    assert "No pattern uses it yet." in listed


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"label": ""}, "This field is required"),
        ({"short": "…"}, "“…” has no letter"),
        ({"method": "x" * 4001}, "at most 4000 characters"),
        ({"craft": "weaving"}, "Select a valid choice"),
        ({"multiple": "0"}, "greater than or equal to 1"),
        ({"rows": "\n".join(["k1"] * 21)}, "20"),
        ({"rows": "x" * 2001}, "2000"),
    ],
)
def test_what_makes_no_sense_is_refused_and_what_was_typed_stays(client, typed, says):
    answer = client.post(reverse("special_stitch_new"), {**SENT, **typed})
    assert answer.status_code == 400
    assert says in words(answer)
    assert "draw up a long loop" in words(answer) or "method" in typed
    assert not SpecialStitch.objects.exists()


def test_a_stitch_that_a_pattern_asked_for_is_offered_to_it_once_it_is_saved(client):
    pattern = make_pattern()
    craft = pattern.sheet.header["craft"]
    stitches = reverse("pattern_stitches", args=[pattern.slug])
    new = f"{reverse('special_stitch_new')}?pattern={pattern.slug}"
    page = words(client.get(stitches))
    assert "no special stitch of this craft" in page
    assert f'href="{new}"' in page
    answer = send_form(client, new, craft=craft, label="Puff stitch", short="ps", method="Draw up a loop.")
    assert answer["Location"] == stitches
    assert "Add to the pattern<span" in words(client.get(stitches))


def test_a_preview_shows_what_is_typed_and_stores_nothing(client):
    preview = reverse("special_stitch_preview")
    page = words(client.post(preview, {**SENT, "label": "Small puff"}))
    assert "<h2>Small puff (ps)</h2>" in page
    page = words(client.post(preview, {**SENT, "method": ""}, headers={"HX-Request": "true"}))
    assert "Nothing can be shown yet" in page
    assert not SpecialStitch.objects.exists()


def test_two_people_who_save_the_same_stitch_see_each_other_s_words(client):
    stitch = make_stitch().stitch
    address = reverse("special_stitch", args=[stitch.pk])
    seen = client.get(address).context["form"]["seen"].value()
    assert client.post(address, {**SENT, "seen": seen, "method": "By one."}).status_code == 302
    late = client.post(address, {**SENT, "seen": seen, "method": "By another."})
    assert late.status_code == 409
    assert "<ins>By one.</ins>" in words(late)
    assert "By another." in words(late)
    seen = late.context["form"]["seen"].value()
    assert client.post(address, {**SENT, "seen": seen, "method": "By another."}).status_code == 302
    assert "By one." in words(client.get(address))  # among the earlier wordings


def test_saving_the_same_words_makes_no_new_state():
    state = make_stitch()
    assert save_stitch(stitch=state.stitch, by=None, **TYPED) == state


def test_pictures_belong_to_states_and_go_with_the_stitch(client):
    stitch = make_stitch(pictured=2).stitch
    first, second = newest_state(stitch).pictures.all()
    client.post(reverse("stitch_picture_up", args=[second.pk]))
    stitch.refresh_from_db()
    assert [one.alt for one in newest_state(stitch).pictures.all()] == ["Puff 2", "Puff 1"]
    stale = client.post(reverse("stitch_picture_delete", args=[first.pk]), follow=True)
    assert "Somebody changed the pictures meanwhile" in words(stale)
    client.post(reverse("stitch_picture_delete", args=[list(newest_state(stitch).pictures.all())[-1].pk]))
    stitch.refresh_from_db()
    assert [one.alt for one in newest_state(stitch).pictures.all()] == ["Puff 2"]
    add = reverse("special_stitch_pictures", args=[stitch.pk])
    file = SimpleUploadedFile("a.jpg", jpeg(), "image/jpeg")
    assert client.post(add, {"pictures": [file], "alts": "The hook", "caption": ""}).status_code == 302
    refused = client.post(add, {"pictures": [SimpleUploadedFile("a.jpg", b"no", "image/jpeg")], "alts": "A"})
    assert refused.status_code == 400
    stitch.refresh_from_db()
    assert newest_state(stitch).pictures.count() == 2
    client.logout()
    shown = client.get(newest_state(stitch).pictures.all()[0].largest_url)
    assert shown.status_code == 200
    shown.close()


@pytest.mark.django_db(transaction=True)
def test_a_stitch_that_a_pattern_has_stays_and_another_goes_with_its_files(client):
    pattern, state = make_pattern(), make_stitch(pictured=1)
    take_over(pattern, state)
    delete = reverse("special_stitch_delete", args=[state.stitch.pk])
    assert "has “Puff stitch”: take it out there first." in words(client.post(delete, follow=True))
    act(client, pattern, "pattern_stitch_delete", "puff_stitch")
    names = [one["name"] for one in state.pictures.get().files]
    assert "“Puff stitch” is deleted." in words(client.post(delete, follow=True))
    assert not StitchPicture.objects.exists()
    assert not any(default_storage.exists(name) for name in names)


def test_a_pattern_takes_a_stitch_over_in_its_own_terms_and_undo_takes_it_back(client):
    pattern = make_pattern(home_terms="UK", abbreviations={"ps": "puff", "zz": "a zigzag"})
    state = make_stitch()
    page = words(client.get(reverse("pattern_stitches", args=[pattern.slug])))
    assert "Add to the pattern" in page
    says = act(client, pattern, "pattern_stitch_take", state.stitch.pk, number=1)
    assert "has “Puff stitch” as the studio has it now" in says
    (entry,) = stored(pattern)["special_stitches"]
    assert entry["method"].endswith("Close with 1 dc.")
    assert entry["rows"][0].startswith("*1 dc in the next st")
    assert (entry["of_studio"], entry["state"]) == (state.stitch.code, 1)
    assert stored(pattern)["abbreviations"] == {"zz": "a zigzag"}
    assert f'href="{reverse("pattern_stitches", args=[pattern.slug])}">' in words(
        client.get(reverse("special_stitches"))
    )
    undo_last_edit(pattern=pattern, revision=pattern.sheet.revision, by=None)
    assert "special_stitches" not in stored(pattern)
    assert stored(pattern)["abbreviations"]["ps"] == "puff"


def test_a_change_in_the_studio_is_told_and_taken_over_or_kept_never_silently(client):
    pattern, state = make_pattern(), make_stitch()
    take_over(pattern, state)
    assert "The studio has changed" not in words(client.get(reverse("pattern_stitches", args=[pattern.slug])))
    save_stitch(stitch=state.stitch, by=None, **{**TYPED, "method": "Twice only."})
    page = words(client.get(reverse("pattern_stitches", args=[pattern.slug])))
    assert "<ins>Twice only.</ins>" in page
    assert stored(pattern)["special_stitches"][0]["method"] == TYPED["method"]
    assert "with earlier words" in words(client.get(reverse("special_stitches")))
    told = [one for one in check_before_publishing(pattern, "release", make_record(pattern)) if one.page]
    assert ("warn", "“Puff stitch”") in [(one.weight, one.place) for one in told]
    act(client, pattern, "pattern_stitch_keep", "puff_stitch", number=2)
    pattern.refresh_from_db()
    told = check_before_publishing(pattern, "release", make_record(pattern))
    assert not any("The studio has changed" in one.says for one in told)
    assert "The studio has changed" not in words(client.get(reverse("pattern_stitches", args=[pattern.slug])))
    save_stitch(stitch=state.stitch, by=None, **{**TYPED, "method": "Five times."})
    assert "read it again" in act(client, pattern, "pattern_stitch_take", state.stitch.pk, number=2)
    assert stored(pattern)["special_stitches"][0]["method"] == TYPED["method"]
    says = act(client, pattern, "pattern_stitch_take", state.stitch.pk, number=3)
    assert "The studio has changed" not in says
    (entry,) = stored(pattern)["special_stitches"]
    assert (entry["method"], entry["state"], entry.get("kept_at")) == ("Five times.", 3, None)


def test_a_change_that_was_taken_back_is_not_told(client):
    pattern, state = make_pattern(), make_stitch()
    take_over(pattern, state)
    save_stitch(stitch=state.stitch, by=None, **{**TYPED, "method": "Twice only."})
    save_stitch(stitch=state.stitch, by=None, **TYPED)
    assert "The studio has changed" not in words(client.get(reverse("pattern_stitches", args=[pattern.slug])))


def test_acts_on_what_is_no_longer_there_change_nothing_and_say_so(client):
    pattern, state = make_pattern(), make_stitch()
    take_over(pattern, state)
    before = stored(pattern)
    assert "Somebody took this stitch out" in act(client, pattern, "pattern_stitch_delete", "bobble")
    assert "Somebody took this stitch out" in act(client, pattern, "pattern_stitch_keep", "bobble", number=2)
    assert "Choose on the page" in act(client, pattern, "pattern_stitch_keep", "puff_stitch", number="x")
    assert "nothing was done" in act(client, pattern, "pattern_stitch_delete", "puff_stitch", revision=0)
    other = make_stitch(label="Picot stitch")
    assert "The pattern can’t have it" in act(
        client, pattern, "pattern_stitch_take", other.stitch.pk, number=1
    )
    assert stored(pattern) == before


def test_its_abbreviation_is_known_in_steps_and_its_method_told():
    pattern = make_pattern()

    def use(document):
        document["sections"][0]["steps"][0] += " Work 1 Zq in the next st, then 1 popcorn."

    edit(pattern, use)
    core = read_core(pattern)
    assert any("popcorn" in one.says for one in missing_words(core))
    take_over(pattern, make_stitch(label="Popcorn", short="Zq", rows=[]))
    pattern.refresh_from_db()
    core = read_core(pattern)
    assert not any("popcorn" in one.says for one in missing_words(core))
    assert core.own_shorts()["Zq"] == "popcorn"


def test_a_stitch_that_steps_use_is_offered_first(client):
    pattern = make_pattern()
    make_stitch(label="A bobble", short="mbx")
    make_stitch(label="Half double", short="hdc")
    make_stitch(label="Cable", short="c4f", craft="knitting")
    page = words(client.get(reverse("pattern_stitches", args=[pattern.slug])))
    assert page.index("Half double") < page.index("A bobble")
    assert "A step uses “hdc”." in page
    assert "Cable" not in page


def test_the_pages_ask_the_database_the_same_with_many_stitches(client, django_assert_max_num_queries):
    pattern = make_pattern()
    for n in range(6):
        take_over(pattern, make_stitch(label=f"Stitch {'abcdef'[n]}", short=f"z{'abcdef'[n]}", pictured=1))
    for address in (reverse("special_stitches"), reverse("pattern_stitches", args=[pattern.slug])):
        with django_assert_max_num_queries(20):
            assert client.get(address).status_code == 200
