"""Every listed bad input meets the surface that it is for: a form, an upload, an address.

They stand in data/bad_inputs.json. What has no test of its own is sent here: no error page, and what is
refused has stored nothing. Beside the others (a race, a killed process, a clock) stands the test of each.
"""

import importlib
import json
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from tests.grading.tables.test_table_files import REFUSED
from tests.site.odd_requests import address_of, clients_of, digest, read_forms
from tests.site.rights_table import TABLE

pytestmark = pytest.mark.django_db
LISTED = json.loads((Path(__file__).parents[1] / "data" / "bad_inputs.json").read_text(encoding="utf-8"))
SENT_HERE = [case for case in LISTED if "tested_by" not in case]
# Page, and the fields of it that the input is typed into.
FORMS = {
    "formula": ("value", ("formula",)),
    "size_table": ("sizes", ("labels",)),
    "markdown_html_pdf": ("step", ("text",)),
    "export": ("erratum_new", ("says", "why")),
    "link_and_mail": ("apply", ("name", "email")),
}
UPLOADS = {"upload_image": ("photos", "pictures"), "upload_table": ("size_table_new", "file")}


def text_of(given):
    """The text that a case is typed as; None where it is none."""
    if isinstance(given, int | float):
        return str(given)
    if isinstance(given, list):
        return "\n".join(str(one) for one in given) if None not in given else None
    if isinstance(given, str):
        return given
    if given.get("gen") == "repeat":
        parts = given["parts"]
        return "".join(
            one * (parts[at + 1] if at + 1 < len(parts) and isinstance(parts[at + 1], int) else 1)
            for at, one in enumerate(parts)
            if isinstance(one, str)
        )
    return f"{given['name']}({','.join('1' * given['n'])})" if given.get("gen") == "call" else None


def file_of(case):
    """The file that a case is sent as; None where a builder of another test makes it."""
    given = case["input"]
    if case["case"] in REFUSED:
        name, make, *_ = REFUSED[case["case"]]
        return name, make()
    if isinstance(given, str):
        return "a.csv", given.encode()
    if "raw" in given or ("name" in given and "gen" not in given):
        return given.get("name", "a.png"), given.get("raw", "x").encode()
    return None


def request_of(case):
    """Page, and fields and files with which a case is sent."""
    if case["surface"] in UPLOADS:
        page, field = UPLOADS[case["surface"]]
        name, content = file_of(case)
        sent = SimpleUploadedFile("x", content)
        sent.name = name.replace("/", "_")
        return page, {field: sent, "alts": "Front"}
    page, fields = FORMS[case["surface"]]
    return page, dict.fromkeys(fields, text_of(case["input"]))


def test_every_listed_bad_input_is_tried_at_its_surface(world, count_proof):
    people = clients_of(world)
    forms, wrong, tried, before = {}, [], 0, digest()
    for case in SENT_HERE:
        page, fields = request_of(case)
        client, address = people[TABLE[page].who], address_of(page, world)
        if page not in forms:
            found = read_forms(client.get(address).content.decode(), address)
            forms[page] = max(found, key=lambda one: len({*one.fields, *one.files} & {*fields}))
        form = forms[page]
        assert {*form.fields, *form.files} & {*fields}, (page, form)
        with transaction.atomic():
            answer = client.post(form.action, form.fields | fields)
            shown = answer.context.get("form") if answer.context else None
            is_refused = answer.status_code >= 400 or bool(
                shown is not None and shown.is_bound and shown.errors
            )
            is_half = is_refused and digest() != before
            transaction.set_rollback(True)
        tried += 1
        if answer.status_code >= 500 or is_half:
            wrong.append((case["id"], answer.status_code, is_half))
    count_proof("listed bad inputs sent to their surface", tried)
    assert wrong == []
    assert digest() == before


def test_all_others_have_a_test_of_their_own(count_proof):
    named = [case["tested_by"] for case in LISTED if "tested_by" in case]
    for test in set(named):
        module, _, name = f"tests.{test}".rpartition(".")
        assert callable(getattr(importlib.import_module(module), name, None)), test
    count_proof("listed bad inputs with a test of their own", len(named))
    assert len(named) + len(SENT_HERE) == len(LISTED) == 214
