"""Helps as readers see them, from the studio's row or from the record of a version."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from catalogue.instructions.instructions import PrintedSection
from catalogue.instructions.markdown import markdown_html
from catalogue.models import Help, HelpPicture
from catalogue.models.helps import CRAFTS, HANDS
from catalogue.versions.frozen_helps import picture_record
from catalogue.versions.records import Record

_MARK = re.compile(r'class="help-mark" href="#help-(\d+)"')


@dataclass(frozen=True)
class ShownHelp:
    """A help with its number in a pattern (0 = outside of one), ready for a page."""

    number: int
    title: str
    code: str
    whom: str
    html: SafeString
    link: str
    when: str
    pictures: tuple[HelpPicture, ...]


@dataclass(frozen=True)
class OpenStep:
    """A step as HTML, the helps that open at it, and where it stands in the pattern: "0.2"."""

    html: SafeString
    helps: list[ShownHelp]
    spot: str


@dataclass(frozen=True)
class OpenSection:
    """A printed section whose steps open their helps."""

    title: str
    label: str
    steps: Sequence[OpenStep]


def helps_of(record: Record, numbers: Mapping[str, int]) -> list[ShownHelp]:
    """The helps of a version, with the numbers that its steps print."""
    kept = {one["name"]: one for one in record.get("helps", ())}
    return [_shown(kept[name], number) for name, number in numbers.items() if name in kept]


def with_helps(sections: Sequence[PrintedSection], helps: Sequence[ShownHelp]) -> list[OpenSection]:
    """Sections in which each help stands at the step that names it first."""
    left = {one.number: one for one in helps}
    return [
        OpenSection(
            section.title,
            section.label,
            [
                OpenStep(step, [left.pop(number) for number in _numbers_in(step) if number in left], spot)
                for step, spot in zip(section.steps, section.spots, strict=True)
            ],
        )
        for section in sections
    ]


def _numbers_in(step: str) -> list[int]:
    """The numbers of the helps that a step leads to."""
    return [int(number) for number in dict.fromkeys(_MARK.findall(step))]


def shown_help(found: Help) -> ShownHelp:
    """A help of the studio as it is now."""
    kept = ("title", "code", "craft", "hand", "level", "text", "link", "link_from_s", "link_to_s")
    pictures = [picture_record(one) for one in found.pictures.all()]
    return _shown({**{key: getattr(found, key) for key in kept}, "pictures": pictures}, 0)


def _shown(one: Mapping[str, Any], number: int) -> ShownHelp:
    """A help from what was kept of it."""
    whom = [
        CRAFTS[one["craft"]] if one["craft"] else "",
        HANDS[one["hand"]] if one["hand"] else "",
        one["level"],
    ]
    words = ", ".join(word for word in whom if word)
    return ShownHelp(
        number=number,
        title=one["title"],
        code=one["code"],
        whom=words[:1].upper() + words[1:],
        html=SafeString(markdown_html(one["text"])),
        link=one["link"],
        when=_when(one["link_from_s"], one["link_to_s"]),
        pictures=tuple(HelpPicture(**picture) for picture in one["pictures"]),
    )


def _when(start: int | None, end: int | None) -> str:
    """Which part of a video it is."""
    if start is not None and end is not None:
        return f"from {clock(start)} to {clock(end)}"
    if start is not None:
        return f"from {clock(start)}"
    return f"up to {clock(end)}" if end is not None else ""


def clock(seconds: int | None) -> str:
    """Seconds as people write them.

    >>> clock(80), clock(3725)
    ('1:20', '1:02:05')
    """
    if seconds is None:
        return ""
    hours, rest = divmod(seconds, 3600)
    return f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"
