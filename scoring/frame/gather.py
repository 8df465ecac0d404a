"""Which patches, how much of the sky, and which lamps each node sees: form factors by rays, fixed by the scene alone.

From a node go K rays, stratified over the hemisphere by the cosine, laid out in the face's own frame and shifted from
node to node by a sequence that fills the square evenly: the same for the same scene, whichever way it is turned. What
is small and bright is sampled apart, so that it casts a smooth shadow: windows (*portals*) and lamps, by points on
their area::

        node ●───────▶ point on a pane ───────▶ sky or ground        weight cos cos' dA / (pi d2)
             ●──▶ any other ray: weight (1 - all portal weights) / number of rays that met no sampled pane

so the weights of a node always add up to 1, less what the panes swallow. Light goes round what is SOLID, and through
panes, each of which passes its own share.

Alphabet: N nodes, P patches, C sky cells, L lamp faces. Columns are the P patches, then the C sky
cells, then the L lamps. Light that lamps throw back is a matter of their patches, like that of anything else.
"""

from __future__ import annotations

import math
from typing import Any

from scoring.frame.finishes import GLASS, MIRROR
from scoring.frame.kernels import kernel, woven
from scoring.frame.lattice import BURIED
from scoring.frame.portals import PASSES
from scoring.frame.trace import first_hit

SKY_ROWS, SKY_COLUMNS = 18, 36
"""Cells of the sky: 5 deg high, 10 deg wide."""
TURNS = 8
BURIED_SHARE = 0.6
"""A node that sees so much of backs of faces is inside something."""
BURIED_ROWS = 3
"""After so many rows of rays that met nothing else it is known."""
PORTAL_REACH_M = 14.0
PORTAL_LEAST = 1e-4
"""Panes that cover less than this share of a node's view are left to the ordinary rays."""
PROBES = 3
LEAST_SIDE, MOST_SIDE = 4, 12
WELL_SEEN, WELL_SEEN_SIDE = 0.004, 7
"""Points sampled on a pane, squared: at least, at most, and where it covers so much of the view."""
TAU = 2.0 * math.pi


@kernel
def gather(
    scene: Any, lattice: Any, bright: Any, lamp_rank: Any, nodes: Any, sides: Any,
    near_at: Any, near_of: Any, near_weight: Any, far_at: Any, far_of: Any, far_weight: Any, open_m: Any,
    sums: Any, touched: Any, sampled: Any,
) -> None:  # fmt: skip
    """Fill compressed rows for ``nodes``: ordinary rays (near), sampled panes and lamps (far); and openness.

    ``bright`` is what ``portals.reached`` gives, ``lamp_rank`` (F,) the place of each lamp among the lamps, else -1;
    ``sides`` (len(nodes),), squared, are K. ``*_at`` (len(nodes) + 1,) are row ends, the others hold columns and
    weights and have to be long enough. ``open_m`` (N,) gets the harmonic mean distance of what is seen.
    ``sums`` (columns,) of zeros, ``touched`` (columns,) and ``sampled`` (F,) of no are to work on.
    """
    lamp_column = sums.shape[0]
    for f in range(lamp_rank.shape[0]):
        if lamp_rank[f] >= 0:
            lamp_column -= 1
    for row in range(nodes.shape[0]):
        node = nodes[row]
        f = lattice.face[node]
        x, y, z = lattice.point[node, 0], lattice.point[node, 1], lattice.point[node, 2]
        # What is small and bright.
        count = 0
        whole = 0.0
        indoors = scene.owner[f] >= 0
        if indoors:
            for q in range(bright[0][f], bright[0][f + 1]):
                g = bright[1][q]
                count, share = _through(scene, lattice, g, f, x, y, z, sums, touched, count)
                sampled[g] = share > 0.0
                whole += share
        scale = 1.0 if whole <= 0.95 else 0.95 / whole
        at = far_at[row]
        for q in range(count):
            c = touched[q]
            far_of[at] = c
            far_weight[at] = sums[c] * scale
            sums[c] = 0.0
            at += 1
        for q in range(bright[2][f], bright[2][f + 1]):
            g = bright[3][q]
            sampled[g] = True
            share = _from_lamp(scene, g, f, x, y, z)
            if share > 0.0:
                far_of[at] = lamp_column + lamp_rank[g]
                far_weight[at] = share
                at += 1
        far_at[row + 1] = at
        # The rest of the hemisphere.
        shift_a, shift_b = _shift(lattice, node, f)
        count = kept = back = 0
        near = 0.0
        side = sides[row]
        for a in range(side):
            if a == BURIED_ROWS and back == kept:
                break
            for b in range(side):
                r2 = (a + shift_a) / side
                turn = TAU * (b + shift_b + 0.5 * (a % 2)) / side
                r = math.sqrt(r2)
                c, s, up = r * math.cos(turn), r * math.sin(turn), math.sqrt(max(0.0, 1.0 - r2))
                dx = c * scene.u[f, 0] + s * scene.v[f, 0] + up * scene.normal[f, 0]
                dy = c * scene.u[f, 1] + s * scene.v[f, 1] + up * scene.normal[f, 1]
                dz = c * scene.u[f, 2] + s * scene.v[f, 2] + up * scene.normal[f, 2]
                column, weight, way, behind, g = _follow(scene, lattice, sampled, x, y, z, dx, dy, dz)
                if column == -2:
                    continue
                kept += 1
                back += behind
                near += 1.0 / max(way, 0.02)
                if column >= 0:
                    if sums[column] == 0.0:
                        touched[count] = column
                        count += 1
                    sums[column] += weight
                if g >= 0 and lamp_rank[g] >= 0 and not sampled[g] and behind == 0:
                    column = lamp_column + lamp_rank[g]
                    if sums[column] == 0.0:
                        touched[count] = column
                        count += 1
                    sums[column] += weight
        if kept > 0 and back > BURIED_SHARE * kept:
            lattice.state[node] = BURIED
        open_m[node] = kept / near if near > 0.0 else 10.0
        rest = (1.0 - whole * scale) / kept if kept > 0 else 0.0
        at = near_at[row]
        for q in range(count):
            c = touched[q]
            near_of[at] = c
            near_weight[at] = sums[c] * rest
            sums[c] = 0.0
            at += 1
        near_at[row + 1] = at
        for k in (1, 3):
            for q in range(bright[k - 1][f], bright[k - 1][f + 1]):
                sampled[bright[k][q]] = False


@woven
def _shift(lattice: Any, node: int, f: int) -> tuple[float, float]:
    """Offsets of a node's rays within their strata: they fill the square evenly over any block of nodes."""
    k = node - lattice.start[f]
    i, j = k % lattice.across[f], k // lattice.across[f]
    index = 4 * (j % 4) + i % 4 + 0.5
    return (0.7548776662 * index) % 1.0, (0.5698402910 * index) % 1.0


@woven
def _follow(
    scene: Any, lattice: Any, sampled: Any, x: float, y: float, z: float, dx: float, dy: float, dz: float
) -> tuple[int, float, float, int, int]:
    """Where a ray ends: (column, weight, distance, 1 at a face's back, face); column -1 lost, -2 a sampled pane."""
    weight = 1.0
    way = 0.0
    for _ in range(TURNS):
        g, t = first_hit(scene, x, y, z, dx, dy, dz, PASSES)
        if g < 0:
            return lattice.patch_face.shape[0] + sky_cell(dx, dy, dz), weight, 50.0, 0, -1
        way += t
        x, y, z = x + t * dx, y + t * dy, z + t * dz
        kind = scene.finish[g]
        optic = int(scene.finishes[kind, 11])
        if optic in (GLASS, MIRROR):
            if sampled[g]:
                return -2, 0.0, way, 0, -1
            weight *= (scene.finishes[kind, 1] + scene.finishes[kind, 2] + scene.finishes[kind, 3]) / 3.0
            if optic == MIRROR:
                nx, ny, nz = scene.normal[g, 0], scene.normal[g, 1], scene.normal[g, 2]
                twice = 2.0 * (dx * nx + dy * ny + dz * nz)
                dx, dy, dz = dx - twice * nx, dy - twice * ny, dz - twice * nz
            continue
        slant = dx * scene.normal[g, 0] + dy * scene.normal[g, 1] + dz * scene.normal[g, 2]
        return lattice.patch[_nearest(scene, lattice, g, x, y, z)], weight, way, 1 if slant > 0.0 else 0, g
    return -1, 0.0, way, 0, -1


@woven
def _nearest(scene: Any, lattice: Any, g: int, x: float, y: float, z: float) -> int:
    """The node of face g next to a point on it."""
    px, py, pz = x - scene.corner[g, 0], y - scene.corner[g, 1], z - scene.corner[g, 2]
    m, n = lattice.across[g], lattice.along[g]
    s = (px * scene.u[g, 0] + py * scene.u[g, 1] + pz * scene.u[g, 2]) / max(scene.size_m[g, 0], 1e-9)
    t = (px * scene.v[g, 0] + py * scene.v[g, 1] + pz * scene.v[g, 2]) / max(scene.size_m[g, 1], 1e-9)
    i = min(m - 1, max(0, int(s * (m - 1) + 0.5)))
    j = min(n - 1, max(0, int(t * (n - 1) + 0.5)))
    return int(lattice.start[g] + j * m + i)


@woven
def sky_cell(dx: float, dy: float, dz: float) -> int:
    """The cell of the sky in a direction; below the horizon, the one at it."""
    up = math.atan2(dz, math.sqrt(dx * dx + dy * dy)) / (0.5 * math.pi)
    turn = math.atan2(dy, dx) / TAU
    turn -= math.floor(turn)
    row = min(SKY_ROWS - 1, max(0, int(up * SKY_ROWS)))
    return row * SKY_COLUMNS + min(SKY_COLUMNS - 1, int(turn * SKY_COLUMNS))


@kernel
def _through(
    scene: Any, lattice: Any, g: int, f: int, x: float, y: float, z: float, sums: Any, touched: Any, count: int
) -> tuple[int, float]:
    """Sample pane g from a point of face f: add weights to ``sums``; the share of the view that reaches the pane."""
    wide, high = scene.size_m[g, 0], scene.size_m[g, 1]
    nx, ny, nz = scene.normal[f, 0], scene.normal[f, 1], scene.normal[f, 2]
    off, aside = _beside(scene, g, x, y, z)
    away = math.sqrt(off * off + aside * aside)
    if abs(off) < 0.01 or away > PORTAL_REACH_M:
        return count, 0.0
    estimate = wide * high * min(1.0, abs(off) / away + 0.3) / (math.pi * away * away)
    if estimate < PORTAL_LEAST:
        return count, 0.0
    spacing = max(0.5 * away, 0.02)
    least = LEAST_SIDE if estimate < WELL_SEEN else WELL_SEEN_SIDE
    m = min(MOST_SIDE, max(least, math.ceil(wide / spacing)))
    n = min(MOST_SIDE, max(least, math.ceil(high / spacing)))
    if max(wide / m, high / n) > 1.2 * away:
        return count, 0.0
    seen = False
    for a in range(PROBES):
        for b in range(PROBES):
            if not seen:
                s, t = wide * (a + 0.5) / PROBES, high * (b + 0.5) / PROBES
                px, py, pz = _point(scene, g, s, t)
                dx, dy, dz = px - x, py - y, pz - z
                if dx * nx + dy * ny + dz * nz > 0.0:
                    seen = _reaches(scene, g, x, y, z, dx, dy, dz)
    if not seen:
        return count, 0.0
    share = 0.0
    area = wide * high / (m * n)
    for a in range(m):
        for b in range(n):
            px, py, pz = _point(scene, g, wide * (a + 0.5) / m, high * (b + 0.5) / n)
            dx, dy, dz = px - x, py - y, pz - z
            cos = dx * nx + dy * ny + dz * nz
            if cos <= 0.0 or not _reaches(scene, g, x, y, z, dx, dy, dz):
                continue
            d2 = dx * dx + dy * dy + dz * dz
            weight = cos * abs(off) * area / (math.pi * d2 * d2)
            share += weight
            kind = scene.finish[g]
            passed = (scene.finishes[kind, 1] + scene.finishes[kind, 2] + scene.finishes[kind, 3]) / 3.0
            d = 1.0 / math.sqrt(d2)
            column, more = _onward(scene, lattice, px, py, pz, dx * d, dy * d, dz * d)
            if column >= 0:
                if sums[column] == 0.0:
                    touched[count] = column
                    count += 1
                sums[column] += weight * passed * more
    return count, share


@woven
def _onward(
    scene: Any, lattice: Any, x: float, y: float, z: float, dx: float, dy: float, dz: float
) -> tuple[int, float]:
    """Where a ray ends that leaves a pane: (column or -1, share that passes further panes and mirrors)."""
    weight = 1.0
    for _ in range(TURNS):
        g, t = first_hit(scene, x, y, z, dx, dy, dz, PASSES)
        if g < 0:
            return lattice.patch_face.shape[0] + sky_cell(dx, dy, dz), weight
        x, y, z = x + t * dx, y + t * dy, z + t * dz
        kind = scene.finish[g]
        optic = int(scene.finishes[kind, 11])
        if optic in (GLASS, MIRROR):
            weight *= (scene.finishes[kind, 1] + scene.finishes[kind, 2] + scene.finishes[kind, 3]) / 3.0
            if optic == MIRROR:
                nx, ny, nz = scene.normal[g, 0], scene.normal[g, 1], scene.normal[g, 2]
                twice = 2.0 * (dx * nx + dy * ny + dz * nz)
                dx, dy, dz = dx - twice * nx, dy - twice * ny, dz - twice * nz
            continue
        return lattice.patch[_nearest(scene, lattice, g, x, y, z)], weight
    return -1, 0.0


@woven
def _reaches(scene: Any, g: int, x: float, y: float, z: float, dx: float, dy: float, dz: float) -> bool:
    """Whether face g is the first thing on the way to a point of it."""
    hit, _ = first_hit(scene, x, y, z, dx, dy, dz, PASSES)
    return hit == g


@woven
def _point(scene: Any, g: int, s: float, t: float) -> tuple[float, float, float]:
    return (
        scene.corner[g, 0] + s * scene.u[g, 0] + t * scene.v[g, 0],
        scene.corner[g, 1] + s * scene.u[g, 1] + t * scene.v[g, 1],
        scene.corner[g, 2] + s * scene.u[g, 2] + t * scene.v[g, 2],
    )


@woven
def _beside(scene: Any, g: int, x: float, y: float, z: float) -> tuple[float, float]:
    """Distance of a point from a face's plane, signed, and within the plane from its rectangle [m]."""
    px, py, pz = x - scene.corner[g, 0], y - scene.corner[g, 1], z - scene.corner[g, 2]
    off = px * scene.normal[g, 0] + py * scene.normal[g, 1] + pz * scene.normal[g, 2]
    s = px * scene.u[g, 0] + py * scene.u[g, 1] + pz * scene.u[g, 2]
    t = px * scene.v[g, 0] + py * scene.v[g, 1] + pz * scene.v[g, 2]
    a = max(0.0, -s, s - scene.size_m[g, 0])
    b = max(0.0, -t, t - scene.size_m[g, 1])
    return off, math.sqrt(a * a + b * b)


@kernel
def _from_lamp(scene: Any, g: int, f: int, x: float, y: float, z: float) -> float:
    """Share of the view from a point of face f that lamp face g fills, by points on its area."""
    off, aside = _beside(scene, g, x, y, z)
    away = math.sqrt(off * off + aside * aside)
    wide, high = scene.size_m[g, 0], scene.size_m[g, 1]
    if off < 1e-4 or away > PORTAL_REACH_M or g == f:
        return 0.0
    nx, ny, nz = scene.normal[f, 0], scene.normal[f, 1], scene.normal[f, 2]
    spacing = max(0.6 * away, 0.02)
    m = min(8, max(1, math.ceil(wide / spacing)))
    n = min(8, max(1, math.ceil(high / spacing)))
    if away < 1.5 * max(wide, high):
        m, n = max(m, 2), max(n, 2)
    share = 0.0
    area = scene.area_m2[g] / (m * n)
    for a in range(m):
        for b in range(n):
            px, py, pz = _point(scene, g, wide * (a + 0.5) / m, high * (b + 0.5) / n)
            dx, dy, dz = px - x, py - y, pz - z
            cos = dx * nx + dy * ny + dz * nz
            if cos <= 0.0:
                continue
            d2 = dx * dx + dy * dy + dz * dz
            hit, t = first_hit(scene, x, y, z, dx, dy, dz, PASSES)
            if hit == g or t > 1.0 - 1e-4:
                share += cos * off * area / (math.pi * max(d2 * d2, 1e-6))
    return min(share, 0.5)


__all__ = ["SKY_COLUMNS", "SKY_ROWS", "gather", "sky_cell"]
