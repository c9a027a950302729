"""Backups that were cut, changed or made up: each a sound one with something done to it, by what that is."""

import hashlib
import io
import json
import stat
import struct
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

ABOUT, ROWS = "about.json", "rows.jsonl"
BOMB_BYTES = 300_000_000
PHOTO = "files/photos/one.jpg"
HOSTILE: dict[str, Callable[[bytes, Path], None]] = {}

Row = dict[str, Any]


def hostile(name):
    """Name a way to spoil a backup: a function of its bytes and where to write."""

    def keep(make):
        HOSTILE[name] = make
        return make

    return keep


def parts_of(sound: bytes) -> dict[str, bytes]:
    """The parts of a backup by their names."""
    with zipfile.ZipFile(io.BytesIO(sound)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def write(target: Path, parts: dict[str, bytes], *more: tuple[str, bytes]) -> None:
    """Write parts as an archive, some of them twice where that is wanted."""
    with warnings.catch_warnings(), zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        warnings.simplefilter("ignore")  # of names that stand there twice
        for name, content in [*parts.items(), *more]:
            archive.writestr(name, content)


def with_about(**changes):
    """A backup that says something else of itself; None takes a key away."""

    def make(sound, target):
        parts = parts_of(sound)
        about = {**json.loads(parts[ABOUT]), **changes}
        parts[ABOUT] = json.dumps({key: told for key, told in about.items() if told is not ...}).encode()
        write(target, parts)

    return make


def with_file(name, content=b"A picture.", sha256=None):
    """A backup with one more file, told of as it is."""

    def make(sound, target):
        parts = parts_of(sound)
        about = json.loads(parts[ABOUT])
        about["files"][name] = sha256 or hashlib.sha256(content).hexdigest()
        parts |= {ABOUT: json.dumps(about).encode(), f"files/{name}": content}
        write(target, parts)

    return make


def with_lines(change):
    """A backup with other rows, whose number and hash are told of as they are."""

    def make(sound, target):
        parts = parts_of(sound)
        lines = change(parts[ROWS].splitlines())
        parts[ROWS] = b"".join(line + b"\n" for line in lines)
        about = json.loads(parts[ABOUT])
        about |= {"rows": len(lines), "rows_sha256": hashlib.sha256(parts[ROWS]).hexdigest()}
        parts[ABOUT] = json.dumps(about).encode()
        write(target, parts)

    return make


def with_row(change, model="catalogue.person"):
    """A backup in which the first row of a table is another."""

    def changed(lines):
        rows = [json.loads(line) for line in lines]
        place = next(at for at, row in enumerate(rows) if row["model"] == model)
        rows[place] = change(rows[place])
        return [json.dumps(row).encode() for row in rows]

    return with_lines(changed)


def with_field(name, value, model="catalogue.person"):
    """A backup in which a field of a row holds something else."""
    return with_row(lambda row: {**row, "fields": {**row["fields"], name: value}}, model)


def raw(change):
    """A backup whose bytes are others."""
    return lambda sound, target: target.write_bytes(change(sound))


def with_flag(sound: bytes, *, encrypted: bool = False, method: int | None = None) -> bytes:
    """The first entry of an archive said to be encrypted or packed in another way (APPNOTE 4.3 of ZIP)."""
    changed = bytearray(sound)
    for signature, flag_at, method_at in ((b"PK\x03\x04", 6, 8), (b"PK\x01\x02", 8, 10)):
        at = changed.find(signature)
        while at >= 0:
            if encrypted:
                changed[at + flag_at] |= 1
            if method is not None:
                changed[at + method_at : at + method_at + 2] = struct.pack("<H", method)
            at = changed.find(signature, at + 4)
    return bytes(changed)


def with_size(sound: bytes, name: str, size: int) -> bytes:
    """An archive that says another size of an entry than it has."""
    changed = bytearray(sound)
    at = changed.find(name.encode(), changed.find(b"PK\x01\x02")) - 46
    changed[at + 24 : at + 28] = struct.pack("<I", size)
    return bytes(changed)


def bomb(name):
    """A part that unpacks to far more than it takes in the archive."""

    def make(sound, target):
        parts = parts_of(sound)
        about = json.loads(parts[ABOUT])
        if name.startswith("files/"):
            about["files"][name.removeprefix("files/")] = "0" * 64
        parts[ABOUT] = json.dumps(about).encode()
        parts.pop(name, None)
        write(target, parts)
        with (
            zipfile.ZipFile(target, "a", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
            archive.open(name, "w", force_zip64=True) as part,
        ):
            for _ in range(BOMB_BYTES // (1 << 24)):
                part.write(b" " * (1 << 24))

    return make


HOSTILE |= {
    "empty": raw(lambda _: b""),
    "no archive at all": raw(lambda _: b"Dear studio, this is no backup.\n" * 40),
    "cut in the middle": raw(lambda sound: sound[: len(sound) // 2]),
    "cut at its end": raw(lambda sound: sound[:-40]),
    "cut at its start": raw(lambda sound: sound[30:]),
    "with a byte changed in every hundred": raw(
        lambda sound: bytes(byte ^ (at % 100 == 50) for at, byte in enumerate(sound))
    ),
    "encrypted": raw(lambda sound: with_flag(sound, encrypted=True)),
    "packed in an unknown way": raw(lambda sound: with_flag(sound, method=97)),
    "packed in another way than it says": raw(lambda sound: with_flag(sound, method=14)),
    "with a wrong size": raw(lambda sound: with_size(sound, ROWS, 7)),
    "without saying what is in it": lambda sound, target: write(
        target, {name: part for name, part in parts_of(sound).items() if name != ABOUT}
    ),
    "without rows": lambda sound, target: write(
        target, {name: part for name, part in parts_of(sound).items() if name != ROWS}
    ),
    "without a file that it tells of": lambda sound, target: write(
        target, {name: part for name, part in parts_of(sound).items() if name != PHOTO}
    ),
    "with a part that it does not tell of": lambda sound, target: write(
        target, {**parts_of(sound), "files/photos/other.jpg": b"Another."}
    ),
    "with two that say what is in it": lambda sound, target: write(
        target, parts_of(sound), (ABOUT, parts_of(sound)[ABOUT])
    ),
    "with a file that stands in it twice": lambda sound, target: write(
        target, parts_of(sound), (PHOTO, b"Another.")
    ),
    "that says what is in it in no JSON": lambda sound, target: write(
        target, {**parts_of(sound), ABOUT: b"{format: 1"}
    ),
    "that says a list": lambda sound, target: write(target, {**parts_of(sound), ABOUT: b"[]"}),
    "that says nothing": lambda sound, target: write(target, {**parts_of(sound), ABOUT: b"null"}),
    "nested too deep": lambda sound, target: write(
        target, {**parts_of(sound), ABOUT: b"[" * 100_000 + b"]" * 100_000}
    ),
    "in no UTF-8": lambda sound, target: write(target, {**parts_of(sound), ABOUT: b'{"format": "\xff\xfe"}'}),
    "of a later form": with_about(format=9),
    "whose form is a word": with_about(format="1"),
    "whose form is a yes": with_about(format=True),
    "of other tables": with_about(tables=["catalogue.0099_later"]),
    "whose tables are a word": with_about(tables="catalogue"),
    "without its number of rows": with_about(rows=...),
    "with another number of rows": with_about(rows=3),
    "whose files are a list": with_about(files=["photos/one.jpg"]),
    "whose files have numbers for hashes": with_about(files={"photos/one.jpg": 4}),
    "with one thing more": with_about(command="rm"),
    "with the hash of other rows": with_about(rows_sha256="0" * 64),
    "with a file above the storage": with_file("../outside.txt"),
    "with a file deep above the storage": with_file("photos/../../outside.txt"),
    "with a file at the root of the disk": with_file("/tmp/outside.txt"),
    "with a file behind backslashes": with_file("..\\outside.txt"),
    "with a file without a name": with_file("photos//"),
    "with a name longer than any": with_file(f"photos/{'x' * 300}.jpg"),
    "with a name that breaks the line": with_file("photos/one\ntwo.jpg"),
    "with a file where a folder is": with_file("photos"),
    "with a file under a file": with_file("photos/one.jpg/two.jpg"),
    "with the hash of another file": with_file("photos/two.jpg", sha256="0" * 64),
    "with rows in no JSON": with_lines(lambda lines: [*lines, b"{model:"]),
    "with a row that is a list": with_lines(lambda lines: [*lines, b"[1, 2]"]),
    "with an empty row": with_lines(lambda lines: [*lines, b"{}"]),
    "with a row twice": with_lines(lambda lines: [*lines, lines[-1]]),
    "with a row nested too deep": with_lines(lambda lines: [*lines, b"[" * 100_000 + b"]" * 100_000]),
    "with a row of no UTF-8": with_lines(lambda lines: [*lines, b'{"model": "\xff"}']),
    "with a row of an unknown table": with_row(lambda row: {**row, "model": "catalogue.dragon"}),
    "with a row whose table is a number": with_row(lambda row: {**row, "model": 4}),
    "with a row of a table that no backup has": with_lines(
        lambda lines: [*lines, b'{"model": "sessions.session", "pk": "x", "fields": {}}']
    ),
    "with a row without a key": with_row(lambda row: {**row, "pk": None}),
    "with a row whose key is a word": with_row(lambda row: {**row, "pk": "one"}),
    "with a row whose key is a list": with_row(lambda row: {**row, "pk": [1]}),
    "with a row whose key is a yes": with_row(lambda row: {**row, "pk": True}),
    "with a row whose key is larger than any": with_row(lambda row: {**row, "pk": 10**30}),
    "with a row without its fields": with_row(lambda row: {**row, "fields": {}}),
    "with a row whose fields are a list": with_row(lambda row: {**row, "fields": []}),
    "with a field that is unknown": with_field("shoe_size", 38),
    "with a table in place of a name": with_field("name", {"first": "Wren"}),
    "with a word in place of a yes": with_field("is_superuser", "perhaps"),
    "with a word in place of a moment": with_field("joined_at", "yesterday"),
    "with nothing where there must be something": with_field("email", None),
    "with a name that can't be stored": with_field("name", "Wren\x00"),
    "with half a character": with_field("name", "Wren \ud800"),
    "with a group that is none": with_field("groups", [987654]),
    "with groups that are a word": with_field("groups", "12"),
    "with a note about nobody": with_field("person", 987654, "testing.testernote"),
    "with a person named by no address": with_field(
        "person", ["nobody@larkmoss.example"], "testing.testernote"
    ),
    "with a number in place of a person": with_field("person", 1.5, "testing.testernote"),
    "with a key of the studio that is none": lambda sound, target: write(
        target, {**parts_of(sound), "secret_key": b"\xff" * 40}
    ),
    "with a key of the studio as long as a book": lambda sound, target: write(
        target, {**parts_of(sound), "secret_key": b"k" * 1_000_000}
    ),
    "that unpacks without end where it says what is in it": bomb(ABOUT),
    "that unpacks without end in its rows": bomb(ROWS),
    "that unpacks without end in a file": bomb("files/photos/two.jpg"),
}


@hostile("with a link in place of a file")
def with_link(sound, target):
    """An entry that is a symbolic link to elsewhere; it is stored as the bytes that it has, or refused."""
    parts = parts_of(sound)
    about = json.loads(parts[ABOUT])
    about["files"]["photos/link"] = "0" * 64
    parts[ABOUT] = json.dumps(about).encode()
    write(target, parts)
    with zipfile.ZipFile(target, "a") as archive:
        link = zipfile.ZipInfo("files/photos/link")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/hostname")
