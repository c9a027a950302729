"""Unpacks one picture with limits on time and memory: the picture comes in, its stored forms go out.

It loads Pillow and nothing else, so that it starts at once, and knows neither settings nor database.
"""

import io
import json
import sys

from catalogue.photos.pictures import CleanPhoto, PhotoRefused, clean_picture
from catalogue.studio.process_limits import limit_this_process


def main(cpu_seconds: int, memory_mib: int) -> None:
    """Read a picture and answer one line, with the files behind it."""
    limit_this_process(cpu_seconds=cpu_seconds, memory_mib=memory_mib)
    try:
        answer = _written(clean_picture(io.BytesIO(sys.stdin.buffer.read())))
    except PhotoRefused as refused:
        answer = _line({"says": str(refused)})
    except MemoryError:
        answer = _line({"says": "The picture takes too much memory to open: make it smaller."})
    sys.stdout.buffer.write(answer)


def _written(clean: CleanPhoto) -> bytes:
    """A photo as a line that tells of its files, and the files."""
    told = {"width_px": clean.width_px, "height_px": clean.height_px, "digest": clean.digest}
    files = [(len(one.content), one.format, one.width_px, one.height_px) for one in clean.files]
    return _line({**told, "files": files}) + b"".join(one.content for one in clean.files)


def _line(told: dict[str, object]) -> bytes:
    return json.dumps(told).encode() + b"\n"


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
