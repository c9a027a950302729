"""Publishing: one path, one number each, all or nothing, frozen for good."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.template import Context, Template
from django.utils import timezone

from catalogue.editions import editions
from catalogue.editions import stored_files as files_of_editions
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.rendering import Rendered
from catalogue.models import Edition, Studio, Version
from catalogue.publishing.obstacles import PublishingStop, in_the_way
from catalogue.versions.changes import differences
from catalogue.versions.freezing import Heading, draft_record, record_pattern
from catalogue.versions.frozen_grades import frozen_graded
from catalogue.versions.records import canonical, digest_of, read_record
from catalogue.versions.versions import (
    NumberTaken,
    suggest_number,
    version_of_number,
)
from tests.catalogue.builders import (
    SAMPLES,
    content_of,
    edit,
    make_pattern,
    make_photo,
    make_version,
    value_of,
)
from tests.present import present

pytestmark = pytest.mark.django_db


def stored_files():
    folder = Path(default_storage.path(""))
    return sorted(path.name for path in folder.rglob("*.pdf"))


def test_a_version_is_frozen_with_its_hash_and_its_pdf():
    version = make_version(note="First release.")
    assert (version.number, version.state, version.kind) == ("1.0", "published", "release")
    assert version.sha256 == digest_of(version.record)
    edition = version.editions.get()
    content = content_of(edition)
    assert content.startswith(b"%PDF-")
    assert len(content) == edition.size_bytes
    record = json.loads(version.record)
    assert record["url"] == "https://larkmoss.example"
    assert record["studio"] == {"name": "Larkmoss Studio", "address": "3 Weir Lane, Larkmoss"}
    assert record["note"] == "First release."


@pytest.mark.usefixtures("quick_pdf")
@pytest.mark.parametrize("name", SAMPLES)
def test_a_frozen_pattern_gives_the_same_numbers_again(name):
    pattern = make_pattern(name)
    version = make_version(pattern, kind="test", number="0.1")
    record = read_record(version.record)
    again = frozen_graded(record).as_json()
    assert again["sizes"] == record["results"]["sizes"]
    for value, figures in again["values"].items():
        frozen = record["results"]["values"][value]["worked"]
        assert canonical(figures["worked"]) == canonical(frozen), value
    core = record_pattern(record)
    assert [one.name for one in core.body] == list(version_order(pattern, "body"))
    assert [one.name for one in core.fabrics] == list(version_order(pattern, "fabrics"))


def version_order(pattern, part):
    from catalogue.drafts.documents import pattern_document

    return pattern_document(pattern)[part]


def test_print_and_page_tell_the_same_day():
    pattern = make_pattern()
    Studio.objects.update_or_create(defaults={"name": "Larkmoss Studio", "time_zone": "Europe/London"})
    # 23:30 in UTC is 00:30 of the next day in London, which has summer time; no request sets a zone here.
    at = datetime(2026, 8, 21, 23, 30, tzinfo=UTC)
    record = read_record(canonical(draft_record(pattern, Heading("1.0", "release", "", at))))
    printed = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    assert printed["date"] == "22 August 2026"
    with timezone.override("Europe/London"):
        assert Template('{{ at|date:"j F Y" }}').render(Context({"at": at})) == printed["date"]


@pytest.mark.usefixtures("quick_pdf")
def test_nothing_of_a_version_changes_when_the_draft_is_edited():
    pattern = make_pattern()
    version = make_version(pattern)
    before = version.record
    edit(pattern, lambda document: document.update(title="Another title"))
    version.refresh_from_db()
    assert version.record == before
    assert version.sha256 == digest_of(version.record)


@pytest.mark.parametrize("number", ["", "1", "1.0.0", "a.b", "01.0", "1.00001", "-1.0", "1.0 ", "١.٠"])
def test_what_is_no_number_is_refused_in_one_sentence(number):
    with pytest.raises(NumberTaken, match="is not a version number"):
        make_version(make_pattern(), number=number)
    assert not Version.objects.exists()


@pytest.mark.usefixtures("quick_pdf")
def test_a_number_is_given_once_and_only_upwards():
    pattern = make_pattern()
    make_version(pattern, number="1.1")
    with pytest.raises(NumberTaken, match=r"already: take 1\.2"):
        make_version(pattern, number="1.1")
    with pytest.raises(NumberTaken, match=r"1\.0 comes before it: take 1\.2"):
        make_version(pattern, number="1.0")
    assert [one.number for one in pattern.versions.all()] == ["1.1"]


@pytest.mark.usefixtures("quick_pdf")
def test_numbers_are_suggested():
    pattern = make_pattern()
    assert (suggest_number(pattern, "test"), suggest_number(pattern, "release")) == ("0.1", "1.0")
    make_version(pattern, kind="test", number="0.1")
    assert (suggest_number(pattern, "test"), suggest_number(pattern, "release")) == ("0.2", "1.0")
    make_version(pattern, number="1.0")
    assert (suggest_number(pattern, "test"), suggest_number(pattern, "release")) == ("1.1", "1.1")


@pytest.mark.usefixtures("quick_pdf")
def test_a_version_is_found_by_its_number_alone():
    version = make_version()
    assert version_of_number(version.pattern, "1.0") == version
    for wrong in ("1.00", "1", "9.9", "1.0x", ""):
        assert version_of_number(version.pattern, wrong) is None


def test_what_stops_publishing_names_what_is_missing():
    pattern = make_pattern()
    says = " ".join(one.says for one in in_the_way(pattern, "release"))
    assert "There is no photo" in says
    make_photo(pattern)
    edit(pattern, lambda document: document.update(yarns=[], yarn_sections=[], sections=[]))
    obstacles = in_the_way(pattern, "release")
    stops = " ".join(one.says for one in obstacles if one.weight == "stop")
    assert "There is no yarn" in stops
    assert "There are no instructions" in stops
    assert "There is no photo" not in " ".join(one.says for one in obstacles)


def test_a_reference_to_nothing_stops_publishing_and_stores_nothing():
    pattern = make_pattern()

    def break_a_step(document):
        document["sections"][0]["steps"][0] = "Chain {no_such_value}."

    edit(pattern, break_a_step)
    with pytest.raises(PublishingStop, match="no_such_value"):
        make_version(pattern)
    assert not Version.objects.exists()
    assert stored_files() == []


def test_a_failing_edition_leaves_no_half_version(monkeypatch):
    def fail(*, wanted, **options):
        yield Rendered(0, None, "The PDF could not be made: no.")

    monkeypatch.setattr("catalogue.publishing.publishing.render_editions", fail)
    with pytest.raises(EditionFailed):
        make_version()
    assert not Version.objects.exists()
    assert stored_files() == []


@pytest.mark.parametrize("point", ["Version.save", "Edition.save"])
def test_a_failure_while_storing_leaves_no_half_version(monkeypatch, point):
    model, method = {"Version.save": (Version, "save"), "Edition.save": (Edition, "save")}[point]

    def fail(*args, **options):
        raise OSError("No space left on device")

    monkeypatch.setattr(model, method, fail)
    with pytest.raises(OSError, match="No space"):
        make_version()
    monkeypatch.undo()
    assert not Version.objects.exists()
    assert not Edition.objects.exists()
    assert stored_files() == []


@pytest.mark.usefixtures("quick_pdf")
def test_leftovers_of_a_killed_publication_are_swept(monkeypatch):
    version = make_version()
    kept = stored_files()
    from django.core.files.base import ContentFile

    default_storage.save("editions/leftover.pdf", ContentFile(b"%PDF-"))
    assert files_of_editions.sweep_files() == 0  # it may belong to a publication under way
    monkeypatch.setattr(files_of_editions, "LEFTOVER_AFTER", -files_of_editions.LEFTOVER_AFTER)
    assert files_of_editions.sweep_files() == 1
    assert stored_files() == kept
    assert content_of(version.editions.get()).startswith(b"%PDF-")


@pytest.mark.usefixtures("quick_pdf")
def test_an_edition_is_refused_when_the_calculation_gives_other_numbers():
    version = make_version()
    record = read_record(version.record)
    record["results"]["values"]["chest"]["worked"][0] += 1
    with pytest.raises(EditionFailed, match="frozen with other numbers"):
        editions.render_pdf(record=record, choices=home_choices(record))


@pytest.mark.usefixtures("quick_pdf")
def test_what_changed_is_told_by_value_and_size():
    pattern = make_pattern()
    old = make_version(pattern)

    def widen(document):
        value_of(document, "ease")["steps"]["base"] = "16 cm"

    edit(pattern, widen)
    new = make_version(pattern, number="1.1")
    changes = differences(old, new)
    sizes = read_record(old.record)["results"]["sizes"]
    chest = [change for change in changes.numbers if change.name == "chest"]
    assert [change.size for change in chest] == sizes
    assert all(present(change.new) > present(change.old) for change in chest)
    assert differences(new, new).numbers == []
    assert not differences(new, new)
