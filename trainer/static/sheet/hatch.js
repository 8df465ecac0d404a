// What several stations see, as hatching on a canvas: once where one sees, crossed where two or more do.
//
// Two masks are kept for all stations but the one that moves, so a frame adds one polygon to them:
//
//     twice = twice + (new and once)        once = once + new

const PITCH = 7;

/** A drawing pen whose canvas stays in plain memory: masks are small, and no graphics driver can lose them. */
const penOf = (canvas) => canvas.getContext("2d", { willReadFrequently: true });

export class Hatch {
  constructor({ layers, svg, view }) {
    this.view = view;
    this.svg = svg;
    this.canvas = document.createElement("canvas");
    svg.before(this.canvas);
    this.once = document.createElement("canvas");
    this.twice = document.createElement("canvas");
    this.restOnce = document.createElement("canvas");
    this.restTwice = document.createElement("canvas");
    this.mix = document.createElement("canvas");
    this.layers = layers;
    this.resting = "";
    this.before = [];
    this.shown = 0;
  }

  /** Draw these sights: each a polygon in metres, seen from (x, y) as far as ``reach``. */
  show(sights) {
    const { clientWidth: width, clientHeight: height } = this.layers;
    if (!width || !height) return;
    const ratio = Math.min(devicePixelRatio || 1, 1.5);
    const [w, h] = [Math.round(width * ratio), Math.round(height * ratio)];
    for (const one of [this.canvas, this.once, this.twice, this.restOnce, this.restTwice, this.mix]) {
      if (one.width !== w || one.height !== h) {
        [one.width, one.height] = [w, h];
        this.resting = "";
      }
    }
    const matrix = this.svg.getScreenCTM();
    const box = this.canvas.getBoundingClientRect();
    // Paper centimetres to canvas pixels.
    this.place = [matrix.a * ratio, (matrix.e - box.x) * ratio, (matrix.f - box.y) * ratio];
    this.shown = sights.filter((one) => one.polygon.length).length;
    const keys = sights.map((one) => `${one.x} ${one.y}`);
    const moving = keys.findIndex((key, i) => key !== this.before[i]);
    this.before = keys;
    const rest = sights.filter((_, i) => i !== moving);
    const resting = JSON.stringify([this.place, w, h, rest.map((one) => [one.x, one.y])]);
    if (resting !== this.resting) {
      this.resting = resting;
      this.wipe(this.restOnce);
      this.wipe(this.restTwice);
      for (const one of rest) this.add(one, this.restOnce, this.restTwice);
    }
    this.copy(this.restOnce, this.once);
    this.copy(this.restTwice, this.twice);
    if (moving >= 0) this.add(sights[moving], this.once, this.twice);
    this.paint(ratio);
  }

  wipe(canvas) {
    penOf(canvas).clearRect(0, 0, canvas.width, canvas.height);
  }

  copy(from, to) {
    const pen = penOf(to);
    pen.globalCompositeOperation = "copy";
    pen.drawImage(from, 0, 0);
    pen.globalCompositeOperation = "source-over";
  }

  outline({ polygon }) {
    const [scale, left, top] = this.place;
    const path = new Path2D();
    polygon.forEach(([x, y], i) => path[i ? "lineTo" : "moveTo"](left + x * 100 * scale, top - y * 100 * scale));
    path.closePath();
    return path;
  }

  circle({ x, y, reach }) {
    const [scale, left, top] = this.place;
    const path = new Path2D();
    path.arc(left + x * 100 * scale, top - y * 100 * scale, reach * 100 * scale, 0, 7);
    return path;
  }

  add(sight, once, twice) {
    if (!sight.polygon.length) return;
    const [path, circle] = [this.outline(sight), this.circle(sight)];
    const both = penOf(twice);
    both.save();
    both.clip(circle);
    both.clip(path);
    both.drawImage(once, 0, 0);
    both.restore();
    const pen = penOf(once);
    pen.save();
    pen.clip(circle);
    pen.fill(path);
    pen.restore();
  }

  /** Lines through a mask, rising one way or the other. */
  paint(ratio) {
    const pen = penOf(this.canvas);
    pen.clearRect(0, 0, this.canvas.width, this.canvas.height);
    for (const [mask, rising] of [[this.once, true], [this.twice, false]]) {
      const mix = penOf(this.mix);
      mix.globalCompositeOperation = "copy";
      mix.drawImage(mask, 0, 0);
      mix.globalCompositeOperation = "source-in";
      mix.fillStyle = this.pattern(mix, ratio, rising);
      mix.fillRect(0, 0, this.mix.width, this.mix.height);
      pen.drawImage(this.mix, 0, 0);
    }
    this.canvas.dataset.sights = String(this.shown);
    this.canvas.dataset.frame = String(Number(this.canvas.dataset.frame ?? 0) + 1);
  }

  pattern(pen, ratio, rising) {
    const ink = getComputedStyle(this.layers).getPropertyValue("--harbour").trim();
    const key = `${ink} ${ratio} ${rising}`;
    this.tiles ??= new Map();
    if (!this.tiles.has(key)) {
      const size = Math.round(PITCH * Math.SQRT2 * ratio);
      const tile = document.createElement("canvas");
      [tile.width, tile.height] = [size, size];
      const line = tile.getContext("2d");
      line.strokeStyle = ink;
      line.lineWidth = 0.9 * ratio;
      for (const shift of [-size, 0, size]) {
        line.moveTo(shift, rising ? size : 0);
        line.lineTo(shift + size, rising ? 0 : size);
      }
      line.stroke();
      this.tiles.set(key, pen.createPattern(tile, "repeat"));
    }
    return this.tiles.get(key);
  }
}
