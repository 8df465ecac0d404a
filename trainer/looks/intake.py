"""Taking one file in: bounded before it is read, written straight into a file that has no name."""

from __future__ import annotations

import tempfile
from typing import IO, Any

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile, StopUpload
from django.http import HttpRequest
from rest_framework.throttling import UserRateThrottle

from trainer.looks.limits import FILE_MAX_BYTES

FIELD = "frame"
FORM_BYTES = 20_000
"""The other fields of the form and the marks between them."""


class OneFrame(FileUploadHandler):
    """Writes the file of `FIELD` to a temporary file without a name, and skips every other file."""

    chunk_size = 256 * 1024

    def __init__(self, request: HttpRequest | None = None) -> None:
        super().__init__(request)
        self._file: IO[bytes] | None = None
        self._taken = 0

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Begin the one file; a second one, or one of another field, is skipped."""
        super().new_file(*args, **kwargs)
        if self.field_name != FIELD or self._file is not None:
            raise SkipFile
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - it lives as long as the upload

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Write on; what is too large is dropped at once."""
        self._taken += len(raw_data)
        if self._taken > FILE_MAX_BYTES or self._file is None:
            self.upload_interrupted()
            raise StopUpload(connection_reset=True)
        self._file.write(raw_data)

    def file_complete(self, file_size: int) -> UploadedFile[bytes] | None:
        """The file as the form has it."""
        if self._file is None:
            return None
        self._file.seek(0)
        return UploadedFile(file=self._file, name=self.file_name, size=file_size, content_type=self.content_type)

    def upload_interrupted(self) -> None:
        """Let the file go with the connection."""
        if self._file is not None:
            self._file.close()


class NoFiles(FileUploadHandler):
    """What every other form does with files: nothing is written anywhere."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Skip it."""
        raise SkipFile

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Never comes to it."""

    def file_complete(self, file_size: int) -> UploadedFile[bytes] | None:
        """No file."""
        return None


class LookRate(UserRateThrottle):
    """Looks that one person may take in a minute."""

    scope = "look"


def too_large(request: HttpRequest) -> bool:
    """Whether the request says that it is larger than a frame may be; told before any of it is read."""
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0) > FILE_MAX_BYTES + FORM_BYTES
    except ValueError:
        return True


__all__ = ["FIELD", "LookRate", "NoFiles", "OneFrame", "too_large"]
