"""How fast ten editions of one version are made: by the press, by other ways, and by a browser."""

import io
import json
import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.template.loader import render_to_string
from django.test.utils import override_settings
from PIL import Image

from catalogue.drafts.patterns import load_pattern
from catalogue.editions.choices import suggested_choices
from catalogue.editions.ingredients import FONTS, OWN, font_path, photo_name, template_folder
from catalogue.editions.rendering import render_editions
from catalogue.models.edition_choices import Choices
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import clean_picture
from catalogue.site.benches.databases import throw_away_database
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, best_times
from catalogue.site.demo_stages import sample_document
from catalogue.versions.freezing import Heading, draft_record
from catalogue.versions.records import canonical, read_record

# Even, as two are made at once; many, as the press has to start its processes first.
ROUNDS, EDITIONS = 2, 10
SAMPLE = "thistledrift_waistcoat"
MOST_MIB = 150
ALONE = """
import json, sys
from pathlib import Path
import django
django.setup()
from catalogue.editions.editions import render_pdf
from catalogue.versions.records import read_record
folder = Path(sys.argv[1])
record = read_record((folder / "record.json").read_text())
read = lambda photo: (folder / "photo.jpg").read_bytes()
for at, choices in enumerate(json.loads(sys.argv[2])):
    pdf = render_pdf(record=record, choices=choices, read_photo=read)
    print(pdf.sha256)
"""


def measure(*, rounds: int = ROUNDS) -> BenchResult:
    """Measure with a version of its own, in a throw-away database and folder."""
    browser = shutil.which("chromium")
    if browser is None:
        raise BenchError("Chromium is missing, which editions are compared with: install it.")
    with _version() as (record, folder):
        ways = Ways(record, folder, browser)
        works = (ways.by_rendering, ways.by_one_process, ways.by_a_process_each, ways.by_browser)
        ways.by_rendering()
        press, one, each, browsed = best_times(works, rounds=rounds)
        return BenchResult(
            "publish",
            f"{len(ways.wanted)} editions, all ways in turn, best of {rounds}",
            {
                "one process, edition after edition / press": BenchRatio(one / press, 1.7, "at least"),
                "a process for each edition / press": BenchRatio(each / press, 3, "at least"),
                "Chromium, file after file / press": BenchRatio(browsed / press, 1.8, "at least"),
                "bytes of a file / Chromium's": BenchRatio(ways.bytes_ratio(), 0.8),
                "MiB of an edition's process": BenchRatio(ways.peak_mib, MOST_MIB),
                "editions that came out otherwise when made again": BenchRatio(ways.different(), 0),
            },
        )


class Ways:
    """The ways to make ten editions, and what came of them."""

    def __init__(self, record: str, folder: Path, browser: str) -> None:
        self.record, self.folder, self.browser = record, folder, browser
        content = read_record(record)
        offered = [one for one, _ in suggested_choices(content["pattern"], content["results"]["sizes"])]
        self.wanted: list[Choices] = offered[:EDITIONS]
        self.hashes: dict[int, set[str]] = defaultdict(set)
        self.sizes: dict[int, int] = {}
        self.browser_sizes: dict[int, int] = {}
        self.peak_mib = 0.0
        (folder / "record.json").write_text(record)
        self.pages = list(self._pages())

    def by_rendering(self) -> None:
        """The studio's own way: forked from a warm process, two at once."""
        for rendered in render_editions(record=self.record, wanted=self.wanted):
            if rendered.pdf is None:
                raise BenchError(rendered.says)
            self.hashes[rendered.place].add(rendered.pdf.sha256)
            self.sizes[rendered.place] = len(rendered.pdf.content)
            self.peak_mib = max(self.peak_mib, rendered.peak_mib)

    def by_one_process(self) -> None:
        """One process that makes all, one after the other."""
        for place, sha256 in enumerate(self._made_alone(self.wanted)):
            self.hashes[place].add(sha256)

    def by_a_process_each(self) -> None:
        """A new process for every edition."""
        for place, choices in enumerate(self.wanted):
            self.hashes[place].update(self._made_alone([choices]))

    def by_browser(self) -> None:
        """A browser, started for every file."""
        for place, page in enumerate(self.pages):
            target = page.with_suffix(".pdf")
            options = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
            profile = f"--user-data-dir={self.folder / 'profile'}"
            printing = [f"--print-to-pdf={target}", "--no-pdf-header-footer", page.as_uri()]
            _run([self.browser, *options, profile, *printing])
            self.browser_sizes[place] = target.stat().st_size

    def bytes_ratio(self) -> float:
        """How large our files are beside the browser's, all together."""
        return sum(self.sizes.values()) / sum(self.browser_sizes.values())

    def different(self) -> int:
        """How many editions did not always have the same bytes."""
        return sum(len(found) != 1 for found in self.hashes.values())

    def _made_alone(self, wanted: list[Choices]) -> list[str]:
        """The hashes of editions that a new process made."""
        return _run([sys.executable, "-c", ALONE, str(self.folder), json.dumps(wanted)]).split()

    def _pages(self) -> Iterator[Path]:
        """The same HTML and style as files that a browser can open."""
        from catalogue.editions.editions import edition_context, graded_as_frozen

        record = read_record(self.record)
        graded = graded_as_frozen(record)
        addresses = {f"{OWN}font/{name}": font_path(name).as_uri() for name in FONTS}
        addresses[f"{OWN}weave.svg"] = (template_folder() / "weave.svg").as_uri()
        photo = (self.folder / "photo.jpg").as_uri()
        addresses |= {f"{OWN}photo/{one['digest']}": photo for one in record["photos"]}
        style = (template_folder() / "edition.css").read_text()
        for place, choices in enumerate(self.wanted):
            context = edition_context(record=record, graded=graded, choices=choices)
            html = str(render_to_string("catalogue/pdf/edition.html", {**context, "has_contents": True}))
            html = html.replace("</head>", f"<style>{style}</style></head>")
            for ours, address in addresses.items():
                html = html.replace(ours, address)
            page = self.folder / f"{place}.html"
            page.write_text(html)
            yield page


@contextmanager
def _version() -> Iterator[tuple[str, Path]]:
    """The record of a version with a photo, and a folder with its files."""
    with (
        tempfile.TemporaryDirectory(prefix="evenrow-bench-") as name,
        override_settings(MEDIA_ROOT=name),
        throw_away_database(),
    ):
        pattern = load_pattern(document=sample_document(SAMPLE), by=None)
        add_photos(pattern=pattern, photos=[(clean_picture(_picture()), "A waistcoat")], caption="")
        at = datetime(2026, 3, 1, tzinfo=UTC)
        record = canonical(draft_record(pattern, Heading("1.0", "release", "", at)))
        photo = Path(name) / photo_name(read_record(record)["photos"][0]["files"])
        shutil.copy(photo, Path(name) / "photo.jpg")
        yield record, Path(name)


def _picture() -> io.BytesIO:
    """A picture with as much to it as a photo has."""
    target = io.BytesIO()
    Image.effect_noise((1600, 1200), 40).convert("RGB").save(target, "JPEG", quality=85)
    target.seek(0)
    return target


def _run(command: list[str]) -> str:
    """Run a program; what it says is its answer."""
    done = subprocess.run(  # noqa: S603 our own commands
        command, cwd=settings.BASE_DIR, capture_output=True, text=True, check=False, timeout=600
    )
    if done.returncode:
        raise BenchError(f"{Path(command[0]).name} ended with {done.returncode}: {done.stderr[-300:]}")
    return done.stdout
