"""Measuring a file in a child process: start it, wait no longer than allowed, read what it found.

The file is handed over as the child's standard input and the findings come back in a file without a name, so that
nothing is left on the disk when either process dies.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from trainer.looks import limits

ROOT = Path(__file__).resolve().parents[2]


class NotMeasured(Exception):
    """The file was refused or could not be measured; ``code`` and ``facts`` are put into words by the page."""

    def __init__(self, code: str, facts: dict[str, Any] | None = None) -> None:
        super().__init__(code)
        self.code, self.facts = code, facts or {}


@dataclass(frozen=True, slots=True)
class Measured:
    """What the child found, as JSON values, and the picture made anew as JPEG bytes."""

    body: dict[str, Any]
    picture: bytes


def measure(file: IO[bytes], name: str, headings: int | None = None) -> Measured:
    """Measure an open file (with a descriptor) that was named so. Raises NotMeasured."""
    file.flush()
    os.lseek(file.fileno(), 0, os.SEEK_SET)
    with tempfile.TemporaryFile() as out:
        try:
            ended = subprocess.run(  # noqa: S603 - our own command; the name is an argument, never a command
                [sys.executable, "-B", "-s", "-m", "trainer.looks.child", _plain(name), str(headings or 0)],
                stdin=file.fileno(),
                stdout=out,
                stderr=subprocess.DEVNULL,
                cwd=ROOT,
                env=_environment(),
                timeout=limits.CHILD_WALL_S,
                check=False,
                start_new_session=True,
            )
        except subprocess.TimeoutExpired:
            raise NotMeasured("too-long") from None
        out.seek(0)
        said = out.read(limits.CHILD_OUT_BYTES + 1)
    if ended.returncode != 0:
        raise NotMeasured("too-long" if ended.returncode in {-24, -9} else "child-died")
    line, _, picture = said.partition(b"\n")
    try:
        body: dict[str, Any] = json.loads(line)
    except ValueError:
        raise NotMeasured("child-died") from None
    if "refused" in body:
        raise NotMeasured(body["refused"], body["facts"])
    return Measured(body, picture)


def _plain(name: str) -> str:
    """The end of a file's name, as far as it matters: letters, digits, dots."""
    kept = "".join(c for c in name[-40:] if c.isascii() and (c.isalnum() or c == "."))
    return f"frame-{kept}"


def _environment() -> dict[str, str]:
    """No setting and no secret of the site; one thread each, as several children may run."""
    threads = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    kept = {name: os.environ[name] for name in ("LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH") if name in os.environ}
    return {"PATH": os.defpath, "LC_ALL": "C.UTF-8", **threads, **kept}


__all__ = ["Measured", "NotMeasured", "measure"]
