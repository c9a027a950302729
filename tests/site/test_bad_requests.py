"""Odd requests at every address: never an error page, and nothing changes."""

import json
import re
from pathlib import Path
from urllib.parse import urlencode

import pytest
from django.db import transaction
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from catalogue.drafts.edits import edit_pattern
from catalogue.models import Edition, Pattern, Person, Version
from testing.models import Placement, TestCall
from tests.site.generated_requests import generated
from tests.site.odd_requests import (
    PageForm,
    address_of,
    clients_of,
    digest,
    odd_addresses,
    read_forms,
    written,
    written_out,
)
from tests.site.rights_table import TABLE

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("kept_press")]
BAD = json.loads((Path(__file__).parents[1] / "data" / "bad_requests.json").read_text(encoding="utf-8"))
SEEN = [name for name, row in TABLE.items() if row.is_seen]
SENT = [name for name, row in TABLE.items() if row.is_sent]
WITH_PARTS = [name for name, row in TABLE.items() if row.parts]


@pytest.fixture
def people(world):
    return clients_of(world)


def status(client, method, *asked, **more):
    """The status of an answer; what it changed is undone. 599 is a template that misses something."""
    with transaction.atomic():
        try:
            answer = getattr(client, method)(*asked, **more)
        except pytest.fail.Exception:
            return 599
        finally:
            transaction.set_rollback(True)
    answer.close()
    return answer.status_code


def portions(cases, names, full):
    """Each case with all names in the full run, else with every eighth one, so that each name meets some."""
    for place, case in enumerate(cases):
        yield case, names if full else names[place % 8 :: 8]


def test_an_odd_part_of_an_address_leads_nowhere(world, people, full, count_proof):
    before, wrong, tried = digest(), [], 0
    for case, names in portions(BAD["places"], WITH_PARTS, full):
        for name in names:
            client, row = people[TABLE[name].who], TABLE[name]
            for address in odd_addresses(name, world, written_out(case, "part")):
                code = status(client, "post" if row.is_sent else "get", address)
                tried += 1
                if code not in {200, 302, 400, 404, 405}:
                    wrong.append((case["case"], name, code))
    count_proof("odd parts of addresses", tried)
    assert wrong == []
    assert digest() == before


def test_an_odd_question_is_answered(world, people, full, count_proof):
    before, wrong, tried = digest(), [], 0
    for case, names in portions(BAD["queries"], SEEN, full):
        question = "&".join(f"{name}={written_out(case, 'value')}" for name in BAD["names"])
        for name in names:
            answer = people[TABLE[name].who].get(f"{address_of(name, world)}?{question}")
            tried += 1
            if answer.status_code not in {200, 302, 400, 404}:
                wrong.append((case["case"], name, answer.status_code))
            answer.close()
    count_proof("odd questions", tried)
    assert wrong == []
    assert digest() == before


REPEATED = {
    "size": ("5X", "S"),
    "units": ("in", "cm"),
    "craft": ("knitting", "crochet"),
    "words": ("nothing", "pullover"),
    "version": ("9.9", "1.0"),
    "since": ("9.9", "1.0"),
    "page": ("9", "1"),
    "state": ("reported", "confirmed"),
    "address": ("nobody", "holder"),
}


@pytest.mark.only_keeps_rows("which answer counts is decided before a database is asked")
def test_of_a_repeated_question_the_last_one_counts(world, people):
    """Everywhere the same rule: whatever stands before is as if it had not been asked."""
    once = "&".join(f"{name}={last}" for name, (_, last) in REPEATED.items())
    twice = "&".join(f"{name}={first}&{name}={last}" for name, (first, last) in REPEATED.items())
    only_first = "&".join(f"{name}={first}" for name, (first, _) in REPEATED.items())
    answers = {
        name: [
            answered(people[TABLE[name].who], f"{address_of(name, world)}?{question}")
            for question in (once, twice, only_first)
        ]
        for name in SEEN
    }
    assert [name for name, (last, both, _) in answers.items() if last != both] == []
    assert len([name for name, (last, _, first) in answers.items() if last != first]) >= 5, "it matters"


def answered(client, address):
    """What a page says, without what is new with every answer and without the question itself."""
    answer = client.get(address)
    said = b"".join(answer) if answer.streaming else answer.content
    answer.close()
    if not answer.get("Content-Type", "").startswith("text/html"):
        return answer.status_code
    plain = re.sub(r'(nonce|value)="[\w+/=-]{20,}"', "", said.decode())
    plain = re.sub(r'<div class="messages.*?</div>', "", plain, flags=re.DOTALL)  # of the page before
    return answer.status_code, " ".join(re.sub(r"\?[\w=&;.-]+", "", plain).split())


@pytest.mark.only_keeps_rows("it is refused where the token of a form is looked for, before any view")
def test_three_thousand_and_one_fields_are_refused(world, people, full):
    """At every address as a form without files sends them; as one with files, which takes longer, at some."""
    flood, before, got = {f"f{place}": "1" for place in range(3001)}, digest(), {}
    for client in people.values():
        client.handler.enforce_csrf_checks = True  # looking for the token reads the fields
        client.cookies["csrftoken"] = "t" * 32
    plain, kind = urlencode(flood), "application/x-www-form-urlencoded"
    with_files = encode_multipart(BOUNDARY, flood)
    for place, name in enumerate(SENT):
        client, address = people[TABLE[name].who], address_of(name, world)
        got[name] = client.post(address, plain, content_type=kind).status_code
        if full or place % 8 == 0:
            answer = client.generic("POST", address, with_files, MULTIPART_CONTENT)
            got[f"{name}, with files"] = answer.status_code
    assert {name: code for name, code in got.items() if code != 400} == {}
    assert digest() == before


@pytest.mark.only_keeps_rows("neither is a form or an answer: nothing of it gets to a database")
def test_five_million_bytes_and_deep_brackets_are_refused(world, people):
    bodies = {"large": b'{"a": "' + b"a" * 5_300_000 + b'"}', "deep": b"[" * 100_000}
    before, wrong = digest(), []
    for kind, sent in bodies.items():
        for name in SENT:
            code = status(
                people[TABLE[name].who],
                "post",
                address_of(name, world),
                sent,
                content_type="application/json",
            )
            if code >= 500:
                wrong.append((kind, name, code))
    assert wrong == []
    assert digest() == before


NO_FIELDS = pytest.mark.only_keeps_rows("no field of a form is in it; the first one here has some")


@pytest.mark.parametrize(
    "sent",
    [
        b"name=%ff%fe&number=%00",
        *(pytest.param(sent, marks=NO_FIELDS) for sent in (b"\xff\xfe\x00", b"%", b"a=1;b=2&&&=&%zz=%zz")),
    ],
    ids=repr,
)
def test_bytes_that_are_no_form_are_answered(world, people, sent):
    kind = "application/x-www-form-urlencoded"
    got = {
        name: status(people[TABLE[name].who], "post", address_of(name, world), sent, content_type=kind)
        for name in SENT
    }
    assert {name: code for name, code in got.items() if code >= 500} == {}


def test_a_torn_upload_is_answered(world, people):
    kind = "multipart/form-data; boundary=edge"
    torn = b'--edge\r\nContent-Disposition: form-data; name="photo"; filename="a\x00.jpg"\r\n\r\n\xff\xd8'
    got = {
        name: status(people[TABLE[name].who], "post", address_of(name, world), torn, content_type=kind)
        for name in SENT
    }
    assert {name: code for name, code in got.items() if code >= 500} == {}


@pytest.mark.only_keeps_rows("a method that no address takes is refused before any view")
@pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
def test_methods_that_no_address_takes_change_nothing(world, people, method):
    before = digest()
    got = {name: getattr(people[row.who], method)(address_of(name, world)) for name, row in TABLE.items()}
    assert {name: one.status_code for name, one in got.items() if one.status_code >= 500} == {}
    assert digest() == before


def test_looking_changes_nothing(world, people):
    before, changed = digest(), []
    for name, row in TABLE.items():
        with written() as statements:
            for method in ("get", "head", "options"):
                getattr(people[row.who], method)(address_of(name, world)).close()
        if statements and (after := digest()) != before:
            changed.append(name)
            before = after
    assert changed == []
    assert digest() == before


def forms_of_all_pages(world, people):
    """Every form of every page with a client of who sees it, once for each address and set of fields."""
    return [(people[who], one) for who, one in read_all_forms(world, people)]


def read_all_forms(world, people):
    """Every form of every page, and for whom the page is."""
    found: dict[tuple[str, tuple[str, ...]], tuple[frozenset[str], PageForm]] = {}
    for name in SEEN:
        address, who = address_of(name, world), TABLE[name].who
        answer = people[who].get(address)
        if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
            for one in read_forms(answer.content.decode(), address):
                found.setdefault((one.action, tuple(sorted(one.fields))), (who, one))
        answer.close()
    return list(found.values())


@pytest.fixture(scope="module")
def read_forms_once(kept_world):
    """The forms of the world as it was made, read by the first test that asks for them."""
    kept: list[tuple[frozenset[str], PageForm]] = []

    def forms(world, people):
        kept.extend(() if kept else read_all_forms(world, people))
        return [(people[who], one) for who, one in kept]

    return forms


@pytest.mark.parametrize("quarter", range(4))
def test_odd_text_in_every_field_of_every_form(world, people, read_forms_once, quarter, count_proof, full):
    wrong, tried = [], 0
    for case, forms in portions(BAD["typed"], read_forms_once(world, people)[quarter::4], full):
        odd = written_out(case, "text")
        for client, one in forms:
            for fill in fills(one, odd, full):
                code = status(client, one.method, one.action, one.fields | fill)
                tried += 1
                if code >= 500:
                    wrong.append((case["case"], one.action, list(fill)[:3], code))
    count_proof("odd texts typed into forms", tried)
    assert wrong == []


def fills(form, odd, full):
    """What of a form is filled oddly: all that is typed, all that is sent; in full each by itself too.

    By itself it stands alone, and before and after what the page had there.
    """
    yield dict.fromkeys(form.typed, odd)
    yield dict.fromkeys(form.fields, odd)
    if full:
        for name, was in form.fields.items():
            yield from ({name: text} for text in dict.fromkeys((odd, odd + was, was + odd)))


def test_requests_made_up_by_chance_break_nothing(world, people, read_forms_once, full, count_proof):
    """No error page, and nothing half stored: what is refused has changed nothing."""
    forms, texts = read_forms_once(world, people), BAD["typed"]
    number, wrong, before = 2_000 if full else 60, [], digest()
    for place, made in enumerate(generated(number, 20_261, world, people, forms, texts)):
        with transaction.atomic():
            try:
                answer = getattr(made.client, made.method)(made.address, made.sent)
                code, refused = answer.status_code, is_refused(answer)
                answer.close()
            except pytest.fail.Exception:
                code, refused = 599, False
            is_half = refused and digest() != before
            transaction.set_rollback(True)
        if code >= 500 or is_half:
            wrong.append((place, made.method, made.address, code, is_half))
    count_proof("requests made up by chance", number)
    assert wrong == []
    assert digest() == before


def is_refused(answer):
    """Whether an answer says that what was sent is not taken: by its status, or in a form that comes back."""
    form = answer.context.get("form") if answer.context else None
    return answer.status_code >= 400 or bool(form is not None and form.is_bound and form.errors)


def test_fields_that_no_form_has_are_left_alone(world, people, read_forms_once):
    """Whoever adds rights, states or other people's keys to what a form sends gets what the form gives."""
    wrong = []
    for client, one in read_forms_once(world, people):
        if one.method != "post":
            continue
        more = {name: value for name, value in BAD["more_fields"].items() if name not in one.fields}
        with transaction.atomic():
            client.post(one.action, one.fields)
            plain = rights_and_states()
            transaction.set_rollback(True)
        with transaction.atomic():
            client.post(one.action, more | one.fields)
            if rights_and_states() != plain:
                wrong.append(one.action)
            transaction.set_rollback(True)
    assert wrong == []


def rights_and_states():
    """Who may what, and what is open to whom."""
    kept = [
        (Person, ("email", "is_active", "groups__name")),
        (Pattern, ("title",)),
        (Version, ("pattern_id", "major", "minor", "kind")),
        (Edition, ("version__pattern_id", "state")),
        (TestCall, ("pattern_id", "version_id", "state")),
        (Placement, ("person__email", "size")),
    ]
    return [sorted(map(repr, model._default_manager.values_list(*names))) for model, names in kept]


def test_an_edit_of_what_somebody_else_edited_meanwhile_stores_nothing_and_shows_both(world, people):
    """Forms come back with what was typed and what the other did; buttons, which hold nothing, lead back."""
    revision = world.pattern.sheet.revision
    edit_pattern(pattern=world.pattern, revision=revision, change=retitled, by=world.people["editor"])
    before, wrong, forms = digest(), [], 0
    for client, one in forms_of_all_pages(world, people):
        if "revision" not in one.fields or one.method != "post" or one.action.endswith("/check/"):
            continue
        if "/bring/" in one.action:  # nothing is ticked, which is refused before anything is compared
            continue
        if one.action.endswith(
            "/swatches/"
        ):  # a diary is added to: the revision is for drafts in the browser
            continue
        if one.action.endswith("/words/text/"):  # words that nobody else touched are kept: its own tests
            continue
        kept = next((name for name in ("title", "text", "label") if name in one.typed), "")
        typed = ({kept: "Kept as typed"} if kept else {}) | (
            {"formula": "1 cm"} if "formula" in one.typed else {}
        )
        answer = client.post(one.action, one.fields | typed | {"revision": str(revision)})
        forms += bool(one.typed)
        is_right = answer.status_code in ({409} if one.typed else {302, 409})
        if not is_right or (kept and "Kept as typed" not in answer.content.decode()):
            wrong.append((one.action, answer.status_code))
    assert wrong == []
    assert forms >= 11
    assert digest() == before


def retitled(document):
    return {**document, "title": "Fernhollow Vest for all"}
