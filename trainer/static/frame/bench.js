// The bench: a slider beside every number; the frame follows small while it turns and sharp after, the numbers with it.

import "./view.js";
import { carried, make } from "../sheet/paper.js";

const REST_MS = 250;
const SMALL = 512;
const TRIES = 40;

const desk = document.querySelector("[data-bench]");
const form = desk.querySelector("form[data-setup]");
const view = desk.querySelector("frame-view");
const link = desk.querySelector("[data-here]");
let going = false;
let wanted = "";
let resting = 0;
let turn = 0;

/** What an address holds of the set-up. */
const fields = () => Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, String(value).replace(",", ".")]));

/** The set-up as one word of an address. */
function packed(values) {
  const text = JSON.stringify(values, Object.keys(values).sort());
  const bytes = String.fromCharCode(...new TextEncoder().encode(text));
  return btoa(bytes).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

const valid = () => [...form.elements].every((field) => field.checkValidity());

/** While a slider moves: one small frame at a time, always the newest. */
async function follow() {
  wanted = packed(fields());
  if (going || !valid()) return;
  going = true;
  let shown = "";
  while (shown !== wanted) {
    shown = wanted;
    const picture = view.pictures.find((one) => one.name === "frame");
    const address = `${form.action}${shown}/frame/`;
    try {
      const blob = await view.supply.fetched(`${address}${SMALL}.jpg`);
      view.replace(picture.name, address, await createImageBitmap(blob), SMALL);
    } catch {
      break;
    }
  }
  going = false;
}

/** The mark on the curve goes with the slider at once, on the line between two measured points, until it is measured. */
function goAlong(name, value) {
  const figure = desk.querySelector("[data-along]");
  if (figure?.dataset.over !== name || !Number.isFinite(value)) return;
  const { points, places, unit } = JSON.parse(figure.dataset.along);
  const next = points.findIndex(([x]) => x >= value);
  const b = Math.max(1, next < 0 ? points.length - 1 : next);
  const share = Math.min(1, Math.max(0, (value - points[b - 1][0]) / (points[b][0] - points[b - 1][0])));
  const [, said, across, down] = points[b - 1].map((from, i) => from + share * (points[b][i] - from));
  figure.querySelector(".here").setAttribute("transform", `translate(${across} ${down})`);
  const floor = figure.querySelector(".drop").getAttribute("d").split("V")[1];
  figure.querySelector(".drop").setAttribute("d", `M${across} ${down}V${floor}`);
  const number = `${said.toFixed(places)}${unit === "°" ? "" : "\u00a0"}${unit}`.trim();
  figure.querySelector("[data-about]").textContent = `; here about ${number}`;
}

/** Numbers of the set-up before are seen to be that until the new ones are measured. */
const overtaken = (place, whether) => place.toggleAttribute("data-overtaken", whether);

/** Once it rests: the sharp frame, the numbers, the curve, the address. Where what was turned is what the curve goes
 * over, its line stays and its mark is one number, which is there long before all of them. */
function rest(name = "") {
  clearTimeout(resting);
  resting = setTimeout(async () => {
    if (!valid()) return;
    const values = fields();
    const query = new URLSearchParams(values);
    history.replaceState(null, "", `${form.action}?${query}`);
    link.href = `${form.action}?${query}`;
    await follow();
    for (const one of view.pictures) {
      if (one.what === "heading") view.replace(one.name, `${form.action}${packed(values)}/${one.name}/`);
    }
    view.refresh();
    turn += 1;
    const mine = turn;
    const pieces = [numbers, curve];
    if (name && desk.querySelector("[data-along]")?.dataset.over === name) pieces.reverse();
    for (const next of pieces) await next(query, mine);
  }, REST_MS);
}

/** All that is measured, and with it the tag's notches. */
async function numbers(query, mine) {
  await piece(desk.dataset.numbers, query, desk.querySelector("[data-numbers-here]"), mine);
  tagged();
}

/** The worst number along the parameter. */
const curve = (query, mine) => piece(desk.dataset.curve, query, desk.querySelector("[data-curve-here]"), mine);

/** A piece of the page from the server, asked for until it is ready or no longer wanted. */
async function piece(address, query, place, mine) {
  for (let tries = 0; tries < TRIES && mine === turn; tries++) {
    const reply = await fetch(`${address}?${query}`, { credentials: "same-origin" });
    if (reply.status === 202 || reply.status === 503) {
      await new Promise((resolve) => setTimeout(resolve, 1000 * (Number(reply.headers.get("Retry-After")) || 1)));
      continue;
    }
    if (mine !== turn) return;
    overtaken(place, false);
    if (reply.ok) {
      const page = new DOMParser().parseFromString(await reply.text(), "text/html");
      place.replaceChildren(...[...page.body.childNodes].map((node) => document.importNode(node, true)));
    } else if (reply.status === 400) place.replaceChildren(make("p", { class: "notice problem" }, await reply.text()));
    return;
  }
}

/** The notches of the tag and the brackets in the frame follow the numbers. */
function tagged() {
  view.regions = carried("found-here", desk) ?? [];
  view.refresh();
  const notches = Number(desk.querySelector("[data-notches]")?.dataset.notches ?? 0);
  const tag = desk.querySelector(".fault-tag");
  tag.querySelector(".notches")?.remove();
  if (!notches) return;
  tag.append(make("span", { class: "notches", "aria-hidden": "true" }, ...Array.from({ length: notches }, () => make("i"))));
}

/** A parameter is turned: mark, frame, and then what is measured. */
function turned(number) {
  turn += 1;
  goAlong(number.name, Number(number.value.replace(",", ".")));
  overtaken(desk.querySelector("[data-numbers-here]"), true);
  follow();
  rest(number.name);
}

for (const dial of form.querySelectorAll(".dial")) {
  const number = dial.querySelector("input");
  const slider = make("input", {
    type: "range", min: number.min, max: number.max, step: number.dataset.step, value: number.value,
    "aria-label": form.querySelector(`label[for='${number.id}']`).textContent,
  });
  slider.addEventListener("input", () => {
    number.value = slider.value;
    turned(number);
  });
  number.addEventListener("input", () => {
    slider.value = number.value;
    turned(number);
  });
  dial.before(slider);
}
form.addEventListener("change", (event) => {
  if ("again" in event.target.dataset) {
    // Another place, fault or kit brings other fields: the page comes anew.
    const kept = new Set(["floor", "room", "light", "kit", "fault"]);
    if (event.target.name === "floor") kept.delete("room");
    const same = ["room", "light"].includes(event.target.name);
    const query = new URLSearchParams([...new FormData(form)].filter(([name]) => same || kept.has(name)));
    location.assign(`${form.action}?${query}`);
  } else if (event.target.tagName === "SELECT") {
    follow();
    rest();
  }
});
form.addEventListener("submit", (event) => {
  event.preventDefault();
  follow();
  rest();
});
form.querySelector("[data-without]").hidden = true;
turn = 1;
(async () => {
  const query = new URLSearchParams(fields());
  if (desk.querySelector(".readings")) tagged();
  else await numbers(query, 1);
  await curve(query, 1);
})();
document.documentElement.dataset.ready = "";
