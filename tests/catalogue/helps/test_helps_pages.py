"""The studio's helps: written, pictured, named in steps, their links changed, deleted."""

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import read_core
from catalogue.helps.helps import save_help
from catalogue.helps.marks import suggested_helps, with_mark
from catalogue.models import Help, HelpPicture
from catalogue.publishing.obstacles import check_before_publishing
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_record, make_version
from tests.catalogue.helps.builders import TYPED, make_help, name_in_step
from tests.catalogue.pictures import jpeg
from tests.catalogue.special_stitches.builders import make_stitch, take_over

pytestmark = pytest.mark.django_db
SENT = {
    "title": "Foundation chain", "text": "Draw each loop up.", "terms": "ch, foundation chain, ch",
    "craft": "crochet", "hand": "", "level": "easy", "link": "https://video.example/chain",
    "link_from_s": "1:20", "link_to_s": "2:05",
}  # fmt: skip

REMEDY = "add it, or correct the name."


@pytest.fixture(autouse=True)
def designer(client):
    person = make_person(role="designer", name="Ida Moss")
    client.force_login(person)
    return person


def send(client, found, **typed):
    address = reverse("help_edit", args=[found.pk])
    return client.post(
        address, {**SENT, "seen": client.get(address).context["form"]["seen"].value(), **typed}
    )


def words(answer):
    return " ".join(answer.content.decode().split())


def test_a_help_is_written_once_and_has_a_name_for_steps_and_a_short_link(client):
    answer = client.post(reverse("help_new"), SENT, follow=True)
    found = Help.objects.get()
    assert found.name == "foundation_chain"
    assert found.terms == ["ch", "foundation chain"]
    assert (found.link_from_s, found.link_to_s) == (80, 125)
    assert "{help foundation_chain}" in words(answer)
    assert f"https://larkmoss.example/h/{found.code}/" in words(answer)
    client.post(reverse("help_new"), SENT)
    assert sorted(Help.objects.values_list("name", flat=True)) == ["foundation_chain", "foundation_chain_2"]
    assert "foundation_chain_2" in words(client.get(reverse("helps")))


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"link": "javascript:alert(1)"}, "has to begin with https://"),
        ({"link": "https://10.0.0.1/a"}, "private network"),
        ({"link": "", "link_from_s": "1:20"}, "Times belong to a video"),
        ({"link_from_s": "2:05", "link_to_s": "1:20"}, "The end has to come after the start"),
        ({"link_from_s": "soon"}, "“soon” is not a time"),
        ({"link_from_s": "1:75"}, "“1:75” is not a time"),
        ({"link_from_s": "99999"}, "longer than a day"),
        ({"title": ""}, "This field is required"),
        ({"text": "x" * 4001}, "at most 4000 characters"),
        ({"terms": ", ".join(f"w{n}" for n in range(31))}, "At most 30 words fit, these are 31."),
        ({"terms": "a" * 61}, "too long for a word"),
        ({"craft": "weaving"}, "Select a valid choice"),
    ],
)
def test_what_makes_no_sense_is_refused_and_what_was_typed_stays(client, typed, says):
    answer = client.post(reverse("help_new"), {**SENT, **typed})
    assert answer.status_code == 400
    assert says in words(answer)
    assert "Draw each loop up." in words(answer) or "text" in typed
    assert not Help.objects.exists()


def test_pictures_have_an_order_and_go_with_their_files(client):
    found = make_help()
    add = reverse("help_pictures", args=[found.pk])
    files = [SimpleUploadedFile(f"{n}.jpg", jpeg(), "image/jpeg") for n in "ab"]
    assert (
        client.post(add, {"pictures": files, "alts": "The hook\nThe loop", "caption": ""}).status_code == 302
    )
    client.post(reverse("help_picture_up", args=[found.pictures.last().pk]))
    assert [one.alt for one in found.pictures.all()] == ["The loop", "The hook"]
    names = [one["name"] for one in found.pictures.first().files]
    for picture in found.pictures.all():
        client.post(reverse("help_picture_delete", args=[picture.pk]))
    assert not HelpPicture.objects.exists()
    # Both were the same picture: its files go with the last row that has them, once the deletion holds.
    assert names
    refused = client.post(add, {"pictures": [SimpleUploadedFile("a.jpg", b"no", "image/jpeg")], "alts": "A"})
    assert refused.status_code == 400
    assert TYPED["title"] in words(refused)


@pytest.mark.django_db(transaction=True)
def test_files_of_a_picture_go_with_the_last_row_that_has_them(client):
    found = make_help(pictured=2)
    first, second = found.pictures.all()
    client.post(reverse("help_picture_delete", args=[first.pk]))
    assert all(default_storage.exists(one["name"]) for one in second.files)
    client.post(reverse("help_picture_delete", args=[second.pk]))
    assert not any(default_storage.exists(one["name"]) for one in second.files)


def test_a_link_that_changes_is_kept_in_a_record_and_unchecked(client, designer):
    found = make_help()
    Help.objects.update(link_state="dead", link_answer="It answered 404 Not Found.")
    send(client, found, link="https://video.example/new")
    change = found.link_changes.get()
    assert (change.old, change.new, change.by) == (TYPED["link"], "https://video.example/new", designer)
    found.refresh_from_db()
    assert found.link_state == ""
    send(client, found, link="https://video.example/new", title="Chain")
    assert found.link_changes.count() == 1
    assert "https://video.example/new" in words(client.get(reverse("help_edit", args=[found.pk])))


def test_two_people_who_save_the_same_help_see_each_other_s_words(client):
    found = make_help()
    edit = reverse("help_edit", args=[found.pk])
    seen = client.get(edit).context["form"]["seen"].value()
    assert client.post(edit, {**SENT, "seen": seen, "text": "By one."}).status_code == 302
    late = client.post(edit, {**SENT, "seen": seen, "text": "By another."})
    assert late.status_code == 409
    assert Help.objects.get().text == "By one."
    told = words(late)
    assert f"paragraph 1: <del>{found.text.splitlines()[0]}</del>" in told
    assert "<ins>By one.</ins>" in told
    assert "By another.</textarea>" in told
    again = late.context["form"]["seen"].value()
    assert client.post(edit, {**SENT, "seen": again, "text": "By another."}).status_code == 302


def test_a_step_that_is_full_can_t_name_a_help_and_says_so(client):
    pattern, found = make_pattern(), make_help()

    def fill(document):
        document["sections"][0]["steps"][0] = "Now ch 10. " + "Work on. " * 2220

    edit(pattern, fill)
    put = reverse("pattern_help_put", args=[pattern.slug, found.pk])
    assert "The step can’t name it" in words(client.post(put, follow=True))


def test_anybody_with_the_short_link_sees_the_help_as_it_is_now(client):
    found = make_help(pictured=1)
    client.logout()
    answer = client.get(found.get_absolute_url())
    page = words(answer)
    assert "<h1>Foundation chain</h1>" in page
    assert "<li>Hold the tail.</li>" in page
    assert (
        'href="https://video.example/chain" rel="noreferrer">Watch the video, from 1:20 to 2:05</a>' in page
    )
    assert answer["X-Robots-Tag"] == "noindex"
    shown = client.get(found.pictures.get().largest_url)
    assert shown.status_code == 200
    shown.close()
    assert client.get("/h/aaaaaaaa/").status_code == 404
    save_help(found=found, by=None, **{**TYPED, "link": "https://video.example/new"})
    assert "https://video.example/new" in words(client.get(found.get_absolute_url()))


def test_a_pattern_lists_its_helps_by_number_and_those_that_would_explain_a_word(client):
    pattern = make_pattern()
    make_help()
    make_help(title="Front post", terms=["fpdc"], link="")
    make_help(title="Half double crochet", terms=["hdc"], link="")
    make_help(title="Knit stitch", terms=["hdc"], craft="knitting", link="")
    name_in_step(pattern, "nobody_knows", section=1)
    page = words(client.get(reverse("pattern_helps", args=[pattern.slug])))
    assert "There is no help of this name." in page
    assert "“ch” comes first in" in page
    assert "Half double crochet" in page
    assert "Front post" not in page
    assert "Knit stitch" not in page
    half = Help.objects.get(title="Half double crochet")
    put = reverse("pattern_help_put", args=[pattern.slug, half.pk])
    assert "now shows help “Half double crochet”" in words(client.post(put, follow=True))
    (where,) = (
        (i, j)
        for i, section in enumerate(pattern_document(pattern)["sections"])
        for j, step in enumerate(section["steps"])
        if "{help half_double_crochet}" in step
    )
    assert where == (0, 0)
    assert "No step needs" in words(client.post(put, follow=True))
    pattern.refresh_from_db()
    assert half not in [one.found for one in suggested_helps(read_core(pattern))]


def test_a_help_of_a_special_stitch_is_suggested_where_a_step_uses_its_abbreviation():
    pattern, found = make_pattern(), make_help(title="Puff stitch", terms=["puff stitch"], link="")
    take_over(pattern, make_stitch(short="hdc"))
    pattern.refresh_from_db()
    (suggested,) = suggested_helps(read_core(pattern))
    assert (suggested.found, suggested.term) == (found, "hdc")


def test_a_mark_goes_before_the_end_of_a_block():
    assert with_mark("Turn.\n\n::: only sizes=S\nCh 1.\n:::", "chains").endswith("Ch 1. {help chains}\n:::")
    assert with_mark("Turn.", "chains") == "Turn. {help chains}"


def test_an_unknown_help_stops_publishing_and_a_dead_link_is_told():
    pattern = make_pattern()
    found = make_help()
    name_in_step(pattern, found.name)
    Help.objects.update(link_state="dead")
    told = [
        one for one in check_before_publishing(pattern, "release", make_record(pattern)) if "elp" in one.says
    ]
    assert [(one.weight, one.says) for one in told] == [
        ("warn", "The video of help “Foundation chain” was not there when it was checked: give another link.")
    ]
    name_in_step(pattern, "foundation_chian", section=1)
    told = [
        one
        for one in check_before_publishing(pattern, "release", make_record(pattern))
        if "chian" in one.says
    ]
    title = pattern_document(pattern)["sections"][1]["title"]
    assert [(one.weight, one.says) for one in told] == [
        ("stop", f"{title}, step 1 names a help “foundation_chian”, and there is none: " + REMEDY)
    ]


def test_a_help_that_something_names_stays_and_another_goes(client, quick_pdf):
    pattern, found, other = make_pattern(), make_help(), make_help(title="Picot", link="")
    name_in_step(pattern, found.name)
    delete = reverse("help_delete", args=[found.pk])
    assert "take {help foundation_chain} out of these steps first" in words(client.post(delete, follow=True))
    make_version(pattern)
    name = pattern_document(pattern)["sections"][0]["steps"][0]
    assert "prints the short link of" in words(client.post(delete, follow=True)), name
    assert client.post(reverse("help_delete", args=[other.pk])).status_code == 302
    assert list(Help.objects.all()) == [found]


def test_a_frozen_version_keeps_the_pictures_and_words_of_its_time(client, quick_pdf):
    pattern, found = make_pattern(), make_help(pictured=1)
    name_in_step(pattern, found.name)
    version = make_version(pattern)
    picture = found.pictures.get()
    client.post(reverse("help_picture_delete", args=[picture.pk]))
    save_help(found=found, by=None, **{**TYPED, "title": "Chain"})
    client.logout()
    shown = client.get(picture.largest_url)
    assert shown.status_code == 200
    shown.close()
    assert version.frozen_helps.get().help == found
    version.refresh_from_db()
    assert '"title":"Foundation chain"' in version.record
