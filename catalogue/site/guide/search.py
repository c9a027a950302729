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
    """Sections that have all words looked for, as beginnings of words; those with them in a heading first."""
    words = [word.lower() for word in _WORD.findall(wanted)]
    if not words:
        return []
    ranked: list[tuple[int, int, GuideSection]] = []
    for section in sections():
        heading, text = f"{section.part.title} {section.title}".lower(), section.text.lower()
        if all(_has(word, heading) or _has(word, text) for word in words):
            weight = sum(_has(word, heading) * 5 + min(3, len(_begins(word).findall(text))) for word in words)
            ranked.append((-weight, len(ranked), section))
    return [Found(section, _excerpt(section.text, words)) for _, _, section in sorted(ranked)[:MOST_FOUND]]


def _begins(word: str) -> re.Pattern[str]:
    """What finds words that begin like this."""
    return re.compile(rf"\b{re.escape(word)}")


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
