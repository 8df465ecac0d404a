// What is marked and pointed at in a view: corner brackets with a tag. Marked spots live in the form's own fields.

import { draw } from "../sheet/paper.js";
import { apart, degrees } from "./sphere.js";

const SMALLEST = 30; // px between opposite brackets
const ARM = 14; // px of a bracket's arms
const NEAR = 24; // px within which a tap means the mark that is there

/** The spots somebody marks, kept in rows of two fields: azimuth and elevation. */
export class Spots {
  constructor(rows, most) {
    this.rows = [...rows].slice(0, most);
    this.selected = -1;
  }

  static read(field) {
    const text = field.value.trim().replace(",", ".").replace("−", "-").replace(/°$/, "");
    return text === "" ? NaN : Number(text);
  }

  /** The filled rows: [{row, azimuth, elevation}]. */
  get list() {
    return this.rows
      .map((row, index) => {
        const [azimuth, elevation] = [...row.querySelectorAll("input")].map(Spots.read);
        return { row: index, azimuth, elevation };
      })
      .filter(({ azimuth, elevation }) => Number.isFinite(azimuth) && Number.isFinite(elevation));
  }

  get full() {
    return this.list.length >= this.rows.length;
  }

  write(index, azimuth, elevation) {
    const fields = this.rows[index].querySelectorAll("input");
    fields[0].value = azimuth === null ? "" : azimuth.toFixed(1);
    fields[1].value = elevation === null ? "" : elevation.toFixed(1);
    fields[1].dispatchEvent(new Event("change", { bubbles: true }));
  }

  /** Put a spot down: in the next row, or, when all are filled, in place of the selected or the last one. */
  put(azimuth, elevation) {
    const filled = new Set(this.list.map((spot) => spot.row));
    let index = this.rows.findIndex((_, i) => !filled.has(i));
    if (index < 0) index = this.selected >= 0 ? this.selected : this.rows.length - 1;
    this.write(index, azimuth, elevation);
    this.selected = index;
    return index;
  }

  /** Take the selected spot away, or else the last one. */
  takeAway() {
    const { list } = this;
    if (!list.length) return -1;
    const index = list.some((spot) => spot.row === this.selected) ? this.selected : list.at(-1).row;
    this.write(index, null, null);
    this.selected = -1;
    return index;
  }
}

/** Draws marked spots and regions to point at over a view. */
export class Overlay {
  constructor(svg) {
    this.svg = svg;
    this.groups = [];
  }

  /** ``things``: [{azimuth, elevation, width, height, label, role, selected}] in degrees. */
  show(things, lens) {
    while (this.groups.length > things.length) this.groups.pop().remove();
    while (this.groups.length < things.length) {
      const group = draw("g", {}, draw("path", { class: "under" }), draw("path", { class: "brackets" }), draw("g", { class: "tag" }, draw("path", {}), draw("text", { y: 14 })));
      this.groups.push(group);
      this.svg.append(group);
    }
    things.forEach((thing, i) => this.one(this.groups[i], thing, lens));
  }

  one(group, thing, lens) {
    const box = boxOf(thing, lens);
    group.toggleAttribute("hidden", !box);
    group.style.display = box ? "" : "none";
    if (!box) return;
    const [x0, y0, x1, y1] = box;
    const path = x1 - x0 > SMALLEST && y1 - y0 > SMALLEST ? onSphere(thing, lens) : onScreen(box);
    group.setAttribute("class", `spot role-${thing.role}${thing.selected ? " selected" : ""}`);
    group.children[0].setAttribute("d", path);
    group.children[1].setAttribute("d", path);
    const tag = group.children[2];
    const words = tag.children[1];
    tag.style.display = thing.label ? "" : "none";
    if (!thing.label) return;
    if (words.textContent !== thing.label) {
      words.textContent = thing.label;
      group.wide = words.getComputedTextLength();
    }
    const wide = (group.wide || 8 * thing.label.length) + 22;
    // A luggage tag: cut corners at the end with the eye.
    tag.children[0].setAttribute("d", `M7 0H${wide}V20H7L0 14V6ZM8 10a2 2 0 1 0 0.01 0`);
    words.setAttribute("x", 15);
    const left = Math.max(2, Math.min(x0, lens.width - wide - 2));
    const below = y1 + 26 < lens.height ? y1 + 4 : Math.max(2, y0 - 24);
    const top = Math.max(2, Math.min(below, lens.height - 24));
    tag.setAttribute("transform", `translate(${left} ${top})`);
  }
}

/** Four brackets of a small box on the screen. */
function onScreen([x0, y0, x1, y1]) {
  const arm = Math.min(ARM, (x1 - x0) / 3, (y1 - y0) / 3);
  return `M${x0} ${y0 + arm}V${y0}H${x0 + arm}M${x1 - arm} ${y0}H${x1}V${y0 + arm}M${x1} ${y1 - arm}V${y1}H${x1 - arm}M${x0 + arm} ${y1}H${x0}V${y1 - arm}`;
}

/** Four brackets at the corners of a region, along its own edges, which lean and bend as the view does. */
function onSphere({ azimuth, elevation, width, height }, lens) {
  const arm = ARM / lens.density;
  const across = Math.min(width / 3, arm / Math.max(0.2, Math.cos((elevation * Math.PI) / 180)));
  const along = Math.min(height / 3, arm);
  let path = "";
  for (const [x, y] of [[-1, -1], [1, -1], [1, 1], [-1, 1]]) {
    const at = (da, de) => lens.place(azimuth + x * (width / 2 - da), Math.max(-90, Math.min(90, elevation + y * (height / 2 - de))));
    const spots = [at(across, 0), at(0, 0), at(0, along)];
    if (spots.every(Boolean)) path += `M${spots.map(([px, py]) => `${px.toFixed(1)} ${py.toFixed(1)}`).join("L")}`;
  }
  return path;
}

/** The screen box of a region, or null behind the view or off the picture. */
function boxOf({ azimuth, elevation, width = 0, height = 0 }, lens) {
  const middle = lens.place(azimuth, elevation);
  if (!middle) return null;
  const half = [Math.min(width, 120) / 2, Math.min(height, 120) / 2];
  const corners = [[-1, -1], [1, -1], [1, 1], [-1, 1], [0, 1], [0, -1]]
    .map(([x, y]) => lens.place(azimuth + x * half[0], Math.max(-90, Math.min(90, elevation + y * half[1]))))
    .filter(Boolean);
  const spread = (axis) => {
    const values = corners.map((corner) => corner[axis]);
    const [low, high] = [Math.min(...values), Math.max(...values)];
    const short = SMALLEST - (high - low);
    return short > 0 ? [middle[axis] - SMALLEST / 2, middle[axis] + SMALLEST / 2] : [low, high];
  };
  const [[x0, x1], [y0, y1]] = [spread(0), spread(1)];
  if (x1 < 0 || y1 < 0 || x0 > lens.width || y0 > lens.height) return null;
  return [x0, y0, x1, y1];
}

/** The marked spot near a place of the screen, or undefined. */
export function spotNear(list, lens, azimuth, elevation) {
  const within = NEAR / lens.density;
  return list.find((spot) => apart(spot, { azimuth, elevation }) < within);
}

/** "azimuth 12.4°, elevation −3.0°" */
export const inWords = (azimuth, elevation) => `azimuth ${degrees(azimuth, 1)}, elevation ${degrees(elevation, 1)}`;
