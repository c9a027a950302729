"""The desk: patterns with what they wait for, loading a file, beginning a pattern, its facts."""

import itertools
import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded
from catalogue.drafts.standing import Standing, standing_of, with_standing
from catalogue.models import Erratum, Holder, Notice, Pattern, Version
from grading.beginnings.constructions import constructions
from tests.builders import make_person, sample
from tests.catalogue.desk_work import fresh, load, small_document, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def upload(content: bytes, name: str = "pattern.json") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="application/json")


def standing(pattern: Pattern) -> Standing:
    return standing_of(with_standing(Pattern.objects.filter(pk=pattern.pk)).get())


def make_version(pattern: Pattern, *, kind: str, major: int = 0, state: str = "published") -> Version:
    now = timezone.now()
    return Version.objects.create(
        pattern=pattern,
        major=major,
        minor=1,
        kind=kind,
        state=state,
        record="{}",
        sha256="",
        frozen_at=now,
        published_at=now,
    )


def test_an_empty_studio_has_something_to_do(client, designer):
    page = client.get(reverse("desk")).content.decode()
    assert "There is no pattern yet" in page
    assert "New pattern" in page


def test_a_file_is_loaded_and_comes_back_as_it_was(client, designer):
    content = json.dumps(sample("cinderfell_raglan")).encode()
    answer = client.post(reverse("desk_load"), {"file": upload(content)})
    assert answer.status_code == 302
    saved = client.get(reverse("pattern_file", args=["cinderfell-raglan"]))
    assert json.loads(saved.content) == sample("cinderfell_raglan")
    assert 'filename="cinderfell-raglan.json"' in saved["Content-Disposition"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"{", "This is not JSON"),
        (b"\xff\xfe\x00", "not UTF-8 text"),
        (json.dumps(small_document(sizes=[])).encode(), "sizes: There are too few"),
        (b"", "empty"),
        (b"x" * (5 * 1024 * 1024 + 1), "larger than 5 MB"),
        (b"[" * 100_000, "nested too deep"),
        (
            json.dumps(small_document(title="Bad \ud800")).encode(),
            "title: There is an invisible control character",
        ),
    ],
)
def test_a_file_that_is_none_is_refused_with_place_and_reason(client, designer, content, says):
    answer = client.post(reverse("desk_load"), {"file": upload(content)})
    assert answer.status_code == 400
    assert says in answer.context["load"].errors["file"][0]
    assert not Pattern.objects.exists()


def test_a_title_that_is_taken_is_said_and_the_draft_replaced_when_asked(client, designer):
    load()
    content = json.dumps(small_document(summary="Newer.")).encode()
    refused = client.post(reverse("desk_load"), {"file": upload(content)})
    assert "“marlstone-vest” already" in refused.context["load"].errors["file"][0]
    client.post(reverse("desk_load"), {"file": upload(content), "replace": "on"})
    assert pattern_document(Pattern.objects.get())["summary"] == "Newer."


def test_a_replaced_draft_is_told_of_as_an_edit_of_a_form_is(client, designer):
    load()
    document = small_document()
    bust = {**document["body"]["bust"], "values": [40, 36, 44]}
    content = json.dumps({**document, "body": {**document["body"], "bust": bust}}).encode()
    answer = client.post(reverse("desk_load"), {"file": upload(content), "replace": "on"}, follow=True)
    said = [str(message) for message in answer.context["messages"]]
    assert said[0].startswith("The draft of “Marlstone Vest” is replaced.")
    assert "numbers in 3 sizes" in said[0]
    assert said[1:] == ["Bust girth falls from 40 (size S) to 36 (size M)."]


def test_a_pattern_begins_with_title_and_sizes(client, designer):
    data = {
        "title": "Fernside Shawl",
        "craft": "tunisian",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": "one size",
    }
    answer = client.post(reverse("desk_new"), data)
    assert answer["Location"] == reverse("sheet", args=["fernside-shawl"])
    assert pattern_document(Pattern.objects.get())["sizes"] == ["one size"]
    assert client.get(answer["Location"]).status_code == 200
    again = client.post(reverse("desk_new"), data)
    assert again.status_code == 400
    assert again.context["new"]["title"].value() == "Fernside Shawl"


def test_an_empty_sheet_takes_its_measurements_from_a_table(client, designer):
    data = {"title": "Fernside", "craft": "knitting", "home_units": "cm", "home_terms": "UK",
            "table": "yarn-woman", "sizes": "S to L"}  # fmt: skip
    assert client.post(reverse("desk_new"), data).status_code == 302
    document = pattern_document(Pattern.objects.get())
    assert document["sizes"] == ["S", "M", "L"]
    # The middles of 31 to 34 in and so on, as the table that comes with the program has them.
    assert document["body"]["bust"] == {"label": "Bust girth", "unit": "in", "values": [33, 37, 41]}
    refused = client.post(reverse("desk_new"), {**data, "title": "Other", "sizes": "S\nHuge"})
    assert "“Huge” is not in the table" in refused.context["new"].errors["sizes"][0]


def test_a_first_value_can_be_worked_out_in_an_empty_pattern(client, designer):
    data = {"title": "Fernside", "craft": "knitting", "home_units": "cm", "home_terms": "UK", "sizes": "S\nM"}
    client.post(reverse("desk_new"), data)
    client.post(
        reverse("body_table", args=["fernside"]), {"revision": 1, "unit": "cm", "table": "Bust girth\t84\t92"}
    )
    url = reverse("entry_new", args=["fernside", "fabrics"])
    client.post(url, typed(client, url, name="main", label="Plain", stitches="20", rows="28", over="10 cm"))
    url = reverse("entry_new", args=["fernside", "values"])
    client.post(url, typed(client, url, label="Body", kind="stitches", formula="bust_girth * main.stitches"))
    grid = client.get(reverse("sheet", args=["fernside"])).context["groups"]
    assert [row.cells for _, rows in grid for row in rows if row.name == "body"] == [("168", "184")]


def test_what_is_to_be_done_next():
    assert standing(load(title="Empty", values=[], checks=[], sections=[])).act == "Enter the first values"
    wrong = [{"name": "a", "label": "A", "kind": "count", "formula": "1 + nothing"}]
    stopped = load(title="Stopped", values=wrong, checks=[], sections=[])
    assert (standing(stopped).act, standing(stopped).address) == (
        "Correct A",
        "/desk/stopped/parts/values/0/",
    )
    pattern = load()
    assert (standing(pattern).state, standing(pattern).act) == ("draft", "Publish a test version")
    version = make_version(pattern, kind="test")
    assert (standing(pattern).state, standing(pattern).act) == ("in test", "Write a test call")
    erratum = Erratum.objects.create(pattern=pattern, place="values.back", found_in=version)
    assert standing(pattern).act == "Settle 1 erratum"
    assert standing(pattern).address == reverse("erratum", args=[pattern.slug, erratum.pk])
    erratum.state = "corrected"
    erratum.save()
    released = make_version(pattern, kind="release", major=1)
    assert (standing(pattern).state, standing(pattern).act) == ("published", "")
    notice = Notice.objects.create(version=released)
    Holder.objects.create(pattern=pattern, version=released, email="has-it@larkmoss.example")
    Holder.objects.create(pattern=pattern, version=version, email="gone@larkmoss.example", state="left")
    assert standing(pattern).act == ""  # the notice concerns nobody
    Holder.objects.create(pattern=pattern, version=None, email="ida@larkmoss.example")
    assert (standing(pattern).act, standing(pattern).page) == (
        "Send the notice to its holders",
        "errata",
    )
    notice.state = "sent"
    notice.save()
    assert standing(pattern).act == ""
    make_version(pattern, kind="release", major=2, state="waiting")
    assert standing(pattern).act == "See its PDFs being made"


def test_facts_are_edited_and_absent_ones_stay_absent(client, designer):
    pattern = load()
    url = reverse("facts", args=[pattern.slug])
    before = pattern_document(fresh(pattern))
    client.post(url, typed(client, url))
    assert pattern_document(fresh(pattern)) == before
    changes = {"title": "Marlstone Vest, long", "wearer": "child", "hazards": ["buttons"],
               "skill": "easy", "construction": "From the hem up in two pieces.",
               "notions": "6; buttons; 20 mm", "abbreviations": "sts = stitches"}  # fmt: skip
    client.post(url, typed(client, url, **changes))
    after = pattern_document(fresh(pattern))
    assert after["notions"] == [{"label": "buttons", "count": 6, "size": "20 mm"}]
    assert after["abbreviations"] == {"sts": "stitches"}
    assert (after["wearer"], after["hazards"]) == ("child", ["buttons"])
    assert (after["skill"], after["construction"]) == ("easy", "From the hem up in two pieces.")
    assert fresh(pattern).slug == "marlstone-vest"
    assert "summary" not in after


def test_facts_of_samples_are_saved_untouched(client, designer):
    for name in ("puffinbay_child", "thistledrift_waistcoat"):
        pattern = load(name)
        url = reverse("facts", args=[pattern.slug])
        client.post(url, typed(client, url))
        assert pattern_document(fresh(pattern)) == sample(name)


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("notions", "buttons", "is not written as"),
        ("abbreviations", "sts", "is not written as"),
        ("title", "", "required"),
        ("skill", "expert", "Select a valid choice"),
        ("construction", "x" * 401, "at most 400 characters"),
    ],
)
def test_facts_that_cannot_be_read_are_refused_at_their_field(client, designer, field, text, says):
    pattern = load()
    url = reverse("facts", args=[pattern.slug])
    answer = client.post(url, typed(client, url, **{field: text}))
    assert says in answer.context["form"].errors[field][0]
    assert answer.context["form"][field].value() == text


def test_the_overview_shows_findings_and_edits(client, designer):
    pattern = load("brackenmere_pullover")
    url = reverse("facts", args=[pattern.slug])
    client.post(url, typed(client, url, summary="Another."))
    page = client.get(reverse("desk_pattern", args=[pattern.slug])).content.decode()
    assert "Summary changed; the numbers are as they were." in page
    # the finding says neither which value nor which check it is about: its place does
    assert re.search("Chest near target[^:<]*: The chest is more than 1 cm from", page)
    assert designer.name in page
    assert "Another." in page


def test_the_overview_says_finished_size_newest_version_and_errata(client, designer):
    pattern = load("brackenmere_pullover")
    address = reverse("desk_pattern", args=[pattern.slug])
    draft = client.get(address).content.decode()
    # 857.1 to 1657.1 mm by its stitches and gauge, printed to the half centimetre
    assert re.search(r"Finished chest</dt>\s*<dd>85.5 to 165.5 cm", draft)
    assert "Newest version" not in draft
    assert "<dt>Errata" not in draft
    make_version(pattern, kind="test")
    released = make_version(pattern, kind="release", major=1)
    make_version(pattern, kind="release", major=2, state="waiting")
    for state in ("reported", "confirmed", "corrected", "dismissed"):
        Erratum.objects.create(pattern=pattern, state=state, found_in=released, says="Row 1")
    page = client.get(address).content.decode()
    assert re.search(r"Newest version</dt>\s*<dd><a href=[^>]*>1\.\d+, release", page)
    assert re.search(r"Errata</dt>\s*<dd><a href=[^>]*>2 open, 1 corrected", page)


def test_sizes_are_renamed_added_and_taken_away(client, designer):
    pattern = load()
    url = reverse("sizes", args=[pattern.slug])
    client.post(url, {"revision": 1, "labels": "36\n38\n40"})
    document = pattern_document(fresh(pattern))
    assert document["sizes"] == ["36", "38", "40"]
    assert document["values"][0]["steps"]["base_size"] == "38"
    client.post(url, {"revision": 2, "labels": "36\n38\n39\n40"})
    document = pattern_document(fresh(pattern))
    assert document["body"]["bust"]["values"] == [84, 92, None, 100]
    assert document["values"][3]["list"] == [4, 4, None, 6]
    assert document["values"][0]["steps"] == {
        "base_size": "38",
        "base": "8 cm",
        "step": ["0 cm", "0 cm", "1 cm"],
    }
    client.post(url, {"revision": 3, "labels": "38\n40"})
    assert pattern_document(fresh(pattern))["values"][0]["steps"]["step"] == ["1 cm"]
    refused = client.post(url, {"revision": 4, "labels": "40"})
    assert "steps from size 38" in refused.context["form"].errors["labels"][0]


@pytest.mark.parametrize("name", ["desk_load", "desk_new"])
def test_addresses_that_only_take_what_is_sent(client, designer, name):
    assert client.get(reverse(name)).status_code == 405


@pytest.mark.parametrize("name", ["desk", "desk_load", "desk_new"])
def test_the_desk_does_not_exist_for_testers(client, name):
    client.force_login(make_person(role="tester"))
    method = client.get if name == "desk" else client.post
    assert method(reverse(name)).status_code == 404


def test_the_desk_takes_the_same_queries_for_many_patterns(client, designer, django_assert_max_num_queries):
    for number in range(6):
        load(title=f"Vest {number}")
    # four for the studio and who asks; eight for patterns: tests (two), photos, open queries, sign-offs,
    # signatures that are waited for, notices; one for counts of testers; two for letters and chores
    # that failed; six for dates; one for questions of makers
    with django_assert_max_num_queries(23):
        client.get(reverse("desk"))


def test_the_list_shows_craft_sizes_life_and_what_is_next(client, designer):
    pattern = load("brackenmere_pullover")
    page = " ".join(client.get(reverse("desk")).content.decode().split())
    assert "Crochet · XS to 5X" in page
    assert '<li aria-current="step">draft</li>' in page
    assert f'href="{reverse("versions", args=[pattern.slug])}"> Publish a test version' in page
    assert f'src="{reverse("pattern_face", args=[pattern.slug])}"' in page


def spans(points):
    """How wide and how high points lie."""
    across, down = zip(*points, strict=True)
    return max(across) - min(across), max(down) - min(down)


@pytest.mark.parametrize("key", constructions())
def test_a_construction_has_a_face_of_its_own(client, designer, key):
    face = client.get(reverse("construction_face", args=[key]))
    assert face["Content-Type"] == "image/svg+xml"
    assert "<path" in face.content.decode()
    assert reverse("construction_face", args=[key]) in client.get(reverse("beginnings")).content.decode()


def test_the_face_of_a_pattern_is_its_garment(client, designer):
    pattern = load("brackenmere_pullover")
    face = client.get(reverse("pattern_face", args=[pattern.slug]))
    assert face["Content-Type"] == "image/svg+xml"
    paths = re.findall(r'<path d="M([^"]+)Z"', face.content.decode())
    outlines = [[tuple(map(float, at.split())) for at in one.split("L")] for one in paths]
    assert len(outlines) == 4  # back, front and two sleeves
    # By hand: with its sleeves a pullover of XL is wider than long; it fills 92 of 100 units.
    assert spans(itertools.chain(*outlines))[0] == pytest.approx(92, abs=0.1)
    lines = graded(pattern).values
    lengths = lines["body_length"].worked[4] / (lines["chest"].worked[4] / 2)
    wide, high = max(map(spans, outlines), key=lambda one: one[1])
    assert high / wide == pytest.approx(lengths, rel=0.01)
    empty = load(title="Empty", values=[], checks=[], sections=[])
    assert "<path" not in client.get(reverse("pattern_face", args=[empty.slug])).content.decode()
