"""The text of an older pattern, cut into sections and steps; every word stays."""

import re
from dataclasses import dataclass

LONGEST_TEXT = 200_000
LONGEST_HEADING = 60
FIRST_SECTION = "Notes"

_STEP_START = re.compile(
    r"(?:next|foundation|set-?up|rows?|rnds?|rounds?|steps?)\b[^.]{0,40}[:.–-]|\d{1,3}[.)]\s|[-•–]\s|[A-Z][^.:()\d]{0,40}:\s",
    re.IGNORECASE,
)
_MARK = re.compile(r"^(?:\d{1,3}[.)]|[-•–])\s+")
_LITTLE = {"a", "an", "and", "at", "for", "from", "in", "of", "on", "or", "the", "to", "with"}


@dataclass(frozen=True)
class OlderSection:
    """A heading with the steps below it, as typed."""

    title: str
    steps: tuple[str, ...]


def read_sections(text: str) -> tuple[str, tuple[OlderSection, ...]]:
    r"""Cut a text into its title and its sections.

    Args:
        text: The text of a whole pattern; blank lines part its paragraphs.

    Returns:
        The title ("" where the first line is none) and the sections in order. A heading is a short line
        of its own without numbers; a step is a paragraph, or a line in it with its own mark ("Row 3:").

    >>> read_sections("Moor Hat\n\nBODY\nRow 1: sc in each ch.\nRow 2: ch 1, turn.")
    ('Moor Hat', (OlderSection(title='Body', steps=('Row 1: sc in each ch.', 'Row 2: ch 1, turn.')),))
    """
    title, sections = "", [("", list[str]())]
    for place, paragraph in enumerate(_paragraphs(text)):
        if place == 0 and len(paragraph) == 1 and is_heading(paragraph[0], ""):
            title = _tidy_heading(paragraph[0])
            continue
        lines: list[str] = []
        for line, following in zip(paragraph, [*paragraph[1:], ""], strict=True):
            if is_heading(line, following):
                sections[-1][1].extend(_steps(lines))
                sections.append((_tidy_heading(line), []))
                lines = []
            else:
                lines.append(line)
        sections[-1][1].extend(_steps(lines))
    kept = [(heading or FIRST_SECTION, steps) for heading, steps in sections if heading or steps]
    return title, tuple(OlderSection(heading, tuple(steps)) for heading, steps in kept)


def is_heading(line: str, following: str) -> bool:
    """Whether a line is a heading: short, no number, no full stop; in capitals, marked, or alone."""
    words = line.strip("#*_ ").rstrip(":").split()
    if not words or len(line) > LONGEST_HEADING or re.search(r"\d|[.,;!?]$|:.", line.strip("#*_ ")):
        return False
    if line.lstrip().startswith("#") or line.isupper():
        return True
    if line.rstrip("*_ ").endswith(":"):
        return len(words) <= 4
    is_named = all(word[0].isupper() or not word[0].isalpha() or word in _LITTLE for word in words)
    is_alone = not following or (len(words) <= 3 and not following[0].islower())
    return is_alone and words[0][0].isupper() and len(words) <= (6 if is_named else 3)


def _tidy_heading(line: str) -> str:
    """A heading without its marks, and not shouted."""
    heading = line.strip("#*_ ").rstrip(":").strip()
    return heading.capitalize() if heading.isupper() else heading


def _paragraphs(text: str) -> list[list[str]]:
    """The lines of each paragraph, without the blank ones."""
    lines = [
        " ".join(line.split()) for line in text.replace("\r\n", "\n").replace("\x0c", "\n\n").split("\n")
    ]
    paragraphs: list[list[str]] = [[]]
    for line in lines:
        if line:
            paragraphs[-1].append(line)
        elif paragraphs[-1]:
            paragraphs.append([])
    return [paragraph for paragraph in paragraphs if paragraph]


def _steps(lines: list[str]) -> list[str]:
    """The steps of a paragraph: a line without a mark of its own goes on with the step before it."""
    steps: list[str] = []
    for line in lines:
        if steps and not _STEP_START.match(line):
            steps[-1] = _joined(steps[-1], line)
        else:
            steps.append(_MARK.sub("", line))
    return steps


def _joined(step: str, line: str) -> str:
    """Two lines as one; a word that was parted at the end of a line is whole again."""
    is_parted = re.search(r"[a-z]-$", step) and line[:1].islower()
    return step[:-1] + line if is_parted else f"{step} {line}"
