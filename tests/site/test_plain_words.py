"""The words that people read: those that puzzled readers are retired, and stay away."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest
from django.conf import settings

from tests.site.shown_sentences import NOT_SHOWN, shown_sentences

ROOT = Path(settings.BASE_DIR)
# PDFs of older versions keep the words of their time.
FROZEN = ROOT / "templates" / "catalogue" / "pdf"


def retired_words():
    """The retired words and their better ones, as the guide for contributors lists them."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split("| retired | say |")[1].split("\n\n")[0]
    return re.findall(r"^\| ([^|-][^|]*) \| ([^|]+) \|$", table, re.MULTILINE)


RETIRED = [old for old, _ in retired_words()]


def odd_words():
    """Single words that read as translated in a sentence, as the guide for contributors lists them."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split("| odd | say |")[1].split("\n\n")[0]
    return re.findall(r"^\| ([^|-][^|]*) \| [^|]+ \|$", table, re.MULTILINE)


ODD = odd_words()
IDIOMS = re.compile("as it stands|where it stands", re.IGNORECASE)
# Printed in published versions, word for word.
PDF = "templates/catalogue/pdf/"
PRINTED = {"its abbreviation stands in the cell"}


def shown_in_templates():
    for path in sorted((ROOT / "templates").rglob("*.*")):
        if path.suffix in {".html", ".txt"} and FROZEN not in path.parents:
            yield path, " ".join(path.read_text(encoding="utf-8").split())


def shown_by_code():
    for path, said in code_literals():
        yield path, " ".join(said)


@cache
def code_literals():
    found = []
    for part in ("catalogue", "testing", "grading"):
        for path in sorted((ROOT / part).rglob("*.py")):
            if "migrations" not in path.parts:
                tree = ast.parse(path.read_text(encoding="utf-8"))
                notes = {id(note) for note in docstrings(tree)}
                found.append((path, list(literals(tree, notes))))
    return found


def docstrings(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr):
            yield node.value


def literals(tree, notes):
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in notes:
            yield node.value


@cache
def shown():
    """Read by the first test that asks: every process of tests reads this module, few need the texts."""
    return [*shown_in_templates(), *shown_by_code()]


def test_there_are_retired_words_and_texts_to_look_through():
    assert len(RETIRED) >= 40
    assert len(shown()) > 400


@pytest.mark.parametrize("old", RETIRED)
def test_a_retired_word_is_shown_nowhere(old):
    wanted = re.compile(rf"(?<!\w){re.escape(old)}(?!\w)")
    assert [str(path.relative_to(ROOT)) for path, text in shown() if wanted.search(text)] == []


def test_the_better_words_are_no_retired_ones():
    for old, new in retired_words():
        assert old not in new


@cache
def read_by_people():
    """Sentences, and the parts of which code makes them; names within the program have no space."""
    sentences = [(one.place, one.says) for one in shown_sentences(ROOT) if not one.place.startswith(PDF)]
    coded = [(str(path.relative_to(ROOT)), said) for path, said in code_literals()]
    parts = [
        (place, part) for place, said in coded if not NOT_SHOWN.search(place) for part in said if " " in part
    ]
    return [(place, says) for place, says in [*sentences, *parts] if says not in PRINTED]


def test_there_are_odd_words_and_sentences_of_every_kind():
    assert len(ODD) >= 10
    read = " ".join(place for place, _ in read_by_people())
    for place in (
        "templates/guide",
        "templates/mail",
        "/management/commands",
        "/models/",
        "grading/core/audit",
        "README",
    ):
        assert place in read


@pytest.mark.parametrize("old", ODD)
def test_an_odd_word_is_in_no_sentence(old):
    wanted = re.compile(rf"(?<!\w){re.escape(old)}(?!\w)", re.IGNORECASE)
    assert [one for one in read_by_people() if wanted.search(IDIOMS.sub("", one[1]))] == []
