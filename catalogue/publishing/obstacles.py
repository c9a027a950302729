"""What stands in the way of publishing a pattern, in sentences."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Literal

from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst

from catalogue.drafts.finding_spots import finding_page
from catalogue.drafts.patterns import graded, read_core
from catalogue.drafts.yarn_ends import yarn_ends
from catalogue.editions.typefaces import setting_of, stand_in
from catalogue.errata.errata import erratum_spot, open_errata, standing_in
from catalogue.errata.guards import broken_guards
from catalogue.helps.marks import NamedHelp, helps_in
from catalogue.instructions.row_accounts import audit_lines
from catalogue.models import Erratum, Pattern, ShopLink
from catalogue.sheets.used_tables import unchecked_tables
from catalogue.special_stitches.taking import studio_changes
from catalogue.technical_edit.technical_edits import blocking_sentences, sign_off_sentences
from catalogue.versions.freezing import Heading, Kind, draft_record, record_pattern
from catalogue.versions.records import Record, canonical, texts_like_decimals
from catalogue.versions.spots import spot_words
from catalogue.versions.versions import suggest_number
from grading.core.grade.worked_pieces import worked_piece_findings
from grading.core.instructions.missing_words import missing_words
from grading.core.instructions.sides import unmarked_sides
from grading.core.pattern.entries import read_share
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.size_groups import MOST_IN_A_GROUP
from grading.grid.finding_groups import finding_groups

GRAVE = ("wrong", "blocking")
SIGNS_SHOWN = 5
# After so many days a link is looked at again before publishing; our own choice.
LINKS_HOLD = timedelta(days=30)


@dataclass(frozen=True)
class Obstacle:
    """One thing in the way: stop forbids publishing, warn is left to the studio."""

    weight: Literal["stop", "warn"]
    says: str
    place: str = ""
    """What is mended, in words, where one page mends it."""
    page: str = ""
    also: str = ""
    also_page: str = ""
    """Another way out, in words, and its page."""


class PublishingStop(Exception):
    """Publishing is refused; `obstacles` says why, one sentence each."""

    def __init__(self, obstacles: list[Obstacle]) -> None:
        super().__init__(" ".join(obstacle.says for obstacle in obstacles))
        self.obstacles = obstacles


def check_before_publishing(
    pattern: Pattern, kind: str, record: Record, errata: Sequence[Erratum] | None = None
) -> list[Obstacle]:
    """Everything that stands in the way of freezing this record as a version, stops first.

    The open errata may be handed over by whoever has asked for them already.
    """
    found = [
        *_studio_obstacles(record, kind),
        *_finding_obstacles(record),
        *_count_obstacles(record, kind),
        *_piece_obstacles(pattern, record),
        *_missing_parts(record["slug"], record["pattern"]),
        *_sizes_in_one_list(record),
        *_number_like_texts(record),
        *_signs_of_no_font(record),
        *_photo_obstacles(record),
        *_table_obstacles(record),
        *_link_obstacles(pattern),
        *_stitch_obstacles(pattern, record),
        *(
            Obstacle(one.weight, one.says, one.place, one.page)
            for one in yarn_ends(pattern, record["pattern"])
        ),
        *_sign_off_obstacles(pattern, record),
        *_blocking_queries(pattern, kind),
        *_side_obstacles(record),
        *_unasked_obstacles(record),
        *_erratum_obstacles(record, open_errata(pattern) if errata is None else errata),
        *_guard_obstacles(pattern, record),
    ]
    return sorted(found, key=lambda obstacle: obstacle.weight != "stop")


def _studio_obstacles(record: Record, kind: str) -> Iterator[Obstacle]:
    """The studio's name is printed in every edition; its public address in releases, where it has one."""
    if not record["studio"]["name"]:
        yield Obstacle(
            "stop", "The studio has no name yet: set it under Studio settings.", *_studio_settings()
        )
    if kind == "release" and not record["url"]:
        yield Obstacle(
            "warn",
            "The studio has no public address, so this release is made without a link and a QR code to its "
            "corrections, and stays so. If others can open the studio, set its address first, under Studio "
            "settings.",
            *_studio_settings(),
        )


def _studio_settings() -> tuple[str, str]:
    """Where the studio's name and address are set."""
    return "the studio settings", reverse("studio_settings")


def _finding_obstacles(record: Record) -> Iterator[Obstacle]:
    """Findings of the calculation and of the words, in the groups that the sheet shows."""
    document = record["pattern"]
    groups = finding_groups(document, record["results"]["findings"])
    for group in groups:
        if group.weight == "stop":
            page = finding_page(record["slug"], document, group.where)
            yield Obstacle("stop", capfirst(group.sentence), group.place, page)
    warnings = sum(group.weight == "warn" for group in groups)
    if warnings:
        noun = "finding is" if warnings == 1 else "findings are"
        them = "it" if warnings == 1 else "them"
        says = f"{warnings} {noun} still open on the sheet and in the instructions: read {them} again."
        yield Obstacle(
            "warn", says, "the findings", f"{reverse('desk_pattern', args=[record['slug']])}#findings"
        )


def _count_obstacles(record: Record, kind: str) -> Iterator[Obstacle]:
    """Written rows whose counts do not come out: a release waits until they do, or have a reason."""
    found, rows = record["count_audit"], reverse("row_by_row", args=[record["slug"]])
    for fault in found["faults"]:
        if fault["reason"]:
            continue
        place = spot_words(fault["where"], record)
        says = (
            f"{place}, {', '.join(fault['sizes'])}: {fault['says']}. "
            "Correct it, or write under Row by row why it stays."
        )
        page = finding_page(record["slug"], record["pattern"], fault["where"])
        yield Obstacle("stop" if kind == "release" else "warn", says, place, page)
    if unread := found["total"] - found["checked"]:
        yield Obstacle(
            "warn",
            f"{found['checked']} of {found['total']} rows checked by their counts; {_unread(unread)}",
            "Row by row",
            rows,
        )


def _unread(count: int) -> str:
    if count == 1:
        return "one can’t be read, and is listed under Row by row."
    return f"{count} can’t be read, and are listed under Row by row."


def _missing_parts(slug: str, document: dict[str, Any]) -> Iterator[Obstacle]:
    """Parts without which no garment can be made from the pattern."""
    sheet, yarn = (
        ("the sheet", reverse("sheet", args=[slug])),
        ("the yarn", reverse("yarn_page", args=[slug])),
    )
    if not document.get("fabrics"):
        yield Obstacle("stop", "There is no gauge: give the stitches and rows of each fabric.", *sheet)
    if not document.get("yarns"):
        yield Obstacle("stop", "There is no yarn: add the yarn that the garment is made of.", *yarn)
    if not document.get("sections"):
        says = "There are no instructions: write them under Instructions."
        yield Obstacle("stop", says, "the instructions", reverse("words", args=[slug]))
    if document.get("yarns") and not document.get("yarn_sections"):
        says = "No yarn section is counted: makers are not told how much yarn they need."
        yield Obstacle("warn", says, *yarn)
    elif document.get("yarns") and not read_share(document.get("yarn_allowance", 0), "$.yarn_allowance"):
        says = "The yarn has no allowance: makers may run out. Set one on the yarn page."
        yield Obstacle("warn", says, *yarn)
    fabrics = document.get("fabrics")
    if fabrics and not any("tool_mm" in one for one in fabrics.values()):
        says = "No hook or needle is named: makers look for its size. Set it at the fabric."
        name, fabric = next(iter(fabrics.items()))
        yield Obstacle("warn", says, fabric["label"], finding_page(slug, document, f"fabrics.{name}"))
    if not document.get("pieces"):
        says = "There are no pieces: no schematic is printed."
        yield Obstacle("warn", says, "the pieces", reverse("pieces", args=[slug]))


def _sizes_in_one_list(record: Record) -> Iterator[Obstacle]:
    """More sizes than a maker can count along a list, which no groups divide."""
    count = len(record["pattern"]["sizes"])
    if count > MOST_IN_A_GROUP and not record["pattern"].get("size_groups"):
        says = (
            f"There are {count} sizes, and every list has a number for each. Put them into groups, such as "
            "baby, child and adult: each is then printed by itself."
        )
        yield Obstacle("warn", says, "the sizes", reverse("sizes", args=[record["slug"]]))


def _number_like_texts(record: Record) -> Iterator[Obstacle]:
    """Texts that would come back from the record as numbers, wherever they were typed."""
    for text in dict.fromkeys(texts_like_decimals(record)):
        yield Obstacle(
            "stop", f"The text “{text}” reads like a number with six decimals: write it differently."
        )


def _signs_of_no_font(record: Record) -> Iterator[Obstacle]:
    """Signs in the author's words that no font of the editions has."""
    lacking = sorted(setting_of(canonical(record)).stand_ins)
    if lacking:
        shown = ", ".join(f"“{sign}” as {stand_in(sign)}" for sign in lacking[:SIGNS_SHOWN])
        more = f" and {len(lacking) - SIGNS_SHOWN} more" if len(lacking) > SIGNS_SHOWN else ""
        yield Obstacle(
            "warn",
            f"The fonts of the editions lack signs of your words, and print {shown}{more}: "
            "write these words differently if makers need them.",
        )


def _piece_obstacles(pattern: Pattern, record: Record) -> Iterator[Obstacle]:
    """Pieces whose rows are longer or shorter than they are drawn."""
    for finding in worked_piece_findings(audit_lines(pattern), graded(pattern)):
        page = finding_page(record["slug"], record["pattern"], finding.where)
        yield Obstacle("warn", finding.says, spot_words(finding.where, record), page)


def _table_obstacles(record: Record) -> Iterator[Obstacle]:
    """Published size tables whose numbers nobody has held against their source."""
    for one in unchecked_tables(record["pattern"]):
        yield Obstacle("warn", one.says, f"“{one.name}”", one.page)


def _link_obstacles(pattern: Pattern) -> Iterator[Obstacle]:
    """Helps that steps name and that are none; links of helps and shops that are dead or were not checked."""
    core, shops = read_core(pattern), list(pattern.shop_links.all())
    helps = helps_in(core)
    yield from _help_obstacles(pattern.slug, core, helps)
    yield from _shop_obstacles(pattern, shops)
    linked = [one.found for one in helps if one.found and one.found.link and one.found.link_state != "dead"]
    looked = [one.link_checked_at for one in linked]
    yield from _unchecked_links([*looked, *(one.checked_at for one in shops if one.state != "dead")])


def _help_obstacles(slug: str, core: PatternFile, helps: list[NamedHelp]) -> Iterator[Obstacle]:
    """Helps that steps name and that are none, and videos that were found dead."""
    for one in helps:
        section, step = one.places[0]
        where = f"{core.sections[section].title}, step {step + 1}"
        if one.found is None:
            yield Obstacle(
                "stop",
                f"{where} names a help “{one.name}”, and there is none: add it, or correct the name.",
                where,
                reverse("step", args=[slug, section + 1, step + 1]),
            )
        elif one.found.link_state == "dead":
            yield Obstacle(
                "warn",
                f"The video of help “{one.found}” was not there when it was checked: give another link.",
                f"“{one.found}”",
                reverse("help_edit", args=[one.found.pk]),
            )


def _shop_obstacles(pattern: Pattern, shops: list[ShopLink]) -> Iterator[Obstacle]:
    """Links of shops that were found dead: visitors don't see them."""
    for shop in shops:
        if shop.state == "dead":
            yield Obstacle(
                "warn",
                f"The link of shop “{shop}” did not work when it was checked: give another link.",
                "the shops",
                f"{reverse('selling', args=[pattern.slug])}#shops",
            )


def _unchecked_links(looked: list[datetime | None]) -> Iterator[Obstacle]:
    """Links that nobody has looked at for long; `looked` is when each was checked last."""
    long_ago = timezone.now() - LINKS_HOLD
    if stale := sum(at is None or at < long_ago for at in looked):
        links = "1 link of a help or shop was" if stale == 1 else f"{stale} links of helps and shops were"
        yield Obstacle(
            "warn",
            f"{links} not checked in the last {LINKS_HOLD.days} days: press “Check all links” under Helps.",
            "the links",
            reverse("helps"),
        )


def _stitch_obstacles(pattern: Pattern, record: Record) -> Iterator[Obstacle]:
    """Special stitches that the studio has changed since they were taken over."""
    for one in studio_changes(record["pattern"]):
        yield Obstacle(
            "warn",
            f"The studio has changed “{one.label}” since: take the change over, or keep it as it is.",
            f"“{one.label}”",
            reverse("pattern_stitches", args=[pattern.slug]),
        )


def _photo_obstacles(record: Record) -> Iterator[Obstacle]:
    """Photos and their words for those who can't see them."""
    photos = ("the photos", reverse("photos", args=[record["slug"]]))
    if not record["photos"]:
        yield Obstacle("warn", "There is no photo: add one, so that makers see what they make.", *photos)
    if any(not photo["alt"].strip() for photo in record["photos"]):
        says = "A photo has no description for people who can't see it: add one under Photos."
        yield Obstacle("stop", says, *photos)


def _blocking_queries(pattern: Pattern, kind: str) -> Iterator[Obstacle]:
    """Queries of the editor that hold a release."""
    if kind == "release":
        yield from (Obstacle("stop", says, *_technical_edit(pattern)) for says in blocking_sentences(pattern))


def _sign_off_obstacles(pattern: Pattern, record: Record) -> Iterator[Obstacle]:
    """A technical edit that is missing or stale, and what waits in it."""
    yield from (
        Obstacle("warn", says, *_technical_edit(pattern)) for says in sign_off_sentences(pattern, record)
    )


def _technical_edit(pattern: Pattern) -> tuple[str, str]:
    """Where queries are asked and answered."""
    return "the technical edit", reverse("technical_edit", args=[pattern.slug])


def _guard_obstacles(pattern: Pattern, record: Record) -> Iterator[Obstacle]:
    """Corrected mistakes that would come back."""
    for guard, says, line in broken_guards(pattern, record):
        erratum = reverse("erratum", args=[pattern.slug, guard.erratum_id])
        page = finding_page(pattern.slug, record["pattern"], line) if line else erratum
        place = spot_words(line, record) if line else "the erratum"
        also = ("Open the erratum that guards it", erratum) if line else ("", "")
        yield Obstacle("stop", says, place, page, *also)


def _side_obstacles(record: Record) -> Iterator[Obstacle]:
    """Side words that a left-hand edition would print wrongly."""
    for finding in unmarked_sides(record_pattern(record)):
        place = spot_words(finding.where, record)
        page = finding_page(record["slug"], record["pattern"], finding.where)
        yield Obstacle("warn", f"{place}: {finding.says}", place, page)


def _unasked_obstacles(record: Record) -> Iterator[Obstacle]:
    """What makers would have to ask for; a step is named, all else names itself."""
    for finding in missing_words(record_pattern(record)):
        place = spot_words(finding.where, record)
        page = finding_page(record["slug"], record["pattern"], finding.where)
        begins = f"{place}: " if ".steps[" in finding.where else ""
        yield Obstacle(finding.weight, f"{begins}{finding.says}", place, page)


def _erratum_obstacles(record: Record, errata: Sequence[Erratum]) -> Iterator[Obstacle]:
    """Grave mistakes that this state of the pattern still holds, or may hold."""
    for erratum in errata:
        if erratum.gravity not in GRAVE:
            continue
        standing, where, place = standing_in(erratum, record), *erratum_spot(erratum, record)
        page = reverse("erratum", args=[record["slug"], erratum.pk])
        if erratum.state == "confirmed" and standing == "in it":
            yield Obstacle(
                "stop",
                f"The confirmed erratum at {place} is not corrected yet: correct it first.",
                place,
                finding_page(record["slug"], record["pattern"], where),
            )
        elif standing != "not in it":
            says = f"The erratum at {place} is open: judge it, or see that it is corrected."
            yield Obstacle("warn", says, "the erratum", page)


@dataclass(frozen=True)
class SeenDraft:
    """A pattern as somebody sees it before they publish it, and what stands in the way."""

    record: Record
    obstacles: list[Obstacle]


def look_before_publishing(
    pattern: Pattern, kind: Kind, *, number: str = "", errata: Sequence[Erratum] | None = None
) -> SeenDraft:
    """Read a pattern once, as it stands now; suggested number and open errata are asked for if not given."""
    heading = Heading(number or suggest_number(pattern, kind), kind, "", timezone.now())
    record = draft_record(pattern, heading)
    return SeenDraft(record, check_before_publishing(pattern, kind, record, errata))


def in_the_way(pattern: Pattern, kind: Kind) -> list[Obstacle]:
    """What stands in the way of publishing a pattern as it stands now."""
    return look_before_publishing(pattern, kind).obstacles
