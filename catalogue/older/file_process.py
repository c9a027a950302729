"""Reads the text of one file with limits on time and memory; it knows neither settings nor database."""

import json
import logging
import sys

from catalogue.older.file_texts import FileRefusedError, read_file
from catalogue.studio.process_limits import limit_this_process


def main(cpu_seconds: int, memory_mib: int) -> None:
    """Read a line with the file's name and the file behind it; answer its text, or why there is none."""
    logging.disable()  # what a library has to say about a stranger's file
    limit_this_process(cpu_seconds=cpu_seconds, memory_mib=memory_mib)
    try:
        name, _, content = sys.stdin.buffer.read().partition(b"\n")
        answer = {"text": read_file(json.loads(name), content)}
    except FileRefusedError as refused:
        answer = {"says": str(refused)}
    except MemoryError:
        answer = {"says": "The file takes too much memory to read: paste its text."}
    sys.stdout.write(json.dumps(answer))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
