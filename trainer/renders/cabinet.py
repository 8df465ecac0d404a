"""Files kept by content address in a folder of bounded size: written whole or not at all, the longest unused go first.

Losing a file loses time, never an answer: whatever lies here can be computed again.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import threading
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(slots=True)
class Cabinet:
    """A folder of files named by address, holding at most ``bytes_max``."""

    folder: Path
    bytes_max: int
    _guard: threading.Lock = field(default_factory=threading.Lock)
    _since_look: int = 0
    """Bytes written since the folder was last looked through."""

    def read(self, address: str) -> bytes | None:
        """The file of that address; None when it is not there (any more)."""
        path = self._path(address)
        try:
            content = path.read_bytes()
        except FileNotFoundError:
            return None
        with contextlib.suppress(OSError):
            os.utime(path)  # what is used stays
        return content

    def keep(self, address: str, content: bytes) -> None:
        """Put a file in, whole or not at all; a full disk is no error, the file is only not kept."""
        path = self._path(address)
        part = path.with_name(f"{path.name}.{secrets.token_hex(8)}.part")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part.write_bytes(content)
            part.replace(path)
        except OSError:
            with contextlib.suppress(OSError):
                part.unlink()
            return
        with self._guard:
            self._since_look += len(content)
            if self._since_look * 8 < self.bytes_max:
                return
            self._since_look = 0
        self.clear_out()

    def clear_out(self) -> None:
        """Take the longest unused files away until seven eighths of the room are left in use at most."""
        found = []
        for path in self.folder.glob("*/*"):
            with contextlib.suppress(OSError):
                state = path.stat()
                found.append((state.st_mtime_ns, state.st_size, path))
        room = self.bytes_max - self.bytes_max // 8
        held = sum(size for _, size, _ in found)
        for _, size, path in sorted(found):
            if held <= room:
                return
            path.unlink(missing_ok=True)
            held -= size

    def _path(self, address: str) -> Path:
        return self.folder / address[:2] / address


__all__ = ["Cabinet"]
