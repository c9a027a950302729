"""Wheels with nothing in them but their name, their version and what they want."""

import hashlib
import re
import zipfile
from collections.abc import Iterable
from email.message import Message
from importlib.metadata import metadata
from pathlib import Path

COPIED = ("Requires-Dist", "Provides-Extra")


def make_wheel(folder: Path, name: str, version: str, wants: Iterable[tuple[str, str]]) -> str:
    """Write a wheel into a folder and tell the hash that a lock names."""
    about = Message()
    for field, value in [("Metadata-Version", "2.1"), ("Name", name), ("Version", version), *wants]:
        about[field] = value
    stem = f"{name.replace('-', '_')}-{version}"
    files = {
        f"{stem}.dist-info/METADATA": str(about),
        f"{stem}.dist-info/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = f"{stem}.dist-info/RECORD"
    files[record] = "".join(f"{file},,\n" for file in [*files, record])
    path = folder / f"{stem}-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as wheel:
        for file, text in files.items():
            wheel.writestr(file, text)
    return f"sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}"


def make_index(folder: Path, wheels: Path) -> str:
    """A page for each name that links its wheels, as pip asks an index for them; tell the index's address."""
    for name in {path.name.split("-")[0] for path in wheels.iterdir()}:
        links = [f'<a href="{path.as_uri()}">{path.name}</a>' for path in wheels.glob(f"{name}-*.whl")]
        page = folder / re.sub(r"[._]+", "-", name).lower() / "index.html"
        page.parent.mkdir(parents=True)
        page.write_text(f"<!DOCTYPE html>{''.join(links)}")
    return folder.as_uri()


def copied_wants(name: str) -> list[tuple[str, str]]:
    """What an installed package wants, with and without extras, as its own metadata says it."""
    about = metadata(name)
    return [(field, value) for field in COPIED for value in about.get_all(field, [])]
