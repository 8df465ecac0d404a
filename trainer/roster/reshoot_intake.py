"""Taking the one small file of a form in: kept in memory, bounded while it is read."""

from __future__ import annotations

import io
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile, StopUpload
from django.http import HttpRequest

from trainer.roster.reshoot_file import BYTES_MAX

FIELD = "file"


class OneTable(FileUploadHandler):
    """Keeps the first file of `FIELD`, one byte more than is read at most, and skips every other file."""

    def __init__(self, request: HttpRequest | None = None) -> None:
        super().__init__(request)
        self._kept: io.BytesIO | None = None

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Begin the one file."""
        super().new_file(*args, **kwargs)
        if self.field_name != FIELD or self._kept is not None:
            raise SkipFile
        self._kept = io.BytesIO()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Keep on; what is far too large is dropped at once."""
        assert self._kept is not None
        room = BYTES_MAX + 1 - self._kept.tell()
        self._kept.write(raw_data[:room])
        if start > 16 * BYTES_MAX:
            raise StopUpload(connection_reset=True)

    def file_complete(self, file_size: int) -> UploadedFile[bytes] | None:
        """The file as the form has it; one that was cut has a byte too many, and is refused by whoever reads it."""
        if self._kept is None:
            return None
        size = self._kept.tell()
        self._kept.seek(0)
        return UploadedFile(file=self._kept, name=self.file_name, size=size, content_type=self.content_type)


__all__ = ["FIELD", "OneTable"]
