// <frame-view>: upgrades flat pictures of a frame to a view that one turns, by finger, mouse, wheel, keys and buttons.
//
// Without WebGL2, or when its context is lost, the flat pictures stay. The view is drawn on demand: smaller while it
// moves, at the screen's own pixels when it is still, and then with close tiles where they show more.

import { carried } from "../sheet/paper.js";
import { flatten } from "./flat.js";
import { listenTo } from "./gestures.js";
import { inWords, Overlay, spotNear, Spots } from "./marks.js";
import { Motion } from "./motion.js";
import { CannotDraw, Painter, TILE, tilesUnder } from "./painter.js";
import { drawRulers } from "./rulers.js";
import { degrees, Lens, settled } from "./sphere.js";
import { Supply } from "./supply.js";

const START = { azimuth: 0, elevation: 0, angle: 90 };
const STILL_MS = 160;
const SAY_MS = 900;
const BUDGET_MS = 7; // of the sixteen that a moving picture has
const PIXELS_MAX = 4_000_000;
const WIDTHS = [1024, 2048, 4096];
const MADE = "The picture is being made.";
const SHARPER = "A sharper picture is being made.";

export class FrameView extends HTMLElement {
  connectedCallback() {
    if (this.pictures) return;
    this.pictures = [...this.querySelectorAll(".flat")].map((figure) => ({
      name: figure.dataset.picture, what: figure.dataset.what, address: figure.dataset.address, title: figure.dataset.title,
      figure, img: figure.querySelector("img"),
    }));
    this.pane = this.querySelector(".panorama");
    this.canvas = this.pane.querySelector("canvas");
    this.rulers = [this.querySelector("canvas.azimuths"), this.querySelector("canvas.elevations")];
    this.overlay = new Overlay(this.pane.querySelector("svg"));
    this.output = this.querySelector("output");
    this.start = { ...START, ...this.numbers("azimuth", "elevation", "angle") };
    this.pose = settled(this.start);
    this.switches = { plumb: false, zebra: false };
    this.regions = carried(`${this.id}-spots`, this) ?? [];
    this.regionsShown = true;
    this.scale = 1;
    this.gaps = [];
    this.supply = new Supply((words) => this.busy(words));
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    const rows = document.querySelectorAll("[data-spots] [data-spot]");
    this.spots = new Spots(rows, Number(this.dataset.most || 0));
    for (const live of this.querySelectorAll("[data-live]")) live.hidden = false;
    this.classList.add("live");
    this.addEventListener("click", (event) => this.act(event));
    this.pane.addEventListener("keydown", (event) => this.key(event));
    document.addEventListener("click", (event) => this.pointTo(event));
    for (const row of this.spots.rows) row.addEventListener("change", () => this.refresh());
    for (const scheme of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) {
      matchMedia(scheme).addEventListener("change", () => this.request());
    }
    new ResizeObserver(() => this.refresh()).observe(this.pane);
    listenTo(this);
    flatten(this);
    this.holdButtons();
    this.motion = new Motion((turn, rise) => this.turnBy(turn, rise));
    for (const button of this.querySelectorAll("[data-do='motion']")) button.hidden = !Motion.there;
    this.begin();
    this.show(this.pictures[0].name);
    document.documentElement.dataset.frame = "";
  }

  disconnectedCallback() {
    this.supply.closed = true;
  }

  numbers(...names) {
    return Object.fromEntries(names.filter((name) => this.dataset[name] !== undefined).map((name) => [name, Number(this.dataset[name])]));
  }

  begin() {
    try {
      this.painter = new Painter(this.canvas);
    } catch (error) {
      if (!(error instanceof CannotDraw)) throw error;
      this.painter = null;
    }
    this.canvas.addEventListener("webglcontextlost", (event) => {
      event.preventDefault();
      this.painter = null;
      this.lay();
    });
  }

  // --- what is shown -------------------------------------------------------------------------------------------

  get picture() {
    return this.pictures.find((one) => one.name === this.shown);
  }

  /** The pictures of what is shown now: frames beside a frame, headings beside a heading. */
  get alike() {
    return this.pictures.filter((one) => one.what === this.picture.what);
  }

  /** The picture that a held button compares with: the clean one, else the next. */
  get other() {
    const frames = this.alike;
    const wanted = frames.find((one) => one.name === this.dataset.compare && one.name !== this.shown);
    return wanted ?? frames[(frames.findIndex((one) => one.name === this.shown) + 1) % Math.max(1, frames.length)];
  }

  /** Whether the pictures lie flat just now. */
  get lies() {
    return !this.painter || this.flatChosen || this.picture.what !== "frame";
  }

  async show(name) {
    this.shown = name;
    for (const button of this.querySelectorAll("[data-show]")) {
      button.setAttribute("aria-pressed", String(button.dataset.show === name));
    }
    this.lay();
    if (this.lies) return;
    await this.bring(this.picture);
    this.refresh();
  }

  /** Show the view or the flat pictures, whichever it is to be. */
  lay() {
    const { lies } = this;
    this.classList.toggle("laid", lies);
    this.querySelector(".neat").hidden = lies;
    for (const part of this.querySelectorAll("[data-turns]")) part.hidden = lies;
    for (const one of this.pictures) one.figure.hidden = !lies || one.name !== this.shown;
    if (lies) this.freshen(this.picture);
    for (const button of this.querySelectorAll("[data-do='flat']")) {
      button.hidden = !this.painter || this.picture.what !== "frame";
      button.setAttribute("aria-pressed", String(Boolean(this.flatChosen)));
    }
    for (const button of this.querySelectorAll("[data-do='compare']")) button.hidden = this.alike.length < 2;
    if (!lies) this.refresh();
  }

  /** Have at least some of a picture on the graphics side; the page's own image comes first. */
  async bring(one) {
    if (!this.painter || this.painter.widthOf(one.name)) return;
    const { address } = one;
    const stands = () => one.address === address;
    try {
      await this.ready(one);
      // The image's own size is told in the page's pixels, so it is read again from what the browser keeps of it.
      const width = Number(/(\d+)\.jpg$/.exec(one.img.currentSrc)?.[1] ?? WIDTHS[0]);
      const blob = await this.supply.fetched(`${address}${width}.jpg`, MADE, stands);
      this.arrived(one, address, await createImageBitmap(blob), width);
    } catch {
      if (stands()) this.busy("The picture could not be loaded. Open the page again in a moment.");
    }
  }

  /** The page's own image, loaded; asked for again when the server had no time. */
  async ready(one) {
    const { address } = one;
    one.img.loading = "eager";
    try {
      await one.img.decode();
    } catch {
      const blob = await this.supply.fetched(`${address}${WIDTHS[0]}.jpg`, MADE, () => one.address === address);
      if (one.address !== address) return;
      one.img.removeAttribute("srcset");
      one.img.src = URL.createObjectURL(blob);
      await one.img.decode();
    }
  }

  /** Put another picture in the place of one: its address from now on, and, if there is one, a first small image. */
  replace(name, address, image = null, width = 0) {
    const one = this.pictures.find((each) => each.name === name);
    one.address = address;
    one.figure.dataset.address = address;
    if (image && this.painter && one.what === "frame") {
      this.painter.drop(name);
      this.taken(name, image, width);
    }
    image?.close();
    one.stale = true;
    if (this.lies && one.name === this.shown) this.freshen(one);
  }

  /** Point a flat picture at its new address. */
  freshen(one) {
    if (!one.stale) return;
    one.stale = false;
    one.img.srcset = one.img.srcset.replaceAll(/\S+\/(\d+\.jpg)/g, `${one.address}$1`);
    one.img.src = `${one.address}1024.jpg`;
  }

  /** A fetched picture: taken, unless another has come in its place meanwhile. */
  arrived(one, address, image, width) {
    if (one.address === address) this.taken(one.name, image, width);
    image.close();
  }

  taken(name, image, width) {
    if (!this.painter) return;
    const first = !this.painter.pictures.size;
    try {
      this.painter.take(name, image, width);
    } catch (error) {
      if (!(error instanceof CannotDraw)) throw error;
      return;
    }
    if (first) this.measure(name);
    this.request();
  }

  /** How large a moving view may be drawn here, from what one drawing takes. */
  measure(name) {
    const lens = this.lens();
    if (!lens.width) return;
    const [width, height] = this.size(1);
    const cost = this.painter.cost(name, lens, width, height);
    this.scale = Math.min(1, Math.max(0.4, Math.sqrt(BUDGET_MS / Math.max(0.1, cost))));
  }

  lens() {
    return new Lens(this.pose, this.pane.clientWidth, this.pane.clientHeight);
  }

  /** Canvas pixels at a share of the screen's own. */
  size(scale) {
    const ratio = Math.min(2, devicePixelRatio || 1);
    const [w, h] = [this.pane.clientWidth * ratio, this.pane.clientHeight * ratio];
    const most = Math.min(1, Math.sqrt(PIXELS_MAX / Math.max(1, w * h)));
    return [Math.max(1, Math.round(w * scale * most)), Math.max(1, Math.round(h * scale * most))];
  }

  // --- drawing -------------------------------------------------------------------------------------------------

  /** Draw soon, as a still view. */
  refresh() {
    this.moving = false;
    this.request();
    this.rest();
  }

  /** Draw soon, once. */
  request() {
    if (this.asked) return;
    this.asked = requestAnimationFrame((now) => {
      this.asked = 0;
      this.paint(now);
    });
  }

  paint(now) {
    if (this.lies || !this.pane.clientWidth) return;
    const lens = this.lens();
    const name = this.held ? this.other.name : this.shown;
    if (this.moving) this.watch(now);
    const [width, height] = this.size(this.moving ? this.scale : 1);
    const grain = this.moving ? Math.max(1, this.scale * 2) : Math.min(2, devicePixelRatio || 1);
    this.painter.draw(name, lens, width, height, { ...this.switches, sharp: !this.moving, grain });
    const style = getComputedStyle(this);
    drawRulers(lens, ...this.rulers, { text: style.color, type: `12px ${style.getPropertyValue("--figures") || "monospace"}` });
    this.overlay.show(this.things(), lens);
    const { azimuth, elevation, angle } = this.pose;
    this.output.textContent = `Azimuth ${degrees(azimuth)}, elevation ${degrees(elevation)}, ${degrees(angle)} across`;
    if (this.painter.widthOf(name)) this.dataset.drawn = name;
  }

  /** Draw smaller when a moving view does not keep up. */
  watch(now) {
    const gap = now - (this.lastPaint ?? 0);
    this.lastPaint = now;
    if (gap > 100) return;
    this.gaps.push(gap);
    if (this.gaps.length < 12) return;
    const middle = this.gaps.sort((a, b) => a - b)[6];
    this.gaps = [];
    if (middle > 20) this.scale = Math.max(0.4, this.scale * 0.85);
  }

  things() {
    const marked = this.spots.list.map((spot) => ({
      ...spot, role: "answered", label: String(spot.row + 1), selected: spot.row === this.spots.selected,
    }));
    const name = this.held ? this.other.name : this.shown;
    const pointed = this.regionsShown
      ? this.regions.filter((spot) => spot.frame === name || (spot.frame === "frame" && name === this.dataset.compare)).map((spot) => ({
          azimuth: spot.azimuth_deg, elevation: spot.elevation_deg, width: spot.width_deg, height: spot.height_deg,
          label: spot.label, role: spot.role,
        }))
      : [];
    const aim = this.spots.rows.length && this.aiming ? [{ ...this.pose, label: "", role: "aim" }] : [];
    return [...pointed, ...marked, ...aim];
  }

  /** Once the view is still: draw it sharp, fetch what shows more, and say where it points. */
  rest() {
    clearTimeout(this.resting);
    this.resting = setTimeout(() => {
      this.moving = false;
      this.request();
      this.sharpen();
    }, STILL_MS);
    clearTimeout(this.saying);
    if (!this.byKey) return;
    this.saying = setTimeout(() => {
      this.byKey = false;
      this.say(this.output.textContent);
    }, SAY_MS);
  }

  async sharpen() {
    if (this.lies || this.held) return;
    const one = this.picture;
    const lens = this.lens();
    const wanted = lens.density * (this.size(1)[0] / Math.max(1, lens.width)) * 360;
    const fits = WIDTHS.filter((width) => width <= this.painter.largest);
    // The widest whole frame for a wide view; a close one has tiles, and needs no more around them than a middling one.
    const close = wanted > fits.at(-1) * 1.15;
    let width = close ? fits.at(-2) ?? fits.at(-1) : fits.find((each) => each * 1.15 >= wanted);
    if (navigator.connection?.saveData) [width] = fits;
    this.supply.forget();
    if (width > this.painter.widthOf(one.name)) this.fetchWhole(one, width);
    if (close) this.fetchTiles(one, lens);
  }

  /** Fetch the whole picture at a width, in one loop however often it is wanted; a newer wish ends an older one. */
  async fetchWhole(one, width) {
    const { address } = one;
    const wish = `${address}${width}.jpg`;
    if (one.coming === wish) return;
    one.coming = wish;
    try {
      const blob = await this.supply.fetched(wish, SHARPER, () => one.coming === wish);
      this.arrived(one, address, await createImageBitmap(blob), width);
    } catch {
      // Forgotten, or it did not come: what is there stays.
    } finally {
      if (one.coming === wish) one.coming = "";
    }
  }

  fetchTiles(one, lens) {
    const { address } = one;
    const wanted = tilesUnder(lens);
    this.painter.touch(one.name, wanted);
    for (const [column, row] of [...wanted].reverse()) {
      if (this.painter.has(one.name, column, row)) continue;
      this.supply.image(`${address}${8 * TILE}-${column}-${row}.jpg`).then(
        (image) => {
          // Whoever waits for the same tile gets the same image; the first of them has it drawn.
          if (one.address === address && this.painter && !this.painter.has(one.name, column, row)) {
            this.painter.takeTile(one.name, column, row, image);
            this.request();
          }
          image.close();
        },
        () => {},
      );
    }
  }

  // --- turning -------------------------------------------------------------------------------------------------

  /** Take a pose on at once. */
  turnTo(pose, moving = true) {
    this.pose = settled({ ...this.pose, ...pose });
    this.moving = moving;
    this.request();
    this.rest();
  }

  turnBy(azimuth, elevation) {
    this.turnTo({ azimuth: this.pose.azimuth + azimuth, elevation: this.pose.elevation + elevation });
  }

  /** Zoom by a factor, keeping what lies under a place of the view [-1..1] where it is. */
  zoomBy(factor, at = [0, 0]) {
    const before = this.lens().angles(at);
    const zoomed = settled({ ...this.pose, angle: this.pose.angle / factor });
    const after = new Lens(zoomed, this.pane.clientWidth, this.pane.clientHeight).angles(at);
    const turn = at[0] || at[1] ? ((before.azimuth - after.azimuth + 540) % 360) - 180 : 0;
    this.turnTo({ angle: zoomed.angle, azimuth: zoomed.azimuth + (Math.abs(turn) < 60 ? turn : 0), elevation: zoomed.elevation + before.elevation - after.elevation });
  }

  /** Glide to a pose, or be there at once for whoever wants no motion. */
  glideTo(pose, ms = 120) {
    cancelAnimationFrame(this.gliding);
    const to = settled({ ...this.pose, ...pose });
    if (this.calm.matches) {
      this.turnTo(to, false);
      return;
    }
    const from = { ...this.pose };
    const round = ((to.azimuth - from.azimuth + 540) % 360) - 180;
    const begun = performance.now();
    const step = (now) => {
      const part = Math.min(1, Math.max(0, (now - begun) / ms));
      const eased = part * (2 - part);
      this.turnTo({
        azimuth: from.azimuth + round * eased,
        elevation: from.elevation + (to.elevation - from.elevation) * eased,
        angle: from.angle + (to.angle - from.angle) * eased,
      });
      if (part < 1) this.gliding = requestAnimationFrame(step);
    };
    this.gliding = requestAnimationFrame(step);
    this.goal = to;
  }

  /** Look at a direction of a picture, near enough for its width in degrees. */
  async lookAt({ frame, azimuth, elevation, wide = 0 }) {
    if (frame && frame !== this.shown && this.pictures.some((one) => one.name === frame)) await this.show(frame);
    const angle = Math.min(this.pose.angle, Math.max(20, wide * 3 || 40));
    this.glideTo({ azimuth, elevation, angle }, 250);
    this.scrollIntoView({ block: "nearest", behavior: "instant" });
  }

  // --- acting --------------------------------------------------------------------------------------------------

  step(name, fine = false) {
    const goal = this.gliding && this.goal && this.moving ? this.goal : this.pose;
    const turn = this.pose.angle / (fine ? 40 : 6);
    const steps = {
      left: { azimuth: goal.azimuth - turn }, right: { azimuth: goal.azimuth + turn },
      up: { elevation: goal.elevation + turn }, down: { elevation: goal.elevation - turn },
      "zoom-in": { angle: goal.angle / 1.35 }, "zoom-out": { angle: goal.angle * 1.35 }, home: this.start,
    };
    if (!(name in steps)) return false;
    this.glideTo({ ...goal, ...steps[name] });
    return true;
  }

  key(event) {
    const names = {
      ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "zoom-in", "=": "zoom-in",
      "-": "zoom-out", "−": "zoom-out", Home: "home",
    };
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key in names) {
      this.byKey = true;
      this.aiming = true;
      this.step(names[event.key], event.shiftKey);
    } else if (event.key === "Enter" && this.spots.rows.length) this.mark(this.pose.azimuth, this.pose.elevation);
    else if (event.key === "Delete" && this.spots.rows.length) this.unmark();
    else return;
    event.preventDefault();
  }

  async act(event) {
    const button = event.target.closest("button");
    if (!button || !this.contains(button)) return;
    const { do: what, show, turn } = button.dataset;
    if (show) this.show(show);
    else if (turn) {
      this.byKey = true;
      this.step(turn);
    } else if (what === "flat") {
      this.flatChosen = !this.flatChosen;
      this.lay();
    } else if (what === "mark") this.mark(this.pose.azimuth, this.pose.elevation);
    else if (what === "unmark") this.unmark();
    else if (what === "regions") {
      this.regionsShown = !this.regionsShown;
      button.setAttribute("aria-pressed", String(this.regionsShown));
      this.refresh();
    } else if (what === "motion") button.setAttribute("aria-pressed", String(await this.motion.toggle()));
    else if (what in this.switches) {
      this.switches[what] = !this.switches[what];
      button.setAttribute("aria-pressed", String(this.switches[what]));
      this.refresh();
    }
  }

  /** Holding compares for as long as it is held; a short press stays until the next. */
  holdButtons() {
    for (const button of this.querySelectorAll("[data-do='compare']")) {
      let since = 0;
      button.addEventListener("pointerdown", (event) => {
        if (event.button) return;
        since = this.held ? 0 : performance.now();
        this.hold(true);
      });
      const release = () => {
        if (since && performance.now() - since > 300) this.hold(false);
        else if (!since) this.hold(false);
        since = -1;
      };
      for (const kind of ["pointerup", "pointercancel", "pointerleave"]) {
        button.addEventListener(kind, () => since !== -1 && release());
      }
      button.addEventListener("click", (event) => {
        if (event.detail === 0) this.hold(!this.held); // by key
      });
    }
  }

  async hold(on) {
    this.held = on;
    const { other } = this;
    for (const button of this.querySelectorAll("[data-do='compare']")) button.setAttribute("aria-pressed", String(on));
    const caption = this.querySelector("[data-caption]");
    caption.textContent = on ? `Shown: ${other.title}` : "";
    caption.hidden = !on;
    if (this.lies) {
      for (const one of this.pictures) one.figure.hidden = one.name !== (on ? other.name : this.shown);
      return;
    }
    if (on) {
      await this.bring(other);
      if (this.painter?.widthOf(other.name) < this.painter?.widthOf(this.shown)) this.fetchWhole(other, this.painter.widthOf(this.shown));
    }
    this.request();
    if (!on) this.rest();
  }

  // --- marking -------------------------------------------------------------------------------------------------

  /** A tap: select the mark that is there, or put one down. */
  tap(azimuth, elevation, lens = this.lens()) {
    if (!this.spots.rows.length) return;
    const there = spotNear(this.spots.list, lens, azimuth, elevation);
    if (there) {
      this.spots.selected = there.row === this.spots.selected ? -1 : there.row;
      this.refresh();
    } else this.mark(azimuth, elevation);
  }

  mark(azimuth, elevation) {
    if (!this.spots.rows.length) return;
    const row = this.spots.put(azimuth, elevation);
    this.say(`Spot ${row + 1} marked: ${inWords(azimuth, elevation)}`);
    this.marked({ azimuth_deg: azimuth, elevation_deg: elevation });
  }

  unmark() {
    const row = this.spots.takeAway();
    if (row >= 0) this.say(`Spot ${row + 1} taken away`);
    this.marked(null);
  }

  marked(detail) {
    this.refresh();
    this.dispatchEvent(new CustomEvent("spotmark", { bubbles: true, detail }));
  }

  // --- words ---------------------------------------------------------------------------------------------------

  /** A button elsewhere on the page that points at something: data-look="frame" data-azimuth data-elevation data-wide. */
  pointTo(event) {
    const button = event.target.closest("[data-look]");
    if (!button || (button.dataset.view && button.dataset.view !== this.id)) return;
    event.preventDefault();
    const { look: frame, azimuth, elevation, wide } = button.dataset;
    this.lookAt({ frame, azimuth: Number(azimuth), elevation: Number(elevation), wide: Number(wide || 0) });
  }

  say(words) {
    this.querySelector("[data-say]").textContent = words;
  }

  busy(words) {
    const line = this.querySelector("[data-busy]");
    if (line.textContent === words) return;
    line.textContent = words;
    line.hidden = !words;
  }
}

customElements.define("frame-view", FrameView);
