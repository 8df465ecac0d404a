"""One module for each kind of drill, each with make and grade; this page is their register."""

from __future__ import annotations

from importlib import import_module
from typing import cast

from scoring.drill import Kind, KindName

REGISTER: tuple[KindName, ...] = ("place", "join", "thin", "stand", "threshold")


def kind(name: str) -> Kind:
    """The kind of that name; KeyError when there is none."""
    if name not in REGISTER:
        raise KeyError(name)
    return cast(Kind, import_module(f"scoring.kinds.{name}"))


__all__ = ["REGISTER", "kind"]
