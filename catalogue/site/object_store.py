"""Files in an object store; what goes wrong there is told with its address and what to do.

It is asked with short patience, and a file is read whole before it is handed on: a page or a chore learns
at once that the store is away, not in the middle of its answer.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from boto3.exceptions import Boto3Error
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError, HTTPClientError
from botocore.exceptions import ConnectionError as NotConnected
from django.core.files import File
from s3transfer.exceptions import RetriesExceededError
from storages.backends.s3 import S3Storage

from catalogue.studio.out_of_reach import FilesOutOfReach

PATIENCE = Config(connect_timeout=5, read_timeout=20, retries={"total_max_attempts": 2, "mode": "standard"})
_MISSING = 404
_REFUSED = (401, 403)


class ObjectStore(S3Storage):
    """A bucket, and perhaps a folder in it."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        usual: Config = self.client_config  # type: ignore[has-type]
        self.client_config = usual.merge(PATIENCE)

    def exists(self, name: str) -> bool:
        """Whether there is a file of this name."""
        with self._told(name):
            return bool(super().exists(name))

    def delete(self, name: str) -> None:
        """Take a file away; one that is gone already is fine."""
        with self._told(name):
            super().delete(name)

    def listdir(self, name: str) -> tuple[list[str], list[str]]:
        """The folders and files in a folder."""
        with self._told(name):
            folders, files = super().listdir(name)
            return folders, files

    def size(self, name: str) -> int:
        """How many bytes a file has."""
        with self._told(name):
            return int(super().size(name))

    def get_modified_time(self, name: str) -> datetime:
        """When a file was last written."""
        with self._told(name):
            written: datetime = super().get_modified_time(name)
            return written

    def _open(self, name: str, mode: str = "rb") -> File[bytes]:
        with self._told(name):
            found: File[bytes] = super()._open(name, mode)
            if "r" in mode:
                found.open()
            return found

    def _save(self, name: str, content: File[bytes]) -> str:
        with self._told(name):
            return str(super()._save(name, content))

    @contextmanager
    def _told(self, name: str) -> Iterator[None]:
        """Tell what goes wrong in a sentence; a single file that is not there is just that."""
        try:
            yield
        except ClientError as answer:
            if _status(answer) == _MISSING and _code(answer) != "NoSuchBucket":
                raise FileNotFoundError(f"There is no file {name}.") from None
            raise FilesOutOfReach(self._why_answered(answer)) from answer
        except (NotConnected, HTTPClientError) as problem:
            raise FilesOutOfReach(
                f"{self._place} does not answer; see that it runs and that EVENROW_S3_URL names it"
            ) from problem
        except (BotoCoreError, Boto3Error, RetriesExceededError) as problem:
            kind = type(problem).__name__
            raise FilesOutOfReach(f"{self._place} can't be used ({kind}); see to EVENROW_S3_URL") from problem

    @property
    def _place(self) -> str:
        """Where the store is, without what opens it."""
        address = self.endpoint_url or "its provider"
        return f"the object store at {address} (bucket {self.bucket_name})"

    def _why_answered(self, answer: ClientError) -> str:
        """What an answer that is none says of the studio's own settings."""
        code = _code(answer)
        if code == "NoSuchBucket":
            return f"{self._place} has no such bucket; make it, or name another in EVENROW_S3_URL"
        if _status(answer) in _REFUSED:
            return f"{self._place} refuses the studio ({code}); see to key and rights in EVENROW_S3_URL"
        return f"{self._place} is not well ({code}); look into its own log"


def _code(answer: ClientError) -> str:
    """What the store calls its refusal."""
    return str(answer.response.get("Error", {}).get("Code", ""))


def _status(answer: ClientError) -> int | None:
    """The number of the store's answer."""
    return answer.response.get("ResponseMetadata", {}).get("HTTPStatusCode")
