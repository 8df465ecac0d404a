"""Which journal this SQLite may be trusted with.

SQLite 3.7.0 to 3.51.2 can lose pages when a write-ahead log is started afresh by one connection while another
reads it (SQLite change log of 3.51.3); the repair was also made on the 3.50 and 3.44 branches. With an
affected library the classic journal is taken instead: slower, and safe.
"""

from __future__ import annotations

Version = tuple[int, int, int]


def wal_is_safe(version: Version) -> bool:
    """Whether a library of this version is free of the write-ahead-log defect."""
    if version >= (3, 51, 3):
        return True
    major, minor, patch = version
    return ((major, minor) == (3, 50) and patch >= 7) or ((major, minor) == (3, 44) and patch >= 6)


def journal_mode(version: Version) -> str:
    """The journal mode to ask for: WAL where it is safe, else TRUNCATE."""
    return "WAL" if wal_is_safe(version) else "TRUNCATE"
