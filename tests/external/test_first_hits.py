"""First hits in a furnished floor against embreex, an independent ray tracer, through trimesh.

Source: embreex 4.4 (Embree's kernels), https://github.com/trimesh/embreex. Embree works in single precision, so a
distance may differ by a few micrometres; rays that pass within 0.1 mm of the rim of a face are left out.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh
from trimesh.ray.ray_pyembree import RayMeshIntersector

from scoring.floor.read import read_plan
from scoring.frame.scene import Scene, build_scene
from scoring.frame.solids import COUNTED
from scoring.frame.trace import first_hits

FLOORS = Path(__file__).parents[2] / "scenarios" / "floors"
RIM_M = 1e-4
WITHIN_M = 1e-5


def triangles_of(scene: Scene, bit: int) -> tuple[np.ndarray, np.ndarray]:
    """Corners (n, 3, 3) of the triangles that ``bit`` sees, and the face of each."""
    corners, faces = [], []
    for row, face in zip(scene.planes, scene.piece_face, strict=True):
        if not int(scene.seen[face]) & bit:
            continue
        frame = np.array([row[0:3], row[4:7], row[8:11]])
        a, b, c, d = (
            np.linalg.solve(frame, [row[3], p + row[7], q + row[11]]) for p, q in ((0, 0), (1, 0), (0, 1), (1, 1))
        )
        corners.append((a, b, c))
        faces.append(face)
        if row[12] > 2.0:
            corners.append((b, d, c))
            faces.append(face)
    return np.array(corners), np.array(faces)


def off_rims(scene: Scene, points: np.ndarray) -> np.ndarray:
    """Which points lie farther than RIM_M from every side of every piece that is near them."""
    clear = np.ones(len(points), bool)
    for row in scene.planes:
        flat = np.abs(points @ row[0:3] - row[3]) < RIM_M
        if not flat.any():
            continue
        p = points[flat]
        a, b = p @ row[4:7] - row[7], p @ row[8:11] - row[11]
        da, db = RIM_M * np.linalg.norm(row[4:7]), RIM_M * np.linalg.norm(row[8:11])
        inside = (a > -da) & (a < 1.0 + da) & (b > -db) & (b < 1.0 + db)
        rim = (np.abs(a) < da) | (np.abs(a - 1.0) < da) | (np.abs(b) < db) | (np.abs(b - 1.0) < db)
        if row[12] < 2.0:
            rim |= np.abs(a + b - 1.0) < da + db
        clear[np.flatnonzero(flat)[inside & rim]] = False
    return clear


def test_first_hits_agree_with_an_independent_ray_tracer() -> None:
    plan = read_plan((FLOORS / "studio.json").read_bytes())
    scene = build_scene(plan, 0, seed=5)
    dice = np.random.default_rng(17)
    rays = dice.normal(size=(20_000, 3))
    rays /= np.linalg.norm(rays, axis=1)[:, None]
    starts = np.tile([2.5, 2.5, 1.5], (len(rays), 1)) + dice.uniform(-0.05, 0.05, (len(rays), 3))
    for bit in (1, COUNTED):
        corners, _ = triangles_of(scene, bit)
        near = np.abs(corners[:, :, :2]).max(axis=(1, 2)) < 40.0
        mesh = trimesh.Trimesh(
            corners[near].reshape(-1, 3), np.arange(3 * int(near.sum())).reshape(-1, 3), process=False, validate=False
        )
        spots, index, _ = RayMeshIntersector(mesh).intersects_location(starts, rays, multiple_hits=False)
        theirs = np.full(len(rays), np.inf)
        theirs[index] = np.linalg.norm(spots - starts[index], axis=1)
        _, ours = first_hits(scene, starts, rays, bit)
        both = np.isfinite(theirs) & (ours < 30.0)
        assert both.mean() > 0.6
        hit = starts[both] + ours[both, None] * rays[both]
        clear = off_rims(scene, hit) & off_rims(scene, starts[both] + theirs[both, None] * rays[both])
        assert clear.mean() > 0.95
        slant = np.abs(ours[both][clear] - theirs[both][clear])
        assert slant.max() < WITHIN_M, f"{(slant >= WITHIN_M).sum()} rays differ, the worst by {slant.max():.2g} m"
