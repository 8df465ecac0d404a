// Directions on the sphere and their places on the screen. Degrees outside, radians inside; no page, no WebGL.
//
//   azimuth    0 in the middle of the frame, growing to the right, -180..180
//   elevation  0 level, 90 straight up
//   pose       {azimuth, elevation, angle}: where the view points, and how wide its SHORTER side is
//   at         [x, y] on the view, -1..1 each, x to the right, y up
//
// Axes of a frame: x forward, y left, z up, so that a direction is (cos e cos a, -cos e sin a, sin e).

const RAD = Math.PI / 180;
export const WIDEST = 100;
export const CLOSEST = 8;

/** An azimuth brought to -180 (included) .. 180. */
export const wrapped = (azimuth) => ((((azimuth + 180) % 360) + 360) % 360) - 180;

const limited = (value, low, high) => Math.min(high, Math.max(low, value));

/** A pose within its limits. */
export const settled = ({ azimuth, elevation, angle }) => ({
  azimuth: wrapped(azimuth),
  elevation: limited(elevation, -90, 90),
  angle: limited(angle, CLOSEST, WIDEST),
});

/** Unit direction of azimuth and elevation. */
export function direction(azimuth, elevation) {
  const a = azimuth * RAD;
  const e = elevation * RAD;
  return [Math.cos(e) * Math.cos(a), -Math.cos(e) * Math.sin(a), Math.sin(e)];
}

/** Azimuth and elevation of a direction of any length. */
export function anglesOf([x, y, z]) {
  return { azimuth: Math.atan2(-y, x) / RAD, elevation: Math.atan2(z, Math.hypot(x, y)) / RAD };
}

/** A view of a pose on a screen of that size [CSS px]. */
export class Lens {
  constructor(pose, width, height) {
    this.pose = pose;
    this.width = width;
    this.height = height;
    const half = Math.tan((pose.angle / 2) * RAD);
    const shorter = Math.min(width, height);
    this.slope = [(half * width) / shorter, (half * height) / shorter];
    const a = pose.azimuth * RAD;
    const e = pose.elevation * RAD;
    this.forward = direction(pose.azimuth, pose.elevation);
    this.right = [-Math.sin(a), -Math.cos(a), 0];
    this.up = [-Math.sin(e) * Math.cos(a), Math.sin(e) * Math.sin(a), Math.cos(e)];
    /** Screen pixels per degree in the middle. */
    this.density = (shorter / (2 * half)) * RAD;
  }

  /** Azimuth and elevation under a place of the view. */
  angles([x, y]) {
    const [sx, sy] = [x * this.slope[0], y * this.slope[1]];
    return anglesOf([0, 1, 2].map((i) => this.forward[i] + sx * this.right[i] + sy * this.up[i]));
  }

  /** The place [px] of a direction, or null behind the view. */
  place(azimuth, elevation) {
    const d = direction(azimuth, elevation);
    const along = (axis) => d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2];
    const depth = along(this.forward);
    if (depth < 0.02) return null;
    const x = along(this.right) / depth / this.slope[0];
    const y = along(this.up) / depth / this.slope[1];
    return [((x + 1) / 2) * this.width, ((1 - y) / 2) * this.height];
  }

  /** The place of the view at screen pixels. */
  at(px, py) {
    return [(2 * px) / this.width - 1, 1 - (2 * py) / this.height];
  }
}

/** The turned pose in which what was under ``from`` lies under ``to`` (places of the view), as nearly as it can. */
export function dragged(lens, from, to) {
  const before = lens.angles(from);
  const after = lens.angles(to);
  const { azimuth, elevation, angle } = lens.pose;
  // Near the poles azimuth runs away under the finger; the screen's own rate bounds it.
  const most = (Math.abs(to[0] - from[0]) * lens.width) / 2 / lens.density / Math.max(0.2, Math.cos(elevation * RAD));
  const turn = limited(wrapped(before.azimuth - after.azimuth), -2 * most, 2 * most);
  return settled({ azimuth: azimuth + turn, elevation: elevation + before.elevation - after.elevation, angle });
}

/** Angle between two directions, in degrees. */
export function apart(a, b) {
  const [p, q] = [direction(a.azimuth, a.elevation), direction(b.azimuth, b.elevation)];
  const cross = [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];
  return Math.atan2(Math.hypot(...cross), p[0] * q[0] + p[1] * q[1] + p[2] * q[2]) / RAD;
}

/** Degrees in words: whole from a hundredth of a turn on, else with one place. */
export function degrees(value, places = 0) {
  const rounded = Number(value.toFixed(places));
  return `${(rounded || 0).toFixed(places).replace("-", "−")}°`;
}
