// <plan-sheet>: upgrades drawn sheets to ones that stations are placed on, by mouse, finger, pen and keys.
//
// The server draws everything that stays; this module draws the stations of `this.stations` on top.
// One finger on a station drags it; one elsewhere scrolls the page, or moves the paper once zoomed in;
// two always pinch. Browsers ignore touch-action on shapes inside an SVG, so a touchstart listener decides.

import { carried, draw, inRing, make, stationGroup } from "./paper.js";
import { lengthWords } from "./lengths.js";
import { Stations, tidy } from "./stations.js";
import { View } from "./view.js";

const TAP = 8;
const LIFT = 46; // px that a station stands above the finger that drags it

export class PlanSheet extends HTMLElement {
  connectedCallback() {
    if (this.stations) return;
    this.units = this.dataset.units || "m";
    this.plan = carried(this.dataset.plan || "sheet-data") ?? { levels: [], given: [], first: 0 };
    this.first = this.plan.first ?? 0;
    this.stations = new Stations([], Number(this.dataset.most || 40));
    this.level = 0;
    this.pointers = new Map();
    this.sheets = [...this.querySelectorAll(".sheet")].map((figure) => this.prepare(figure));
    this.classList.add("live");
    this.classList.toggle("editable", this.editable);
    this.classList.toggle("still", !this.editable);
    for (const tools of this.querySelectorAll("[data-live]")) tools.hidden = false;
    this.addEventListener("click", (event) => this.act(event));
    this.addEventListener("keydown", (event) => this.key(event));
    this.stations.addEventListener("change", () => this.refresh());
    this.showLevel(Number(this.dataset.level ?? 0));
    this.refresh();
  }

  get editable() {
    return this.dataset.edit === "stations";
  }

  set editing(on) {
    this.dataset.edit = on ? "stations" : "";
    this.classList.toggle("editable", on);
    this.classList.toggle("still", !on);
    this.refresh();
  }

  prepare(figure) {
    // What stays lies on a paper of its own underneath: a moving station then repaints next to nothing.
    const still = figure.querySelector("svg.plan");
    const svg = still.cloneNode(false);
    svg.classList.add("over");
    svg.setAttribute("role", "group");
    svg.setAttribute("aria-label", `Stations: ${still.getAttribute("aria-label")}`);
    const layers = make("div", { class: "layers" });
    still.replaceWith(layers);
    still.classList.add("still");
    layers.append(still, svg);
    const layer = draw("g", { class: "layer own", role: "group", "aria-label": "Your stations" });
    if (this.classList.contains("choosable")) svg.append(still.querySelector(".layer.stations"));
    svg.append(layer);
    const sheet = { figure, layers, svg, layer, level: Number(figure.dataset.level), view: new View(still, svg) };
    for (const given of svg.querySelectorAll(".station[data-station]")) {
      given.querySelector(".fixed").prepend(draw("circle", { class: "hit", r: 23 }));
    }
    const steer = (event) => {
      const marker = event.target.closest?.("[data-own]");
      const ours = (marker && this.editable) || event.touches.length > 1 || sheet.view.zoom > 1;
      if (ours && event.cancelable) event.preventDefault();
    };
    svg.addEventListener("touchstart", steer, { passive: false });
    // Where the focus goes is decided here, not by where the paper was pressed.
    svg.addEventListener("mousedown", (event) => event.preventDefault());
    svg.addEventListener("pointerdown", (event) => this.down(event, sheet));
    svg.addEventListener("pointermove", (event) => this.moved(event, sheet));
    svg.addEventListener("pointerup", (event) => this.up(event, sheet));
    // After the mouse events that a tap brings along, so that whatever takes the focus keeps it.
    svg.addEventListener("click", () => this.pick());
    svg.addEventListener("pointercancel", (event) => this.cancel(event, sheet));
    svg.addEventListener("wheel", (event) => this.wheel(event, sheet), { passive: false });
    // Not on the SVG itself: a browser makes an SVG element with a focus listener focusable.
    figure.addEventListener("focusin", (event) => this.focused(event));
    return sheet;
  }

  // --- what is shown -------------------------------------------------------------------------------------------

  showLevel(level) {
    this.level = level;
    for (const sheet of this.sheets) sheet.figure.hidden = sheet.level !== level;
    for (const tab of this.querySelectorAll("[data-do='level']")) {
      tab.setAttribute("aria-pressed", String(Number(tab.dataset.level) === level));
    }
    this.sheet?.view.show();
    this.dispatchEvent(new CustomEvent("levelchange"));
  }

  get sheet() {
    return this.sheets.find((sheet) => sheet.level === this.level);
  }

  refresh() {
    const { list, selected } = this.stations;
    const focused = document.activeElement?.closest?.("[data-own]")?.dataset.own;
    for (const sheet of this.sheets) {
      const here = list.map((station, index) => ({ station, index })).filter((s) => s.station.level === sheet.level);
      const groups = [...sheet.layer.querySelectorAll(".station")];
      while (groups.length > here.length) groups.pop().remove();
      while (groups.length < here.length) {
        const group = stationGroup("");
        group.setAttribute("role", "button");
        sheet.layer.append(group);
        groups.push(group);
      }
      here.forEach(({ station, index }, i) => {
        const group = groups[i];
        group.dataset.own = index;
        group.setAttribute("transform", `translate(${station.x * 100} ${-station.y * 100})`);
        group.classList.toggle("selected", index === selected);
        group.querySelector(".number").textContent = String(this.first + index + 1);
        group.setAttribute("aria-label", this.describe(index));
        group.setAttribute("aria-pressed", String(index === selected));
        group.setAttribute("tabindex", index === (selected >= 0 ? selected : here[0].index) || (i === 0 && list[selected]?.level !== sheet.level) ? "0" : "-1");
      });
    }
    if (focused !== undefined) this.groupOf(Number(focused))?.focus({ preventScroll: true });
    this.toggleTools();
    this.dispatchEvent(new CustomEvent("stationschange", { bubbles: true, detail: list }));
  }

  groupOf(index) {
    return this.querySelector(`.layer.own [data-own="${index}"]`);
  }

  toggleTools() {
    const { past, future, selected, list, full, most } = this.stations;
    const off = { undo: !past.length, redo: !future.length, delete: selected < 0, add: !this.editable || (full && most !== 1) };
    for (const [name, value] of Object.entries(off)) {
      for (const button of document.querySelectorAll(`[data-do='${name}']`)) button.disabled = value;
    }
    const hint = this.querySelector("[data-hint]");
    if (!hint || !this.editable) return;
    const number = this.first + selected + 1;
    if (selected >= 0) hint.textContent = `Station ${number} is selected: tap where it should go, drag it, or use the arrow keys.`;
    else if (full && most === 1) hint.textContent = "Tap elsewhere to move the station.";
    else if (full) hint.textContent = `That is the most there may be: ${most}.`;
    else if (!list.length && this.dataset.hint) hint.textContent = this.dataset.hint;
    else hint.textContent = list.length ? "Tap the plan to add a station; tap a station to select it." : "Tap the plan to put the first station.";
  }

  /** The name of the space under a spot, in words. */
  spaceName(level, x, y) {
    const spaces = this.plan.levels[level]?.spaces ?? [];
    return spaces.find((space) => inRing(space.outline, x, y))?.name ?? "no room";
  }

  describe(index) {
    const s = this.stations.list[index];
    if (!s) return "";
    const where = [`Station ${this.first + index + 1}`, this.spaceName(s.level, s.x, s.y)];
    if (this.sheets.length > 1) where.push(this.plan.levels[s.level]?.name ?? "");
    where.push(`${lengthWords(s.x, this.units)} across`, `${lengthWords(s.y, this.units)} up`);
    return where.filter(Boolean).join(", ");
  }

  say(words) {
    const region = this.querySelector("[data-say]");
    if (region) region.textContent = words;
  }

  // --- buttons and keys ----------------------------------------------------------------------------------------

  act(event) {
    const button = event.target.closest("[data-do]");
    if (button && this.contains(button)) this.perform(button.dataset.do, button);
  }

  perform(name, button) {
    const { view } = this.sheet;
    if (name === "zoom-in") view.zoomBy(1.5);
    else if (name === "zoom-out") view.zoomBy(1 / 1.5);
    else if (name === "fit") view.fit();
    else if (name === "level") this.showLevel(Number(button.dataset.level));
    else if (name === "undo") this.say(this.stations.undo() ? "Undone" : "Nothing to undo");
    else if (name === "redo") this.say(this.stations.redo() ? "Done again" : "Nothing to redo");
    else if (name === "delete") this.delete(this.stations.selected);
    else if (name === "add") this.addInView();
  }

  delete(index) {
    if (index < 0 || index >= this.stations.list.length) return;
    this.stations.remove(index);
    this.say(`Station ${this.first + index + 1} taken away`);
    const next = this.groupOf(Math.min(index, this.stations.list.length - 1));
    (next ?? document.querySelector("[data-do='add']"))?.focus?.({ preventScroll: true });
  }

  /** Put a station in the middle of what is in sight, or in the nearest free room, selected and focused. */
  addInView() {
    const { view } = this.sheet;
    const [cx, cy] = [view.centre[0] / 100, -view.centre[1] / 100];
    const spaces = this.plan.levels[this.level]?.spaces ?? [];
    let spot = [cx, cy];
    const taken = (x, y) => this.stations.list.some((s) => s.level === this.level && Math.hypot(s.x - x, s.y - y) < 0.4);
    if (!spaces.some((space) => inRing(space.outline, cx, cy)) || taken(cx, cy)) {
      const free = spaces.map((s) => s.spot).filter(([x, y]) => !taken(x, y));
      const pool = free.length ? free : spaces.map((s) => s.spot);
      pool.sort((a, b) => Math.hypot(a[0] - cx, a[1] - cy) - Math.hypot(b[0] - cx, b[1] - cy));
      if (pool.length) spot = pool[0];
    }
    this.put(...spot);
    const index = this.stations.list.length - 1;
    this.stations.select(index);
    this.groupOf(index)?.focus({ preventScroll: true });
  }

  put(x, y) {
    if (!this.stations.add({ level: this.level, x: tidy(x), y: tidy(y) })) {
      this.say(`That is the most there may be: ${this.stations.most}`);
      return;
    }
    this.say(`${this.describe(this.stations.list.length - 1)}, added`);
  }

  focused(event) {
    const own = event.target.closest("[data-own]");
    if (!own || !this.editable) return;
    const station = this.stations.list[Number(own.dataset.own)];
    if (station && event.target.matches(":focus-visible")) this.sheet.view.reveal(station.x, station.y);
  }

  key(event) {
    if ((event.ctrlKey || event.metaKey) && "zy".includes(event.key.toLowerCase())) {
      if (event.target.matches("input, textarea, select")) return;
      const again = event.key.toLowerCase() === "y" || event.shiftKey;
      this.perform(again ? "redo" : "undo");
      event.preventDefault();
      return;
    }
    const own = event.target.closest?.("[data-own]");
    if (!own || !this.editable) return;
    const index = Number(own.dataset.own);
    const station = this.stations.list[index];
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    if (event.key in arrows && !event.altKey) {
      const size = event.shiftKey ? 0.01 : event.ctrlKey || event.metaKey ? 1 : 0.1;
      const [dx, dy] = arrows[event.key];
      if (this.stations.selected !== index) this.stations.selected = index;
      this.stations.move(index, station.x + dx * size, station.y + dy * size, "nudge");
      this.say(this.describe(index));
    } else if (event.key === "Delete" || event.key === "Backspace") this.delete(index);
    else if (event.key === "Escape") this.stations.select(-1);
    else if (event.key === "Enter" || event.key === " ") this.stations.select(this.stations.selected === index ? -1 : index);
    else if (event.key === "PageDown" || event.key === "PageUp") this.step(index, event.key === "PageDown" ? 1 : -1);
    else if (/^[1-9]$/.test(event.key)) this.goTo(Number(event.key) - 1 - this.first);
    else return;
    event.preventDefault();
  }

  step(index, by) {
    const count = this.stations.list.length;
    this.goTo((index + by + count) % count);
  }

  goTo(index) {
    const station = this.stations.list[index];
    if (!station) return;
    if (station.level !== this.level) this.showLevel(station.level);
    this.stations.select(index);
    this.groupOf(index)?.focus({ preventScroll: true });
  }

  // --- pointers ------------------------------------------------------------------------------------------------

  down(event, sheet) {
    if (event.pointerType === "mouse" && event.button !== 0) return;
    this.pointers.set(event.pointerId, [event.clientX, event.clientY]);
    if (this.pointers.size === 2) {
      this.abandon(sheet);
      this.pinch = this.span();
      return;
    }
    const own = event.target.closest("[data-own]");
    const index = own && this.editable ? Number(own.dataset.own) : -1;
    const given = event.target.closest(".station[data-station]") && this.nearestGiven(event, sheet);
    const grab = index >= 0 ? { ...this.stations.list[index] } : null;
    this.press = { id: event.pointerId, index, given, grab, at: [event.clientX, event.clientY], moved: false, touch: event.pointerType === "touch" };
    if (index >= 0 || sheet.view.zoom > 1) sheet.svg.setPointerCapture(event.pointerId);
    if (index >= 0) event.preventDefault();
  }

  /** Where the areas of two given stations overlap, the one whose middle is nearer is meant. */
  nearestGiven(event, sheet) {
    const off = (station) => {
      const box = station.querySelector(".hit").getBoundingClientRect();
      return Math.hypot(event.clientX - box.x - box.width / 2, event.clientY - box.y - box.height / 2);
    };
    const stations = [...sheet.svg.querySelectorAll(".station[data-station]:has(.hit)")];
    return stations.reduce((near, station) => (near && off(near) <= off(station) ? near : station), null);
  }

  moved(event, sheet) {
    const last = this.pointers.get(event.pointerId);
    if (!last) return;
    this.pointers.set(event.pointerId, [event.clientX, event.clientY]);
    if (this.pointers.size === 2 && this.pinch) {
      const now = this.span();
      sheet.view.panBy(now.x - this.pinch.x, now.y - this.pinch.y);
      sheet.view.zoomBy(now.size / this.pinch.size, now.x, now.y);
      this.pinch = now;
      return;
    }
    const press = this.press;
    if (!press || press.id !== event.pointerId) return;
    if (!press.moved && Math.hypot(event.clientX - press.at[0], event.clientY - press.at[1]) < TAP) return;
    press.moved = true;
    if (press.index >= 0) {
      const [x, y] = sheet.view.spotAt(event.clientX, event.clientY - (press.touch ? LIFT : 0));
      this.stations.list[press.index] = { level: sheet.level, x: tidy(x), y: tidy(y) };
      this.stations.selected = press.index;
      this.refresh();
      this.groupOf(press.index)?.classList.add("dragged");
      this.showFinger(sheet, event, press);
    } else if (sheet.view.zoom > 1) {
      sheet.view.panBy(event.clientX - last[0], event.clientY - last[1]);
    }
  }

  showFinger(sheet, event, press) {
    if (!press.touch) return;
    press.line ??= sheet.layer.appendChild(draw("path", { class: "finger-line" }));
    const [fx, fy] = sheet.view.spotAt(event.clientX, event.clientY);
    const { x, y } = this.stations.list[press.index];
    press.line.setAttribute("d", `M${x * 100} ${-y * 100}L${fx * 100} ${-fy * 100}`);
  }

  up(event, sheet) {
    this.pointers.delete(event.pointerId);
    if (this.pinch) {
      if (!this.pointers.size) this.pinch = null;
      return;
    }
    const press = this.press;
    if (!press || press.id !== event.pointerId) return;
    this.press = null;
    press.line?.remove();
    if (press.index >= 0 && press.moved) {
      const to = this.stations.list[press.index];
      this.stations.list[press.index] = press.grab;
      this.stations.selected = -1;
      this.stations.move(press.index, to.x, to.y);
      this.refresh();
      this.groupOf(press.index)?.classList.remove("dragged");
      this.say(`${this.describe(press.index)}, moved`);
    } else if (press.index >= 0) {
      this.stations.select(this.stations.selected === press.index ? -1 : press.index);
      this.groupOf(press.index)?.focus({ preventScroll: true });
    } else if (!press.moved) {
      const spot = sheet.view.spotAt(event.clientX, event.clientY);
      if (press.given) this.picked = { number: Number(press.given.dataset.station), spot };
      else this.tap(...spot);
      // Zoomed in, the sheet keeps a finger's press to itself, so that no click comes after it.
      if (press.touch && sheet.view.zoom > 1) this.pick();
    }
  }

  /** A given station was tapped: somebody may take it as a choice, else it is a tap on the paper. */
  pick() {
    if (!this.picked) return;
    const { number, spot } = this.picked;
    this.picked = null;
    const event = new CustomEvent("pick", { detail: { number }, cancelable: true, bubbles: true });
    if (this.dispatchEvent(event)) this.tap(...spot);
  }

  tap(x, y) {
    if (!this.editable) return;
    const { selected } = this.stations;
    if (this.stations.list[selected]) {
      this.stations.selected = -1;
      if (this.stations.list[selected].level === this.level) this.stations.move(selected, x, y);
      else this.stations.change(selected, { level: this.level, x, y });
      this.say(`${this.describe(selected)}, moved`);
    } else this.put(x, y);
  }

  cancel(event, sheet) {
    this.pointers.delete(event.pointerId);
    if (!this.pointers.size) this.pinch = null;
    this.abandon(sheet);
  }

  /** A second finger or the browser took the gesture: put back what was being dragged. */
  abandon() {
    const press = this.press;
    this.press = null;
    press?.line?.remove();
    if (press?.grab) {
      this.stations.list[press.index] = press.grab;
      this.refresh();
    }
  }

  span() {
    const [a, b] = [...this.pointers.values()];
    return { size: Math.hypot(a[0] - b[0], a[1] - b[1]) || 1, x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2 };
  }

  wheel(event, sheet) {
    if (!event.ctrlKey && !event.metaKey && sheet.view.zoom === 1) return;
    event.preventDefault();
    sheet.view.zoomBy(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.002)), event.clientX, event.clientY);
  }
}

customElements.define("plan-sheet", PlanSheet);
