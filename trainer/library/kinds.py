"""Titles of the drill kinds, for pages that know a kind by its name alone."""

from __future__ import annotations

from scoring.kinds import REGISTER, kind


def kind_title(name: str) -> str:
    """The title of a kind; its name where the kind is no longer there."""
    return kind(name).TITLE if name in REGISTER else name


__all__ = ["kind_title"]
