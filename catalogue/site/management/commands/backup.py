"""Writes the whole studio into one file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.site.backups import BackupError, write_backup
from catalogue.site.running import note_backup
from catalogue.studio.out_of_reach import FilesOutOfReach


class Command(BaseCommand):
    """`backup FILE`: rows of one moment and all files, while the studio goes on."""

    help = "Write every row and file of the studio into one file; the studio can stay open."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to."""
        parser.add_argument("file", type=Path, help="The backup to write, like studio.zip.")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Write, and say how much."""
        try:
            counted = write_backup(file)
        except BackupError as problem:
            raise CommandError(str(problem)) from None
        except FilesOutOfReach as problem:
            raise CommandError(str(problem), returncode=2) from None
        for name in counted.missing:
            self.stderr.write(f"{name} is missing from the files of the studio.")
        if counted.missing:
            number = len(counted.missing)
            missing = "1 file is missing" if number == 1 else f"{number} files are missing"
            raise CommandError(
                f"{file} is written, but {missing} from it: look for an older backup that has the rest."
            )
        note_backup()
        self.stdout.write(
            f"{counted.rows} rows and {counted.files} files are in {file}. "
            "It contains personal data and sign-in secrets: keep it where nobody else can read it."
        )
