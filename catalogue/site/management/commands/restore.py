"""Puts a studio back from a backup."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.site.backups import BackupError
from catalogue.site.restoring import restore_backup
from catalogue.site.supervisor import only_one
from catalogue.site.verification import studio_faults
from catalogue.studio.out_of_reach import FilesOutOfReach


class Command(BaseCommand):
    """`restore FILE`: the studio as it was; into an empty one, or with --replace in place of another."""

    help = "Restore the studio from a backup; what was erased on request stays erased."

    def add_arguments(self, parser: CommandParser) -> None:
        """From where, and whether what is there may go."""
        parser.add_argument("file", type=Path, help="A backup that “backup” wrote.")
        parser.add_argument("--replace", action="store_true", help="Replace the studio that is there.")

    def handle(self, *args: Any, file: Path, replace: bool, **options: Any) -> None:
        """Restore and verify."""
        with only_one():
            try:
                counted = restore_backup(file, replace=replace)
                found = list(studio_faults())
            except BackupError as problem:
                raise CommandError(str(problem)) from None
            except FilesOutOfReach as problem:
                raise CommandError(str(problem), returncode=2) from None
        for fault in found:
            self.stderr.write(fault)
        if found:
            raise CommandError(f"The backup is restored, but {len(found)} faults were found.")
        self.stdout.write(
            f"{counted.rows} rows and {counted.files} files are restored; "
            f"{counted.erased} erased again. Every version is complete."
        )
