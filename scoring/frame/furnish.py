"""Things as they look: each kind built inside the block (outline, base..top) that the sight engine counts.

What shows between legs or through glass is seen in the picture although the engine counts the whole block as solid:
grades go by blocks (faces of ``COUNTED``), and the picture never hides floor that the engine calls seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scoring.floor.plan import Thing
from scoring.floor.shapes import Room, Solid
from scoring.frame import furnish_green as green
from scoring.frame import furnish_seats as seats
from scoring.frame import furnish_storage as storage
from scoring.frame import furnish_wet as wet
from scoring.frame.decor import dice_of
from scoring.frame.solids import Pile
from scoring.frame.stand import Stand, stand_of

BUILDERS: dict[str, Callable[[Stand], None]] = {
    "sofa": seats.sofa, "armchair": seats.armchair, "chair": seats.chair, "bench": seats.bench, "bed": seats.bed,
    "cot": seats.cot, "table": storage.table, "desk": storage.desk, "wardrobe": storage.wardrobe,
    "shelf": storage.shelf, "sideboard": storage.sideboard, "box": storage.box, "piano": storage.piano,
    "mirror": storage.mirror, "beam": storage.wood_block, "rail": storage.rail, "counter": wet.counter,
    "island": wet.island, "wall-cupboard": wet.wall_cupboard, "stove": wet.stove, "fridge": wet.fridge,
    "sink": wet.sink, "basin": wet.basin, "wc": wet.wc, "bath": wet.bath, "shower": wet.shower,
    "washer": wet.washer, "boiler": wet.boiler, "plant": green.plant, "tree": green.tree, "hedge": green.hedge,
    "fence": green.fence, "shed": green.shed, "car": green.car, "bin": green.bin_, "column": green.column,
    "chimney": green.chimney, "fan": green.fan, "lamp": green.lamp,
}  # fmt: skip
"""How each kind of thing is built."""


def furnish(pile: Pile, thing: Thing, solid: Solid, room: Room, others: Sequence[Thing], seed: int) -> None:
    """Add a thing's faces; ``others`` are the things of its level."""
    family = int(dice_of(seed, room.space.id).integers(1 << 16))
    stand = stand_of(pile, thing, solid, room, others, dice_of(seed, thing.id), family)
    BUILDERS[thing.kind](stand)


__all__ = ["BUILDERS", "furnish"]
