"""Every sentence that people read, one by one, with the file that it is written in."""

import ast
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from html import unescape
from pathlib import Path

# A value that is filled in counts as one short word.
FILLED = "X"
BLOCKS = (
    "address|article|aside|blockquote|body|br|button|caption|dd|details|desc|div|dl|dt|fieldset|figcaption|figure|"
    "footer|form|g|h1|h2|h3|h4|head|header|hr|html|input|label|legend|li|line|link|main|meta|nav|ol|optgroup|option|"
    "p|path|pre|rect|section|select|summary|svg|table|tbody|td|text|textarea|tfoot|th|thead|title|tr|ul"
)
ATTRIBUTES = re.compile(r"""\b(?:aria-label|alt|title|placeholder|data-says)="([^"<>]+)\"""")
BREAK = "\n\n"
SENTENCE_END = re.compile(r"(?<=[.?!])[”’)]*\s+(?=[“(]?[A-Z0-9])")
WORD = re.compile(r"[^\W\d_][\w’'-]*")
INNERMOST_IF = re.compile(
    r"{% if [^%]*%}(?P<yes>(?:(?!{% (?:if|else|elif|endif|for|endfor)\b).)*)"
    r"(?:{% (?:else|elif [^%]*) %}(?:(?!{% (?:if|endif|for|endfor)\b).)*)?{% endif %}",
    re.DOTALL,
)
# What is written for the demo's invented patterns, for measuring the program itself, and what databases read.
NOT_SHOWN = re.compile(
    r"(^|/)(migrations|benches|demo)/|/demo_|/bench\.py$|/check_all\.py$|/unknown_capitals\.py$|/robots\.txt$"
)


@dataclass(frozen=True)
class Shown:
    """One sentence, and the file that it is written in."""

    place: str
    says: str

    @property
    def words(self) -> list[str]:
        """Its words, without numbers and signs."""
        return WORD.findall(self.says)


@cache
def shown_sentences(root: Path) -> list[Shown]:
    """Return every sentence of pages, e-mails, messages, commands, the schema of pattern files and README."""
    found = []
    for path, texts in _texts(root):
        for text in texts:
            for sentence in SENTENCE_END.split(" ".join(text.split())):
                found.append(Shown(path, sentence.strip()))
    return list(dict.fromkeys(found))


def _texts(root: Path) -> Iterator[tuple[str, list[str]]]:
    for path in sorted((root / "templates").rglob("*.*")):
        if path.suffix in {".html", ".txt"} and not NOT_SHOWN.search(str(path)):
            yield str(path.relative_to(root)), list(_of_template(path.read_text(encoding="utf-8")))
    for part in ("catalogue", "testing", "grading"):
        for path in sorted((root / part).rglob("*.py")):
            place = str(path.relative_to(root))
            if not NOT_SHOWN.search(place):
                yield place, list(_of_code(path.read_text(encoding="utf-8")))
    schema = root / "grading/core/pattern/pattern.schema.json"
    yield str(schema.relative_to(root)), list(_of_schema(json.loads(schema.read_text(encoding="utf-8"))))
    yield "README.md", list(_of_readme((root / "README.md").read_text(encoding="utf-8")))


def _of_template(text: str) -> Iterator[str]:
    text = re.sub(r"{#.*?#}|{% comment.*?endcomment %}|<!--.*?-->", " ", text, flags=re.DOTALL)
    text = re.sub(r"<(script|style|pre)\b.*?</\1>", BREAK, text, flags=re.DOTALL)
    text = re.sub(r"<code\b[^>]*>[^<>]*</code>", FILLED, text)
    text = re.sub(r"^({% block \w+ %})?Subject: ", "", text)
    yield from _given_words(text)
    for _ in range(6):
        text = INNERMOST_IF.sub(_one_way, text)
    text = re.sub(r"{{.*?}}", FILLED, text)
    for attribute in ATTRIBUTES.findall(text):
        yield unescape(re.sub(r"{%.*?%}", " ", attribute))
    text = re.sub(r"{% (?:url|static) .*?%}", "", text)
    text = re.sub(r"{%.*?%}", BREAK, text, flags=re.DOTALL)
    text = re.sub(rf"</?(?:{BLOCKS})\b[^>]*>", BREAK, text)
    text = unescape(re.sub(r"<[^>]*>", " ", text))
    yield from _paragraphs(text)


def _one_way(found: re.Match[str]) -> str:
    """A short choice within a sentence reads as its first way; whole sentences are read each."""
    whole = found.group()
    inner = re.sub(r"{%.*?%}", "", whole)
    if re.search(r"[.?!:]\s|[.?!]$|<(p|li|td|th|div|h\d|dt|dd|tr|option)\b|\n\s*\n", inner):
        return re.sub(r"{% (?:if|elif|else|endif)\b[^%]*%}", BREAK, whole)
    return found["yes"]


def _given_words(text: str) -> Iterator[str]:
    """Words handed over in a tag, as `with label="…"`."""
    for tag in re.findall(r"{[%{](.*?)[%}]}", text, re.DOTALL):
        yield from (words for words in re.findall(r'"([^"]+)"', tag) if _reads_as_words(words))


def _of_code(text: str) -> Iterator[str]:
    tree = ast.parse(text)
    passed = {
        id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in ast.walk(node)
    }
    passed -= {id(node) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)}
    passed |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and _reads_as_words(node.value):
            yield from _paragraphs(_bare(node.value))
        elif isinstance(node, ast.JoinedStr):
            parts = [part.value if isinstance(part, ast.Constant) else FILLED for part in node.values]
            if _reads_as_words(whole := "".join(str(part) for part in parts)):
                yield from _paragraphs(_bare(whole))


def _bare(text: str) -> str:
    return unescape(re.sub(r"<[^>]*>", " ", re.sub(r"%\(\w+\)[sd]|%[sd]|{\w*}", FILLED, text)))


def _reads_as_words(text: str) -> bool:
    """A sentence or a label, and no name, rule, style or query of the program."""
    if re.search(r"[\\{}=<>|]|__|\w\.\w+\(|SELECT |;base64|\w_\w", re.sub(r"{\w*}|</?\w+>", "", text)):
        return False
    return len(WORD.findall(text)) > 2 and not re.fullmatch(
        r"[a-z0-9 ,.:#/()*%-]+", text.split(". ")[0] + " "
    )


def _of_schema(node: object) -> Iterator[str]:
    if isinstance(node, dict):
        if isinstance(node.get("description"), str):
            yield node["description"]
        for child in node.values():
            yield from _of_schema(child)
    elif isinstance(node, list):
        for child in node:
            yield from _of_schema(child)


def _of_readme(text: str) -> Iterator[str]:
    text = re.sub(r"```.*?```", BREAK, text, flags=re.DOTALL)
    text = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", re.sub(r"<[^>]*>", " ", text))
    text = re.sub(r"`[^`]*`", FILLED, text.replace("**", ""))
    yield from _paragraphs(re.sub(r"^[-#|]+|\|", BREAK, text, flags=re.MULTILINE))


def _paragraphs(text: str) -> Iterator[str]:
    for paragraph in re.split(r"\n\s*\n|\s·\s|\s*→\s*", text):
        if len(WORD.findall(paragraph)) > 1:
            yield paragraph.strip()
