"""Check that every version and every photo is whole."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from catalogue.models import Version
from catalogue.site.verification import studio_faults
from catalogue.studio.out_of_reach import FilesOutOfReach


class Command(BaseCommand):
    """`verify`: hashes of files, records and database agree, or each fault is named and the exit is 1."""

    help = "Check that the files, records and rows of all versions agree, and that every photo is intact."

    def handle(self, *args: Any, **options: Any) -> None:
        """Name every fault."""
        count = 0
        try:
            for fault in studio_faults():
                self.stderr.write(fault)
                count += 1
        except FilesOutOfReach as problem:
            raise CommandError(str(problem), returncode=2) from None
        if count:
            raise CommandError(f"{count} fault{'' if count == 1 else 's'} found.")
        self.stdout.write(f"All {Version.objects.count()} versions are complete.")
