"""The promotion sheet: what a shop or a post needs of a pattern, in plain words. Nothing is sent anywhere."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import timezone

from catalogue.editions.cautions import cautions_for
from catalogue.editions.glance import glance
from catalogue.editions.needs import yarn_lines
from catalogue.editions.size_choice import size_pair
from catalogue.editions.sources import Source
from catalogue.editions.yarn_tables import yarn_groups
from catalogue.materials.ended_yarns import ended_notes
from catalogue.materials.published_yarns import yarn_names
from catalogue.models import Pattern, Photo, SellingFacts, Version
from catalogue.photos.photos import photos_of
from catalogue.public.published import public_source
from catalogue.studio.public_address import public_address
from catalogue.versions.freezing import NO_VERSION, Heading, draft_record
from catalogue.versions.records import Record, canonical, frozen_record, read_record
from catalogue.versions.versions import current_release

# From this share of width and height on, a picture is wide or upright and not square; our own choice.
WIDE, UPRIGHT = 1.15, 1 / 1.15
PLACES = (
    ("wide", "a wide one, for the head of a page"),
    ("square", "a square one, for lists of shops"),
    ("upright", "an upright one, for a post or a poster"),
)

CRAFTS = {"knitting": "Knitting", "crochet": "Crochet", "tunisian": "Tunisian crochet"}
# Of more choices than these the fewest and the most are told.
MOST_CHOICES = 6

Part = tuple[str, list[str]]


@dataclass(frozen=True)
class PlacedPicture:
    """A picture with its shape and where it goes."""

    photo: Photo
    shape: str
    goes: str


@dataclass(frozen=True)
class PromotionSheet:
    """All that is told: title, opening, parts with their lines, pictures, and which of these are missing."""

    title: str
    opening: str
    parts: list[Part]
    pictures: list[PlacedPicture]
    missing: list[str]
    version: Version | None

    @property
    def text(self) -> str:
        """All of it as plain text to copy."""
        blocks = [self.title, self.opening]
        blocks += ["\n".join([heading, *(f"- {line}" for line in lines)]) for heading, lines in self.parts]
        return "\n\n".join(block for block in blocks if block) + "\n"


def promotion_sheet(pattern: Pattern) -> PromotionSheet:
    """The sheet of a pattern: from its current release, or else from the draft."""
    current = current_release(pattern)
    record = frozen_record(current.record) if current else _draft(pattern)
    facts = SellingFacts.objects.filter(pattern=pattern).first() or SellingFacts()
    document = record["pattern"]
    pictures = [_placed(photo) for photo in photos_of(record)]
    shapes = {one.shape for one in pictures}
    return PromotionSheet(
        title=record["title"],
        opening=facts.opening.strip() or str(document.get("summary", "")),
        parts=[(heading, lines) for heading, lines in _parts(pattern, record, facts, current) if lines],
        pictures=pictures,
        missing=[words for shape, words in PLACES if shape not in shapes],
        version=current,
    )


def _draft(pattern: Pattern) -> Record:
    """The draft as a version would freeze it now."""
    record = draft_record(pattern, Heading(NO_VERSION, "release", "", timezone.now()))
    return read_record(canonical(record))


def _parts(pattern: Pattern, record: Record, facts: SellingFacts, current: Version | None) -> Iterator[Part]:
    """The parts of the sheet in the order of what buyers ask."""
    source = public_source(record, str(record["pattern"]["home_units"]))
    pair = size_pair(source.facts, source.edition)
    told = glance(source.facts, source.edition, source.kept, pair)
    rows = [f"{row.term}: {row.text}" for half in told.halves for row in half]
    skill = [f"Skill level: {told.skill.name} ({told.skill.words})"] if told.skill else []
    construction = [f"Construction: {told.construction}"] if told.construction else []
    yield (
        "What it is",
        [
            f"{CRAFTS[str(record['pattern']['craft'])]} pattern",
            *skill,
            *construction,
            *_listed("Techniques", facts.techniques),
            *_listed("Season", facts.seasons),
        ],
    )
    yield "Sizes and measurements", [f"Sizes: {', '.join(source.facts.pattern.sizes)}", *rows]
    weight = [f"Weight: {told.weight_words}"] if told.weight_words else []
    yield "Yarn", [*weight, *_yarns(source, record), *ended_notes(yarn_names(record))]
    yield "What you get", _editions(current)
    yield "Use of finished items", _use(record)
    if record["pattern"].get("wearer") in ("child", "baby"):
        yield "Please note", cautions_for(record["pattern"])
    yield "Links", _links(pattern, current)
    yield "Tags", [", ".join(facts.tags)] if facts.tags else []


def _listed(label: str, words: Sequence[str]) -> list[str]:
    """A line of words; none for none."""
    return [f"{label}: {', '.join(words)}"] if words else []


def _yarns(source: Source, record: Record) -> Iterator[str]:
    """Each colour with the fewest and the most balls of all sizes, for each choice that changes them."""
    word = "Color" if source.edition.terms == "US" else "Colour"
    needs: list[dict[str, Any]] = record["results"]["yarn"]
    counted = set(needs[0]["colours"]) if needs else set()
    for colour, words in yarn_lines(source):
        told = _balls(source, needs, colour) if colour in counted else ""
        yield f"{word} {colour}: {words}{told}"


def _balls(source: Source, needs: Sequence[dict[str, Any]], colour: str) -> str:
    """What a colour takes: as “; 4 to 7 balls, by size (Pockets: no)”; nothing where no ball is known."""
    groups = yarn_groups(needs, source.facts.pattern, [colour])
    if len(groups) > MOST_CHOICES:
        every = [ball for group in groups for ball in group.colours[colour]["balls"]]
        return _count(every, "by size and choice")
    found: dict[str, list[str]] = {}
    for group in groups:
        found.setdefault(_count(group.colours[colour]["balls"], "by size"), []).append(group.label)
    return "".join(
        f"{count} ({' or '.join(labels)})" if any(labels) else count
        for count, labels in found.items()
        if count
    )


def _count(balls: Sequence[float | None], by: str) -> str:
    """The fewest and the most of some balls; “none” where a choice takes none."""
    known = [one for one in balls if one is not None]
    if not known:
        return ""
    least, most = min(known), max(known)
    if not most:
        return "; none"
    if least < most:
        return f"; {least:.0f} to {most:.0f} balls, {by}"
    return f"; {least:.0f} ball{'' if least == 1 else 's'}"


def _editions(current: Version | None) -> list[str]:
    """The PDFs that a buyer has."""
    if current is None:
        return []
    made = current.editions.filter(state="made")
    return [f"PDF: {one.words}, {one.pages} pages" for one in made]


def _use(record: Record) -> list[str]:
    """The use of finished items as the version prints it; of a draft as it will."""
    said = record.get("rights", {}).get("finished_use", "")
    return [" ".join(line.split()) for line in said.splitlines() if line.strip()]


def _links(pattern: Pattern, current: Version | None) -> list[str]:
    """The pattern's own page, and the shops whose links are not known to be dead."""
    known = public_address()
    own = [f"{known}{reverse('pattern_page', args=[pattern.slug])}"] if known and current else []
    return [*own, *(f"{one.label}: {one.address}" for one in pattern.shop_links.exclude(state="dead"))]


def _placed(photo: Photo) -> PlacedPicture:
    """A picture with its shape, and where it goes."""
    share = photo.width_px / photo.height_px
    shape = "wide" if share > WIDE else "upright" if share < UPRIGHT else "square"
    return PlacedPicture(photo, shape, dict(PLACES)[shape])
