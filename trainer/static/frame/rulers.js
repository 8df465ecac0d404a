// Degrees in the paper margin, like the border of a map sheet: a tick where a meridian or a parallel leaves the picture.

import { degrees } from "./sphere.js";

const STEPS = [1, 2, 5, 10, 15, 30, 45];
const SAMPLES = 48;
const NEAREST = 44; // px between two figures

/** Where whole steps of an angle cross an edge: [{part 0..1, value}], from samples of the edge. */
function crossings(samples, step) {
  const found = [];
  for (let i = 1; i < samples.length; i++) {
    const [before, after] = [samples[i - 1], samples[i]];
    const [low, high] = before < after ? [before, after] : [after, before];
    for (let k = Math.ceil(low / step); k * step < high; k++) {
      const part = (i - 1 + (k * step - before) / (after - before)) / (samples.length - 1);
      found.push({ part, value: k * step });
    }
  }
  return found;
}

/** Angles along an edge without the jump at 180. */
function unrolled(values) {
  const out = [values[0]];
  for (const value of values.slice(1)) {
    let next = value;
    while (next - out.at(-1) > 180) next -= 360;
    while (next - out.at(-1) < -180) next += 360;
    out.push(next);
  }
  return out;
}

function stepFor(samples, length) {
  const span = Math.max(1e-6, Math.max(...samples) - Math.min(...samples));
  return STEPS.find((step) => (length * step) / span >= NEAREST) ?? 90;
}

/** Draw both rulers for a lens. ``ink`` gives the colours and the type. */
export function drawRulers(lens, azimuths, elevations, ink) {
  const places = [...Array(SAMPLES + 1).keys()].map((i) => (2 * i) / SAMPLES - 1);
  const below = unrolled(places.map((x) => lens.angles([x, -1]).azimuth));
  const beside = places.map((y) => lens.angles([-1, -y]).elevation);
  drawOne(azimuths, below, lens.width, ink, false);
  drawOne(elevations, beside, lens.height, ink, true);
}

function drawOne(canvas, samples, length, ink, upright) {
  const ratio = devicePixelRatio || 1;
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  const [w, h] = [Math.round(wide * ratio), Math.round(high * ratio)];
  if (!w || !h) return;
  if (canvas.width !== w || canvas.height !== h) [canvas.width, canvas.height] = [w, h];
  const pen = canvas.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  pen.clearRect(0, 0, wide, high);
  pen.strokeStyle = pen.fillStyle = ink.text;
  pen.font = ink.type;
  const step = stepFor(samples, length);
  const minor = step / (step === 45 ? 3 : step === 15 ? 3 : step === 2 ? 2 : 5);
  pen.beginPath();
  let before = -Infinity;
  for (const { part } of crossings(samples, minor).sort((a, b) => a.part - b.part)) {
    if (part * length - before < 4) continue;
    before = part * length;
    tick(pen, before, upright, wide, 4);
  }
  const named = crossings(samples, step);
  for (const { part } of named) tick(pen, part * length, upright, wide, 8);
  pen.lineWidth = 1;
  pen.stroke();
  pen.textAlign = upright ? "right" : "center";
  pen.textBaseline = upright ? "middle" : "top";
  let last = -Infinity;
  for (const { part, value } of named.sort((a, b) => a.part - b.part)) {
    const at = part * length;
    const room = upright ? 8 : 14;
    if (at < room || at > length - room || at - last < NEAREST * 0.7) continue;
    last = at;
    const shown = degrees(upright ? value : ((((value + 180) % 360) + 360) % 360) - 180);
    if (upright) pen.fillText(shown, wide - 11, at);
    else pen.fillText(shown, at, 10);
  }
}

function tick(pen, at, upright, wide, size) {
  const place = Math.round(at) + 0.5;
  if (upright) {
    pen.moveTo(wide, place);
    pen.lineTo(wide - size, place);
  } else {
    pen.moveTo(place, 0);
    pen.lineTo(place, size);
  }
}
