"""What an answer is held to in the end: the exact area that its stands show together of each asked floor."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from scoring.floor.demand import Ints
from scoring.floor.offer import Offer
from scoring.floor.overlay import join, less
from scoring.floor.prove import Lack

HAIR_M2 = 1e-9
"""A view that adds less to a region adds rounding [m²]."""

CORNERS_LEAST = 1000
"""A joined region of more corners than this, and twice what it had, is made anew from its views."""


class ExactArea:
    """What an answer is held to: exact area."""

    def __init__(self, offered: Offer) -> None:
        self._offered = offered
        unlinked = np.zeros((len(offered.views), len(offered.views)), dtype=bool)
        self._order = np.argsort(offered.demand(unlinked).alone_m2, axis=0, kind="stable")

    def check(self, chosen: Sequence[int]) -> Lack | None:
        """What is wrong when some floor is shown too little on exact area; its cut is the stands outside a largest
        set that still shows too little of it."""
        missed = self._offered.missed(chosen)
        if not missed:
            return None
        lacks = {g: float(self._offered.target_m2[g]) - self._offered.shown_m2(chosen, g) for g in missed}
        room = max(missed, key=lambda g: (lacks[g], -g))
        return Lack(self._grown(chosen, room), room, lacks[room])

    def _grown(self, chosen: Sequence[int], room: int) -> Ints:
        """The stands outside a largest set around the chosen ones that shows too little of the room.

        A view that adds no more than a hair to the region counts with its area and leaves the region alone: hundreds
        of views meet at one door jamb, and joining their hairs one by one would cut the region's rim ever finer.
        What comes out is checked on the whole set once more, so it is a cut whatever the steps made of it.
        """
        views = {s: seen[self._offered.keys[room]] for s, seen in enumerate(self._offered.views)
                 if self._offered.keys[room] in seen}  # fmt: skip
        target = float(self._offered.target_m2[room]) - 1e-9
        kept = [s for s in chosen if s in views]
        region, hairs_m2 = join([views[s] for s in kept]), 0.0
        corners = CORNERS_LEAST
        for s in self._order[:, room].tolist():
            if s in chosen or s not in views:
                continue
            gain_m2 = float(less(views[s], region).area)
            if region.area + hairs_m2 + gain_m2 >= target:
                continue
            kept.append(s)
            if gain_m2 < HAIR_M2:
                hairs_m2 += gain_m2
                continue
            region = join([region, views[s]])
            if shapely.get_num_coordinates(region) > corners:
                region, hairs_m2 = join([views[k] for k in kept]), 0.0
                corners = max(CORNERS_LEAST, 2 * int(shapely.get_num_coordinates(region)))
        inside = set(kept if join([views[s] for s in kept]).area < target else chosen)
        return np.array([s for s in views if s not in inside], dtype=np.int64)


__all__ = ["ExactArea"]
