// One finger or the mouse turns a view, two fingers and the wheel zoom it, a tap marks. Flicking lets it run on a little.

import { dragged } from "./sphere.js";

const TAP_PX = 8;
const TAP_MS = 600;
const SLOWING = 0.9; // per sixtieth of a second

/** Bind the pointers of a <frame-view>. */
export function listenTo(view) {
  const { pane } = view;
  const pointers = new Map();
  let begun = null;
  let speed = [0, 0];
  let running = 0;

  const placeOf = (event) => {
    const box = pane.getBoundingClientRect();
    return [((event.clientX - box.x) / box.width) * 2 - 1, 1 - ((event.clientY - box.y) / box.height) * 2];
  };
  const stop = () => {
    cancelAnimationFrame(running);
    cancelAnimationFrame(view.gliding);
    speed = [0, 0];
  };

  pane.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    stop();
    pane.setPointerCapture(event.pointerId);
    pointers.set(event.pointerId, [event.clientX, event.clientY]);
    view.aiming = false;
    begun = pointers.size === 1 ? { x: event.clientX, y: event.clientY, at: performance.now(), moved: false } : null;
    pane.classList.add("grabbed");
  });

  pane.addEventListener("pointermove", (event) => {
    const before = pointers.get(event.pointerId);
    if (!before) return;
    if (begun && !begun.moved && Math.hypot(event.clientX - begun.x, event.clientY - begun.y) < TAP_PX) return;
    if (begun) begun.moved = true;
    const lens = view.lens();
    const box = pane.getBoundingClientRect();
    const from = lens.at(before[0] - box.x, before[1] - box.y);
    const to = lens.at(event.clientX - box.x, event.clientY - box.y);
    if (pointers.size === 2) {
      const [still] = [...pointers].filter(([id]) => id !== event.pointerId).map(([, spot]) => spot);
      const gap = (spot) => Math.max(8, Math.hypot(spot[0] - still[0], spot[1] - still[1]));
      const middle = lens.at((event.clientX + still[0]) / 2 - box.x, (event.clientY + still[1]) / 2 - box.y);
      view.zoomBy(gap([event.clientX, event.clientY]) / gap(before), middle);
    } else {
      const pose = dragged(lens, from, to);
      speed = [((pose.azimuth - view.pose.azimuth + 540) % 360) - 180, pose.elevation - view.pose.elevation];
      view.turnTo(pose);
    }
    pointers.set(event.pointerId, [event.clientX, event.clientY]);
    view.lastMove = performance.now();
  });

  const lift = (event, kept) => {
    if (!pointers.delete(event.pointerId)) return;
    if (!pointers.size) pane.classList.remove("grabbed");
    if (kept && begun && !begun.moved && performance.now() - begun.at < TAP_MS) {
      const { azimuth, elevation } = view.lens().angles(placeOf(event));
      view.tap(azimuth, elevation);
    } else if (kept && begun?.moved && !pointers.size && performance.now() - view.lastMove < 60) runOn();
    if (!pointers.size) begun = null;
  };
  pane.addEventListener("pointerup", (event) => lift(event, true));
  pane.addEventListener("pointercancel", (event) => lift(event, false));

  function runOn() {
    if (view.calm.matches) return;
    const step = () => {
      speed = speed.map((one) => one * SLOWING);
      if (Math.hypot(...speed) < 0.03) return;
      view.turnBy(...speed);
      running = requestAnimationFrame(step);
    };
    running = requestAnimationFrame(step);
  }

  // The wheel zooms a view that has the focus; else it scrolls the page, as everywhere.
  pane.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey && !event.metaKey && document.activeElement !== pane) return;
      event.preventDefault();
      stop();
      view.zoomBy(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), placeOf(event));
    },
    { passive: false },
  );
}
