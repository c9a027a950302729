"""The guide searched: its sections by the words in them."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from html.parser import HTMLParser

from django.template.loader import render_to_string

from catalogue.site.guide.contents import context_of
from catalogue.site.guide.parts import PARTS, GuidePart

MOST_FOUND = 12
_AROUND = 80
MOST_ENDING = 3
# Words that say nothing about what is looked for.
EMPTY_WORDS = frozenset(
    ("a", "an", "and", "for", "how", "i", "in", "is", "my", "of", "on", "only", "or", "the", "to", "with")
)
# Words that people use for one thing; the guide has one of each group at least.
SAME_MEANING = (
    ("discontinue", "ended", "no longer made", "no longer sold"),
    ("option", "choice", "choose", "variation", "belt", "pocket"),
    ("large", "larger", "bigger", "size_number"),
    ("mistake", "error", "errat", "correction", "typo"),
    ("tester", "test knit", "test call"),
    ("hook", "needle", "tool"),
    ("tension", "gauge", "swatch"),
    ("chart", "grid", "diagram"),
    ("price", "sell", "shop", "buy"),
    ("photo", "picture", "image"),
    ("print", "pdf"),
    ("remove", "delete"),
    ("customer", "buyer", "holder"),
    ("abbreviation", "terms"),
    ("undo", "take back"),
)
# Parts of the guide that few look for: found last.
PARTS_FOR_FEW = frozenset({"file", "commands"})
_WORD = re.compile(r"\w+")


@dataclass(frozen=True)
class GuideSection:
    """A section of the guide as plain text."""

    part: GuidePart
    name: str
    title: str
    text: str


@dataclass(frozen=True)
class Found:
    """A section that has the words looked for, and the text around the first of them."""

    section: GuideSection
    excerpt: str


def search_guide(wanted: str) -> list[Found]:
    """Sections that have the words looked for, or words that mean the same, as beginnings of words.

    Those with all words come first, then those with most; the format of files comes last, as do commands.
    """
    words = [word.lower() for word in _WORD.findall(wanted)]
    words = [word for word in words if word not in EMPTY_WORDS] or words
    ranked: list[tuple[bool, int, int, int, GuideSection]] = []
    for section in sections():
        heading, text = f"{section.part.title} {section.title}".lower(), section.text.lower()
        held = [word for word in words if _has(word, heading) or _has(word, text)]
        if held and 2 * len(held) >= len(words):
            weight = sum(_has(word, heading) * 5 + min(3, len(_begins(word).findall(text))) for word in held)
            is_asked = all(_has(word, heading) for word in words)
            is_for_few = section.part.name in PARTS_FOR_FEW and not is_asked
            ranked.append((is_for_few, -len(held), -weight, len(ranked), section))
    ranked.sort(key=lambda one: one[:4])
    return [Found(section, _excerpt(section.text, words)) for *_, section in ranked[:MOST_FOUND]]


def _begins(word: str) -> re.Pattern[str]:
    """What finds words that begin like this, or like another that means the same."""
    meant = {word, *next((group for group in SAME_MEANING if any(_is_form(word, one) for one in group)), ())}
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, sorted(meant)))})")


def _is_form(word: str, stem: str) -> bool:
    """Whether a word is a form of another: “belts” of “belt”."""
    return word == stem or (word.startswith(stem) and len(word) <= len(stem) + MOST_ENDING)


def _has(word: str, text: str) -> bool:
    """Whether a text has a word that begins like this."""
    return _begins(word).search(text) is not None


def _excerpt(text: str, words: list[str]) -> str:
    """The text around the first word found; the beginning where the words stand in the heading alone."""
    places = [match.start() for word in words if (match := _begins(word).search(text.lower()))]
    start = max(0, min(places, default=0) - _AROUND)
    start = text.find(" ", start) + 1 if start else 0
    end = text.find(" ", start + 2 * _AROUND)
    cut = text[start:] if end < 0 else text[start:end] + " …"
    return f"… {cut}" if start else cut


@lru_cache(maxsize=1)
def sections() -> tuple[GuideSection, ...]:
    """All sections of the guide, as their pages show them."""
    found: list[GuideSection] = []
    for part in PARTS.values():
        reader = _SectionReader()
        reader.feed(render_to_string(part.template, context_of(part)))
        found += [GuideSection(part, name, title, text) for name, title, text in reader.read]
    return tuple(found)


class _SectionReader(HTMLParser):
    """Reads the sections out of a page: name, heading and text of each."""

    def __init__(self) -> None:
        super().__init__()
        self.read: list[tuple[str, str, str]] = []
        self._name = ""
        self._add: Callable[[str], None] | None = None
        self._title: list[str] = []
        self._text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a section or its heading."""
        if tag == "section":
            self._name, self._title, self._text = dict(attrs).get("id") or "", [], []
            self._add = self._text.append
        elif tag == "h2" and self._name:
            self._add = self._title.append

    def handle_endtag(self, tag: str) -> None:
        """End a section or its heading."""
        if tag == "h2" and self._name:
            self._add = self._text.append
        elif tag == "section":
            self.read.append((self._name, _plain(self._title), _plain(self._text)))
            self._name, self._add = "", None

    def handle_data(self, data: str) -> None:
        """Keep the text where it belongs."""
        if self._add is not None:
            self._add(f" {data}")


def _plain(pieces: list[str]) -> str:
    """The pieces of a text as one line."""
    return " ".join("".join(pieces).split())
