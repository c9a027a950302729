"""Files of older patterns: their text, read in a process that is ended when it takes too much."""

import json
from typing import IO

from catalogue.older.file_texts import MOST_BYTES, FileRefusedError
from catalogue.studio.limited_process import NoAnswerError, TookTooLongError, run_limited

CPU_SECONDS = 20
SECONDS = 60.0
MEMORY_MIB = 400
_TOO_LONG = "The file takes too long to read: paste its text."
_NOT_NOW = "The file could not be read: save it again, or paste its text."


def read_upload(name: str, upload: IO[bytes]) -> str:
    """Text of an uploaded file.

    Raises:
        FileRefusedError: There is none to be had; the text says why in one sentence.
    """
    content = upload.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        most = MOST_BYTES // (1024 * 1024)
        raise FileRefusedError(f"The file is larger than {most} MB: save it without its pictures.")
    try:
        answer = json.loads(
            run_limited(
                "catalogue.older.file_process",
                json.dumps(name).encode() + b"\n" + content,
                cpu_seconds=CPU_SECONDS,
                memory_mib=MEMORY_MIB,
                seconds=SECONDS,
            )
        )
    except TookTooLongError:
        raise FileRefusedError(_TOO_LONG) from None
    except NoAnswerError:
        raise FileRefusedError(_NOT_NOW) from None
    if "says" in answer:
        raise FileRefusedError(answer["says"])
    return str(answer["text"])
