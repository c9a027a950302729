"""Unpacks one picture with limits on time and memory: the picture comes in, its stored forms go out.

It loads Pillow and nothing else, so that it starts at once, and knows neither settings nor database.
"""

import ctypes
import io
import json
import resource
import signal
import sys
from pathlib import Path

from catalogue.photos.pictures import CleanPhoto, PhotoRefused, clean_picture


def main(cpu_seconds: int, memory_mib: int) -> None:
    """Read a picture and answer one line, with the files behind it."""
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # nobody waits for what an ended studio asked
    _set_limits(cpu_seconds, memory_mib)
    try:
        answer = _written(clean_picture(io.BytesIO(sys.stdin.buffer.read())))
    except PhotoRefused as refused:
        answer = _line({"says": str(refused)})
    except MemoryError:
        answer = _line({"says": "The picture takes too much memory to unpack: make it smaller."})
    sys.stdout.buffer.write(answer)


def _set_limits(cpu_seconds: int, memory_mib: int) -> None:
    """Bound time, and memory beyond what is in use; write no files."""
    in_use = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    most = in_use + memory_mib * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def _written(clean: CleanPhoto) -> bytes:
    """A photo as a line that tells of its files, and the files."""
    told = {"width_px": clean.width_px, "height_px": clean.height_px, "digest": clean.digest}
    files = [(len(one.content), one.format, one.width_px, one.height_px) for one in clean.files]
    return _line({**told, "files": files}) + b"".join(one.content for one in clean.files)


def _line(told: dict[str, object]) -> bytes:
    return json.dumps(told).encode() + b"\n"


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
