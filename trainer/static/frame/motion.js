// Turning the view by turning the phone: off until it is asked for. The view turns by as much as the phone does.

import { anglesOf, wrapped } from "./sphere.js";

const RAD = Math.PI / 180;

/** Where the back of the phone points, from its three angles (Z-X'-Y'' order, as the standard has them). */
export function pointing({ alpha, beta, gamma }) {
  const [a, b, g] = [alpha * RAD, beta * RAD, gamma * RAD];
  // The third column of the rotation is the screen's normal; the back looks the other way. East, north, up.
  const east = -(Math.cos(a) * Math.sin(g) + Math.sin(a) * Math.sin(b) * Math.cos(g));
  const north = -(Math.sin(a) * Math.sin(g) - Math.cos(a) * Math.sin(b) * Math.cos(g));
  const up = -Math.cos(b) * Math.cos(g);
  return anglesOf([north, -east, up]);
}

export class Motion {
  constructor(turn) {
    this.turn = turn;
    this.on = false;
    this.last = null;
    this.hear = (event) => this.heard(event);
  }

  static get there() {
    return "DeviceOrientationEvent" in globalThis && matchMedia("(pointer: coarse)").matches;
  }

  /** Switch on or off; true when it is on afterwards. Some phones ask their owner first. */
  async toggle() {
    if (this.on) {
      removeEventListener("deviceorientation", this.hear);
      this.on = false;
      return false;
    }
    if (DeviceOrientationEvent.requestPermission) {
      if ((await DeviceOrientationEvent.requestPermission().catch(() => "denied")) !== "granted") return false;
    }
    this.last = null;
    addEventListener("deviceorientation", this.hear);
    this.on = true;
    return true;
  }

  heard(event) {
    if (event.alpha === null || event.beta === null) return;
    const now = pointing(event);
    if (this.last) this.turn(wrapped(now.azimuth - this.last.azimuth), now.elevation - this.last.elevation);
    this.last = now;
  }
}
