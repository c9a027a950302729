"""Files in an object store: kept, swept, backed up and moved, as on a disk."""

from datetime import timedelta
from typing import Any

import boto3
import pytest
from botocore.exceptions import ClientError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage, storages
from django.core.management import CommandError, call_command
from django.urls import reverse
from moto.server import ThreadedMotoServer
from storages.backends.s3 import S3Storage

from catalogue.editions import stored_files
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.stored_files import keep_pdf, leftover_files, sweep_files
from catalogue.editions.verification import faults
from catalogue.holders.holders import NewHolder, store_holders, unsubscribe
from catalogue.models import Holder
from catalogue.photos.pictures import clean_picture
from catalogue.publishing.publishing import Publication, publish_version
from catalogue.site.backups import write_backup
from catalogue.site.object_storage import read_storage_url
from catalogue.site.restoring import restore_backup
from catalogue.studio.out_of_reach import FilesOutOfReach
from testing.models import Application, ResultPhoto, TestCall
from testing.results.own_photos import add_photo
from testing.running.tending import tend_calls
from tests.catalogue.builders import make_pattern, make_version
from tests.testing.builders import days_from_now, make_call, make_person, make_place, make_studio
from tests.testing.results.test_making_pages import picture

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def server():
    """An object store of our own on the loopback."""
    running = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    running.start()
    yield "http://{}:{}".format(*running.get_host_and_port())
    running.stop()


@pytest.fixture
def bucket(server, settings, monkeypatch, tmp_path):
    """An empty bucket that the studio keeps its files in."""
    yield from empty_bucket(server, settings, monkeypatch, tmp_path)


def empty_bucket(server, settings, monkeypatch, tmp_path):
    monkeypatch.setenv("AWS_EC2_METADATA_DISABLED", "true")
    client = boto3.client(
        "s3",
        endpoint_url=server,
        region_name="eu-central-1",
        aws_access_key_id="key",
        aws_secret_access_key="se/cret",
    )
    name = f"larkmoss-{tmp_path.name}".replace("_", "-").lower()[:60].rstrip("-")
    client.create_bucket(Bucket=name, CreateBucketConfiguration={"LocationConstraint": "eu-central-1"})
    read = read_storage_url(f"s3://key:se%2Fcret@{name}/files?endpoint={server}&region=eu-central-1")
    settings.STORAGES = {**settings.STORAGES, "default": read}
    settings.DATA_DIR = tmp_path
    yield lambda: sorted(item["Key"] for item in client.list_objects(Bucket=name).get("Contents", []))
    client.close()


def test_files_live_in_it_and_are_written_over_whole(bucket):
    name = default_storage.save("editions/one.pdf", ContentFile(b"%PDF-1.7"))
    assert isinstance(storages["default"], S3Storage)
    with default_storage.open(name) as file:
        assert file.read() == b"%PDF-1.7"
    assert bucket() == [f"files/{name}"]
    assert default_storage.save(name, ContentFile(b"other")) == name
    with default_storage.open(name) as file:
        assert file.read() == b"other"
    default_storage.delete(name)
    assert not default_storage.exists(name)


def test_what_no_edition_has_is_swept(bucket, monkeypatch):
    version = make_version(kind="test", number="0.1")
    monkeypatch.setattr(stored_files, "LEFTOVER_AFTER", timedelta(0))
    left = keep_pdf(b"%PDF-1.7 of nobody", "0" * 64)
    assert list(leftover_files()) == [left]
    assert sweep_files() == 1
    assert bucket() == [f"files/{version.editions.get().file.name}"]


def test_a_studio_is_backed_up_and_put_back(bucket, tmp_path, django_capture_on_commit_callbacks):
    version = make_version(kind="test", number="0.1")
    wanted = [NewHolder("wren@larkmoss.example", version.pattern, None, None)]
    store_holders(holders=wanted, source="typed")
    before = bucket()
    write_backup(tmp_path / "studio.zip")
    with django_capture_on_commit_callbacks(execute=True):
        unsubscribe(holder=Holder.objects.get())
    default_storage.delete(version.editions.get().file.name)
    default_storage.save("photos/later.jpg", ContentFile(b"later"))
    assert len(list(faults())) == 1
    restored = restore_backup(tmp_path / "studio.zip", replace=True)
    assert (restored.files, restored.erased) == (1, 1)
    assert [name for name in bucket() if "erasures" not in name] == before
    assert list(faults()) == []
    assert Holder.objects.get().state == "left"


class Stopped:
    """An object store that can be stopped and started again with what it holds."""

    def __init__(self):
        self.running = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
        self.running.start()
        self.port = self.running.get_host_and_port()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.names: Any = None  # lists what the bucket holds

    def stop(self):
        self.running.stop()

    def start(self):
        self.running = ThreadedMotoServer(ip_address="127.0.0.1", port=self.port, verbose=False)
        self.running.start()


@pytest.fixture
def store(settings, monkeypatch, tmp_path):
    """A bucket in a store of this test alone."""
    store = Stopped()
    bucket = empty_bucket(store.address, settings, monkeypatch, tmp_path)
    store.names = next(bucket)
    yield store
    store.stop()
    bucket.close()


def test_a_store_out_of_reach_keeps_what_is_due_and_is_told_by_its_address(store, client):
    make_studio()
    place = make_place(make_call())
    add_photo(placement=place, photo=clean_picture(picture()), alt="Wren Alder in the vest")
    TestCall.objects.update(erase_on=days_from_now(-1))
    client.force_login(make_person("designer@larkmoss.example", "designer"))
    before = store.names()
    store.stop()
    tend_calls()
    assert Application.objects.count() == 1
    page = client.get(reverse("desk")).content.decode()
    bucket = storages["default"].bucket_name  # type: ignore[attr-defined]
    said = (
        f"Personal data whose day has come is not erased: the object store at {store.address} "
        f"(bucket {bucket}) does not answer; see that it runs and that EVENROW_S3_URL names it."
    )
    assert said in page
    assert "cret" not in page
    store.start()
    assert store.names() == before
    tend_calls()
    assert not Application.objects.exists()
    assert not [name for name in store.names() if "results" in name]
    assert "Not done yet." not in client.get(reverse("desk")).content.decode()


def test_pages_that_need_no_file_are_served_while_the_store_is_away(store, client):
    make_studio()
    place = make_place(make_call())
    add_photo(placement=place, photo=clean_picture(picture()), alt="The front")
    photo = ResultPhoto.objects.get()
    one = photo.files[0]
    file = reverse("result_photo", args=[photo.pk, one["width_px"], one["format"]])
    client.force_login(place.person)
    store.stop()
    for name in ("my_making", "my_data", "call_list", "catalogue"):
        assert client.get(reverse(name)).status_code == 200
    for where in (file, reverse("my_data_file")):
        answer = client.get(where)
        assert answer.status_code == 503
        assert "files can't be reached" in answer.content.decode().replace("’", "'")
        assert store.address not in answer.content.decode()
    answer = client.post(reverse("my_data_erase"))
    assert answer.status_code == 503
    assert "Not erased yet." in answer.content.decode()
    assert client.get(reverse("my_making")).status_code == 200
    store.start()
    assert b"".join(client.get(file).streaming_content)


def test_commands_say_that_the_store_is_away_and_blame_no_version(store, tmp_path):
    make_version(kind="test", number="0.1")
    store.stop()
    for command in (["verify"], ["backup", str(tmp_path / "studio.zip")]):
        with pytest.raises(CommandError, match=r"The object store at .* does not answer; see that it runs"):
            call_command(*command)
    assert not (tmp_path / "studio.zip").exists()


def test_an_edition_that_cannot_be_stored_fails_with_the_reason(store):
    pattern = make_pattern()
    store.stop()
    with pytest.raises(EditionFailed, match="does not answer; see that it runs"):
        publish_version(Publication(pattern=pattern, kind="test", number="0.1", note="", by=None))


@pytest.mark.parametrize(
    ("code", "status", "says"),
    [
        ("NoSuchBucket", 404, "has no such bucket; make it, or name another in EVENROW_S3_URL"),
        ("AccessDenied", 403, "refuses the studio (AccessDenied); see to key and rights in EVENROW_S3_URL"),
        ("SlowDown", 503, "is not well (SlowDown); look into its own log"),
    ],
)
def test_what_a_store_answers_is_told_with_what_to_do(bucket, code, status, says):
    store: Any = storages["default"]
    answer: Any = {"Error": {"Code": code}, "ResponseMetadata": {"HTTPStatusCode": status}}
    with pytest.raises(FilesOutOfReach) as told, store._told("one.pdf"):
        raise ClientError(answer, "PutObject")
    assert str(told.value).endswith(f"{says}.")


def test_a_file_that_is_not_there_is_just_that(bucket):
    with pytest.raises(FileNotFoundError):
        default_storage.open("editions/none.pdf")
    with pytest.raises(FileNotFoundError):
        default_storage.get_modified_time("editions/none.pdf")
