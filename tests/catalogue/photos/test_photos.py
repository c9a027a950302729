"""Photos: what is taken, what is refused, and what is left of a picture."""

import io
import subprocess
import sys
import time
from pathlib import Path
from typing import Any, cast

import pytest
import weasyprint  # noqa: F401 it changes how Pillow reads damaged files
from PIL import Image

from catalogue.photos.intake import store_photo
from catalogue.photos.pictures import WIDTHS_PX, PhotoRefused, clean_picture
from tests.catalogue import pictures

pytestmark = pytest.mark.any_database

CASES = {case["name"]: case for case in pictures.bad_images()["cases"]}


def names(**wanted):
    return [name for name, case in CASES.items() if all(case.get(k) == v for k, v in wanted.items())]


@pytest.mark.parametrize("name", names(becomes="refused"))
def test_what_is_no_photo_is_refused_in_one_sentence(name):
    case = CASES[name]
    with pytest.raises(PhotoRefused) as refusal:
        clean_picture(io.BytesIO(pictures.make(case)))
    assert case.get("says", "") in str(refusal.value)
    assert str(refusal.value).endswith(".")
    assert str(refusal.value).count(". ") == 0


@pytest.mark.parametrize("name", names(becomes="stored"))
def test_what_is_taken_is_made_clean(name):
    case = CASES[name]
    content = pictures.make(case)
    started = time.perf_counter()
    clean = clean_picture(io.BytesIO(content))
    assert time.perf_counter() - started < case.get("most_seconds", 5)
    for one in clean.files:
        for words in case.get("absent", []):
            assert words.encode() not in one.content, words
        with Image.open(io.BytesIO(one.content)) as stored:
            stored.load()
            assert not stored.getexif()
            assert not set(stored.info) & {"exif", "xmp", "comment", "icc_profile"}
            assert getattr(stored, "n_frames", 1) == 1
            assert stored.size == (one.width_px, one.height_px)


def parts_of(content):
    """The names of all parts of a JPEG (ITU-T T.81, annex B) or a WebP file (RFC 9649)."""
    if content.startswith(b"RIFF"):
        assert int.from_bytes(content[4:8], "little") + 8 == len(content)
        at = 12
        while at < len(content):
            yield content[at : at + 4].decode()
            size = int.from_bytes(content[at + 4 : at + 8], "little")
            at += 8 + size + size % 2
        return
    at = 2
    while content[at + 1] != 0xDA:
        yield f"{content[at + 1]:02X}"
        at += 2 + int.from_bytes(content[at + 2 : at + 4], "big")
    end = content.rindex(b"\xff\xd9") + 2
    yield from ["scan"] + (["bytes after the end"] if end != len(content) else [])


@pytest.mark.parametrize("name", names(becomes="stored"))
def test_a_stored_picture_has_no_part_that_could_tell_more_than_the_picture(name):
    """JPEG: JFIF header, tables and frame, no other APPn and no comment; WebP: the picture alone."""
    for one in clean_picture(io.BytesIO(pictures.make(CASES[name]))).files:
        needed = {"E0", "DB", "C0", "C2", "C4", "DD", "scan"} if one.format == "jpg" else {"VP8 ", "VP8L"}
        assert set(parts_of(one.content)) <= needed


def test_the_tag_that_turns_a_picture_is_obeyed_before_it_is_dropped():
    # Orientation 6 of the Exif standard: turn a quarter clockwise to see it upright.
    clean = clean_picture(io.BytesIO(pictures.jpeg_turned(None)))
    stored = Image.open(io.BytesIO(clean.files[0].content))
    assert stored.size == (32, 64)
    top, bottom = (cast("tuple[int, int, int]", stored.getpixel((16, y))) for y in (8, 56))
    assert top[0] > 200 > 60 > top[2]
    assert bottom[2] > 200 > 60 > bottom[0]


@pytest.mark.parametrize("name", ["jpeg_in_printing_colours", "png_of_16_bits"])
def test_unusual_pixels_keep_their_colour(name):
    case = CASES[name]
    clean = clean_picture(io.BytesIO(pictures.make(case)))
    found: Any = Image.open(io.BytesIO(clean.files[0].content)).getpixel((8, 8))
    assert all(abs(seen - wanted) <= 6 for seen, wanted in zip(found, case["colour"], strict=True)), found


def test_a_see_through_picture_is_laid_on_white():
    target = io.BytesIO()
    Image.new("RGBA", (16, 16), (0, 0, 0, 0)).save(target, "PNG")
    clean = clean_picture(io.BytesIO(target.getvalue()))
    assert Image.open(io.BytesIO(clean.files[0].content)).getpixel((4, 4)) == (255, 255, 255)


def test_a_large_picture_is_stored_in_a_few_widths_and_two_formats():
    clean = clean_picture(io.BytesIO(pictures.jpeg(pictures.two_colours((3200, 1600)))))
    assert [(one.format, one.width_px) for one in clean.files] == [
        (form, width) for width in WIDTHS_PX for form in ("jpg", "webp")
    ]
    assert (clean.width_px, clean.height_px) == (1600, 800)


def test_a_small_picture_is_never_blown_up():
    clean = clean_picture(io.BytesIO(pictures.jpeg()))
    assert {one.width_px for one in clean.files} == {64}


def test_stored_names_are_ours_and_the_same_picture_is_stored_once(settings):
    clean = clean_picture(io.BytesIO(pictures.jpeg()))
    first, second = store_photo(clean), store_photo(clean)
    assert first == second
    kept = sorted(path.name for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file())
    assert kept == [f"{clean.digest}-64.jpg", f"{clean.digest}-64.webp"]


MEASURE = """
import io, sys
import weasyprint
from pathlib import Path
from catalogue.photos.pictures import PhotoRefused, clean_picture
def most_memory():
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM"))
content = Path(sys.argv[1]).read_bytes()
before = most_memory()
try:
    clean_picture(io.BytesIO(content))
except PhotoRefused:
    print(most_memory() - before)
"""


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "most_memory_mib" in case])
def test_a_bomb_is_refused_before_it_is_unpacked(name, tmp_path):
    case = CASES[name]
    bomb = tmp_path / "bomb"
    bomb.write_bytes(pictures.make(case))
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, str(bomb)], capture_output=True, text=True, check=True, cwd=Path.cwd()
    )
    assert int(done.stdout) < case["most_memory_mib"] * 1024
