"""README's pictures: there, of the names that the command takes, and not too heavy for a slow line."""

import re
from pathlib import Path

from django.conf import settings
from PIL import Image

from catalogue.site.management.commands import pictures

README = Path(settings.BASE_DIR) / "README.md"


def test_the_pictures_of_readme_are_those_that_the_command_takes():
    shown = set(re.findall(r"catalogue/site/pictures/(\w+)\.webp", README.read_text()))
    assert shown == {"sheet", "results", "pdf", "phone"}
    assert {path.stem for path in pictures.FOLDER.iterdir()} == shown
    for name in shown:
        path = pictures.FOLDER / f"{name}.webp"
        assert path.stat().st_size < 200_000
        with Image.open(path) as picture:
            assert min(picture.size) >= 600
