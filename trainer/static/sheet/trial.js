// Try mode: sight and links live under the finger, exact floor shares from the server a moment later.
//
// A station's sight is computed when it moves and kept otherwise, so a frame costs one polygon and the links of
// one station, whatever the number of stations.

import "./plan.js";
import { bindList } from "./list.js";
import { areaWords, lengthWords } from "./lengths.js";
import { Hatch } from "./hatch.js";
import { carried, draw, inRing, make, onPaper } from "./paper.js";
import { link, visibility, wallsOf } from "./sight.js";
import { BUSY, newestOf } from "./newest.js";
import { token } from "./outbox.js";

const PAUSE = 350;
const page = document.querySelector("[data-trial-page]");
const sheet = page.querySelector("plan-sheet");
const { levels, bands, limits } = carried("sheet-data");
const walls = bands.map((band) => ({ sight: wallsOf(band.sight), walk: wallsOf(band.walk) }));
const found = page.querySelector("[data-found]");
const joined = page.querySelector("[data-joined]");
const table = page.querySelector("[data-covers]");

const spaceAt = (s) => levels[s.level].spaces.find((space) => inRing(space.outline, s.x, s.y));
const sights = new Map(); // "level x y" -> polygon

function sightOf(station) {
  const key = `${station.level} ${station.x} ${station.y}`;
  if (!sights.has(key)) {
    const space = spaceAt(station);
    const polygon = space ? visibility(walls[space.band].sight, station.x, station.y) : [];
    sights.set(key, { polygon, reach: space?.outdoor ? limits.reach_outdoor : limits.reach });
  }
  return sights.get(key);
}

const papers = sheet.sheets.map((one) => {
  const lines = draw("g", { class: "layer trial-links" });
  one.layer.before(lines);
  return { ...one, lines, hatch: new Hatch(one) };
});

function drawSights() {
  for (const paper of papers) {
    const here = sheet.stations.list.filter((s) => s.level === paper.level);
    paper.hatch.show(here.map((s) => ({ ...sightOf(s), x: s.x, y: s.y })));
  }
  if (sights.size > 400) sights.clear();
}

/** The link between two stations, held or not; null where they stand at two heights, which the server has to say. */
function between(from, to) {
  const { list } = sheet.stations;
  const [a, b] = [spaceAt(list[from]), spaceAt(list[to])];
  if (!a || !b || list[from].level !== list[to].level || a.band !== b.band) return null;
  const longest = a.outdoor || b.outdoor ? limits.longest_outdoor : limits.longest;
  return { ...link(walls[a.band].walk, list[from], list[to], { strip: limits.strip, longest }), from, to };
}

/** Links between stations of one height on one level; over flights the server says. */
export function linksNow() {
  const { list } = sheet.stations;
  const out = [];
  for (let i = 0; i < list.length; i++) {
    for (let j = i + 1; j < list.length; j++) {
      const one = between(i, j);
      if (one && one.fault !== "blocked") out.push(one);
    }
  }
  return out;
}

let surveyed = []; // links that the server found, and where smaller islands end; of the stations as they are

function drawLinks() {
  for (const paper of papers) paper.lines.replaceChildren();
  const { list } = sheet.stations;
  const scale = (svg) => `scale(${getComputedStyle(svg).getPropertyValue("--u") || 1})`;
  for (const { from, to, length, clear, fault, at } of [...linksNow(), ...surveyed]) {
    for (const level of new Set([list[from].level, list[to].level])) {
      const paper = papers.find((one) => one.level === level);
      const [a, b] = [list[from], list[to]];
      let turn = (-Math.atan2(b.y - a.y, b.x - a.x) * 180) / Math.PI;
      if (turn > 90) turn -= 180;
      if (turn <= -90) turn += 180;
      if (fault === "blocked") {
        const bars = draw("g", { class: "fixed", transform: scale(paper.svg) }, draw("path", { class: "bars", d: "M-4 -9V9M4 -9V9" }), draw("path", { class: "bars-gap", d: "M-3 0H3" }));
        paper.lines.append(
          draw("path", { class: "link blocked", d: `M${onPaper(a.x, a.y)}L${onPaper(b.x, b.y)}` }),
          draw("g", { transform: `translate(${onPaper(...at)}) rotate(${turn})` }, bars),
        );
        continue;
      }
      const words = fault === "narrow" ? `${lengthWords(length, sheet.units)}, ${lengthWords(clear, sheet.units)} wide` : lengthWords(length, sheet.units);
      paper.lines.append(
        draw("path", { class: `link ${fault ?? ""}`, d: `M${onPaper(a.x, a.y)}L${onPaper(b.x, b.y)}` }),
        draw(
          "g",
          { transform: `translate(${onPaper((a.x + b.x) / 2, (a.y + b.y) / 2)}) rotate(${turn})` },
          draw("g", { class: "fixed", transform: scale(paper.svg) }, draw("text", { class: "words halo", x: 0, y: -5, "text-anchor": "middle" }, words)),
        ),
      );
    }
  }
}

/** Where each island that is cut off ends: its nearest sight to any other station that something ends. */
const endsOf = (cutOff) =>
  cutOff.flatMap((island) => {
    const mine = island.map((number) => number - 1);
    const others = sheet.stations.list.map((_, to) => to).filter((to) => !mine.includes(to));
    return mine
      .flatMap((from) => others.map((to) => between(from, to)))
      .filter((one) => one?.fault === "blocked")
      .sort((one, other) => one.length - other.length)
      .slice(0, 1);
  });

/** Whether all stations are joined, in words, under the sheet. */
function tellJoined(cutOff, ended) {
  const { list } = sheet.stations;
  const named = (number) => `${number} (${list[number - 1] ? (spaceAt(list[number - 1])?.name ?? "no room") : "no room"})`;
  const words = cutOff.length
    ? [`Cut off: ${cutOff.map((island) => island.map(named).join(" with ")).join("; ")}.`, ended.length ? "Bars stand where something ends the nearest sight." : ""]
    : [list.length > 1 ? "All stations are joined." : "One station so far."];
  joined.replaceChildren(make("b", {}, words[0]), words[1] ? ` ${words[1]}` : "");
  joined.hidden = false;
}

let frame = 0;
let wanted = 0;
const asking = newestOf(survey, PAUSE);
let lastKey = "";

function changed() {
  const key = JSON.stringify(sheet.stations.list);
  if (key !== lastKey) surveyed = [];
  cancelAnimationFrame(frame);
  frame = requestAnimationFrame(() => {
    drawSights();
    drawLinks();
  });
  if (key === lastKey) return;
  lastKey = key;
  wanted += 1;
  asking.soon();
}

async function survey() {
  const mine = wanted;
  if (!sheet.stations.list.length) {
    table.hidden = true;
    joined.hidden = true;
    found.replaceChildren(make("p", { class: "quiet" }, "Put a station on the sheet. Hatching is what its lens sees at its own height; lines are sight links."));
    return "";
  }
  let reply = null;
  try {
    reply = await fetch(page.dataset.survey, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
      body: JSON.stringify({ kit: page.dataset.kit, stations: sheet.stations.list }),
      credentials: "same-origin",
    });
  } catch {
    reply = null;
  }
  const said = reply && (await reply.json().catch(() => null));
  if (mine !== wanted) return "";
  if (reply?.ok && said) {
    tell(said);
    return "";
  }
  const why = reply?.status === 503 && said?.detail ? said.detail : "No floor shares just now: the server did not answer.";
  found.replaceChildren(make("p", {}, `${why} Sight and links are still shown.`));
  return reply?.status === 503 ? BUSY : "";
}

const FAULTS = {
  outside: "in a wall, a thing or no room", "on-flight": "on the treads of a flight", "no-stand-zone": "where no tripod may stand",
  legs: "where the legs do not fit", "way-out": "in a doorway", "flight-end": "over the foot or head of a flight",
  edge: "too near an open edge or water", headroom: "with too little height over the lens", "head-hits": "with something at lens height in the way",
};

function tell(result) {
  const words = [];
  const [, ...cutOff] = [...result.islands].sort((one, other) => other.length - one.length);
  const ended = endsOf(cutOff);
  tellJoined(cutOff, ended);
  result.stands.forEach((stand, i) => {
    for (const { fault, what } of stand.reasons.slice(0, 1)) words.push(`Station ${i + 1} stands ${FAULTS[fault] ?? fault} (${what}).`);
  });
  if (result.spare.length) words.push(`Can go without loss: ${result.spare.join(", ")}.`);
  found.replaceChildren(...words.map((text) => make("p", {}, text)));
  const gains = result.gain_m2.map((gain, i) => `${i + 1} adds ${areaWords(gain, sheet.units).replace(" ", "\u00a0")}`);
  found.append(make("p", { class: "quiet" }, `Floor that no other station shows: ${gains.join(", ")}.`));

  table.hidden = false;
  table.tBodies[0].replaceChildren(
    ...result.covers.map((cover) => {
      const asks = cover.asked ? `${cover.target_percent.toFixed(0)}\u00a0%` : "not asked";
      const state = !cover.asked ? "" : cover.holds ? ", holds" : ", look again";
      return make("tr", {}, make("th", { scope: "row" }, cover.name), make("td", { "data-name": "floor seen", class: "figures" }, `${cover.share_percent.toFixed(0)}\u00a0%${state}`), make("td", { "data-name": "asked", class: "figures" }, asks));
    }),
  );
  const across = result.links.filter((one) => one.holds && !linksNow().some((l) => l.from === one.a && l.to === one.b));
  surveyed = [...ended, ...across.map((one) => ({ from: one.a, to: one.b, length: one.length_m, clear: one.clear_m, fault: null }))];
  drawLinks();
  page.dataset.surveyed = String(wanted);
}

bindList(page.querySelector("ol.stations"), sheet);
sheet.addEventListener("stationschange", changed);
sheet.addEventListener("viewchange", changed);
sheet.addEventListener("levelchange", changed);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", changed);
changed();
document.documentElement.dataset.ready = "";
