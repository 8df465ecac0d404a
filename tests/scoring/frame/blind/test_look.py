"""One look: every measure has its say, and says "cannot tell" by itself where it cannot."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from scoring.frame.blind.look import Look, look
from scoring.frame.blind.sphere import CannotTell, solid_angles
from tests.scoring.frame.blind.drawn_rooms import striped_room


def test_a_room_is_told_in_every_way() -> None:
    frame = striped_room(1024)
    found = look(frame, frame, None, 1024, 512, None)
    told = {field.name for field in fields(Look) if not isinstance(getattr(found, field.name), CannotTell)}
    assert {"tilt", "sectors", "sharpness", "veil", "clipping", "metadata"} <= told


def test_a_plain_frame_tells_almost_nothing() -> None:
    plain = np.full((512, 1024, 3), 120, np.uint8)
    found = look(plain, plain, None, 1024, 512, 4)
    for name in ("tilt", "seams", "sectors", "sharpness", "veil"):
        finding = getattr(found, name)
        assert isinstance(finding, CannotTell)
        assert finding.what == name


def test_solid_angles_sum_to_the_sphere() -> None:
    assert np.isclose(solid_angles(512).sum(), 1.0, atol=1e-13)
