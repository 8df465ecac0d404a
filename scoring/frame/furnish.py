"""Things as they look: each kind built inside the block (outline, base..top) that the sight engine counts."""

from __future__ import annotations

from scoring.floor.plan import Thing
from scoring.floor.shapes import Room, Solid
from scoring.frame.decor import SILVERED, dice_of
from scoring.frame.finishes import WOOD, Finish
from scoring.frame.solids import Pile


def furnish(pile: Pile, thing: Thing, solid: Solid, room: Room, seed: int) -> None:
    """Add a thing's faces."""
    dice = dice_of(seed, thing.id)
    tone = float(dice.uniform(0.25, 0.55))
    finish = Finish(WOOD, (tone, tone * 0.75, tone * 0.5), seed=int(dice.integers(65536)))
    if thing.kind == "mirror":
        finish = SILVERED
    pile.prism(solid.polygon, solid.base, solid.top, finish)


__all__ = ["furnish"]
