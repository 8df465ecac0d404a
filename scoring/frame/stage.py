"""A stage: one place at one hour in one light, ready for spins. Heavy to make, and reusable for every fault that
leaves the scene, the hour and the lens's height alone.

What the camera is set to is found here too, once for a stage, as an operator would: metered on the light round the
lens, as many brackets as the room's span asks for.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from scoring.drill import content_hash
from scoring.frame.beams import quads_of
from scoring.frame.bodylight import lit_bodies, with_bodies
from scoring.frame.hours import hour_of
from scoring.frame.illuminate import illuminate
from scoring.frame.latest import Latest
from scoring.frame.movers import movers_of
from scoring.frame.paths import Paths, find_paths
from scoring.frame.scene import NOBODY, Lit, Scene, build_scene, with_movers
from scoring.frame.shade import radiance_along
from scoring.frame.spin import lens_point
from scoring.frame.take import Take, take_json
from scoring.frame.threads import in_bands
from scoring.light.exposure import balance_for, span_ev
from scoring.light.meter import log_average_cd_m2
from scoring.light.sky import Sky, sky_of

Rows = NDArray[Any]

SCENE_SEEDS = 2**31
"""A take's seed dresses the scene by what is left of it after division by this; all of it places faults."""
AROUND_ROWS = 192
"""Rows of the map of light round the lens; twice as many columns."""
_FINER = 2
BODY_ROWS = 16
"""Rows of the map of light round a body that moves."""
_NOBODY: int = np.int64(NOBODY)  # type: ignore[assignment]
"""A plain number would get kernels of its own compiled."""

_still: Latest[Scene] = Latest()
_ways: Latest[Paths] = Latest()
_around: Latest[Rows] = Latest()
"""Of what was staged last: the sun moves, or somebody in it, and the room does not."""


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """A scene with its light, seen from one lens."""

    key: str
    """Content address of what it was made from: takes of one key share a stage."""
    scene: Scene
    lit: Lit
    quads: Rows
    """(P, 4, 3) corners of the scene's pieces."""
    lens_point_m: tuple[float, float, float]
    sky: Sky
    around_cd_m2: Rows
    """(rows, 2 rows, 3) light that comes to the lens: row 0 from the zenith, column 0 from the east, then
    counter-clockwise on the drawing."""
    metered_cd_m2: float
    span_cd_m2: tuple[float, float]
    balance: tuple[float, float, float]
    """White balance that the camera was set to."""
    sunny: bool
    """Whether the sun itself shines on the lens."""


def stage_key(take: Take) -> str:
    """Content address of the stage of a take: what of it the scene and its light depend on."""
    parts = take_json(take)
    shifted = [fault for fault in parts["faults"] if fault["code"] in ("F16", "F17", "F18", "F19")]
    for name in ("faults", "facing_deg"):
        if not shifted:
            del parts[name]
    if shifted:
        parts["faults"] = shifted
    parts["kit"] = {name: parts["kit"][name] for name in ("headings", "lens_height_m")}
    parts["seed"] = take.seed % SCENE_SEEDS
    return content_hash(parts)


def light_key(take: Take) -> str:
    """Content address of the light of a take's scene: stations of one level share it, whoever walks through it."""
    parts = take_json(take)
    shifted = [fault for fault in parts["faults"] if fault["code"] == "F18"]
    names = ("plan", "when_iso", "latitude_deg", "longitude_deg", "sky", "lamps")
    known = {name: parts[name] for name in names}
    known |= {"level": take.station.level, "seed": take.seed % SCENE_SEEDS}
    return content_hash({**known, "sun": shifted})


def scene_key(take: Take) -> str:
    """Content address of what stays in place in a take's scene, whatever the hour."""
    parts = take_json(take)
    return content_hash([parts["plan"], take.station.level, take.seed % SCENE_SEEDS])


def _solved(solve: Callable[[], Lit]) -> Lit:
    return solve()


def stage(take: Take, kept: Callable[[Callable[[], Lit]], Lit] = _solved) -> Stage:
    """The stage of a take. PlaceError when no tripod stands there, HourError when the hour cannot be had.

    ``kept`` is given the solving of the light, the heavy part, and may return what it gave before for this `light_key`.
    """
    point = lens_point(take)
    sky = sky_of(take.sky, hour_of(take), take.plan.north_deg)
    seed, movers = take.seed % SCENE_SEEDS, movers_of(take, point)
    key = scene_key(take)
    still = _still.of(key, lambda: build_scene(take.plan, take.station.level, seed=seed))

    def solve() -> Lit:
        return illuminate(still, sky, lamps=take.lamps, paths=_ways.of(key, lambda: find_paths(still)))

    lit = kept(solve)
    around = _around.of(content_hash([light_key(take), point]), lambda: around_of(still, lit, point))
    return staged(take, point, with_movers(still, movers), lit, sky, around)


def staged(
    take: Take, point_m: tuple[float, float, float], scene: Scene, lit: Lit, sky: Sky, around: Rows | None = None
) -> Stage:
    """A stage of what is there already: the camera is set, and pieces are laid out for tracing.

    ``lit`` may lack the movers, whose faces are the last of a scene: they take the light that comes to where they are.
    ``around`` is `around_of` the point, where that is known.
    """
    lit = _bodies_lit(scene, lit)
    around = around_of(scene, lit, point_m) if around is None else around
    weights = np.sin((np.arange(AROUND_ROWS) + 0.5) / AROUND_ROWS * math.pi)[:, None]
    flat = np.broadcast_to(weights, around.shape[:2])[..., None]
    balance = balance_for((around * flat).sum(axis=(0, 1)) / flat.sum())
    low, high = span_ev(around, weights, 0.01, 0.004)
    return Stage(
        key=stage_key(take),
        scene=scene,
        lit=lit,
        quads=quads_of(scene.planes),
        lens_point_m=point_m,
        sky=sky,
        around_cd_m2=around,
        metered_cd_m2=log_average_cd_m2(around, weights),
        span_cd_m2=(max(low, 1e-3), max(high, 1e-3)),
        balance=(balance.red, balance.green, balance.blue),
        sunny=bool(sky.sun_rgb_lx.any()) and _open(scene, lit, point_m, sky.toward_sun),
    )


def around_of(scene: Scene, lit: Lit, point_m: tuple[float, float, float], rows: int = AROUND_ROWS) -> Rows:
    """Light that comes to a point from all that stays in place, (rows, 2 rows, 3) float32 [cd/m2], without the sun's
    disc."""
    fine = np.empty((rows * _FINER, 2 * rows * _FINER, 3), np.float32)
    in_bands(lambda first, last: _look_round(scene, lit, *point_m, first, last, fine), len(fine))
    out: Rows = fine.reshape(rows, _FINER, 2 * rows, _FINER, 3).mean(axis=(1, 3))
    return out


def _bodies_lit(scene: Scene, lit: Lit) -> Lit:
    """Light with movers lit as the round bodies that they are."""
    moving = np.arange(len(lit.start), len(scene.corner))
    shots = scene.seen[moving]
    bodies = [moving[shots == mask] for mask in np.unique(shots)]
    lit = with_bodies(scene, lit)
    views = [around_of(scene, lit, _middle(scene, faces), BODY_ROWS) for faces in bodies]
    return lit_bodies(scene, lit, bodies, views) if bodies else lit


def _middle(scene: Scene, faces: Rows) -> tuple[float, float, float]:
    low, high = scene.corner[faces].min(axis=0), scene.corner[faces].max(axis=0)
    x, y, z = 0.5 * (low + high)
    return float(x), float(y), float(z)


def _open(scene: Scene, lit: Lit, point_m: tuple[float, float, float], toward: tuple[float, float, float]) -> bool:
    *_, face = radiance_along(scene, lit, *point_m, *toward, 1e-3, _NOBODY)
    return bool(face < 0)


@njit(nogil=True, cache=True)
def _look_round(scene: Any, lit: Any, x: float, y: float, z: float, first: int, last: int, out: Rows) -> None:
    rows, columns = out.shape[0], out.shape[1]
    for j in range(first, last):
        t = (j + 0.5) / rows * math.pi
        for i in range(columns):
            a = (i + 0.5) / columns * 2.0 * math.pi
            r, g, b, _, _ = radiance_along(
                scene, lit, x, y, z,
                math.sin(t) * math.cos(a), math.sin(t) * math.sin(a), math.cos(t), math.pi / rows, _NOBODY,
            )  # fmt: skip
            out[j, i, 0], out[j, i, 1], out[j, i, 2] = r, g, b


__all__ = ["AROUND_ROWS", "SCENE_SEEDS", "Stage", "around_of", "light_key", "scene_key", "stage", "stage_key", "staged"]
