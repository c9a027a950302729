"""Picture files made for the tests: honest ones and the ones of tests/data/bad_images.json."""

import io
import json
import struct
import zlib
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

DATA = Path(__file__).resolve().parents[1] / "data"


def bad_images():
    return json.loads((DATA / "bad_images.json").read_text())


def make(case):
    """The bytes of one case."""
    return MAKERS[case["make"]](case)


def two_colours(size=(64, 32)):
    """Left half red, right half blue: shows how a picture is turned."""
    picture = Image.new("RGB", size, "red")
    ImageDraw.Draw(picture).rectangle([size[0] // 2, 0, size[0], size[1]], fill="blue")
    return picture


def jpeg(picture=None, **options):
    target = io.BytesIO()
    (picture or two_colours()).save(target, "JPEG", quality=95, **options)
    return target.getvalue()


def chunk(kind, content):
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def flat_png(case, extra=b"", depth=None):
    """A PNG written by hand, so that a huge one costs no memory to make."""
    depth = depth or case["depth"]
    colour_type = 0 if depth == 1 else 2
    row_bytes = 1 + ((case["width"] + 7) // 8 if depth == 1 else case["width"] * 3)
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(bytes(row_bytes)) for _ in range(case["height"])) + packer.flush()
    header = struct.pack(">IIBBBBB", case["width"], case["height"], depth, colour_type, 0, 0, 0)
    body = chunk(b"IHDR", header) + extra + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def jpeg_with_gps(_):
    exif = Image.Exif()
    exif[0x010E] = "taken at home"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    packet = b"http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta xmlns:x='adobe:ns:meta/'>taken at home</x:xmpmeta>"
    plain = jpeg(exif=exif)
    return plain[:2] + b"\xff\xe1" + struct.pack(">H", len(packet) + 2) + packet + plain[2:]


def jpeg_turned(_):
    exif = Image.Exif()
    exif[0x0112] = 6
    return jpeg(exif=exif)


def jpeg_with_tail(case):
    return jpeg() + case["tail"].encode() * 50


def jpeg_cut(case):
    speckled = np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8)
    whole = jpeg(Image.fromarray(speckled))
    return whole[: int(len(whole) * case["keep"])]


def other_format(case):
    target = io.BytesIO()
    picture = two_colours((64, 64))
    picture.save(target, case["format"])
    return target.getvalue()


def moving_png(case):
    """First frame in full, the others as tiny frame chunks."""
    size = {"width": 8, "height": 8}
    packed = zlib.compress(bytes((1 + 24) * 8))
    frames, sequence = [], 1
    control = struct.pack(">IIIIIHHBB", 0, 8, 8, 0, 0, 1, 10, 0, 0)
    for _ in range(case["frames"] - 1):
        later = struct.pack(">I", sequence) + control[4:]
        frames += [chunk(b"fcTL", later), chunk(b"fdAT", struct.pack(">I", sequence + 1) + packed)]
        sequence += 2
    start = chunk(b"acTL", struct.pack(">II", case["frames"], 0)) + chunk(b"fcTL", control)
    plain = flat_png({**size, "depth": 8}, extra=start)
    end = chunk(b"IEND", b"")
    return plain.removesuffix(end) + b"".join(frames) + end


def moving_webp(case):
    target = io.BytesIO()
    shades = [Image.new("RGB", (16, 16), (n % 256, n // 256, 0)) for n in range(case["frames"])]
    shades[0].save(target, "WEBP", save_all=True, append_images=shades[1:], duration=20, method=0)
    return target.getvalue()


def png_with_packed_text(case):
    packed = zlib.compress(b"a" * (case["megabytes"] * 1024 * 1024), 9)
    return flat_png({"width": 2, "height": 2, "depth": 8}, extra=chunk(b"zTXt", b"note\x00\x00" + packed))


def jpeg_cmyk(_):
    # No cyan, full magenta, full yellow: red.
    return jpeg(Image.new("CMYK", (32, 32), (0, 255, 255, 0)))


def png_16_bits(_):
    target = io.BytesIO()
    Image.fromarray(np.full((32, 32), 128 * 257, dtype=np.uint16)).save(target, "PNG")
    return target.getvalue()


def webp_header(case):
    """An extended WebP header that claims a huge canvas."""
    extended = bytes([0x02, 0, 0, 0]) + (case["width"] - 1).to_bytes(3, "little")
    extended += (case["height"] - 1).to_bytes(3, "little")
    body = (
        b"WEBPVP8X" + struct.pack("<I", len(extended)) + extended + b"ANIM" + struct.pack("<I", 6) + bytes(6)
    )
    return b"RIFF" + struct.pack("<I", len(body)) + body


MAKERS = {
    "flat_png": flat_png,
    "jpeg_with_gps": jpeg_with_gps,
    "jpeg_with_comment": lambda case: jpeg(comment=case["text"].encode()),
    "jpeg_turned": jpeg_turned,
    "jpeg_with_tail": jpeg_with_tail,
    "jpeg_cut": jpeg_cut,
    "text": lambda case: case["text"].encode("latin-1"),
    "other_format": other_format,
    "moving_png": moving_png,
    "moving_webp": moving_webp,
    "png_with_packed_text": png_with_packed_text,
    "jpeg_cmyk": jpeg_cmyk,
    "png_16_bits": png_16_bits,
    "heavy": lambda case: b"\xff\xd8\xff" + bytes(case["megabytes"] * 1024 * 1024),
    "webp_header": webp_header,
}
