// Sight in the plane, in the browser: what is seen from a point among walls, and how wide a sight link is clear.
//
// The same answers as the engine's own modules for sight and strips; a test holds both together. Walls are a
// flat Float64Array, four numbers each (ax, ay, bx, by), in closed rings that do not cross. An event is the
// direction of a wall's end; between two neighbouring events the nearest wall is always the same one.

/** Walls from rings of [x, y]. */
export function wallsOf(rings) {
  const out = [];
  for (const ring of rings) {
    ring.forEach(([x, y], i) => {
      const [u, v] = ring[(i + 1) % ring.length];
      out.push(x, y, u, v);
    });
  }
  return Float64Array.from(out);
}

/** Whether a point lies inside the rings (even-odd). */
export function inside(walls, x, y) {
  let odd = false;
  for (let i = 0; i < walls.length; i += 4) {
    const ay = walls[i + 1];
    const by = walls[i + 3];
    if (ay > y !== by > y && x < walls[i] + ((y - ay) / (by - ay)) * (walls[i + 2] - walls[i])) odd = !odd;
  }
  return odd;
}

/** A number in [0, 4) that grows with the direction of (x, y), counter-clockwise from east. */
function turn(x, y) {
  const p = x / (Math.abs(x) + Math.abs(y));
  return y >= 0 ? 1 - p : 3 + p;
}

/** The polygon seen from a point inside closed walls, as [x, y] counter-clockwise; empty on a wall. */
export function visibility(walls, x, y) {
  const count = walls.length / 4;
  const px = new Float64Array(2 * count);
  const py = new Float64Array(2 * count);
  const key = new Float64Array(2 * count);
  const area = new Float64Array(count);
  let n = 0;
  for (let i = 0; i < count; i++) {
    let ax = walls[4 * i] - x;
    let ay = walls[4 * i + 1] - y;
    let bx = walls[4 * i + 2] - x;
    let by = walls[4 * i + 3] - y;
    let cross = ax * by - ay * bx;
    if (Math.abs(cross) <= 1e-13 * Math.sqrt((ax * ax + ay * ay) * (bx * bx + by * by))) continue;
    if (cross < 0) {
      [ax, ay, bx, by] = [bx, by, ax, ay];
      cross = -cross;
    }
    px[2 * n] = ax;
    py[2 * n] = ay;
    px[2 * n + 1] = bx;
    py[2 * n + 1] = by;
    key[2 * n] = turn(ax, ay);
    key[2 * n + 1] = turn(bx, by);
    area[n] = cross;
    n += 1;
  }
  if (!n) return [];

  const order = Uint32Array.from({ length: 2 * n }, (_, i) => i).sort((a, b) => key[a] - key[b]);
  const rank = new Uint32Array(2 * n);
  const ex = [];
  const ey = [];
  let last = -1;
  for (const j of order) {
    if (key[j] !== last) {
      last = key[j];
      const size = Math.hypot(px[j], py[j]);
      ex.push(px[j] / size);
      ey.push(py[j] / size);
    }
    rank[j] = ex.length - 1;
  }
  const events = ex.length;
  const near = new Float64Array(events);
  const wall = new Int32Array(events).fill(-1);
  for (let j = 0; j < n; j++) {
    // One over the distance along an interval's middle ray, up to a factor that all walls share.
    const gx = (px[2 * j + 1] - px[2 * j]) / area[j];
    const gy = (py[2 * j + 1] - py[2 * j]) / area[j];
    for (let k = rank[2 * j]; k !== rank[2 * j + 1]; k = (k + 1) % events) {
      const next = (k + 1) % events;
      const w = (ex[k] + ex[next]) * gy - (ey[k] + ey[next]) * gx;
      if (w > near[k]) {
        near[k] = w;
        wall[k] = j;
      }
    }
  }

  const seen = [];
  for (let k = 0; k < events; k++) {
    const j = wall[k];
    if (j < 0) return [];
    const dx = px[2 * j + 1] - px[2 * j];
    const dy = py[2 * j + 1] - py[2 * j];
    for (const e of [k, (k + 1) % events]) {
      const t = area[j] / (ex[e] * dy - ey[e] * dx);
      const spot = [x + ex[e] * t, y + ey[e] * t];
      const before = seen[seen.length - 1];
      if (!before || Math.abs(before[0] - spot[0]) > 1e-12 || Math.abs(before[1] - spot[1]) > 1e-12) seen.push(spot);
    }
  }
  return seen;
}

/** Area of a polygon of [x, y]. */
export function areaOf(polygon) {
  let twice = 0;
  polygon.forEach(([x, y], i) => {
    const [u, v] = polygon[(i + 1) % polygon.length];
    twice += x * v - u * y;
  });
  return Math.abs(twice) / 2;
}

function gap2(px, py, ax, ay, dx, dy) {
  const long2 = dx * dx + dy * dy;
  const t = long2 > 0 ? Math.min(1, Math.max(0, ((px - ax) * dx + (py - ay) * dy) / long2)) : 0;
  return [(px - ax - t * dx) ** 2 + (py - ay - t * dy) ** 2, t];
}

/** Clear width from a to b [m] and the point that limits it; 0 and the first crossing when a wall is met. */
export function strip(walls, ax, ay, bx, by) {
  const dx = bx - ax;
  const dy = by - ay;
  let best = Infinity;
  let hit = Infinity;
  let at = [ax, ay];
  for (let i = 0; i < walls.length; i += 4) {
    const [px, py, qx, qy] = [walls[i], walls[i + 1], walls[i + 2], walls[i + 3]];
    const ex = qx - px;
    const ey = qy - py;
    const sideP = dx * (py - ay) - dy * (px - ax);
    const sideQ = dx * (qy - ay) - dy * (qx - ax);
    const sideA = ex * (ay - py) - ey * (ax - px);
    const sideB = ex * (by - py) - ey * (bx - px);
    if (sideP > 0 !== sideQ > 0 && sideA > 0 !== sideB > 0) {
      const t = sideA / (sideA - sideB);
      if (t < hit) {
        hit = t;
        best = 0;
        at = [ax + t * dx, ay + t * dy];
      }
      continue;
    }
    if (hit < Infinity) continue;
    let [far2, t] = gap2(px, py, ax, ay, dx, dy);
    if (far2 < best) [best, at] = [far2, [px, py]];
    [far2, t] = gap2(ax, ay, px, py, ex, ey);
    if (far2 < best) [best, at] = [far2, [px + t * ex, py + t * ey]];
    [far2, t] = gap2(bx, by, px, py, ex, ey);
    if (far2 < best) [best, at] = [far2, [px + t * ex, py + t * ey]];
  }
  const clear = 2 * Math.sqrt(best);
  return { clear: clear < 1e-9 ? 0 : clear, at };
}

/** The link between two stations of one height: its length, clear width and what is wrong with it, if anything. */
export function link(walls, a, b, limits) {
  const length = Math.hypot(a.x - b.x, a.y - b.y);
  if (!inside(walls, a.x, a.y) || !inside(walls, b.x, b.y)) return { length, clear: 0, fault: "blocked", at: [a.x, a.y] };
  const { clear, at } = strip(walls, a.x, a.y, b.x, b.y);
  let fault = null;
  if (clear <= 0) fault = "blocked";
  else if (clear < limits.strip) fault = "narrow";
  else if (length > limits.longest) fault = "long";
  return { length, clear, fault, at };
}
