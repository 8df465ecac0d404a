"""A name as it is typed, made fit to stand in the middle of a line."""

from __future__ import annotations

import re

TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")
"""Embeddings, overrides and isolates of the Unicode Bidirectional Algorithm (UAX 9, section 2). A script is written in
its own direction without them, and one that is left open turns round whatever a page says after the name."""


def plain_name(text: str) -> str:
    """The name with single blanks and without characters that turn the direction of writing."""
    return " ".join(TURNING.sub("", text).split())


__all__ = ["TURNING", "plain_name"]
