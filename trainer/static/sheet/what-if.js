// What if: move, add or take away stations after the grade and see at once what that would be worth.
//
// The server grades and draws with the same code as the real grade; nothing is kept. Leaving puts back the page
// as it was graded.

import { BUSY, newestOf } from "./newest.js";
import { token } from "./outbox.js";

const PAUSE = 150;
const LAYERS = ["areas", "labels", "lines", "points", "marks"];

export function bindTrial({ desk, sheet, button, fill, own, rest }) {
  const problem = desk.querySelector("[data-problem]");
  const shown = desk.querySelector("[data-shown]");
  const hint = desk.querySelector("[data-hint]");
  const verdict = desk.querySelector("[data-verdict]");
  const marks = desk.querySelector("[data-marks]");
  const given = new Map(); // what the page held when it was graded
  const asking = newestOf(grade, PAUSE);
  let running = false;
  let latest = 0;

  const layers = () =>
    sheet.sheets.flatMap(({ figure }) => LAYERS.map((name) => figure.querySelector(`.layer.${name}`)));

  function begin() {
    running = true;
    for (const layer of layers()) given.set(layer, [...layer.childNodes]);
    given.set(verdict, [...verdict.childNodes]);
    given.set(marks, [...marks.childNodes]);
    showSent(false);
    sheet.stations.list = own.map(([level, x, y]) => ({ level, x, y }));
    sheet.stations.past = [];
    sheet.stations.future = [];
    sheet.editing = true;
  }

  function end() {
    running = false;
    asking.stop();
    latest += 1;
    sheet.editing = false;
    sheet.stations.list = [];
    sheet.stations.selected = -1;
    sheet.refresh();
    showSent(true);
    for (const [element, nodes] of given) element.replaceChildren(...nodes);
    given.clear();
    for (const { view } of sheet.sheets) view.makeRoom();
    problem.hidden = true;
    shown.hidden = true;
  }

  /** The person's own stations as they were sent: hidden while others are tried. */
  function showSent(on) {
    for (const station of sheet.querySelectorAll(".layer.stations .station")) {
      if (Number(station.dataset.station) > sheet.first) station.style.display = on ? "" : "none";
    }
  }

  function ask() {
    latest += 1;
    asking.soon();
  }

  async function grade() {
    const mine = latest;
    const answer = { ...rest, stations: sheet.stations.list };
    let reply = null;
    try {
      reply = await fetch(desk.dataset.whatIf, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
        body: JSON.stringify({ answer }),
        credentials: "same-origin",
      });
    } catch {
      reply = null;
    }
    const said = reply && (await reply.json().catch(() => null));
    if (mine !== latest || !running) return "";
    problem.hidden = Boolean(reply?.ok);
    if (!reply?.ok) {
      problem.textContent = said?.detail ?? "No connection: the grade on the page is the last one that came through.";
      return reply?.status === 503 ? BUSY : "";
    }
    for (const { figure, level, view } of sheet.sheets) {
      for (const name of LAYERS) fill(figure.querySelector(`.layer.${name}`), said.layers[level][name]);
      view.makeRoom();
    }
    // Both pieces are rendered and escaped by the server's own templates.
    verdict.innerHTML = said.verdict;
    marks.innerHTML = said.marks;
    shown.textContent = said.said;
    shown.hidden = false;
    desk.dataset.regraded = String(mine);
    return "";
  }

  button.addEventListener("click", () => {
    if (running) end();
    else begin();
    button.setAttribute("aria-pressed", String(running));
    button.lastChild.textContent = running ? " Back to what you sent" : " What if";
    for (const tool of desk.querySelectorAll("[data-trial]")) tool.hidden = !running;
    hint.hidden = !running;
    sheet.refresh();
  });
  sheet.addEventListener("stationschange", () => {
    if (running && sheet.stations.past.length + sheet.stations.future.length) ask();
  });
}
