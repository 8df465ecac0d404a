// Paper and metres: the drawing's unit is the centimetre, y down; a plan's is the metre, y up.

export const CM = 100;
const NS = "http://www.w3.org/2000/svg";

/** Make an SVG element with attributes and children. */
export function draw(name, attributes = {}, ...children) {
  const element = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...children);
  return element;
}

/** Make an HTML element with attributes and children; text never becomes markup. */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(key, "");
    else if (value !== null && value !== undefined && value !== false) element.setAttribute(key, value);
  }
  element.append(...children);
  return element;
}

/** A spot in metres as "x y" on the paper. */
export const onPaper = (x, y) => `${(x * CM).toFixed(2)} ${(-y * CM).toFixed(2)}`;

/** Path data through spots in metres. */
export const pathThrough = (spots, close = true) =>
  spots.length ? `M${spots.map(([x, y]) => onPaper(x, y)).join("L")}${close ? "Z" : ""}` : "";

/** Whether a spot lies in a ring (even-odd). */
export function inRing(ring, x, y) {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i];
    const [xj, yj] = ring[j];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** The JSON that the page carries under an id; null when there is none. */
export function carried(id, root = document) {
  const block = root.querySelector(`script#${id}`);
  return block ? JSON.parse(block.textContent) : null;
}

const DIAMOND = "M0 -13L13 0L0 13L-13 0Z";
const BRACKETS = "M-18 -10V-18H-10M10 -18H18V-10M18 10V18H10M-10 18H-18V10";

/** A station's group: diamond, number, corner brackets, and a hit area of 44 screen pixels. */
export function stationGroup(number, role = "yours") {
  const text = draw("text", { class: "number", x: 0, y: 4.5, "text-anchor": "middle" }, String(number));
  const inside = draw(
    "g",
    { class: "fixed" },
    draw("circle", { class: "hit", r: 23 }),
    draw("path", { class: "brackets", d: BRACKETS }),
    draw("path", { class: "diamond", d: DIAMOND }),
    text,
  );
  return draw("g", { class: `station ${role}` }, inside);
}
