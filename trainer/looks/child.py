"""`python -m trainer.looks.child NAME HEADINGS <FILE >OUT`: the child process that opens and measures one file.

It takes limits on memory, time, files and output upon itself before any library is loaded, is given no setting and
no secret, and knows nothing of the site.

    OUT    one line of JSON: {"file": {...}, "look": {...}} and the picture's JPEG bytes,
           or {"refused": code, "facts": {...}} alone
"""

from __future__ import annotations

import contextlib
import json
import os
import resource
import sys
from dataclasses import asdict
from typing import Any

from trainer.looks import limits

TAKEN = (
    ("RLIMIT_CPU", limits.CHILD_CPU_S),
    ("RLIMIT_FSIZE", limits.CHILD_OUT_BYTES),
    ("RLIMIT_NOFILE", limits.CHILD_FILES),
    ("RLIMIT_CORE", 0),
)


def take_limits() -> None:
    """Bind this process; a system that does not know a limit, or has a lower one, goes without."""
    webp = os.pread(sys.stdin.fileno(), 4, 0) == b"RIFF"
    data = limits.CHILD_DATA_WEBP_BYTES if webp else limits.CHILD_DATA_BYTES
    for name, value in (("RLIMIT_DATA", data), *TAKEN):
        which = getattr(resource, name, None)
        if which is not None:
            with contextlib.suppress(ValueError, OSError):
                resource.setrlimit(which, (value, value))


def found(name: str, headings: int | None) -> tuple[dict[str, Any], bytes]:
    """Open the file at standard input and look at it. Raises Refused."""
    from scoring.frame.blind.look import look
    from trainer.looks.opened import open_frame

    opened = open_frame(sys.stdin.buffer, name)
    seen = look(opened.fine, opened.coarse, opened.packet, opened.width_px, opened.height_px, headings)
    file = {
        "kind": opened.kind,
        "width_px": opened.width_px,
        "height_px": opened.height_px,
        "read_width_px": opened.fine.shape[1],
        "notes": list(opened.notes),
    }
    return {"file": file, "look": asdict(seen)}, opened.picture()


def main() -> int:
    """Run the child; always says something that the parent can read, short of being stopped by the system."""
    take_limits()
    from trainer.looks.opened import Refused

    name, headings = sys.argv[1], int(sys.argv[2]) or None
    try:
        said, picture = found(name, headings)
    except Refused as refused:
        said, picture = {"refused": refused.code, "facts": refused.facts}, b""
    except MemoryError:
        said, picture = {"refused": "too-much-memory", "facts": {}}, b""
    sys.stdout.buffer.write(json.dumps(said, allow_nan=False).encode() + b"\n" + picture)
    sys.stdout.buffer.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
