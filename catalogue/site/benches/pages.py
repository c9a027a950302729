"""How full the pages of editions are: samples of the demo and beginnings, in all kinds of editions."""

import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from django.test.utils import override_settings

from catalogue.drafts.patterns import load_pattern
from catalogue.editions.choices import allowed_choices, group_names, home_choices
from catalogue.editions.editions import PhotoReader, graded_as_frozen, write_edition
from catalogue.editions.fitting import LEAST_FILL, LEAST_LAST_FILL, sparse_pages
from catalogue.editions.ingredients import photo_name
from catalogue.editions.rendering_process import AT_ONCE
from catalogue.models.edition_choices import Choices
from catalogue.site.benches.databases import throw_away_database
from catalogue.site.benches.ratios import BenchRatio, BenchResult
from catalogue.site.demo_pictures import add_picture
from catalogue.site.demo_stages import SAMPLES, sample_document
from catalogue.versions.freezing import Heading, draft_record
from catalogue.versions.records import Record, canonical, read_record
from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import Construction, constructions, fabrics, lacking
from grading.core.printing.size_rows import size_groups
from grading.sizes.tables import published_tables

# Large print, in pages of the same edition at the usual size.
MOST_TIMES_LARGER = 2.0
# One size takes four pages where all sizes take seven; four are few enough for anything.
PAGES_OF_A_SIZE, OF_ALL_SIZES = 4, 7
# The sizes of samples are cut into groups of so many, to be printed by groups.
MOST_SIZES_OF_A_GROUP = 4
# Stitches, rows and grams of a square of 10 cm in a medium yarn, as the swatches of the samples weigh: by
# craft, and of garter stitch, with twice as many rows as stitches (common practice).
SWATCHES = {"knitting": (18, 24, 5), "garter": (18, 36, 6), "crochet": (14, 10, 6), "tunisian": (16, 18, 6)}


@dataclass(frozen=True)
class FilledEdition:
    """One edition: of which pattern, which one, and how full each of its pages is."""

    pattern: str
    which: str
    fills: tuple[float, ...]

    @property
    def sparse(self) -> list[tuple[int, float]]:
        """Pages that are less full than they should be, by their numbers."""
        return sparse_pages(self.fills)


def measure() -> BenchResult:
    """Set every edition in a throw-away database and folder, and measure its pages."""
    found = list(_filled())
    pages = sum(len(one.fills) for one in found)
    sparse = sum(len(one.sparse) for one in found)
    inner = [fill for one in found for fill in one.fills[:-1]]
    return BenchResult(
        "pages",
        f"{len(found)} editions of {len({one.pattern for one in found})} patterns",
        {
            f"pages less than {LEAST_FILL:.0%} full, last ones {LEAST_LAST_FILL:.0%}": BenchRatio(sparse, 0),
            "pages in large print / at the usual size": BenchRatio(
                _most(found, "large print", "home"), MOST_TIMES_LARGER
            ),
            "pages print-saving / with photos": BenchRatio(_most(found, "print-saving", "home"), 1.0),
            "pages of one size / of all sizes, where they are more than four": BenchRatio(
                _most(found, "one size", "home", beyond=PAGES_OF_A_SIZE), PAGES_OF_A_SIZE / OF_ALL_SIZES
            ),
        },
        {
            "pages": pages,
            "mean fill but for last pages": round(sum(inner) / len(inner), 3),
            **{f"{one.pattern}, {one.which}": _told(one) for one in found},
        },
    )


def _told(one: FilledEdition) -> str:
    """The pages of an edition in percent."""
    return f"{len(one.fills)}: " + " ".join(f"{fill:.0%}" for fill in one.fills)


def _most(found: list[FilledEdition], which: str, beside: str, beyond: int = 0) -> float:
    """The largest ratio of the pages of two kinds of editions, of those that have more than so many."""
    pages = {(one.pattern, one.which): len(one.fills) for one in found}
    names = {one.pattern for one in found if one.which == which and len(one.fills) > beyond}
    return max((pages[name, which] / pages[name, beside] for name in names), default=0.0)


def _filled() -> Iterator[FilledEdition]:
    """Every edition that is measured, those of two patterns at once; pages are the same however fast."""
    records = list(_records())
    with get_context("fork").Pool(AT_ONCE) as pool:
        for found in pool.imap(_filled_of, records, chunksize=1):
            yield from found


def _filled_of(of: tuple[str, Record, bytes]) -> list[FilledEdition]:
    """The editions of one pattern."""
    name, record, photo = of
    graded = graded_as_frozen(record)
    found = []
    for which, choices in kinds_of_editions(record).items():
        written = write_edition(record=record, choices=choices, graded=graded, read_photo=_reader(photo))
        found.append(FilledEdition(name, which, written.fills))
    return found


def _reader(photo: bytes) -> PhotoReader:
    """Reads the one photo of a record."""

    def read(_: dict[str, Any]) -> bytes:
        return photo

    return read


def kinds_of_editions(record: Record) -> dict[str, Choices]:
    """The editions that are measured of one record, by what they are called."""
    groups = group_names(record)
    return _kinds_by_groups(record, groups[len(groups) // 2]) if groups else _usual_kinds(record)


def _kinds_by_groups(record: Record, middle: str) -> dict[str, Choices]:
    """Those of a record whose sizes are printed by groups."""
    home = home_choices(record)
    return {
        "by groups": home,
        "by groups in large print": {**home, "print": "large"},
        "one group": {**home, "group": middle},
        "one group, print-saving": {**home, "group": middle, "print": "saving"},
        "one group in large print": {**home, "group": middle, "print": "large"},
    }


def _usual_kinds(record: Record) -> dict[str, Choices]:
    """Those of any other; in inches only where the pattern has a photo, as the samples have."""
    home, sizes = home_choices(record), record["results"]["sizes"]
    hands = {"left hand": {**home, "hand": "left"}} if "left" in allowed_choices(record)["hand"] else {}
    inches = {"inches": {**home, "terms": "US", "units": "in"}} if record["photos"] else {}
    other = {"US": "UK", "UK": "US"}[home["terms"]]
    middle = sizes[len(sizes) // 2]
    return {
        "home": home,
        "other terms, both units": {**home, "terms": other, "units": "both"},
        "print-saving": {**home, "print": "saving"},
        "large print": {**home, "print": "large"},
        "Letter": {**home, "paper": "Letter"},
        "one size": {**home, "sizes": middle},
        "one size in large print": {**home, "sizes": middle, "print": "large"},
        **hands,
        **inches,
    }


def _records() -> Iterator[tuple[str, Record, bytes]]:
    """The records of all samples and beginnings, each with the photo of its version."""
    with (
        tempfile.TemporaryDirectory(prefix="evenrow-bench-") as name,
        override_settings(MEDIA_ROOT=name),
        throw_away_database(),
    ):
        for title, document, look in _documents():
            yield title, *_record(document, look, Path(name))


def _record(document: dict[str, Any], look: str, folder: Path) -> tuple[Record, bytes]:
    """The record of one pattern as a release, and its photo."""
    pattern = load_pattern(document=document, by=None)
    if look:
        add_picture(pattern=pattern, name=look, document=document)
    at = datetime(2026, 3, 1, tzinfo=UTC)
    record = read_record(canonical(draft_record(pattern, Heading("1.0", "release", "", at))))
    photo = (folder / photo_name(record["photos"][0]["files"])).read_bytes() if record["photos"] else b""
    return record, photo


def _documents() -> Iterator[tuple[str, dict[str, Any], str]]:
    """Pattern files with the look that they are photographed in: samples, then beginnings without a photo."""
    for path in sorted(SAMPLES.glob("*.json")):
        yield path.stem, sample_document(path.stem), path.stem
        yield path.stem, _in_groups(sample_document(path.stem)), path.stem
    for key, construction in constructions().items():
        yield key, begun_document(construction, _start(construction)), ""


def _in_groups(document: dict[str, Any]) -> dict[str, Any]:
    """A pattern file whose sizes are printed by groups, as even as can be."""
    sizes = document["sizes"]
    runs = [sizes[part] for part in size_groups(sizes, MOST_SIZES_OF_A_GROUP)]
    groups = [{"label": f"{run[0]} to {run[-1]}", "sizes": run} for run in runs]
    return {**document, "title": f"{document['title']} by groups", "size_groups": groups}


def _start(construction: Construction) -> Start:
    """A beginning in the first table that it suits, all sizes, with every option."""
    table = next(one for one in published_tables().values() if not lacking(construction, one))
    fabric = construction.fabrics[0]
    stitches, rows, weight = SWATCHES.get(fabric) or SWATCHES[fabrics()[fabric]["craft"]]
    return Start(
        title=construction.name,
        fabric=fabric,
        table=table,
        sizes=table.sizes,
        swatch=BegunSwatch(stitches, rows, weight, stitches, rows),
        ease=construction.eases[construction.ease][0],
        sample=table.sizes[len(table.sizes) // 2],
        home_units="cm",
        options=frozenset(option["name"] for option in construction.options),
    )
