"""Puts a studio of an older release into the tables of that release, and brings these up to this program.

Run as a program: `older_release.py BACKUP`; EVENROW_DATA and DATABASE_URL name an empty folder and database.
The backup is one that the older program wrote. Prints one JSON object: what is there afterwards.
"""

import hashlib
import io
import json
import sys
import zipfile
from collections import Counter
from pathlib import Path

import django

django.setup()

from django.apps import apps  # noqa: E402
from django.core.files.base import ContentFile  # noqa: E402
from django.core.files.storage import default_storage  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.core.serializers.python import Deserializer  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from django.db.migrations.executor import MigrationExecutor  # noqa: E402
from django.test import Client, override_settings  # noqa: E402
from django.urls import reverse  # noqa: E402

from catalogue.models import Pattern, Person  # noqa: E402
from catalogue.site.backup_rows import compare_keys  # noqa: E402
from catalogue.site.benches.catalogue import ANSWERING  # noqa: E402
from testing.models import TestCall  # noqa: E402


def read_backup(path):
    """What it tells of itself, its rows, and its files, each as its hash says."""
    with zipfile.ZipFile(path) as archive:
        about, lines = json.loads(archive.read("about.json")), archive.read("rows.jsonl")
        assert hashlib.sha256(lines).hexdigest() == about["rows_sha256"]
        files = {name: archive.read(f"files/{name}") for name in about["files"]}
    for name, content in files.items():
        assert hashlib.sha256(content).hexdigest() == about["files"][name], name
    return about, [json.loads(line) for line in lines.splitlines()], files


def make_tables(about):
    """The tables of the older release, and its models as they were."""
    executor = MigrationExecutor(connection)
    targets = [tuple(name.split(".", 1)) for name in about["tables"]]
    known = set(executor.loader.graph.nodes)
    missing = [name for name in targets if name not in known]
    assert not missing, f"A migration of a release is gone or has another name: {missing}"
    return executor.migrate(targets).apps


def store_rows(rows, older):
    """Each row as the older program had it."""

    class Older(Deserializer):
        @staticmethod
        def _get_model_from_node(model_identifier):
            return older.get_model(model_identifier)

    with transaction.atomic():
        waiting = sorted(rows, key=lambda row: row["model"] not in ("auth.group", "catalogue.person"))
        for read in Older(waiting):
            read.save(using="default", force_insert=True)


def seen():
    """How each page answers, to visitors and to the designer, that shows what is frozen or worked on."""
    visitor, designer = Client(), Client()
    designer.force_login(Person.objects.filter(groups__name="designer").order_by("pk")[0])
    pages = [(visitor, reverse("catalogue")), (designer, reverse("desk")), (designer, reverse("testers"))]
    for pattern in Pattern.objects.all():
        names = ("sheet", "versions", "errata", "words", "calls")
        pages += [(designer, reverse(name, args=[pattern.slug])) for name in names]
        released = pattern.versions.filter(kind="release", state="published")
        for version in released:
            pages.append((visitor, reverse("corrections", args=[pattern.slug, version.number])))
        if released:
            pages += [
                (visitor, reverse(name, args=[pattern.slug])) for name in ("pattern_page", "needs", "which")
            ]
    calls = TestCall.objects.select_related("pattern")
    for name in ("call", "call_results"):
        pages += [(designer, reverse(name, args=[call.pattern.slug, call.pk])) for call in calls]
    with override_settings(**ANSWERING):
        return {address: client.get(address).status_code for client, address in pages}


if __name__ == "__main__":
    told, older_rows, older_files = read_backup(Path(sys.argv[1]))
    store_rows(older_rows, make_tables(told))
    for file_name, file_content in older_files.items():
        default_storage.save(file_name, ContentFile(file_content))
    call_command("migrate", verbosity=0)
    compare_keys()
    call_command("migrate", check_unapplied=True, verbosity=0)
    call_command("check")
    call_command("verify", stdout=io.StringIO())  # raises where anything is not whole
    tables = {model._meta.label_lower: model._base_manager.count() for model in apps.get_models()}
    sys.stdout.write(
        json.dumps({"tables": tables, "told": Counter(row["model"] for row in older_rows), "pages": seen()})
    )
