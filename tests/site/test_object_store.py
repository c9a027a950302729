"""Files in an object store: kept, swept, backed up and moved, as on a disk."""

from datetime import timedelta

import boto3
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage, storages
from moto.server import ThreadedMotoServer
from storages.backends.s3 import S3Storage

from catalogue import file_cabinet
from catalogue.file_cabinet import keep_pdf, leftover_files, sweep_files
from catalogue.holders import NewHolder, store_holders, unsubscribe
from catalogue.models import Holder
from catalogue.site.backups import restore_backup, write_backup
from catalogue.site.object_storage import read_storage_url
from catalogue.verification import faults
from tests.catalogue.builders import make_version

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


def test_files_live_in_it_and_are_never_written_over(bucket):
    name = default_storage.save("editions/one.pdf", ContentFile(b"%PDF-1.7"))
    assert isinstance(storages["default"], S3Storage)
    with default_storage.open(name) as file:
        assert file.read() == b"%PDF-1.7"
    assert bucket() == [f"files/{name}"]
    assert default_storage.save("editions/one.pdf", ContentFile(b"other")) != name
    default_storage.delete(name)
    assert not default_storage.exists(name)


def test_what_no_edition_has_is_swept(bucket, monkeypatch):
    version = make_version(kind="test", number="0.1")
    monkeypatch.setattr(file_cabinet, "LEFTOVER_AFTER", timedelta(0))
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
