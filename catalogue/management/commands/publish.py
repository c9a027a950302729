"""Publish a pattern from the command line and write its editions to a folder."""

import argparse
from pathlib import Path
from tempfile import TemporaryFile
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils.text import slugify

from catalogue.drafts.documents import pattern_document
from catalogue.editions.choices import suggested_choices
from catalogue.editions.ingredients import EditionFailed
from catalogue.models import Edition, Pattern, Version
from catalogue.publishing.obstacles import PublishingStop, in_the_way
from catalogue.publishing.publishing import Publication, make_editions, publish_version
from catalogue.versions.versions import NumberTaken, studio_version


class Command(BaseCommand):
    """`publish SLUG --number 1.1 --out DIR`: freeze, make the editions, publish, write the files."""

    help = "Publish a version of a pattern and write its PDFs to a folder."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """The pattern, the number, where the files go."""
        parser.add_argument("slug", help="The pattern, as in its address.")
        parser.add_argument(
            "--number", required=True, help="Such as 1.1 for corrections, 2.0 for a new grading."
        )
        parser.add_argument("--test", action="store_true", help="Publish a test version, for testers only.")
        parser.add_argument("--note", default="", help="What changed, in your own words.")
        parser.add_argument("--out", type=Path, help="The folder to write the PDFs to.")
        parser.add_argument("--home", action="store_true", help="Only the edition in home units and terms.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Publish, or finish what an earlier run began, then write the files."""
        pattern = Pattern.objects.filter(slug=options["slug"]).select_related("sheet").first()
        if pattern is None:
            raise CommandError(
                f"There is no pattern “{options['slug']}”: use the last part of the link of its page."
            )
        if options["out"]:
            _check_folder(options["out"])
        version = self._begun(pattern, options) or self._publish(pattern, options)
        self.stdout.write(f"Version {version.number} is published, record {version.sha256}.")
        if options["out"]:
            for edition in version.editions.filter(state="made"):
                self.stdout.write(str(_write(edition, options["out"])))

    def _begun(self, pattern: Pattern, options: dict[str, Any]) -> Version | None:
        """A version that was frozen before and is finished now, as the kind that it was frozen as."""
        number, kind = options["number"], "test" if options["test"] else "release"
        version = studio_version(pattern, number)
        if version is None or version.state == "published":
            return None
        if version.kind != kind:
            raise CommandError(
                f"Nothing was published. Version {number} was frozen as a {version.kind} version: "
                "publish it as that, or take it back under Versions."
            )
        self.stdout.write(f"Version {number} was frozen before: its editions are made now.")
        version.editions.filter(state="failed").update(state="waiting", says="")
        make_editions(version)
        if version.state != "published":
            says = " ".join(version.editions.exclude(says="").values_list("says", flat=True))
            raise CommandError(says or "Its editions are being made by another process.")
        return version

    def _publish(self, pattern: Pattern, options: dict[str, Any]) -> Version:
        """Freeze and publish; what stands in the way is said line by line."""
        kind = "test" if options["test"] else "release"
        for obstacle in in_the_way(pattern, kind):  # type: ignore[arg-type]
            self.stderr.write(f"{obstacle.weight}: {obstacle.says}")
        document = pattern_document(pattern)
        wanted = [one for one, is_made in suggested_choices(document, ()) if is_made]
        try:
            return publish_version(
                Publication(
                    pattern=pattern,
                    kind=kind,  # type: ignore[arg-type]
                    number=options["number"],
                    note=options["note"],
                    by=None,
                    editions=wanted[:1] if options["home"] else wanted,
                )
            )
        except PublishingStop as stop:
            raise CommandError(f"Nothing was published. {stop}")
        except (NumberTaken, EditionFailed) as problem:
            raise CommandError(f"Nothing was published. {problem}")
        except DatabaseError as problem:
            raise CommandError(f"Nothing was published: the database did not answer ({problem}). Try again.")


def _check_folder(folder: Path) -> None:
    """Refuse a folder that can't be written to, before anything is published."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryFile(dir=folder):
            pass
    except OSError as problem:
        raise CommandError(
            f"Nothing was published: {folder} can't be written to ({problem.strerror or problem})."
        )


def _write(edition: Edition, folder: Path) -> Path:
    """Copy the file of an edition; its name says which it is."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        version = edition.version
        path = (
            folder / f"{version.pattern.slug}-{version.number}-{slugify(edition.code.replace('|', '-'))}.pdf"
        )
        with edition.file.open("rb") as stored:
            path.write_bytes(stored.read())
    except OSError as problem:
        raise CommandError(f"A file could not be written to {folder}: {problem.strerror or problem}.")
    return path
