"""Codes that open something once: made at random, shown once, and kept as a digest alone."""

from __future__ import annotations

import hashlib
import re
import secrets

LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"
"""Without those that are mistaken for others: 31, so that a letter holds 4.95 bits."""
GROUPS, OF = 7, 4
"""28 letters hold 138 bits: nobody finds one by trying."""


def make_code() -> str:
    """A new code in groups that can be read over a telephone."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(OF)) for _ in range(GROUPS))


def digest_of(code: str) -> str:
    """The digest by which a code is known again, however it was typed."""
    return hashlib.sha256(re.sub(r"[^0-9a-z]", "", code.lower()).encode()).hexdigest()


__all__ = ["digest_of", "make_code"]
