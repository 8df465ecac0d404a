// Zoom and pan of one drawing, by its viewBox; strokes, words and diamonds keep their size on the screen.

const CLOSEST = 12;
const GIVING_WAY = [
  [".names .room-name", true],
  [".labels text", false],
  [".points text:not(.number)", false],
  [".lines text", false],
  [".names .room-area", false],
];

export class View {
  /** ``still`` holds what stays, ``svg`` lies over it and takes the pointers; both show the same part. */
  constructor(still, svg) {
    this.still = still;
    this.svg = svg;
    this.whole = svg.getAttribute("viewBox").split(" ").map(Number);
    this.zoom = 1;
    this.centre = [this.whole[0] + this.whole[2] / 2, this.whole[1] + this.whole[3] / 2];
    for (const one of [still, svg]) one.classList.add("scaled");
    this.textures = [...still.querySelectorAll("pattern")].map((one) => [one, one.getAttribute("patternTransform") ?? ""]);
    new ResizeObserver(() => {
      this.shownUnit = null;
      this.show();
    }).observe(svg);
    this.show();
  }

  /** Paper units per screen pixel. */
  get unit() {
    const { clientWidth: w, clientHeight: h } = this.svg;
    if (!w || !h) return Number(this.svg.dataset.scale) || 1;
    return Math.max(this.whole[2] / this.zoom / w, this.whole[3] / this.zoom / h);
  }

  show() {
    const [x, y, w, h] = this.whole;
    const width = w / this.zoom;
    const height = h / this.zoom;
    const clamp = (value, low, high) => (low > high ? (low + high) / 2 : Math.min(high, Math.max(low, value)));
    this.centre[0] = clamp(this.centre[0], x + width / 2, x + w - width / 2);
    this.centre[1] = clamp(this.centre[1], y + height / 2, y + h - height / 2);
    const box = [this.centre[0] - width / 2, this.centre[1] - height / 2, width, height].join(" ");
    const unit = this.unit;
    for (const one of [this.still, this.svg]) {
      one.setAttribute("viewBox", box);
      one.style.setProperty("--u", unit.toFixed(4));
    }
    if (unit !== this.shownUnit) {
      this.shownUnit = unit;
      // Where the margin has become narrow on the screen there is room for one row of figures only.
      this.still.classList.toggle("small", unit > 1.3 * Number(this.svg.dataset.scale));
      // Hatching keeps about its pitch on the screen, in steps of two so that it does not swim.
      const step = 2 ** Math.round(Math.log2(unit / Number(this.svg.dataset.scale)) - 0.25);
      for (const [pattern, turn] of this.textures) pattern.setAttribute("patternTransform", `${turn} scale(${step})`.trim());
      for (const name of this.still.querySelectorAll(".room")) {
        const room = Number(name.dataset.wide) / unit;
        const need = Number(name.dataset.need);
        name.classList.toggle("tight", need > room - 4 || Number(name.dataset.high) / unit < 40);
        name.classList.toggle("crowded", need * 0.84 > room + 6 || Number(name.dataset.high) / unit < 14);
      }
      this.makeRoom();
    }
    this.svg.dispatchEvent(new CustomEvent("viewchange", { bubbles: true }));
  }

  /** Words that would lie on a station or on other words give way; what they say stands in the lists too. */
  makeRoom() {
    const taken = [];
    for (const one of [this.still, this.svg]) {
      for (const shape of one.querySelectorAll(".layer:not(.own, .marks) .station .diamond")) {
        const box = shape.getBoundingClientRect();
        if (!box.width) continue;
        const spare = box.width / 5;
        taken.push(new DOMRect(box.x + spare, box.y + spare, box.width - 2 * spare, box.height - 2 * spare));
      }
    }
    const meets = (a) => taken.some((b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom);
    for (const [words, stays] of GIVING_WAY) {
      for (const text of this.still.querySelectorAll(words)) {
        const box = text.getBoundingClientRect();
        if (!box.width) continue;
        const met = !stays && meets(box);
        text.classList.toggle("met", met);
        if (!met) taken.push(box);
      }
    }
  }

  /** A screen position as a spot on the plan [m]. */
  spotAt(clientX, clientY) {
    const point = new DOMPoint(clientX, clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return [point.x / 100, -point.y / 100];
  }

  /** Zoom by a factor, keeping the paper under a screen position where it is. */
  zoomBy(factor, clientX, clientY) {
    const box = this.svg.getBoundingClientRect();
    const at = [clientX ?? box.x + box.width / 2, clientY ?? box.y + box.height / 2];
    const before = new DOMPoint(...at).matrixTransform(this.svg.getScreenCTM().inverse());
    this.zoom = Math.min(CLOSEST, Math.max(1, this.zoom * factor));
    this.show();
    const after = new DOMPoint(...at).matrixTransform(this.svg.getScreenCTM().inverse());
    this.centre[0] += before.x - after.x;
    this.centre[1] += before.y - after.y;
    this.show();
  }

  /** Move the paper by screen pixels. */
  panBy(dx, dy) {
    this.centre[0] -= dx * this.unit;
    this.centre[1] -= dy * this.unit;
    this.show();
  }

  /** Bring a spot [m] into sight. */
  reveal(x, y) {
    if (this.zoom === 1) return;
    this.centre = [x * 100, -y * 100];
    this.show();
  }

  fit() {
    this.zoom = 1;
    this.show();
  }
}
