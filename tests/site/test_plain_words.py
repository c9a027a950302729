"""The words that people read: those that puzzled readers are retired, and stay away."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(settings.BASE_DIR)
# PDFs of older versions keep the words of their time.
FROZEN = ROOT / "templates" / "catalogue" / "pdf"


def retired_words():
    """The retired words and their better ones, as the guide for contributors lists them."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split("| retired | say |")[1].split("\n\n")[0]
    return re.findall(r"^\| ([^|-][^|]*) \| ([^|]+) \|$", table, re.MULTILINE)


RETIRED = [old for old, _ in retired_words()]


def shown_in_templates():
    for path in sorted((ROOT / "templates").rglob("*.*")):
        if path.suffix in {".html", ".txt"} and FROZEN not in path.parents:
            yield path, " ".join(path.read_text(encoding="utf-8").split())


def shown_by_code():
    for part in ("catalogue", "testing", "grading"):
        for path in sorted((ROOT / part).rglob("*.py")):
            if "migrations" not in path.parts:
                tree = ast.parse(path.read_text(encoding="utf-8"))
                notes = {id(note) for note in docstrings(tree)}
                yield path, " ".join(literals(tree, notes))


def docstrings(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(node):
            first = node.body[0]
            assert isinstance(first, ast.Expr)
            yield first.value


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
