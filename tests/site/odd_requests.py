"""What walks every address with odd requests: forms as a page gives them, and a digest of the database."""

import hashlib
import re
from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser

from django.apps import apps
from django.db import connection
from django.test import Client
from django.urls import reverse

from tests.site.rights_table import TABLE

# Signing in and remembering a message are no change of the studio's data, nor is what is kept of versions.
NOT_COMPARED = {"django_session", "catalogue_frozenwork"}


def written_out(case, key):
    """The text of a case; long ones are given as a part and how often it stands."""
    if "then" in case:
        return case[key] + case["then"] * case["times"]
    return case[key] * case.get("times", 1)


def read_part(part, world):
    return part(world) if callable(part) else part


def address_of(name, world):
    return reverse(name, kwargs={key: read_part(part, world) for key, part in TABLE[name].parts.items()})


# An address with the key of a task is known by its form alone.
UUID_LIKE = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
NO_TASK = "00000000-0000-4000-8000-000000000000"


def odd_addresses(name, world, odd):
    """The address with each of its parts in turn replaced by an odd one, as it stands on the wire."""
    parts = {key: read_part(part, world) for key, part in TABLE[name].parts.items()}
    for key, usual in parts.items():
        mark = (
            "0000000"
            if isinstance(usual, int)
            else NO_TASK
            if UUID_LIKE.fullmatch(str(usual))
            else "markmark"
        )
        yield reverse(name, kwargs={**parts, key: mark}).replace(mark, odd, 1)


def signed_in(person):
    client = Client(raise_request_exception=False)
    if person is not None:
        client.force_login(person)
    return client


def one_of(who, world):
    """Somebody whom the table lets in: the one with the most rights."""
    order = ("designer", "publishing editor", "editor", "tester", "other tester", "nobody")
    return world.people[next(name for name in order if name in who)]


def clients_of(world):
    """One signed-in client for each set of people that the table names."""
    return {who: signed_in(one_of(who, world)) for who in dict.fromkeys(row.who for row in TABLE.values())}


def digest():
    """A digest of every row of the database."""
    total = hashlib.sha256()
    for model in sorted(apps.get_models(include_auto_created=True), key=lambda one: one._meta.db_table):
        table = model._meta.db_table
        if table not in NOT_COMPARED:
            with connection.cursor() as cursor:
                cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
                rows = sorted(repr(row) for row in cursor.fetchall())
            total.update(repr((table, rows)).encode())
    return total.hexdigest()


# What begins so changes no row.
READS = ("SELECT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK TO SAVEPOINT")


@contextmanager
def written():
    """Statements that may have changed a row that is compared; where there is none, no digest differs."""
    found: list[str] = []

    def keep(execute, sql, params, many, context):
        is_kept = any(f'INTO "{name}"' in sql or f'UPDATE "{name}"' in sql for name in NOT_COMPARED)
        if not (sql.lstrip().upper().startswith(READS) or is_kept):
            found.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(keep):
        yield found


@dataclass
class PageForm:
    """A form of a page: where it goes, what it holds, which of it is typed."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)
    typed: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)


class FormReader(HTMLParser):
    """Collects the forms of a page with what a browser would send."""

    def __init__(self, address):
        super().__init__()
        self.address, self.select, self.area = address, "", ""
        self.forms: list[PageForm] = []
        self.open: PageForm | None = None

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        if tag == "form":
            self.open = PageForm(told.get("action") or self.address, (told.get("method") or "get").lower())
            self.forms.append(self.open)
        if self.open is None or (not told.get("name") and tag != "option"):
            return
        if tag == "input":
            self._read_input(self.open, told)
        elif tag == "textarea":
            self.area = told["name"]
            self.open.fields[self.area] = ""
            self.open.typed.append(self.area)
        elif tag == "select":
            self.select = told["name"]
        elif tag == "option" and self.select and ("selected" in told or self.select not in self.open.fields):
            self.open.fields[self.select] = told.get("value") or ""
        elif tag == "button":
            self.open.fields.setdefault(told["name"], told.get("value") or "")

    @staticmethod
    def _read_input(form, told):
        kind = told.get("type", "text")
        if kind == "file":
            form.files.append(told["name"])
        elif kind not in ("checkbox", "radio") or "checked" in told:
            form.fields[told["name"]] = told.get("value") or ""
            if kind not in ("hidden", "submit", "checkbox", "radio"):
                form.typed.append(told["name"])

    def handle_data(self, data):
        if self.area and self.open is not None:
            self.open.fields[self.area] += data

    def handle_endtag(self, tag):
        if tag == "form":
            self.open = None
        elif tag == "textarea":
            self.area = ""
        elif tag == "select":
            self.select = ""


def read_forms(page, address):
    reader = FormReader(address)
    reader.feed(page)
    return reader.forms
