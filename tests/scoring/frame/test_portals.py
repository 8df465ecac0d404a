"""What a window or a lamp reaches: its own room, and no closed one beside it."""

from __future__ import annotations

import numpy as np

from scoring.frame.gather import SKY_COLUMNS, SKY_ROWS, sky_cell
from scoring.frame.portals import reached
from scoring.frame.solids import Pile
from tests.scoring.frame.lit_rooms import built, grey, inside_of, lamp_at, land, pane

ROOM = (4.0, 5.0, 2.6)
WINDOW = (1.0, 3.0, 0.9, 2.1)


def test_a_pane_reaches_its_room_and_the_ground_and_a_lamp_its_room_alone() -> None:
    pile = Pile()
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5), WINDOW)
    inside_of(pile, *ROOM, grey(0.5), grey(0.5), grey(0.5), at=(4.1, 0.0))
    pane(pile, WINDOW, (0.9, 0.9, 0.9))
    lamp_at(pile, 6.0, 2.5, 2.59)
    land(pile, 60.0, grey(0.2))
    scene = built(pile)
    pane_face, lamp_face, ground = 14, 15, 16
    ends, panes, lamp_ends, lamps = reached(scene, np.array([pane_face], np.int32), np.array([lamp_face], np.int32))
    by_pane, by_lamp = (np.flatnonzero(np.diff(at)).tolist() for at in (ends, lamp_ends))
    assert by_pane == [0, 1, 2, 3, 4, ground], "not the wall that it is set in, and nothing of the closed room"
    assert by_lamp == [7, 9, 10, 11, 12]
    assert set(panes.tolist()) == {pane_face}
    assert set(lamps.tolist()) == {lamp_face}


def test_cells_of_the_sky_follow_the_direction() -> None:
    assert sky_cell(1.0, 1e-9, 1e-9) == 0
    assert sky_cell(0.0, 0.0, 1.0) // SKY_COLUMNS == SKY_ROWS - 1
    assert sky_cell(0.0, 1.0, 0.0) == SKY_COLUMNS // 4
    assert sky_cell(-1.0, 0.0, -1.0) == SKY_COLUMNS // 2
