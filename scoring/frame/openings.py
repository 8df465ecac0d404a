"""What fills openings: window frames with panes, and the casings round doors."""

from __future__ import annotations

from scoring.floor.shapes import Hole, Storey
from scoring.frame.decor import PANE
from scoring.frame.solids import REAL, TRIM, Pile


def fill_opening(pile: Pile, hole: Hole, storey: Storey, seed: int) -> None:
    """Add what an opening holds, leaf apart."""
    pile.part = TRIM
    pile.seen = REAL
    if hole.opening.kind in ("window", "glass"):
        (ax, ay), (bx, by) = hole.opening.jambs
        pile.quad((ax, ay, hole.sill), (bx - ax, by - ay, 0.0), (0.0, 0.0, hole.head - hole.sill), PANE)


__all__ = ["fill_opening"]
